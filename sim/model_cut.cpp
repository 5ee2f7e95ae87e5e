// Where art ends at the panel's outline: part of model.h.
#include <cmath>

#include "model.h"
#include "units.h"
#include "walls.h"

namespace rimeglow {
namespace {

// The rim without its holes.
Walls rim_of(Outline outline) {
  std::erase_if(outline.pieces, [](const OutlinePiece& piece) { return piece.edge >= kSides; });
  return Walls(outline);
}

Vec2 middle(const Drawing& drawing, int column, int row) {
  return drawing.origin_mm + drawing.pixel_mm * Vec2(column + 0.5, row + 0.5);
}

}  // namespace

bool fits_rim(const Drawing& drawing, const Outline& outline) {
  const Walls rim = rim_of(outline);
  for (int row = 0; row < drawing.rows; ++row) {
    const std::vector<double> crossings = rim.crossings_mm(middle(drawing, 0, row).y());
    std::size_t passed = 0;
    for (int column = 0; column < drawing.columns; ++column) {
      if (drawing.tone[drawing.index(column, row)] == 0) continue;
      const double x_mm = middle(drawing, column, row).x();
      while (passed < crossings.size() && crossings[passed] <= x_mm) ++passed;
      if (passed % 2 == 0) return false;
    }
  }
  return true;
}

std::optional<Drawing> cut_at_holes(const Drawing& drawing, const Outline& outline,
                                    double clear_mm) {
  constexpr int kWays = 8;
  if (outline.holes == 0) return std::nullopt;
  const Walls walls(outline);
  const Walls rim = rim_of(outline);
  const auto in_hole = [&](const Vec2& point) {
    return !walls.contains(point) && rim.contains(point);
  };
  Drawing cut = drawing;
  bool over_hole = false;
  for (int row = 0; row < drawing.rows; ++row) {
    for (int column = 0; column < drawing.columns; ++column) {
      std::uint8_t& tone = cut.tone[cut.index(column, row)];
      if (tone == 0) continue;
      const Vec2 here = middle(drawing, column, row);
      bool reached = in_hole(here);
      for (int way = 0; way < kWays && !reached; ++way) {
        const double turn = 2.0 * kPi * way / kWays;
        reached = in_hole(here + clear_mm * Vec2(std::cos(turn), std::sin(turn)));
      }
      if (!reached) continue;
      tone = 0;
      over_hole = true;
    }
  }
  if (!over_hole) return std::nullopt;
  return cut;
}

}  // namespace rimeglow
