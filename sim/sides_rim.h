// The corners at which the sides of a panel turn, at its walls and at its faces: part of sides.
#pragma once

#include <array>
#include <vector>

#include "outline.h"

namespace rimeglow {

inline constexpr std::array<std::size_t, 2> kBothFaces = {0, 1};  // the back, the front

// What a chamfer takes at one place of the outline.
struct Cut {
  double setback_mm = 0.0;
  double depth_mm = 0.0;
};

// A closed line of the outline: its pieces' numbers, in their order.
using Round = std::vector<int>;

// One side of a corner of the outline, or of a point on a curve.
struct Flank {
  Vec2 normal = Vec2::Zero();
  std::array<Cut, 2> cuts;                    // at the back and at the front
  std::array<std::vector<Vec3>, 2> walls;     // where the wall ends, from its middle to the face
  std::array<std::vector<Vec3>, 2> chamfers;  // where the chamfer ends, from the wall to the face
};

struct Corner {
  Vec2 point_mm;
  Flank before, after;
};

// A stretch of a piece between two corners.
struct Stretch {
  int piece;
  std::array<int, 2> chamfers;  // that it belongs to, at the back and at the front
  const Corner* from;
  const Corner* to;
};

// All corners along a round and what lies between them.
struct Rim {
  std::vector<Corner> corners;
  std::vector<Stretch> stretches;  // from each corner to the next
};

std::vector<Round> rounds_of(const Outline& outline);

Rim rim_along(const Outline& outline, const Round& round, double thickness_mm, double sagitta_mm,
              double beyond_mm);

inline const OutlinePiece& piece_at(const Outline& outline, int number) {
  return outline.pieces[static_cast<std::size_t>(number)];
}

inline bool is_curve(const OutlinePiece& piece) { return piece.round() || piece.of_curve; }

}  // namespace rimeglow
