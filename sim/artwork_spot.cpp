#include "artwork_spot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "units.h"

namespace rimeglow {
namespace {

// A height within a pixel, 0 its lower edge and 1 its upper, and its weight in the pixel's area.
struct Height {
  double at, weight;
};

// Along one height the burnt stretch of a pixel is exact; over the heights it is a sum. With 40 of
// them the largest error of any pixel was 0.001 against 2000 (random screens of 5, 30 and 60 %
// fired pixels, spots of 0.5 to 5 pixels; the mean error was below 0.0001).
constexpr double kHeightsPerRow = 40.0;
constexpr int kFewestHeights = 4;

// Midpoint rule in t of height = lower + length (1 - cos(pi t)) / 2 between two heights where the
// spot ends: its outline is level there, which makes the integrand steep, and this substitution
// takes that away.
std::vector<Height> heights_between(double lower, double upper) {
  const double length = upper - lower;
  if (length <= 0.0) return {};
  const int count = std::max(kFewestHeights, static_cast<int>(std::ceil(kHeightsPerRow * length)));
  const double step = kPi / count;
  // The sines at the midpoints add up to 1 / sin(step / 2); the weights shall add up to `length`.
  const double scale = length * std::sin(0.5 * step);
  std::vector<Height> heights;
  for (int i = 0; i < count; ++i) {
    const double angle = (i + 0.5) * step;
    heights.push_back({lower + 0.5 * length * (1.0 - std::cos(angle)), scale * std::sin(angle)});
  }
  return heights;
}

double fraction(double x) { return x - std::floor(x); }

// The spot ends at the same two heights within a pixel, whichever line it burns on.
std::vector<Height> heights_of(double radius_px) {
  const double top = fraction(0.5 + radius_px);
  const double bottom = fraction(0.5 - radius_px);
  const std::array<double, 4> breaks = {0.0, std::min(top, bottom), std::max(top, bottom), 1.0};
  std::vector<Height> heights;
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i)
    for (const Height& height : heights_between(breaks[i], breaks[i + 1]))
      heights.push_back(height);
  return heights;
}

// Half the chord of the disc at a height above its centre.
double half_chord(double radius, double height) {
  const double squared = radius * radius - height * height;
  return squared > 0.0 ? std::sqrt(squared) : -std::numeric_limits<double>::infinity();
}

}  // namespace

MovingSpot::MovingSpot(double diameter_px)
    : radius_px_(0.5 * diameter_px),
      margin_(static_cast<int>(std::ceil(radius_px_))),
      lines_each_side_(std::max(0, static_cast<int>(std::ceil(radius_px_ + 0.5)) - 1)) {
  const std::vector<Height> heights = heights_of(radius_px_);
  for (const Height& height : heights) weights_.push_back(height.weight);
  for (int line = -lines_each_side_; line <= lines_each_side_; ++line) {
    Line& made = lines_.emplace_back();
    for (const Height& height : heights)
      made.reach.push_back(half_chord(radius_px_, height.at - (line + 0.5)));
    made.least = *std::min_element(made.reach.begin(), made.reach.end());
  }
}

double MovingSpot::share(std::span<const Gaps> lines) const {
  // One line alone may burn the whole pixel, which is common and quickly told.
  for (std::size_t k = 0; k < lines.size(); ++k)
    if (lines_[k].least - std::min(lines[k].left, lines[k].right) >= 1.0) return 1.0;
  // At each height: how far the spot burns into the pixel from its left and from its right edge.
  std::vector<double> from_left(weights_.size(), 0.0);
  std::vector<double> from_right(weights_.size(), 0.0);
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const std::vector<double>& reach = lines_[k].reach;
    for (std::size_t i = 0; i < reach.size(); ++i) {
      from_left[i] = std::max(from_left[i], reach[i] - lines[k].left);
      from_right[i] = std::max(from_right[i], reach[i] - lines[k].right);
    }
  }
  double burnt = 0.0;
  for (std::size_t i = 0; i < weights_.size(); ++i)
    burnt += weights_[i] * std::min(1.0, from_left[i] + from_right[i]);
  return std::clamp(burnt, 0.0, 1.0);
}

}  // namespace rimeglow
