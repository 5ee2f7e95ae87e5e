// Numbers with units as people write them: "3 mm", "1/8 in", "1 1/2 in", "0.118\"", "400 dpi".
// Independent of the locale: a comma is never a decimal point, and never guessed to be one.
#pragma once

#include <string>
#include <string_view>
#include <variant>

namespace rimeglow {

enum class Dimension {
  length,        // mm
  angle,         // rad
  flux,          // lm
  spacing,       // mm between lines; dpi is understood
  temperature,   // K
  luminance,     // cd/m2
  speed,         // mm/s
  acceleration,  // mm/s2
  absorption,    // per metre
  wavelength,    // nm
  current,       // mA
  time,          // min
};

// The value in the unit above, or why the text is none of that dimension; example_of says the rest.
std::variant<double, std::string> parse_quantity(std::string_view text, Dimension dimension);

// How such a quantity may be written: "3 mm" or "1/8 in".
std::string_view example_of(Dimension dimension);

// An amount in a currency by its three letters (ISO 4217): a sign such as $ stands for some twenty
// of them. Nothing is ever converted.
struct Money {
  double amount = 0.0;
  std::string currency;
};

enum class MoneyPer { piece, hour };

// "12.50 EUR" or "38 EUR/h", or why the text is no such thing.
std::variant<Money, std::string> parse_money(std::string_view text, MoneyPer per);
std::string_view example_of(MoneyPer per);

// "12.50 EUR".
std::string money_text(const Money& money);

// A number without a unit: with so many decimals, or with six less those that say nothing.
std::string decimal_text(double value, int decimals);
std::string without_trailing_zeros(std::string number);  // "5.0" is said as "5"
std::string number_text(double value);

// The unit that a dimension is said in.
std::string_view unit_of(Dimension dimension);

// A value as the user would write it, for messages: "12.5 mm".
std::string quantity_text(double value, Dimension dimension);
std::string length_text(double length_mm);

}  // namespace rimeglow
