// The path data of SVG (SVG 2, 9.3): letters and numbers become steps in absolute coordinates.
// Knows no element and no unit.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "ray.h"

namespace rimeglow {

struct PathStep {
  enum class Kind { move, line, quadratic, cubic, arc, close };
  Kind kind = Kind::move;
  Vec2 to = Vec2::Zero();
  std::array<Vec2, 2> control = {Vec2::Zero(), Vec2::Zero()};  // of curves: one or two
  Vec2 radii = Vec2::Zero();                                   // of an arc
  double turned_deg = 0.0;                                     // the arc's axes
  bool long_way = false;
  bool clockwise = false;  // as SVG's y down shows it
};

// Throws ArtError at what is no path data: every number must be finite.
std::vector<PathStep> parse_path(std::string_view data);

// Numbers in a list, separated by spaces or commas, as in points and transforms.
std::vector<double> parse_numbers(std::string_view text);

}  // namespace rimeglow
