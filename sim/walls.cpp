#include "walls.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace rimeglow {
namespace {

// Light is this uncertain about which side of a wall it is on: far below any length that matters,
// far above the rounding of coordinates up to metres.
constexpr double kSeam_mm = 1e-9;
// So far back on its way a wall may lie that rounding took it past.
constexpr double kPast_mm = 1e-6;
// A line that touches a corner crosses both its pieces at one place; whatever rounding says, the
// crossing that is looked for comes first.
constexpr double kAtOnce_mm = 1e-7;
constexpr int kMostInLeaf = 4;
constexpr std::size_t kDeepest = 64;  // halving leaves no tree of ours half as deep

// A finite stand-in where the direction has no part along an axis: what lies within stays within.
double inverse(double part) {
  constexpr double kHuge = 1e300;
  return std::abs(part) > 1.0 / kHuge ? 1.0 / part : kHuge;
}

}  // namespace

struct Walls::Line {
  Vec2 point, direction;
  Vec2 inverse;
  double squared;

  Line(const Vec2& from, const Vec2& along)
      : point(from),
        direction(along),
        inverse(rimeglow::inverse(along.x()), rimeglow::inverse(along.y())),
        squared(along.squaredNorm()) {}

  // Where it first meets a box, if it does so before `limit`; a hair behind it counts as well.
  double entry(const Node& node, double limit) const {
    const Vec2 a = (node.low_mm - point).cwiseProduct(inverse);
    const Vec2 b = (node.high_mm - point).cwiseProduct(inverse);
    const double near = a.cwiseMin(b).maxCoeff();
    const double far = a.cwiseMax(b).minCoeff();
    return near <= far && far >= -kPast_mm && near <= limit ? near : kNever;
  }
};

Walls::Walls(const Outline& outline) : order_(outline.pieces.size()) {
  for (const OutlinePiece& piece : outline.pieces) {
    const Vec2 along = (piece.end_mm - piece.start_mm).normalized();
    walls_.push_back({piece.start_mm, piece.end_mm, piece.centre_mm, piece.radius_mm,
                      right_of(along), piece.begin_mm});
  }
  std::iota(order_.begin(), order_.end(), 0);
  if (!order_.empty()) build(0, static_cast<int>(order_.size()));
}

Walls::Node Walls::node_over(int first, int count) const {
  Node node;
  node.low_mm = Vec2::Constant(kNever);
  node.high_mm = Vec2::Constant(-kNever);
  const auto reach = [&](const Vec2& point) {
    node.low_mm = node.low_mm.cwiseMin(point - Vec2::Constant(kPast_mm));
    node.high_mm = node.high_mm.cwiseMax(point + Vec2::Constant(kPast_mm));
  };
  for (int i = first; i < first + count; ++i) {
    const Wall& wall = walls_[static_cast<std::size_t>(order_[static_cast<std::size_t>(i)])];
    reach(wall.start_mm);
    reach(wall.end_mm);
    if (wall.radius_mm == 0.0) continue;
    // The sagitta bounds what the arc reaches beyond its chord.
    const double half_chord = 0.5 * (wall.end_mm - wall.start_mm).norm();
    const double radius = std::abs(wall.radius_mm);
    const double sagitta =
        radius - std::sqrt(std::max(0.0, radius * radius - half_chord * half_chord));
    const Vec2 apex = 0.5 * (wall.start_mm + wall.end_mm) +
                      (wall.radius_mm > 0.0 ? sagitta : -sagitta) * wall.normal;
    const Vec2 along(-wall.normal.y(), wall.normal.x());
    reach(apex - half_chord * along);
    reach(apex + half_chord * along);
  }
  return node;
}

// Halves the pieces along the longer side of their box; returns the node's place.
int Walls::build(int first, int count) {
  const auto place = nodes_.size();
  nodes_.push_back(node_over(first, count));
  if (count <= kMostInLeaf) {
    nodes_[place].first = first;
    nodes_[place].count = count;
    return static_cast<int>(place);
  }
  const Vec2 size = nodes_[place].high_mm - nodes_[place].low_mm;
  const int axis = size.x() > size.y() ? 0 : 1;
  const int half = count / 2;
  const auto begin = order_.begin() + first;
  std::nth_element(begin, begin + half, begin + count, [&](int a, int b) {
    const Wall& one = walls_[static_cast<std::size_t>(a)];
    const Wall& other = walls_[static_cast<std::size_t>(b)];
    return one.start_mm[axis] + one.end_mm[axis] < other.start_mm[axis] + other.end_mm[axis];
  });
  build(first, half);
  const int second = build(first + half, count - half);
  nodes_[place].first = second;
  nodes_[place].axis = axis;
  return static_cast<int>(place);
}

// Calls meet(distance, crossing, depth) for each crossing of the line with the wall; depth is how
// far the line's point lies inside of this wall's line or circle.
template <class Meet>
void Walls::for_each_crossing(const Wall& wall, const Line& line, const Meet& meet) {
  const Vec2 to_start = wall.start_mm - line.point;
  const Vec2 to_end = wall.end_mm - line.point;
  // On which side of the line the piece's ends lie: neighbours use the very same sums.
  const double start_side = cross(line.direction, to_start);
  const double end_side = cross(line.direction, to_end);
  const bool start_right = start_side <= 0.0;
  const bool end_right = end_side <= 0.0;
  const bool parted = start_right != end_right;
  const Crossing crossing = start_right ? Crossing::outward : Crossing::inward;
  if (wall.radius_mm == 0.0) {
    if (!parted) return;
    const double share = start_side / (start_side - end_side);
    const Vec2 there = to_start + share * (to_end - to_start);
    return meet(there.dot(line.direction) / line.squared, crossing, to_start.dot(wall.normal));
  }
  const Vec2 to_centre = wall.centre_mm - line.point;
  const double aside = cross(line.direction, to_centre);
  const double discriminant = line.squared * wall.radius_mm * wall.radius_mm - aside * aside;
  if (!parted && discriminant <= 0.0) return;
  const double middle = to_centre.dot(line.direction);
  const double root = std::sqrt(std::max(0.0, discriminant));
  const bool convex = wall.radius_mm > 0.0;
  const double depth = (convex ? 1.0 : -1.0) * (std::abs(wall.radius_mm) - to_centre.norm());
  const auto meet_at = [&](Crossing which) {
    // The acrylic is within a convex arc's circle and without a hollow one's.
    const bool later = (which == Crossing::outward) == convex;
    meet((later ? middle + root : middle - root) / line.squared, which, depth);
  };
  if (parted) return meet_at(crossing);
  // Both ends on one side: the line cuts the arc twice or not at all, by where the circle bulges
  // farthest to the other side.
  const Vec2 bulge = (start_right ? 1.0 : -1.0) * Vec2(-line.direction.y(), line.direction.x());
  const double turn = convex ? 1.0 : -1.0;
  if (turn * cross(wall.start_mm - wall.centre_mm, bulge) <= 0.0) return;
  if (turn * cross(bulge, wall.end_mm - wall.centre_mm) <= 0.0) return;
  meet_at(Crossing::outward);
  meet_at(Crossing::inward);
}

// The nearest crossing of either kind. One of the kind wanted counts from a hair behind on; one of
// the other kind not through the wall that the point is on.
Walls::Met Walls::search(const Line& line, Crossing wanted) const {
  Met met;
  const double at_once = kAtOnce_mm / std::sqrt(line.squared);
  double limit = kNever;
  std::array<int, kDeepest> waiting;
  std::size_t count = 0;
  if (!nodes_.empty()) waiting[count++] = 0;
  while (count > 0) {
    const int place = waiting[--count];
    const Node& node = nodes_[static_cast<std::size_t>(place)];
    if (line.entry(node, limit) == kNever) continue;
    if (node.count == 0) {
      const bool upward = line.direction[node.axis] > 0.0;
      waiting[count++] = upward ? node.first : place + 1;
      waiting[count++] = upward ? place + 1 : node.first;
      continue;
    }
    for (int i = node.first; i < node.first + node.count; ++i) {
      const int piece = order_[static_cast<std::size_t>(i)];
      for_each_crossing(walls_[static_cast<std::size_t>(piece)], line,
                        [&](double distance, Crossing crossing, double depth) {
                          const double order = crossing == wanted ? distance : distance + at_once;
                          if (!(order < limit)) return;
                          const double clear = crossing == Crossing::outward ? depth : -depth;
                          const bool counts =
                              crossing == wanted
                                  ? distance >= 0.0 || (distance > -kPast_mm && clear > -kSeam_mm)
                                  : distance > 0.0 && std::abs(depth) > kSeam_mm;
                          if (!counts) return;
                          met = {{distance, piece}, crossing};
                          limit = order;
                        });
    }
  }
  return met;
}

// A point that rounding put outside, at a corner or on a grazing arc, brought back in.
Vec2 Walls::pushed_inside(const Vec2& point_mm) const {
  Vec2 inside = point_mm;
  for (std::size_t i = 0; i < walls_.size(); ++i) {
    const Wall& wall = walls_[i];
    OutlinePiece piece;
    piece.start_mm = wall.start_mm;
    piece.end_mm = wall.end_mm;
    piece.centre_mm = wall.centre_mm;
    piece.radius_mm = wall.radius_mm;
    const Vec2 nearest = nearest_on(piece, point_mm);
    if ((point_mm - nearest).norm() > kPast_mm) continue;
    inside -= 2.0 * kSeam_mm * normal_at(static_cast<int>(i), nearest);
  }
  return inside;
}

Walls::Ahead Walls::way_out(const Vec2& point_mm, const Vec2& direction) const {
  if (direction == Vec2::Zero()) return {};  // straight at a face
  Met met = search(Line(point_mm, direction), Crossing::outward);
  if (met.ahead.piece >= 0 && met.crossing == Crossing::outward) return met.ahead;
  met = search(Line(pushed_inside(point_mm), direction), Crossing::outward);
  if (met.crossing == Crossing::inward) return {};
  return met.ahead;
}

Walls::Ahead Walls::way_in(const Vec2& point_mm, const Vec2& direction) const {
  const Met met = search(Line(point_mm, direction), Crossing::inward);
  if (met.crossing == Crossing::outward) return {};
  return met.ahead;
}

bool Walls::contains(const Vec2& point_mm) const {
  const Met met = search(Line(point_mm, Vec2::UnitX()), Crossing::outward);
  return met.ahead.piece >= 0 && met.crossing == Crossing::outward;
}

std::vector<double> Walls::crossings_mm(double y_mm) const {
  const Line line({0.0, y_mm}, Vec2::UnitX());
  std::vector<double> crossings;
  const auto keep = [&](double x_mm, Crossing, double) { crossings.push_back(x_mm); };
  for (const Wall& wall : walls_) for_each_crossing(wall, line, keep);
  std::sort(crossings.begin(), crossings.end());
  return crossings;
}

Vec2 Walls::normal_at(int piece, const Vec2& point_mm) const {
  const Wall& wall = walls_[static_cast<std::size_t>(piece)];
  if (wall.radius_mm == 0.0) return wall.normal;
  const Vec2 away = (point_mm - wall.centre_mm).normalized();
  return wall.radius_mm > 0.0 ? away : Vec2(-away);
}

double Walls::along_mm(int piece, const Vec2& point_mm) const {
  const Wall& wall = walls_[static_cast<std::size_t>(piece)];
  const Vec2 from_start = point_mm - wall.start_mm;
  if (wall.radius_mm == 0.0) {
    return wall.begin_mm + cross(wall.normal, from_start);
  }
  const Vec2 first = wall.start_mm - wall.centre_mm;
  const Vec2 here = point_mm - wall.centre_mm;
  const double angle = std::atan2(cross(first, here), first.dot(here));
  return wall.begin_mm + wall.radius_mm * angle;
}

}  // namespace rimeglow
