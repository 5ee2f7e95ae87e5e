#include "prism.h"

#include <algorithm>

namespace rimeglow {
namespace {

// Pieces overlap by this much at their ends, so that rounding opens no gap between them; far below
// any length that matters and far above the rounding of coordinates up to metres.
constexpr double kSeam_mm = 1e-9;

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

// Which side of the outline's box a straight piece lies on: 0..3 for -x, +x, -y, +y.
std::optional<std::size_t> box_side(const OutlinePiece& piece, const Vec2& size_mm) {
  if (piece.round()) return std::nullopt;
  const auto both = [&](int axis, double at) {
    return piece.start_mm[axis] == at && piece.end_mm[axis] == at;
  };
  if (both(0, 0.0)) return 0;
  if (both(0, size_mm.x())) return 1;
  if (both(1, 0.0)) return 2;
  if (both(1, size_mm.y())) return 3;
  return std::nullopt;
}

}  // namespace

Prism::Prism(const Outline& outline, double thickness_mm, double index, BareFaces bare)
    : size_mm_{outline.size_mm.x(), outline.size_mm.y()},
      thickness_mm_(thickness_mm),
      cos_critical_(std::sqrt(std::max(0.0, 1.0 - 1.0 / (index * index)))),
      bare_{bare.back, bare.front} {
  for (const OutlinePiece& piece : outline.pieces) {
    const Vec2 tangent = (piece.end_mm - piece.start_mm).normalized();
    if (const auto side = box_side(piece, outline.size_mm)) {
      const int along = *side < 2 ? 1 : 0;
      const auto [low, high] = std::minmax(piece.start_mm[along], piece.end_mm[along]);
      box_walls_[*side] = {static_cast<int>(walls_.size()), low, high};
    }
    walls_.push_back({tangent,
                      {tangent.y(), -tangent.x()},
                      piece.start_mm - piece.centre_mm,
                      piece.end_mm - piece.centre_mm,
                      piece});
  }
}

// Way to the piece in units of `direction`, or kNever.
template <Prism::Crossing kCrossing>
double Prism::meet(const Wall& wall, const Vec2& point, const Vec2& direction) const {
  constexpr bool kOutward = kCrossing == Crossing::outward;
  const OutlinePiece& piece = wall.piece;
  if (!piece.round()) {
    const double approach = direction.dot(wall.normal);
    if (kOutward ? approach <= 0.0 : approach >= 0.0) return kNever;
    const Vec2 to_start = piece.start_mm - point;
    const double distance = to_start.dot(wall.normal) / approach;
    const double along = (direction * distance - to_start).dot(wall.tangent);
    return along < -kSeam_mm || along > piece.length_mm + kSeam_mm ? kNever : distance;
  }
  const Vec2 from_centre = point - piece.centre_mm;
  const double a = direction.squaredNorm();
  const double b = from_centre.dot(direction);
  const double c = from_centre.squaredNorm() - piece.radius_mm * piece.radius_mm;
  const double discriminant = b * b - a * c;
  if (discriminant <= 0.0) return kNever;
  const double root = std::sqrt(discriminant);
  const double distance = (kOutward ? root - b : -root - b) / a;
  const Vec2 there = from_centre + direction * distance;
  const double seam = kSeam_mm * piece.radius_mm;
  const bool within =
      cross(wall.from_centre, there) >= -seam && cross(there, wall.to_centre) >= -seam;
  return within ? distance : kNever;
}

template <Prism::Crossing kCrossing>
Prism::WallAhead Prism::search(const Vec2& point, const Vec2& direction) const {
  WallAhead nearest;
  for (std::size_t i = 0; i < walls_.size(); ++i) {
    const double distance = meet<kCrossing>(walls_[i], point, direction);
    if (distance > -kSeam_mm && distance < nearest.distance_mm) {
      nearest = {distance, static_cast<int>(i)};
    }
  }
  return nearest;
}

template Prism::WallAhead Prism::search<Prism::Crossing::outward>(const Vec2&, const Vec2&) const;

Prism::WallAhead Prism::wall_outside(const Vec3& point, const Vec3& direction) const {
  // The side of the box by which the ray comes in is the last that it passes.
  double latest = -kNever;
  int axis = 0;
  for (const int k : {0, 1}) {
    const double side = direction[k] > 0.0 ? 0.0 : size_mm_[static_cast<std::size_t>(k)];
    const double distance = direction[k] == 0.0 ? -kNever : (side - point[k]) / direction[k];
    if (distance > latest) {
      latest = distance;
      axis = k;
    }
  }
  if (latest >= 0.0) {
    const auto through = through_box_wall(axis, direction[axis] < 0.0, latest, point, direction);
    if (through) return *through;
  }
  return search<Crossing::inward>(point.head<2>(), direction.head<2>());
}

std::optional<Hit> Prism::meet_from_outside(const Ray& ray) const {
  const WallAhead ahead = wall_outside(ray.origin_mm, ray.direction);
  if (ahead.wall < 0) return std::nullopt;
  const Vec3 position = ray.origin_mm + ahead.distance_mm * ray.direction;
  if (position.z() < 0.0 || position.z() > thickness_mm_) return std::nullopt;
  return wall_hit(ahead, position);
}

double Prism::along_mm(const Hit& hit) const {
  const Wall& wall = walls_[static_cast<std::size_t>(hit.piece)];
  const Vec2 point = hit.position_mm.head<2>();
  if (!wall.piece.round()) {
    return wall.piece.begin_mm + (point - wall.piece.start_mm).dot(wall.tangent);
  }
  const Vec2 from_centre = point - wall.piece.centre_mm;
  const double angle =
      std::atan2(cross(wall.from_centre, from_centre), wall.from_centre.dot(from_centre));
  return wall.piece.begin_mm + wall.piece.radius_mm * angle;
}

}  // namespace rimeglow
