// Fast geometry of a flat panel: an outline times a thickness. Between two walls a ray only
// zigzags between the faces, so faces are met by arithmetic and walls by plane geometry; what a
// ray does on faces that are bare and totally reflect it is folded away.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "optics.h"
#include "ray.h"
#include "walls.h"

namespace rimeglow {

class Prism {
 public:
  Prism(const Outline& outline, double thickness_mm, double index, BareFaces bare);

  class Flight;
  Flight launch(const Ray& ray) const;

  std::optional<Hit> meet_from_outside(const Ray& ray) const;

  double along_mm(const Hit& hit) const {
    return walls_.along_mm(hit.piece, hit.position_mm.head<2>());
  }
  bool has_face(SurfaceId, const Vec2& point_mm) const { return walls_.contains(point_mm); }
  bool hollow() const { return hollow_; }

 private:
  static constexpr double kNever = Walls::kNever;

  // A straight piece that lies on a side of the outline's box, and its ends along that side.
  struct BoxWall {
    int piece = -1;
    double low_mm = 0.0;
    double high_mm = -1.0;  // none
  };
  using BoxWalls = std::array<BoxWall, 4>;  // -x, +x, -y, +y

  Walls::Ahead wall_ahead(const Vec3& point, const Vec3& direction) const;
  Walls::Ahead wall_outside(const Vec3& point, const Vec3& direction) const;
  static std::optional<Walls::Ahead> through(const BoxWalls& sides, int axis, bool high,
                                             double distance_mm, const Vec3& point,
                                             const Vec3& direction);
  Hit wall_hit(const Walls::Ahead& ahead, const Vec3& position) const;

  Walls walls_;
  std::vector<int> edge_of_;  // by piece
  bool hollow_;
  BoxWalls ways_in_;
  BoxWalls ways_out_;  // none where something may stand before the box's sides
  std::array<double, 2> size_mm_;
  double thickness_mm_;
  double cos_critical_;
  std::array<bool, 2> bare_;  // by SurfaceId of the face
};

// Light on its way inside the panel.
class Prism::Flight {
 public:
  Flight(const Prism& prism, const Ray& ray);

  Hit next(double limit_mm = kNever);
  void mirror(const Hit& hit);
  template <class Passes>
  void skim(const Passes& passes);
  const Vec3& direction() const { return ray_.direction; }

 private:
  struct FaceAhead {
    double distance_mm;
    SurfaceId surface;
  };
  FaceAhead face_ahead() const;
  Hit arrive_at_face(const FaceAhead& face);
  void go_on(double distance_mm);
  void look_for_wall();

  const Prism* prism_;
  Ray ray_;
  bool guided_;
  double rise_;      // |z| of the direction: walls and faces keep it
  double per_rise_;  // way per millimetre of rise
  Walls::Ahead wall_ahead_;
};

// A ray that crosses the outline's box within a straight piece on it crosses the outline there:
// most rays need no search.
inline std::optional<Walls::Ahead> Prism::through(const BoxWalls& sides, int axis, bool high,
                                                  double distance_mm, const Vec3& point,
                                                  const Vec3& direction) {
  const BoxWall& side = sides[static_cast<std::size_t>(2 * axis + (high ? 1 : 0))];
  const double along = point[1 - axis] + distance_mm * direction[1 - axis];
  if (!(along >= side.low_mm && along <= side.high_mm)) return std::nullopt;
  return Walls::Ahead{distance_mm, side.piece};
}

inline Walls::Ahead Prism::wall_ahead(const Vec3& point, const Vec3& direction) const {
  const auto to_side = [&](int axis) {
    const double side = direction[axis] > 0.0 ? size_mm_[static_cast<std::size_t>(axis)] : 0.0;
    return (side - point[axis]) / direction[axis];
  };
  const double to_x = to_side(0);
  const double to_y = to_side(1);
  const int axis = to_x < to_y ? 0 : 1;
  const auto at_side =
      through(ways_out_, axis, direction[axis] > 0.0, std::min(to_x, to_y), point, direction);
  if (at_side) return *at_side;
  return walls_.way_out(point.head<2>(), direction.head<2>());
}

inline Prism::Flight::Flight(const Prism& prism, const Ray& ray)
    : prism_(&prism), ray_(ray), rise_(std::abs(ray.direction.z())), per_rise_(1.0 / rise_) {
  guided_ = rise_ < prism.cos_critical_;
  look_for_wall();
}

inline Prism::Flight Prism::launch(const Ray& ray) const { return Flight(*this, ray); }

inline void Prism::Flight::look_for_wall() {
  wall_ahead_ = prism_->wall_ahead(ray_.origin_mm, ray_.direction);
  wall_ahead_.distance_mm = std::max(0.0, wall_ahead_.distance_mm);
}

inline Prism::Flight::FaceAhead Prism::Flight::face_ahead() const {
  const bool up = ray_.direction.z() > 0.0;
  const SurfaceId first = up ? kFrontFace : kBackFace;
  const double gap_mm = up ? prism_->thickness_mm_ - ray_.origin_mm.z() : ray_.origin_mm.z();
  if (!guided_ || !prism_->bare_[static_cast<std::size_t>(first)]) {
    return {gap_mm * per_rise_, first};
  }
  const SurfaceId second = kFrontFace - first;
  if (prism_->bare_[static_cast<std::size_t>(second)]) return {kNever, kNoSurface};
  return {(gap_mm + prism_->thickness_mm_) * per_rise_, second};
}

inline Hit Prism::Flight::arrive_at_face(const FaceAhead& face) {
  wall_ahead_.distance_mm -= face.distance_mm;
  const bool front = face.surface == kFrontFace;
  ray_.origin_mm.x() += face.distance_mm * ray_.direction.x();
  ray_.origin_mm.y() += face.distance_mm * ray_.direction.y();
  ray_.origin_mm.z() = front ? prism_->thickness_mm_ : 0.0;
  ray_.direction.z() = front ? rise_ : -rise_;
  return {face.distance_mm, face.surface, -1, ray_.origin_mm, Vec3(0.0, 0.0, front ? 1.0 : -1.0)};
}

// Most of light's way is in this loop: what changes in it is kept in registers.
template <class Passes>
void Prism::Flight::skim(const Passes& passes) {
  const FaceAhead face = face_ahead();
  if (!guided_ || !(face.distance_mm < wall_ahead_.distance_mm)) return;
  if (!prism_->bare_[static_cast<std::size_t>(kFrontFace - face.surface)]) return;
  const bool front = face.surface == kFrontFace;
  const double z_mm = front ? prism_->thickness_mm_ : 0.0;
  const double stride_mm = 2.0 * prism_->thickness_mm_ * per_rise_;
  const Vec2 along = ray_.direction.head<2>();
  const Vec3 arriving(along.x(), front ? along.y() : -along.y(), rise_);
  Hit ahead = {face.distance_mm, face.surface, -1, ray_.origin_mm, {0.0, 0.0, front ? 1.0 : -1.0}};
  Vec2 at = ray_.origin_mm.head<2>();
  double to_wall_mm = wall_ahead_.distance_mm;
  bool passed = false;
  while (ahead.distance_mm < to_wall_mm) {
    const Vec2 next = at + ahead.distance_mm * along;
    ahead.position_mm = {next.x(), next.y(), z_mm};
    if (!passes(ahead, arriving)) break;
    to_wall_mm -= ahead.distance_mm;
    at = next;
    ahead.distance_mm = stride_mm;
    passed = true;
  }
  if (!passed) return;
  wall_ahead_.distance_mm = to_wall_mm;
  ray_.origin_mm = {at.x(), at.y(), z_mm};
  ray_.direction.z() = front ? -rise_ : rise_;
}

// Straight on, with the face bounces on the way folded away: z goes on and the sheet repeats
// mirrored.
inline void Prism::Flight::go_on(double distance_mm) {
  ray_.origin_mm += distance_mm * ray_.direction;
  const double thickness_mm = prism_->thickness_mm_;
  const double sheets = std::floor(ray_.origin_mm.z() / thickness_mm);
  if (sheets != 0.0) {
    const double within = ray_.origin_mm.z() - sheets * thickness_mm;
    const bool mirrored = 2.0 * std::floor(0.5 * sheets) != sheets;
    ray_.origin_mm.z() = mirrored ? thickness_mm - within : within;
    if (mirrored) ray_.direction.z() = -ray_.direction.z();
  }
}

inline Hit Prism::Flight::next(double limit_mm) {
  const FaceAhead face = face_ahead();
  const bool at_face = face.distance_mm < wall_ahead_.distance_mm;
  if (limit_mm < (at_face ? face.distance_mm : wall_ahead_.distance_mm)) {
    go_on(limit_mm);
    return {limit_mm, kWithin, -1, ray_.origin_mm, Vec3::Zero()};
  }
  if (at_face) return arrive_at_face(face);
  if (wall_ahead_.piece < 0) return {};
  go_on(wall_ahead_.distance_mm);
  return prism_->wall_hit(wall_ahead_, ray_.origin_mm);
}

inline Hit Prism::wall_hit(const Walls::Ahead& ahead, const Vec3& position) const {
  const Vec2 out = walls_.normal_at(ahead.piece, position.head<2>());
  return {ahead.distance_mm, kFirstEdge + edge_of_[static_cast<std::size_t>(ahead.piece)],
          ahead.piece, position, Vec3(out.x(), out.y(), 0.0)};
}

inline void Prism::Flight::mirror(const Hit& hit) {
  if (hit.surface < kFirstEdge) {
    ray_.direction.z() = -ray_.direction.z();
    return;
  }
  ray_.direction = reflect(ray_.direction, hit.normal);
  look_for_wall();
}

static_assert(Geometry<Prism>);

}  // namespace rimeglow
