#include "words.h"

#include <algorithm>
#include <cmath>

#include "quantity.h"

namespace rimeglow {

namespace {

constexpr double kSmallestSpokenShare = 0.001;
constexpr double kWholePercentFrom = 0.0995;

}  // namespace

std::string fixed(double value, int decimals) {
  if (!std::isfinite(value)) return "?";
  const std::string number = decimal_text(value, decimals);
  const bool nothing = number.find_first_not_of("-0.") == std::string::npos;
  return nothing && number.front() == '-' ? number.substr(1) : number;
}

std::string spoken(double value) {
  if (!std::isfinite(value)) return "?";
  if (value == 0.0) return "0";
  const double size = std::abs(value);
  const int last_digit = static_cast<int>(std::floor(std::log10(size))) - (size < 100.0 ? 1 : 2);
  const double step = std::pow(10.0, last_digit);
  return without_trailing_zeros(fixed(std::round(value / step) * step, std::max(0, -last_digit)));
}

std::string with_error(const Estimate& estimate) {
  const double error = std::abs(estimate.standard_error);
  if (!std::isfinite(estimate.mean) || !std::isfinite(error)) return "?";
  if (error == 0.0) return spoken(estimate.mean);
  constexpr double kRoundsToTen = 9.5;
  int last_digit = static_cast<int>(std::floor(std::log10(error)));
  if (error >= kRoundsToTen * std::pow(10.0, last_digit)) ++last_digit;
  const double step = std::pow(10.0, last_digit);
  const auto shown = [&](double value) {
    return fixed(std::round(value / step) * step, std::max(0, -last_digit));
  };
  return shown(estimate.mean) + " \u00b1 " + shown(error);
}

std::string percent(double share) {
  if (!std::isfinite(share)) return "? %";
  const double size = std::abs(share);
  if (size > 0.0 && size < kSmallestSpokenShare) return "under 0.1 %";
  return without_trailing_zeros(fixed(100.0 * share, size < kWholePercentFrom ? 1 : 0)) + " %";
}

std::string good_to(const Estimate& estimate) {
  if (!(std::abs(estimate.mean) > 0.0)) return "not known yet";
  return "good to " + percent(estimate.standard_error / std::abs(estimate.mean));
}

std::string size_in_words(const Vec2& mm) {
  return fixed(mm.x(), 1) + " x " + fixed(mm.y(), 1) + " mm";
}

std::string counted(std::size_t count, const std::string& thing) {
  return std::to_string(count) + " " + thing + (count == 1 ? "" : "s");
}

std::string capitalised(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  }
  return text;
}

std::string listed(const std::vector<std::string>& parts) {
  std::string text;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) text += i + 1 == parts.size() ? " and " : ", ";
    text += parts[i];
  }
  return text;
}

}  // namespace rimeglow
