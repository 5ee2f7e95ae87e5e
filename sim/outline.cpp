#include "outline.h"

#include <array>
#include <cmath>

#include "units.h"

namespace rimeglow {
namespace {

double length_of(const OutlinePiece& piece) {
  const double chord = (piece.end_mm - piece.start_mm).norm();
  if (!piece.round()) return chord;
  return 2.0 * piece.radius_mm * std::asin(std::min(1.0, chord / (2.0 * piece.radius_mm)));
}

void append(Outline& outline, OutlinePiece piece) {
  if (!outline.pieces.empty()) {
    piece.begin_mm = outline.pieces.back().begin_mm + outline.pieces.back().length_mm;
  }
  piece.length_mm = length_of(piece);
  outline.edges[static_cast<std::size_t>(piece.edge)].length_mm += piece.length_mm;
  outline.pieces.push_back(piece);
}

Vec2 on_circle(const Vec2& centre, double radius, double angle) {
  return centre + radius * Vec2(std::cos(angle), std::sin(angle));
}

void append_arc(Outline& outline, const Vec2& centre, double radius, double from_rad, double to_rad,
                int edge) {
  OutlinePiece arc;
  arc.start_mm = on_circle(centre, radius, from_rad);
  arc.end_mm = on_circle(centre, radius, to_rad);
  arc.centre_mm = centre;
  arc.radius_mm = radius;
  arc.edge = edge;
  append(outline, arc);
}

}  // namespace

std::optional<int> Outline::edge_named(const std::string& name) const {
  for (std::size_t i = 0; i < edges.size(); ++i) {
    if (edges[i].name == name) return static_cast<int>(i);
  }
  return std::nullopt;
}

Outline rounded_rectangle(double width_mm, double height_mm, double corner_radius_mm) {
  Outline outline;
  outline.size_mm = {width_mm, height_mm};
  for (const char* name : {"bottom", "right", "top", "left"}) outline.edges.push_back({name, 0.0});
  const std::array<Vec2, 4> corners = {Vec2(0.0, 0.0), Vec2(width_mm, 0.0),
                                       Vec2(width_mm, height_mm), Vec2(0.0, height_mm)};
  const double r = corner_radius_mm;
  for (int edge = 0; edge < 4; ++edge) {
    const Vec2 from = corners[static_cast<std::size_t>(edge)];
    const Vec2 to = corners[static_cast<std::size_t>((edge + 1) % 4)];
    const Vec2 along = (to - from).normalized();
    const Vec2 inward(-along.y(), along.x());
    const double outward_rad = std::atan2(-inward.y(), -inward.x());
    const Vec2 first_centre = from + r * (along + inward);
    const Vec2 last_centre = to + r * (inward - along);
    if (r > 0.0) append_arc(outline, first_centre, r, outward_rad - kPi / 4.0, outward_rad, edge);
    OutlinePiece line;
    line.start_mm = from + r * along;
    line.end_mm = to - r * along;
    line.edge = edge;
    append(outline, line);
    if (r > 0.0) append_arc(outline, last_centre, r, outward_rad, outward_rad + kPi / 4.0, edge);
  }
  return outline;
}

std::optional<OutlinePiece> straight_piece(const Outline& outline, int edge) {
  for (const OutlinePiece& piece : outline.pieces) {
    if (piece.edge == edge && !piece.round()) return piece;
  }
  return std::nullopt;
}

// Green's theorem piece by piece; an arc adds its segment beyond the chord.
double area_mm2(const Outline& outline) {
  double twice = 0.0;
  for (const OutlinePiece& piece : outline.pieces) {
    const Vec2& a = piece.start_mm;
    const Vec2& b = piece.end_mm;
    twice += a.x() * b.y() - b.x() * a.y();
    if (!piece.round()) continue;
    const double angle = piece.length_mm / piece.radius_mm;
    twice += piece.radius_mm * piece.radius_mm * (angle - std::sin(angle));
  }
  return 0.5 * twice;
}

bool contains(const Outline& outline, const Vec2& point_mm) {
  // Convex outlines: inside means left of every chord, or within the circle beyond it.
  for (const OutlinePiece& piece : outline.pieces) {
    const Vec2 chord = piece.end_mm - piece.start_mm;
    const Vec2 to_point = point_mm - piece.start_mm;
    const bool left_of_chord = chord.x() * to_point.y() - chord.y() * to_point.x() >= 0.0;
    const bool in_circle = piece.round() && (point_mm - piece.centre_mm).norm() <= piece.radius_mm;
    if (!left_of_chord && !in_circle) return false;
  }
  return true;
}

}  // namespace rimeglow
