// Numbers the way a person says them: a few digits, a plain decimal point whatever the locale, and
// the noise beside them. Writes nothing anywhere; exact figures belong in numbers.json.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "estimate.h"
#include "ray.h"

namespace rimeglow {

// Rounded to so many decimals, "." as decimal point: fixed(2.345, 1) = "2.3". Not finite: "?".
std::string fixed(double value, int decimals);

// Two figures, three from a hundred on, never an exponent: 0.41, 5.3, 12, 124, 71300.
std::string spoken(double value);

// A value and its standard error, no digit beyond the error's first: "120 +- 2", with the sign for
// plus or minus (UTF-8).
std::string with_error(const Estimate& estimate);

// A share as a percentage: 0.414 = "41 %", below a tenth with one decimal, "under 0.1 %".
std::string percent(double share);

// Relative standard error in words: "good to 2 %". Twice in three the truth is nearer than that.
std::string good_to(const Estimate& estimate);

// "110.0 x 90.0 mm".
std::string size_in_words(const Vec2& mm);

// "1 LED", "3 LEDs".
std::string counted(std::size_t count, const std::string& thing);

// With a capital first letter.
std::string capitalised(std::string text);

// "a, b and c".
std::string listed(const std::vector<std::string>& parts);

}  // namespace rimeglow
