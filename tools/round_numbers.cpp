#include "round_numbers.h"

#include <cmath>

namespace rimeglow {

double decade_of(double value) { return std::pow(10.0, std::floor(std::log10(value))); }

double round_down(double value) {
  const double decade = decade_of(value);
  double round = decade;
  for (const double digit : kRoundDigits) {
    if (digit * decade <= value) round = digit * decade;
  }
  return round;
}

double round_up(double value) {
  const double decade = decade_of(value);
  for (const double digit : kRoundDigits) {
    if (digit * decade >= value) return digit * decade;
  }
  return 10.0 * decade;
}

double up_to_two_figures(double value) {
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  return std::ceil(value / step) * step;
}

}  // namespace rimeglow
