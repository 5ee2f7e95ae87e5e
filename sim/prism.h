// Fast geometry of a flat panel: an outline times a thickness. Between two walls a ray only
// zigzags between the faces, so faces are met by arithmetic and walls by plane geometry; what a
// ray does on faces that are bare and totally reflect it is folded away. Convex outlines.
#pragma once

#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "optics.h"
#include "outline.h"
#include "ray.h"

namespace rimeglow {

class Prism {
 public:
  // `bare` faces are polished and unengraved: guided light meets them unseen.
  struct BareFaces {
    bool back = false;
    bool front = false;
  };

  Prism(const Outline& outline, double thickness_mm, double index, BareFaces bare);

  // Light on its way inside the panel.
  class Flight {
   public:
    Flight(const Prism& prism, const Ray& ray);

    // Goes on to the next surface that is not folded away; kNoSurface when none is found.
    Hit next();
    // After next(): goes on as a mirror would send it.
    void mirror(const Hit& hit);
    const Vec3& direction() const { return ray_.direction; }

   private:
    struct FaceAhead {
      double distance_mm;
      SurfaceId surface;
    };
    FaceAhead face_ahead() const;
    Hit arrive_at_face(const FaceAhead& face);
    Hit arrive_at_wall();
    void look_for_wall();

    const Prism* prism_;
    Ray ray_;
    bool guided_;
    double rise_;      // |z| of the direction: walls and faces keep it
    double per_rise_;  // way per millimetre of rise
    double wall_distance_mm_ = 0.0;
    int wall_ = -1;
  };

  Flight launch(const Ray& ray) const { return Flight(*this, ray); }

  // Where a ray from outside first meets an edge, or none when it misses the panel's rim.
  std::optional<Hit> meet_from_outside(const Ray& ray) const;

 private:
  static constexpr double kNever = std::numeric_limits<double>::infinity();

  struct Wall {
    Vec2 tangent, normal;         // of a straight piece
    Vec2 from_centre, to_centre;  // arc ends seen from its centre
    OutlinePiece piece;
  };
  struct WallAhead {
    double distance_mm = kNever;
    int wall = -1;  // index into walls_, -1 when none is ahead
  };
  enum class Crossing { outward, inward };

  template <Crossing kCrossing>
  double meet(const Wall& wall, const Vec2& point, const Vec2& direction) const;
  template <Crossing kCrossing>
  WallAhead any_wall_ahead(const Vec2& point, const Vec2& direction) const;
  WallAhead wall_ahead(const Vec2& point, const Vec2& direction) const;
  Hit wall_hit(int wall, double distance_mm, const Vec3& position) const;

  std::vector<Wall> walls_;
  std::array<int, 4> box_walls_;  // the straight piece on each side of the box: -x, +x, -y, +y
  Vec2 size_mm_;
  double thickness_mm_;
  double cos_critical_;
  std::array<bool, 2> bare_;  // by SurfaceId of the face
};

inline Prism::Flight::Flight(const Prism& prism, const Ray& ray)
    : prism_(&prism), ray_(ray), rise_(std::abs(ray.direction.z())), per_rise_(1.0 / rise_) {
  guided_ = rise_ < prism.cos_critical_;
  look_for_wall();
}

inline void Prism::Flight::look_for_wall() {
  const WallAhead ahead = prism_->wall_ahead({ray_.origin_mm.x(), ray_.origin_mm.y()},
                                             {ray_.direction.x(), ray_.direction.y()});
  wall_distance_mm_ = std::max(0.0, ahead.distance_mm);
  wall_ = ahead.wall;
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
  wall_distance_mm_ -= face.distance_mm;
  const bool front = face.surface == kFrontFace;
  ray_.origin_mm.x() += face.distance_mm * ray_.direction.x();
  ray_.origin_mm.y() += face.distance_mm * ray_.direction.y();
  ray_.origin_mm.z() = front ? prism_->thickness_mm_ : 0.0;
  ray_.direction.z() = front ? rise_ : -rise_;
  return {face.distance_mm, face.surface, ray_.origin_mm, Vec3(0.0, 0.0, front ? 1.0 : -1.0), 0.0};
}

inline Hit Prism::Flight::next() {
  const FaceAhead face = face_ahead();
  if (face.distance_mm < wall_distance_mm_) return arrive_at_face(face);
  if (wall_ < 0) return {};
  return arrive_at_wall();
}

inline void Prism::Flight::mirror(const Hit& hit) {
  if (hit.surface < kFirstEdge) {
    ray_.direction.z() = -ray_.direction.z();
    return;
  }
  ray_.direction = reflect(ray_.direction, hit.normal);
  look_for_wall();
}

}  // namespace rimeglow
