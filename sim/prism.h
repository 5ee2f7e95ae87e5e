// Fast geometry of a flat panel: an outline times a thickness. Between two walls a ray only
// zigzags between the faces, so faces are met by arithmetic and walls by plane geometry; what a
// ray does on faces that are bare and totally reflect it is folded away. Convex outlines.
#pragma once

#include <array>
#include <optional>
#include <vector>

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

  double thickness_mm() const { return thickness_mm_; }

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
    double wall_distance_mm_ = 0.0;
    const OutlinePiece* wall_ = nullptr;
  };

  Flight launch(const Ray& ray) const { return Flight(*this, ray); }

  // Where a ray from outside first meets an edge, or none when it misses the panel's rim.
  std::optional<Hit> meet_from_outside(const Ray& ray) const;

 private:
  struct Wall {
    Vec2 tangent, normal;       // of a straight piece
    Vec2 from_centre, to_centre;  // arc ends seen from its centre
    OutlinePiece piece;
  };
  struct WallAhead {
    double distance_mm;
    const OutlinePiece* piece;
  };
  enum class Crossing { outward, inward };

  template <Crossing kCrossing>
  std::optional<double> meet(const Wall& wall, const Vec2& point, const Vec2& direction) const;
  template <Crossing kCrossing>
  std::optional<WallAhead> wall_ahead(const Vec2& point, const Vec2& direction) const;
  Hit wall_hit(const OutlinePiece& piece, double distance_mm, const Vec3& position) const;

  std::vector<Wall> walls_;
  double thickness_mm_;
  double cos_critical_;
  std::array<bool, 2> bare_;  // by SurfaceId of the face
};

}  // namespace rimeglow
