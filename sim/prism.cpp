#include "prism.h"

#include <algorithm>

namespace rimeglow {
namespace {

// Pieces overlap by this much at their ends, so that rounding opens no gap between them; far below
// any length that matters and far above the rounding of coordinates up to metres.
constexpr double kSeam_mm = 1e-9;

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

Vec2 plane(const Vec3& v) { return {v.x(), v.y()}; }

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
    : size_mm_(outline.size_mm),
      thickness_mm_(thickness_mm),
      cos_critical_(std::sqrt(std::max(0.0, 1.0 - 1.0 / (index * index)))),
      bare_{bare.back, bare.front} {
  box_walls_.fill(-1);
  for (const OutlinePiece& piece : outline.pieces) {
    const Vec2 tangent = (piece.end_mm - piece.start_mm).normalized();
    if (const auto side = box_side(piece, size_mm_)) {
      box_walls_[*side] = static_cast<int>(walls_.size());
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
Prism::WallAhead Prism::any_wall_ahead(const Vec2& point, const Vec2& direction) const {
  WallAhead nearest;
  for (std::size_t i = 0; i < walls_.size(); ++i) {
    const double distance = meet<kCrossing>(walls_[i], point, direction);
    if (distance > -kSeam_mm && distance < nearest.distance_mm) {
      nearest = {distance, static_cast<int>(i)};
    }
  }
  return nearest;
}

// A ray that leaves the outline's box through a straight piece on it has met nothing before: most
// rays need no search.
Prism::WallAhead Prism::wall_ahead(const Vec2& point, const Vec2& direction) const {
  const bool right = direction.x() > 0.0;
  const bool up = direction.y() > 0.0;
  const double to_x = ((right ? size_mm_.x() : 0.0) - point.x()) / direction.x();
  const double to_y = ((up ? size_mm_.y() : 0.0) - point.y()) / direction.y();
  const bool through_x = to_x < to_y;
  const int wall = box_walls_[through_x ? (right ? 1 : 0) : (up ? 3 : 2)];
  if (wall >= 0) {
    const double distance = through_x ? to_x : to_y;
    const int axis = through_x ? 1 : 0;
    const double there = point[axis] + distance * direction[axis];
    const OutlinePiece& piece = walls_[static_cast<std::size_t>(wall)].piece;
    const auto [low, high] = std::minmax(piece.start_mm[axis], piece.end_mm[axis]);
    if (there >= low && there <= high) return {distance, wall};
  }
  return any_wall_ahead<Crossing::outward>(point, direction);
}

Hit Prism::wall_hit(int wall, double distance_mm, const Vec3& position) const {
  const Wall& there = walls_[static_cast<std::size_t>(wall)];
  const OutlinePiece& piece = there.piece;
  Hit hit;
  hit.distance_mm = distance_mm;
  hit.surface = kFirstEdge + piece.edge;
  hit.position_mm = position;
  if (piece.round()) {
    const Vec2 from_centre = plane(position) - piece.centre_mm;
    const Vec2 out = from_centre.normalized();
    hit.normal = {out.x(), out.y(), 0.0};
    const double angle =
        std::atan2(cross(there.from_centre, from_centre), there.from_centre.dot(from_centre));
    hit.along_mm = piece.begin_mm + piece.radius_mm * angle;
  } else {
    hit.normal = {there.normal.x(), there.normal.y(), 0.0};
    hit.along_mm = piece.begin_mm + (plane(position) - piece.start_mm).dot(there.tangent);
  }
  return hit;
}

std::optional<Hit> Prism::meet_from_outside(const Ray& ray) const {
  const WallAhead ahead =
      any_wall_ahead<Crossing::inward>(plane(ray.origin_mm), plane(ray.direction));
  if (ahead.wall < 0) return std::nullopt;
  const Vec3 position = ray.origin_mm + ahead.distance_mm * ray.direction;
  if (position.z() < 0.0 || position.z() > thickness_mm_) return std::nullopt;
  return wall_hit(ahead.wall, ahead.distance_mm, position);
}

Hit Prism::Flight::arrive_at_wall() {
  ray_.origin_mm += wall_distance_mm_ * ray_.direction;
  // Unfold the face bounces on the way: z went on straight, the sheet repeats mirrored.
  const double sheets = std::floor(ray_.origin_mm.z() / prism_->thickness_mm_);
  if (sheets != 0.0) {
    const double within = ray_.origin_mm.z() - sheets * prism_->thickness_mm_;
    const bool mirrored = 2.0 * std::floor(0.5 * sheets) != sheets;
    ray_.origin_mm.z() = mirrored ? prism_->thickness_mm_ - within : within;
    if (mirrored) ray_.direction.z() = -ray_.direction.z();
  }
  return prism_->wall_hit(wall_, wall_distance_mm_, ray_.origin_mm);
}

}  // namespace rimeglow
