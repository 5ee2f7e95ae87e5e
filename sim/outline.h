// The outline of a panel: straight and round pieces in order, counter-clockwise seen from the
// front, each belonging to a named edge. Pure plane geometry; knows no light.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ray.h"

namespace rimeglow {

// A straight piece (radius 0) from `start` to `end`, or an arc of a circle about `centre` turning
// left (convex, radius > 0) from `start` to `end`.
struct OutlinePiece {
  Vec2 start_mm = Vec2::Zero();
  Vec2 end_mm = Vec2::Zero();
  Vec2 centre_mm = Vec2::Zero();
  double radius_mm = 0.0;
  int edge = 0;           // index into Outline::edges
  double begin_mm = 0.0;  // distance along the outline at `start`
  double length_mm = 0.0;

  bool round() const { return radius_mm > 0.0; }
};

struct OutlineEdge {
  std::string name;        // "bottom", "right", "top", "left"
  double length_mm = 0.0;  // corner arcs included, half each side
};

struct Outline {
  std::vector<OutlinePiece> pieces;
  std::vector<OutlineEdge> edges;
  Vec2 size_mm = Vec2::Zero();  // of its box, whose lower left is the origin

  std::optional<int> edge_named(const std::string& name) const;
};

// A rectangle with rounded corners, its four edges named bottom, right, top, left. Each corner arc
// is split in the middle between the two edges it joins.
Outline rounded_rectangle(double width_mm, double height_mm, double corner_radius_mm);

// The straight piece of an edge, where a row of LEDs can stand; none for a round edge.
std::optional<OutlinePiece> straight_piece(const Outline& outline, int edge);

double area_mm2(const Outline& outline);

bool contains(const Outline& outline, const Vec2& point_mm);

}  // namespace rimeglow
