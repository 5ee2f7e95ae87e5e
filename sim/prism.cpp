#include "prism.h"

#include <cmath>
#include <limits>

#include "optics.h"

namespace rimeglow {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

// Pieces overlap by this much at their ends, so that rounding opens no gap between them; far below
// any length that matters and far above the rounding of coordinates up to metres.
constexpr double kSeam_mm = 1e-9;

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

Vec2 plane(const Vec3& v) { return {v.x(), v.y()}; }

}  // namespace

Prism::Prism(const Outline& outline, double thickness_mm, double index, BareFaces bare)
    : thickness_mm_(thickness_mm),
      cos_critical_(std::sqrt(std::max(0.0, 1.0 - 1.0 / (index * index)))),
      bare_{bare.back, bare.front} {
  for (const OutlinePiece& piece : outline.pieces) {
    const Vec2 tangent = (piece.end_mm - piece.start_mm).normalized();
    walls_.push_back({tangent,
                      {tangent.y(), -tangent.x()},
                      piece.start_mm - piece.centre_mm,
                      piece.end_mm - piece.centre_mm,
                      piece});
  }
}

template <Prism::Crossing kCrossing>
std::optional<double> Prism::meet(const Wall& wall, const Vec2& point, const Vec2& direction) const {
  constexpr bool kOutward = kCrossing == Crossing::outward;
  const OutlinePiece& piece = wall.piece;
  if (!piece.round()) {
    const double approach = direction.dot(wall.normal);
    if (kOutward ? approach <= 0.0 : approach >= 0.0) return std::nullopt;
    const Vec2 to_start = piece.start_mm - point;
    const double distance = to_start.dot(wall.normal) / approach;
    const double along = (direction * distance - to_start).dot(wall.tangent);
    if (along < -kSeam_mm || along > piece.length_mm + kSeam_mm) return std::nullopt;
    return distance;
  }
  const Vec2 from_centre = point - piece.centre_mm;
  const double a = direction.squaredNorm();
  const double b = from_centre.dot(direction);
  const double c = from_centre.squaredNorm() - piece.radius_mm * piece.radius_mm;
  const double discriminant = b * b - a * c;
  if (discriminant <= 0.0) return std::nullopt;
  const double root = std::sqrt(discriminant);
  const double distance = (kOutward ? root - b : -root - b) / a;
  const Vec2 there = from_centre + direction * distance;
  const double seam = kSeam_mm * piece.radius_mm;
  if (cross(wall.from_centre, there) < -seam || cross(there, wall.to_centre) < -seam) {
    return std::nullopt;
  }
  return distance;
}

template <Prism::Crossing kCrossing>
std::optional<Prism::WallAhead> Prism::wall_ahead(const Vec2& point, const Vec2& direction) const {
  WallAhead nearest{kNever, nullptr};
  for (const Wall& wall : walls_) {
    const auto distance = meet<kCrossing>(wall, point, direction);
    if (distance && *distance > -kSeam_mm && *distance < nearest.distance_mm) {
      nearest = {*distance, &wall.piece};
    }
  }
  if (!nearest.piece) return std::nullopt;
  return nearest;
}

Hit Prism::wall_hit(const OutlinePiece& piece, double distance_mm, const Vec3& position) const {
  Hit hit;
  hit.distance_mm = distance_mm;
  hit.surface = kFirstEdge + piece.edge;
  hit.position_mm = position;
  if (piece.round()) {
    const Vec2 from_centre = plane(position) - piece.centre_mm;
    const Vec2 out = from_centre.normalized();
    hit.normal = {out.x(), out.y(), 0.0};
    const Vec2 start = piece.start_mm - piece.centre_mm;
    hit.along_mm = piece.begin_mm +
                   piece.radius_mm * std::atan2(cross(start, from_centre), start.dot(from_centre));
  } else {
    const Vec2 tangent = (piece.end_mm - piece.start_mm) / piece.length_mm;
    hit.normal = {tangent.y(), -tangent.x(), 0.0};
    hit.along_mm = piece.begin_mm + (plane(position) - piece.start_mm).dot(tangent);
  }
  return hit;
}

std::optional<Hit> Prism::meet_from_outside(const Ray& ray) const {
  const auto wall = wall_ahead<Crossing::inward>(plane(ray.origin_mm), plane(ray.direction));
  if (!wall) return std::nullopt;
  const Vec3 position = ray.origin_mm + wall->distance_mm * ray.direction;
  if (position.z() < 0.0 || position.z() > thickness_mm_) return std::nullopt;
  return wall_hit(*wall->piece, wall->distance_mm, position);
}

Prism::Flight::Flight(const Prism& prism, const Ray& ray)
    : prism_(&prism),
      ray_(ray),
      guided_(std::abs(ray.direction.z()) < prism.cos_critical_) {
  look_for_wall();
}

void Prism::Flight::look_for_wall() {
  const auto ahead =
      prism_->wall_ahead<Crossing::outward>(plane(ray_.origin_mm), plane(ray_.direction));
  wall_distance_mm_ = ahead ? std::max(0.0, ahead->distance_mm) : kNever;
  wall_ = ahead ? ahead->piece : nullptr;
}

Prism::Flight::FaceAhead Prism::Flight::face_ahead() const {
  const double rise = ray_.direction.z();
  if (rise == 0.0) return {kNever, kNoSurface};
  const SurfaceId first = rise > 0.0 ? kFrontFace : kBackFace;
  const double gap = rise > 0.0 ? prism_->thickness_mm_ - ray_.origin_mm.z() : ray_.origin_mm.z();
  const double distance = gap / std::abs(rise);
  if (!guided_ || !prism_->bare_[static_cast<std::size_t>(first)]) return {distance, first};
  const SurfaceId second = kFrontFace - first;
  if (prism_->bare_[static_cast<std::size_t>(second)]) return {kNever, kNoSurface};
  return {distance + prism_->thickness_mm_ / std::abs(rise), second};
}

Hit Prism::Flight::next() {
  const FaceAhead face = face_ahead();
  if (face.distance_mm < wall_distance_mm_) return arrive_at_face(face);
  if (!wall_) return {};
  return arrive_at_wall();
}

Hit Prism::Flight::arrive_at_face(const FaceAhead& face) {
  wall_distance_mm_ -= face.distance_mm;
  ray_.origin_mm += face.distance_mm * ray_.direction;
  const bool front = face.surface == kFrontFace;
  ray_.origin_mm.z() = front ? prism_->thickness_mm_ : 0.0;
  ray_.direction.z() = front ? std::abs(ray_.direction.z()) : -std::abs(ray_.direction.z());
  return {face.distance_mm, face.surface, ray_.origin_mm, Vec3(0.0, 0.0, front ? 1.0 : -1.0), 0.0};
}

Hit Prism::Flight::arrive_at_wall() {
  ray_.origin_mm += wall_distance_mm_ * ray_.direction;
  // Unfold the face bounces on the way: z went on straight, the sheet repeats mirrored.
  const double sheets = std::floor(ray_.origin_mm.z() / prism_->thickness_mm_);
  if (sheets != 0.0) {
    const double within = ray_.origin_mm.z() - sheets * prism_->thickness_mm_;
    const bool mirrored = std::fmod(std::abs(sheets), 2.0) == 1.0;
    ray_.origin_mm.z() = mirrored ? prism_->thickness_mm_ - within : within;
    if (mirrored) ray_.direction.z() = -ray_.direction.z();
  }
  return prism_->wall_hit(*wall_, wall_distance_mm_, ray_.origin_mm);
}

void Prism::Flight::mirror(const Hit& hit) {
  ray_.direction = reflect(ray_.direction, hit.normal);
  if (hit.surface >= kFirstEdge) look_for_wall();
}

}  // namespace rimeglow
