#include "quantity.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>

#include "units.h"

namespace rimeglow {
namespace {

struct Unit {
  std::string_view name;
  Dimension dimension;
  double factor;
};

// The first unit of a dimension is the one it is said in.
constexpr std::array kUnits = {
    Unit{"mm", Dimension::length, 1.0},
    Unit{"cm", Dimension::length, 10.0},
    Unit{"m", Dimension::length, kMmPerM},
    Unit{"in", Dimension::length, kMmPerInch},
    Unit{"\"", Dimension::length, kMmPerInch},
    Unit{"deg", Dimension::angle, kPi / 180.0},
    Unit{"rad", Dimension::angle, 1.0},
    Unit{"lm", Dimension::flux, 1.0},
    Unit{"mm", Dimension::spacing, 1.0},
    Unit{"in", Dimension::spacing, kMmPerInch},
    Unit{"K", Dimension::temperature, 1.0},
    Unit{"cd/m2", Dimension::luminance, 1.0},
    Unit{"mm/s", Dimension::speed, 1.0},
    Unit{"m/s", Dimension::speed, kMmPerM},
    Unit{"in/s", Dimension::speed, kMmPerInch},
    Unit{"m/s2", Dimension::acceleration, kMmPerM},
    Unit{"mm/s2", Dimension::acceleration, 1.0},
    Unit{"/m", Dimension::absorption, 1.0},
    Unit{"nm", Dimension::wavelength, 1.0},
    Unit{"mA", Dimension::current, 1.0},
    Unit{"A", Dimension::current, 1000.0},
    Unit{"min", Dimension::time, 1.0},
    Unit{"h", Dimension::time, 60.0},
    Unit{"s", Dimension::time, 1.0 / 60.0},
};

constexpr std::string_view kSpace = " \t";
constexpr std::string_view kCapitals = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
constexpr double kMostMoney = 1e6;

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(kSpace);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

// Takes a decimal number off the front of `rest`.
std::optional<double> take_number(std::string_view& rest) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
  if (error != std::errc{} || !std::isfinite(value)) return std::nullopt;
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  return value;
}

// What stands below a fraction's bar, with which `rest` begins; none for nothing.
std::optional<double> take_divisor(std::string_view& rest) {
  rest.remove_prefix(1);
  const std::optional<double> divisor = take_number(rest);
  return divisor == 0.0 ? std::nullopt : divisor;
}

// "0.125", "1/8" or "1 1/2".
std::optional<double> take_amount(std::string_view& rest) {
  const std::optional<double> first = take_number(rest);
  if (!first) return std::nullopt;
  if (rest.size() > 1 && rest.front() == '/' && rest[1] >= '0' && rest[1] <= '9') {
    const std::optional<double> divisor = take_divisor(rest);
    return divisor ? std::optional(*first / *divisor) : std::nullopt;
  }
  std::string_view ahead = trimmed(rest);
  const std::optional<double> above = take_number(ahead);
  if (!above || ahead.empty() || ahead.front() != '/') return first;
  const std::optional<double> divisor = take_divisor(ahead);
  rest = ahead;
  return divisor ? std::optional(*first + *above / *divisor) : std::nullopt;
}

const Unit* unit_named(std::string_view name, Dimension dimension) {
  for (const Unit& unit : kUnits) {
    if (unit.dimension == dimension && unit.name == name) return &unit;
  }
  return nullptr;
}

const Unit& first_unit(Dimension dimension) {
  return *std::find_if(kUnits.begin(), kUnits.end(),
                       [&](const Unit& unit) { return unit.dimension == dimension; });
}

}  // namespace

std::variant<double, std::string> parse_quantity(std::string_view text, Dimension dimension) {
  std::string_view rest = trimmed(text);
  const std::optional<double> amount = take_amount(rest);
  rest = trimmed(rest);
  const std::string quoted = "\"" + std::string(text) + "\"";
  if (!amount) return quoted + " is no number with a unit";
  if (rest.empty()) return quoted + " needs a unit";
  if (rest.front() == ',') {
    return quoted + " has a comma: write a point for decimals and nothing between thousands";
  }
  if (dimension == Dimension::spacing && rest == "dpi") {
    if (*amount == 0.0) return quoted + " is no line at all";
    return kMmPerInch / *amount;
  }
  const Unit* unit = unit_named(rest, dimension);
  if (!unit) return quoted + ": \"" + std::string(rest) + "\" is no unit for this";
  return *amount * unit->factor;
}

std::string_view example_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::length:
      return "\"3 mm\" or \"1/8 in\"";
    case Dimension::angle:
      return "\"30 deg\"";
    case Dimension::flux:
      return "\"9 lm\"";
    case Dimension::spacing:
      return "\"400 dpi\" or \"0.0635 mm\"";
    case Dimension::temperature:
      return "\"6500 K\"";
    case Dimension::luminance:
      return "\"30 cd/m2\"";
    case Dimension::speed:
      return "\"300 mm/s\"";
    case Dimension::acceleration:
      return "\"5 m/s2\"";
    case Dimension::absorption:
      return "\"0.3 /m\"";
    case Dimension::wavelength:
      return "\"620 nm\"";
    case Dimension::current:
      return "\"20 mA\"";
    case Dimension::time:
      return "\"20 min\"";
  }
  return {};
}

std::variant<Money, std::string> parse_money(std::string_view text, MoneyPer per) {
  std::string_view rest = trimmed(text);
  const std::string quoted = "\"" + std::string(text) + "\"";
  const std::optional<double> amount = take_number(rest);
  if (!amount) return quoted + " does not begin with an amount";
  if (!rest.empty() && rest.front() == ',') {
    return quoted + " has a comma: write a point for decimals and nothing between thousands";
  }
  if (!(*amount >= 0.0 && *amount <= kMostMoney)) return quoted + " is no price";
  rest = trimmed(rest);
  constexpr std::string_view kPerHour = "/h";
  const bool hourly = rest.size() > kPerHour.size() && rest.ends_with(kPerHour);
  if (hourly != (per == MoneyPer::hour)) {
    return quoted +
           (hourly ? " is for an hour, not for a piece" : " does not say that it is for an hour");
  }
  if (hourly) rest = trimmed(rest.substr(0, rest.size() - kPerHour.size()));
  const bool letters = rest.size() == 3 && rest.find_first_not_of(kCapitals) == rest.npos;
  if (!letters) return quoted + " names no currency by its three capital letters";
  return Money{*amount, std::string(rest)};
}

std::string_view example_of(MoneyPer per) {
  return per == MoneyPer::piece ? "\"12.50 EUR\"" : "\"38 EUR/h\"";
}

std::string money_text(const Money& money) {
  return decimal_text(money.amount, 2) + " " + money.currency;
}

std::string decimal_text(double value, int decimals) {
  // Digits a double can have before its point, plus sign, point and the decimals asked.
  constexpr std::size_t kLongest = 400;
  std::array<char, kLongest> digits;
  const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), value,
                                          std::chars_format::fixed, decimals);
  return std::string(digits.data(), end);
}

std::string without_trailing_zeros(std::string number) {
  if (number.find('.') == std::string::npos) return number;
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  return number;
}

std::string number_text(double value) { return without_trailing_zeros(decimal_text(value, 6)); }

std::string_view unit_of(Dimension dimension) { return first_unit(dimension).name; }

std::string quantity_text(double value, Dimension dimension) {
  const Unit& unit = first_unit(dimension);
  std::array<char, 32> digits;
  const double said = value / unit.factor;
  // Four figures, and no exponent where people still count in thousands.
  const bool large = std::abs(said) >= 1e4 && std::abs(said) < 1e9;
  const auto [end, error] =
      std::to_chars(digits.data(), digits.data() + digits.size(), said,
                    large ? std::chars_format::fixed : std::chars_format::general, large ? 0 : 4);
  return std::string(digits.data(), end) + " " + std::string(unit.name);
}

std::string length_text(double length_mm) { return quantity_text(length_mm, Dimension::length); }

}  // namespace rimeglow
