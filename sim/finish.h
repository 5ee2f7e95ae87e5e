// What a surface does with the light that reaches it: the finishes a sign maker can give an edge,
// and the mark a laser leaves on a face. A finish is an interface (polished, rough or painted)
// and, optionally, a card or tape behind it across an air gap. Directions are local: z along the
// outward normal, light travelling with z > 0 arrives from inside.
#pragma once

#include <optional>

#include "optics.h"
#include "ray.h"
#include "rng.h"
#include "slopes.h"
#include "units.h"

namespace rimeglow {

// Between how many times what is said of it a surface's alpha may lie, where nobody has measured
// it: common practice, no source.
struct AlphaSpan {
  double low = 0.5;
  double high = 1.7;
};

// Ground or engraved: a rough dielectric of the given slopes, of which `frost_share` of the area
// is frost instead (melted, bubbled acrylic): a reciprocal Lambertian layer of the external
// diffuse reflectance `frost_reflectance`, so that tau_ext = 1 - rho_ext, tau_int = tau_ext / n^2
// and rho_int = 1 - tau_int (derived from reciprocity).
struct Rough {
  Slopes slopes;
  double frost_share = 0.0;
  double frost_reflectance = 0.3;
  Vec2 along = Vec2::UnitX();  // the way of alpha_x on the surface, unit
  AlphaSpan alpha_span{};

  // Of the light that reaches frost from inside, the share that leaves.
  double frost_transmittance(double index) const {
    return (1.0 - frost_reflectance) / (index * index);
  }
  // The radiance that frost sends out of the acrylic or back into it, per unit of irradiance
  // arriving from inside, 1/sr.
  double frost_radiance(double index, bool outward) const {
    const double transmitted = frost_transmittance(index);
    return (outward ? transmitted : 1.0 - transmitted) / kPi;
  }
};

// A direction on the surface seen along its grain, and back.
inline Vec3 to_grain(const Rough& rough, const Vec3& v) {
  const Vec2& x = rough.along;
  return {x.x() * v.x() + x.y() * v.y(), x.x() * v.y() - x.y() * v.x(), v.z()};
}
inline Vec3 from_grain(const Rough& rough, const Vec3& v) {
  const Vec2& x = rough.along;
  return {x.x() * v.x() - x.y() * v.y(), x.x() * v.y() + x.y() * v.x(), v.z()};
}

// A card, tape or foil behind an air gap, close enough that light comes back where it left.
struct Backing {
  enum class Kind { white, mirror };
  Kind kind = Kind::white;
  double reflectance = 0.9;
};

struct Finish {
  enum class Kind { polished, rough, painted };
  Kind kind = Kind::polished;
  Rough rough;                     // read when kind is rough
  double paint_reflectance = 0.0;  // read when kind is painted: Lambertian, in optical contact
  std::optional<Backing> backing;  // behind polished or rough

  // Whether light may leave here in other directions than a smooth surface's.
  bool scatters() const { return kind != Kind::polished || backing.has_value(); }
  // Whether it knows no direction along the surface from another.
  bool isotropic() const { return kind != Kind::rough || rough.slopes.isotropic(); }
};

enum class Fate { reflected, transmitted, absorbed };

// What became of the light and whither it goes: local direction, z < 0 back into the acrylic,
// z > 0 out of it.
// `order` counts what scattered it: facets met, 1 for frost or paint, and one more for a white
// backing; 0 is a smooth surface.
struct Outcome {
  Fate fate = Fate::reflected;
  Vec3 direction = Vec3::Zero();
  int order = 0;
};

// Index beyond over index before, for light travelling along `direction`.
inline double ratio_along(double index, const Vec3& direction) {
  return direction.z() > 0.0 ? 1.0 / index : index;
}

// A smooth surface reflects as Fresnel says and refracts as Snell does.
inline Outcome meet_polished(double index, const Vec3& direction, const Draws& draws) {
  const double ratio = ratio_along(index, direction);
  const Boundary here = boundary(ratio, std::abs(direction.z()));
  if (here.cos_refracted == 0.0 || draws.at(kChoiceDraws)[0] < here.reflectance) {
    return {Fate::reflected, {direction.x(), direction.y(), -direction.z()}, 0};
  }
  return {Fate::transmitted,
          {direction.x() / ratio, direction.y() / ratio,
           std::copysign(here.cos_refracted, direction.z())},
          0};
}

// `interact` for finishes that scatter.
Outcome scatter(const Finish& finish, double index, const Vec3& direction, Draws draws);

// Light at `direction` (z > 0: from inside, z < 0: from outside) meets the finish.
// `index` is the acrylic's, relative to air. Energy is conserved: all scattering orders.
inline Outcome interact(const Finish& finish, double index, const Vec3& direction,
                        const Draws& draws) {
  return finish.scatters() ? scatter(finish, index, direction, draws)
                           : meet_polished(index, direction, draws);
}

// One-sample estimate, unbiased, of the radiance toward `toward` that a rough finish without
// backing gives per unit of irradiance arriving from inside along `direction`, 1/sr. toward.z > 0:
// out of the acrylic; < 0: back into it. What `interact` samples, seen by a given eye.
double estimate_toward(const Finish& finish, double index, const Vec3& direction,
                       const Vec3& toward, const Draws& draws);

}  // namespace rimeglow
