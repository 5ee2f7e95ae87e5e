// Round numbers for the ends of scales and the marks along them.
#pragma once

#include <array>

namespace rimeglow {

// What the marks of a decade begin with.
inline constexpr std::array<double, 3> kRoundDigits = {1.0, 2.0, 5.0};

// The power of ten in which a value begins.
double decade_of(double value);

// The largest of 1, 2, 5 x 10^k not above a value, and the smallest not below it.
double round_down(double value);
double round_up(double value);

// The smallest number of two figures not below a value.
double up_to_two_figures(double value);

}  // namespace rimeglow
