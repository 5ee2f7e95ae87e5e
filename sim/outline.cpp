#include "outline.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "units.h"

namespace rimeglow {
namespace {

// Shorter than any LED, and longer than what rounding leaves of a line between two arcs.
constexpr double kShortestSeat_mm = 1e-6;
// Straight pieces as far out as one another, but for rounding.
constexpr double kAsFarOut_mm = 1e-6;

void seat(Outline& outline, const OutlinePiece& piece) {
  if (piece.round() || piece.of_curve || piece.edge >= kSides) return;
  if (piece.length_mm < kShortestSeat_mm) return;
  std::optional<std::size_t>& taken = outline.edges[static_cast<std::size_t>(piece.edge)].seat;
  const auto far_out = [&](const OutlinePiece& other) {
    return 0.5 * side_normal(piece.edge).dot(other.start_mm + other.end_mm);
  };
  if (taken) {
    const OutlinePiece& other = outline.pieces[*taken];
    const double farther = far_out(piece) - far_out(other);
    if (farther < -kAsFarOut_mm) return;
    if (farther < kAsFarOut_mm && piece.length_mm <= other.length_mm) return;
  }
  taken = outline.pieces.size();
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

// Neighbours end and begin at the very same point, the straight ones' own.
void join_ends(std::vector<OutlinePiece>& pieces) {
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    OutlinePiece& next = pieces[(i + 1) % pieces.size()];
    if (pieces[i].round() && !next.round()) {
      pieces[i].end_mm = next.start_mm;
    } else {
      next.start_mm = pieces[i].end_mm;
    }
  }
}

// Forward along the outline, from a point's place on the piece.
Vec2 heading(const OutlinePiece& piece, const Vec2& point) {
  if (!piece.round()) return (piece.end_mm - piece.start_mm).normalized();
  const Vec2 from_centre = point - piece.centre_mm;
  return Vec2(-from_centre.y(), from_centre.x()) / piece.radius_mm;
}

// Whether a point lies between an arc and its chord.
bool within_segment(const OutlinePiece& arc, const Vec2& point) {
  const double side = cross(arc.end_mm - arc.start_mm, point - arc.start_mm);
  return side * arc.radius_mm < 0.0 &&
         (point - arc.centre_mm).squaredNorm() < arc.radius_mm * arc.radius_mm;
}

}  // namespace

std::optional<int> Outline::edge_named(const std::string& name) const {
  for (std::size_t i = 0; i < edges.size(); ++i) {
    if (edges[i].name == name) return static_cast<int>(i);
  }
  return std::nullopt;
}

std::optional<int> Outline::chamfer_of(int edge, Side face) const {
  for (std::size_t e = 0; e < edges.size(); ++e) {
    const auto& chamfer = edges[e].chamfer;
    if (chamfer && chamfer->of == edge && chamfer->face == face) return static_cast<int>(e);
  }
  return std::nullopt;
}

int side_facing(const Vec2& outward) {
  constexpr double kRounding = 1e-9;
  if (std::abs(outward.x()) > std::abs(outward.y()) + kRounding) return outward.x() > 0.0 ? 1 : 3;
  return outward.y() > 0.0 ? 2 : 0;
}

Vec2 side_normal(int side) {
  const double out = side == 1 || side == 2 ? 1.0 : -1.0;
  return side % 2 == 0 ? Vec2(0.0, out) : Vec2(out, 0.0);
}

double length_of(const OutlinePiece& piece) {
  const double chord = (piece.end_mm - piece.start_mm).norm();
  if (!piece.round()) return chord;
  const double diameter = 2.0 * std::abs(piece.radius_mm);
  return diameter * std::asin(std::min(1.0, chord / diameter));
}

Outline empty_outline(const Vec2& size_mm) {
  Outline outline;
  outline.size_mm = size_mm;
  for (const char* name : {"bottom", "right", "top", "left"})
    outline.edges.push_back({name, 0.0, {}});
  return outline;
}

void append(Outline& outline, OutlinePiece piece) {
  if (!outline.pieces.empty()) {
    piece.begin_mm = outline.pieces.back().begin_mm + outline.pieces.back().length_mm;
  }
  piece.length_mm = length_of(piece);
  outline.edges[static_cast<std::size_t>(piece.edge)].length_mm += piece.length_mm;
  seat(outline, piece);
  outline.pieces.push_back(piece);
}

void add_chamfer(Outline& outline, const Chamfer& chamfer) {
  OutlineEdge edge = outline.edges[static_cast<std::size_t>(chamfer.of)];
  edge.name += chamfer.face == Side::front ? " front chamfer" : " back chamfer";
  edge.chamfer = chamfer;
  outline.edges.push_back(edge);
}

std::string edge_words(const std::string& name) {
  const bool itself = name == "holes" || name.find("chamfer") != std::string::npos;
  return itself ? name : name + " edge";
}

Outline rounded_rectangle(double width_mm, double height_mm, double corner_radius_mm) {
  Outline outline = empty_outline({width_mm, height_mm});
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
  join_ends(outline.pieces);
  return outline;
}

std::optional<OutlinePiece> straight_piece(const Outline& outline, int edge) {
  const auto seat = outline.edges[static_cast<std::size_t>(edge)].seat;
  if (!seat) return std::nullopt;
  return outline.pieces[*seat];
}

std::optional<Vec3> seat_normal(const Outline& outline, int edge) {
  const auto line = straight_piece(outline, edge);
  if (!line) return std::nullopt;
  const Vec2 along = (line->end_mm - line->start_mm).normalized();
  const Vec3 level(along.y(), -along.x(), 0.0);
  const auto& chamfer = outline.edges[static_cast<std::size_t>(edge)].chamfer;
  return chamfer ? chamfer->normal(level) : level;
}

bool faces_as_seat(const Outline& outline, const OutlinePiece& piece) {
  constexpr double kSameWay = 1.0 - 1e-9;
  const auto seat = straight_piece(outline, piece.edge);
  return seat && !piece.round() && heading_at_start(*seat).dot(heading_at_start(piece)) > kSameWay;
}

Vec2 heading_at_start(const OutlinePiece& piece) { return heading(piece, piece.start_mm); }

Vec2 heading_at_end(const OutlinePiece& piece) { return heading(piece, piece.end_mm); }

Vec2 point_on(const OutlinePiece& piece, double share) {
  if (!piece.round()) return piece.start_mm + share * (piece.end_mm - piece.start_mm);
  const double turn = share * piece.length_mm / piece.radius_mm;
  return piece.centre_mm + Eigen::Rotation2Dd(turn) * (piece.start_mm - piece.centre_mm);
}

Vec2 nearest_on(const OutlinePiece& piece, const Vec2& point_mm) {
  if (piece.round()) {
    const Vec2 from_centre = point_mm - piece.centre_mm;
    if (from_centre == Vec2::Zero()) return piece.start_mm;  // all are as near
    const Vec2 on_circle = piece.centre_mm + std::abs(piece.radius_mm) * from_centre.normalized();
    const double turn = piece.radius_mm > 0.0 ? 1.0 : -1.0;
    const bool past_start = turn * cross(piece.start_mm - piece.centre_mm, from_centre) >= 0.0;
    const bool before_end = turn * cross(from_centre, piece.end_mm - piece.centre_mm) >= 0.0;
    if (past_start && before_end) return on_circle;
    const bool start_nearer =
        (point_mm - piece.start_mm).squaredNorm() < (point_mm - piece.end_mm).squaredNorm();
    return start_nearer ? piece.start_mm : piece.end_mm;
  }
  const Vec2 chord = piece.end_mm - piece.start_mm;
  const double squared = chord.squaredNorm();
  if (squared == 0.0) return piece.start_mm;
  return piece.start_mm +
         std::clamp(chord.dot(point_mm - piece.start_mm) / squared, 0.0, 1.0) * chord;
}

std::vector<Vec2> crossings(const OutlinePiece& a, const OutlinePiece& b) {
  if (a.round() && !b.round()) return crossings(b, a);
  const Vec2 along = a.end_mm - a.start_mm;
  if (!b.round()) {
    const Vec2 other = b.end_mm - b.start_mm;
    const double turn = cross(along, other);
    if (turn == 0.0) return {};
    return {a.start_mm + cross(b.start_mm - a.start_mm, other) / turn * along};
  }
  if (!a.round()) {
    const Vec2 direction = along.normalized();
    const Vec2 to_centre = b.centre_mm - a.start_mm;
    const double aside = cross(direction, to_centre);
    const double squared = b.radius_mm * b.radius_mm - aside * aside;
    if (squared < 0.0) return {};
    const Vec2 middle = a.start_mm + to_centre.dot(direction) * direction;
    return {middle - std::sqrt(squared) * direction, middle + std::sqrt(squared) * direction};
  }
  const Vec2 between = b.centre_mm - a.centre_mm;
  const double apart = between.norm();
  constexpr double kSame_mm = 1e-7;
  if (apart < kSame_mm && std::abs(std::abs(a.radius_mm) - std::abs(b.radius_mm)) < kSame_mm) {
    return {};  // one circle
  }
  const Vec2 toward = between / apart;
  const double to_chord =
      0.5 * (apart + (a.radius_mm * a.radius_mm - b.radius_mm * b.radius_mm) / apart);
  const double squared = a.radius_mm * a.radius_mm - to_chord * to_chord;
  if (squared < 0.0) return {};
  const Vec2 middle = a.centre_mm + to_chord * toward;
  const Vec2 side = std::sqrt(squared) * Vec2(-toward.y(), toward.x());
  return {middle - side, middle + side};
}

// Green's theorem piece by piece; an arc adds, or takes, its segment beyond the chord.
double area_mm2(std::span<const OutlinePiece> pieces) {
  double twice = 0.0;
  for (const OutlinePiece& piece : pieces) {
    twice += cross(piece.start_mm, piece.end_mm);
    if (!piece.round()) continue;
    const double angle = piece.length_mm / piece.radius_mm;
    twice += piece.radius_mm * piece.radius_mm * (angle - std::sin(angle));
  }
  return 0.5 * twice;
}

double area_mm2(const Outline& outline) { return area_mm2(std::span(outline.pieces)); }

bool is_convex(const Outline& outline) {
  constexpr double kRounding = 1e-9;
  if (outline.holes > 0) return false;
  std::vector<const OutlinePiece*> pieces;
  for (const OutlinePiece& piece : outline.pieces) {
    if (piece.radius_mm < 0.0) return false;
    if (piece.length_mm > 0.0) pieces.push_back(&piece);
  }
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    const OutlinePiece& next = *pieces[(i + 1) % pieces.size()];
    if (cross(heading_at_end(*pieces[i]), heading_at_start(next)) < -kRounding) return false;
  }
  return true;
}

// Chords that a line to the right crosses, an odd number of them inside; and with each segment
// between an arc and its chord, the other way round.
bool contains(std::span<const OutlinePiece> pieces, const Vec2& point_mm) {
  bool inside = false;
  for (const OutlinePiece& piece : pieces) {
    const bool from_above = piece.start_mm.y() > point_mm.y();
    const bool to_above = piece.end_mm.y() > point_mm.y();
    const double side = cross(piece.end_mm - piece.start_mm, point_mm - piece.start_mm);
    if (from_above != to_above && (side > 0.0) == to_above) inside = !inside;
    if (piece.round() && within_segment(piece, point_mm)) inside = !inside;
  }
  return inside;
}

bool contains(const Outline& outline, const Vec2& point_mm) {
  return contains(std::span(outline.pieces), point_mm);
}

}  // namespace rimeglow
