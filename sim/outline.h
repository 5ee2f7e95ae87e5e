// The outline of a panel: straight and round pieces in closed rounds, the acrylic to the left of
// the way: the rim counter-clockwise seen from the front, then holes clockwise. Each piece belongs
// to a named edge. Pure plane geometry; knows no light.
#pragma once

#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ray.h"

namespace rimeglow {

// A straight piece (radius 0) from `start` to `end`, or an arc of less than half a circle about
// `centre`: turning left where the outline is convex (radius > 0), right where it is hollow
// (radius < 0).
struct OutlinePiece {
  Vec2 start_mm = Vec2::Zero();
  Vec2 end_mm = Vec2::Zero();
  Vec2 centre_mm = Vec2::Zero();
  double radius_mm = 0.0;
  int edge = 0;           // index into Outline::edges
  bool of_curve = false;  // stands for a bit of a curve that is neither straight nor round
  double begin_mm = 0.0;  // distance along the outline at `start`
  double length_mm = 0.0;

  bool round() const { return radius_mm != 0.0; }
};

// A flat cut along an edge, where it meets a face: so far back on the face, so deep into the sheet.
struct Chamfer {
  int of = 0;  // the edge
  Side face = Side::front;
  double setback_mm = 0.0;
  double depth_mm = 0.0;

  double width_mm() const { return std::hypot(setback_mm, depth_mm); }
  // Out of the acrylic, beside a wall whose outward normal this is.
  Vec3 normal(const Vec3& wall) const {
    const double up = face == Side::front ? 1.0 : -1.0;
    return Vec3(depth_mm * wall + up * setback_mm * Vec3::UnitZ()) / width_mm();
  }
};

struct OutlineEdge {
  std::string name;                  // "bottom", "right", "top", "left", "holes", or a chamfer's
  double length_mm = 0.0;            // arcs included
  std::optional<std::size_t> seat;   // the piece where a row of LEDs can stand
  std::optional<Chamfer> chamfer{};  // light meets it as an edge of its own; no piece belongs to it
};

// The four edges that every outline has, in this order; holes are one more.
inline constexpr int kSides = 4;

struct Outline {
  std::vector<OutlinePiece> pieces;
  std::vector<OutlineEdge> edges;
  Vec2 size_mm = Vec2::Zero();  // of its box, whose lower left is the origin
  int holes = 0;

  std::optional<int> edge_named(const std::string& name) const;
  // The chamfer of an edge at a face, an edge itself; none where the edge is square there.
  std::optional<int> chamfer_of(int edge, Side face) const;
  bool chamfered() const { return !edges.empty() && edges.back().chamfer.has_value(); }
};

// Which of the four edges a piece belongs to: the nearest to its outward normal, and where two are
// as near, bottom or top. `side_normal` is the other way round.
int side_facing(const Vec2& outward);
Vec2 side_normal(int side);

// From a piece's ends and radius.
double length_of(const OutlinePiece& piece);

// No pieces yet, and the four edges.
Outline empty_outline(const Vec2& size_mm);
// Adds a piece behind the others: its length, its place along the outline, and whether it is now
// the seat of its edge, which is the straight piece farthest out, of those as far the longest.
void append(Outline& outline, OutlinePiece piece);

// Behind all other edges; so it has its own finish, light and name: "top front chamfer".
void add_chamfer(Outline& outline, const Chamfer& chamfer);
// What an edge of this name is called: "top edge", "holes", "top front chamfer".
std::string edge_words(const std::string& name);

// A rectangle with rounded corners. Each corner arc is split in the middle between the two edges it
// joins.
Outline rounded_rectangle(double width_mm, double height_mm, double corner_radius_mm);

// The seat of an edge; none on a round edge, nor in holes.
std::optional<OutlinePiece> straight_piece(const Outline& outline, int edge);

// Out of the acrylic at the seat of an edge, or at the chamfer beside it.
std::optional<Vec3> seat_normal(const Outline& outline, int edge);

// Whether a piece faces as the seat of its edge does: such pieces look alike to an eye far away.
bool faces_as_seat(const Outline& outline, const OutlinePiece& piece);

// Direction of travel at a piece's ends, and the point at a share of its length.
Vec2 heading_at_start(const OutlinePiece& piece);
Vec2 heading_at_end(const OutlinePiece& piece);
Vec2 point_on(const OutlinePiece& piece, double share);

Vec2 nearest_on(const OutlinePiece& piece, const Vec2& point_mm);

// Up to two points where the lines or circles that two pieces lie on meet.
std::vector<Vec2> crossings(const OutlinePiece& a, const OutlinePiece& b);

// Inside, to the left of the way round; below 0 when it goes round clockwise.
double area_mm2(std::span<const OutlinePiece> pieces);
double area_mm2(const Outline& outline);

// Whether no line between two points inside leaves it.
bool is_convex(const Outline& outline);

// Looks at every piece: for many points see Walls.
bool contains(std::span<const OutlinePiece> pieces, const Vec2& point_mm);
bool contains(const Outline& outline, const Vec2& point_mm);

}  // namespace rimeglow
