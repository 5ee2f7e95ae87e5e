#include "screen.h"

#include <algorithm>
#include <cmath>

namespace rimeglow {
namespace {

// Thin strokes are taken to be so wide, as hairlines are.
constexpr int kStrokePx = 3;

// At whole multiples of 1/kScreenSide, for which columns and rows repeat with the tile.
bool fires(const Mask& mask, Pattern pattern, int column, int row, int step) {
  if (pattern == Pattern::mask) return mask.threshold(column, row) * kScreenSide < step;
  const int along = (pattern == Pattern::columns ? column : row) + kScreenSide * kScreenSide;
  const int across = pattern == Pattern::columns ? row : column;
  const bool in_stroke = across >= 0 && across < kStrokePx;
  return in_stroke && (along + 1) * step / kScreenSide > along * step / kScreenSide;
}

}  // namespace

DotGrowth::DotGrowth(std::vector<double> burnt) : burnt_(std::move(burnt)) {
  for (std::size_t i = 1; i < burnt_.size(); ++i) burnt_[i] = std::max(burnt_[i], burnt_[i - 1]);
}

double DotGrowth::burnt(double fired) const {
  const double steps = static_cast<double>(burnt_.size() - 1);
  const double at = std::clamp(fired, 0.0, 1.0) * steps;
  const auto below = static_cast<std::size_t>(std::min(std::floor(at), steps - 1.0));
  const double part = at - static_cast<double>(below);
  return burnt_[below] + part * (burnt_[below + 1] - burnt_[below]);
}

double DotGrowth::fired(double burnt) const {
  if (burnt >= most()) return 1.0;
  const auto above = std::upper_bound(burnt_.begin(), burnt_.end(), std::max(burnt, 0.0));
  const auto below = static_cast<std::size_t>(above - burnt_.begin()) - 1;
  const double part = (burnt - burnt_[below]) / (burnt_[below + 1] - burnt_[below]);
  return (static_cast<double>(below) + std::max(part, 0.0)) /
         static_cast<double>(burnt_.size() - 1);
}

// One tile with as much of its neighbours as the spot reaches, at every step of fired pixels. Of a
// stroke, all that is burnt along the tile.
DotGrowth dot_growth(const Mask& mask, Pattern pattern, const Beam& beam, double pixel_mm) {
  const int margin = static_cast<int>(std::ceil(beam.spot_mm / pixel_mm)) + 1;
  const int side = kScreenSide + 2 * margin;
  Drawing patch{side, side, pixel_mm, Vec2::Constant(-margin * pixel_mm), {}};
  const Vec2 tile_mm = Vec2::Constant(kScreenSide * pixel_mm);
  const Vec2 beside_mm =
      margin * pixel_mm *
      Vec2(pattern == Pattern::rows ? 1.0 : 0.0, pattern == Pattern::columns ? 1.0 : 0.0);
  std::vector<double> burnt = {0.0};
  for (int step = 1; step <= kScreenSide; ++step) {
    patch.tone.clear();
    for (int row = -margin; row < side - margin; ++row)
      for (int column = -margin; column < side - margin; ++column)
        patch.tone.push_back(fires(mask, pattern, column, row, step) ? kOn : kOff);
    const double area_mm2 = burn(patch, beam).burnt_area_mm2(-beside_mm, tile_mm + beside_mm);
    burnt.push_back(area_mm2 / tile_mm.prod());
  }
  return DotGrowth(std::move(burnt));
}

Screen screen_of(const Beam& beam, double pixel_mm) {
  // Of the distances between the dots of a screen that burns half of what it can: our choice. A
  // stroke of fewer shows them singly.
  constexpr double kDotsAcross = 3.0;
  const Mask mask;
  const DotGrowth area = dot_growth(mask, Pattern::mask, beam, pixel_mm);
  const double apart_px = 1.0 / std::sqrt(area.fired(0.5 * area.most()));
  return {mask,
          beam,
          pixel_mm,
          area,
          dot_growth(mask, Pattern::columns, beam, pixel_mm),
          dot_growth(mask, Pattern::rows, beam, pixel_mm),
          static_cast<int>(std::ceil(kDotsAcross * apart_px))};
}

}  // namespace rimeglow
