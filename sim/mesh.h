// General geometry of a panel: its edges as triangles, among which Embree finds the one ahead.
// Plane arithmetic in doubles then says where light meets it, so that a flat wall is met where
// Prism meets it, to the last digits. Arcs are cut into flat facets.
#pragma once

#include <memory>
#include <optional>

#include "ray.h"
#include "walls.h"

namespace rimeglow {

class Mesh {
 public:
  // Throws std::runtime_error when Embree refuses.
  Mesh(const Outline& outline, double thickness_mm, double index, BareFaces bare);

  class Flight;
  Flight launch(const Ray& ray) const;
  std::optional<Hit> meet_from_outside(const Ray& ray) const;
  double along_mm(const Hit& hit) const;
  bool has_face(SurfaceId face, const Vec2& point_mm) const;
  bool hollow() const;

 private:
  struct Body;
  std::shared_ptr<const Body> body_;  // nothing of it changes: copies share it
};

// Light on its way inside the panel.
class Mesh::Flight {
 public:
  Flight(const Body& body, const Ray& ray);

  Hit next(double limit_mm = Walls::kNever);
  void mirror(const Hit& hit);
  const Vec3& direction() const { return ray_.direction; }

 private:
  const Body* body_;
  Ray ray_;
};

static_assert(Geometry<Mesh>);

}  // namespace rimeglow
