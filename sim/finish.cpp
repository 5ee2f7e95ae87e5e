#include "finish.h"

#include "microfacet.h"
#include "optics.h"
#include "sampling.h"

namespace rimeglow {
namespace {

// A pass behind the surface and back costs light at the backing or lets it in again; this many
// leave less than 1e-6 of it even behind a perfect white card. Frost of the largest
// reflectance allowed, 0.99, would leave 4e-5, but no edge has frost.
constexpr int kMaxPasses = 1000;

Fate fate_of(const Vec3& arriving, const Vec3& leaving) {
  return (arriving.z() > 0.0) == (leaving.z() > 0.0) ? Fate::transmitted : Fate::reflected;
}

Outcome meet_frost(const Rough& rough, double index, const Vec3& direction, const Draws& draws) {
  const bool inside = direction.z() > 0.0;
  const double transmitted =
      inside ? rough.frost_transmittance(index) : 1.0 - rough.frost_reflectance;
  const Uniforms u = draws.at(kDiffuseDraws);
  const Vec3 away = sample_lambertian(u[1], u[2]);
  const bool crosses = u[0] < transmitted;
  const bool outward = inside == crosses;
  return {crosses ? Fate::transmitted : Fate::reflected, outward ? away : flipped(away), 1};
}

Outcome meet_facets(const Rough& rough, double index, const Vec3& direction, const Draws& draws) {
  const bool inside = direction.z() > 0.0;
  const Vec3 back = to_grain(rough, -direction);
  const Vec3 in = inside ? flipped(back) : back;  // the side the light comes from is up
  const FacetWalk walk = walk_facets(rough.slopes, ratio_along(index, direction), in, draws);
  const Vec3 leaving = from_grain(rough, inside ? flipped(walk.direction) : walk.direction);
  return {fate_of(direction, leaving), leaving, walk.order};
}

Outcome meet_paint(double reflectance, const Vec3& direction, const Draws& draws) {
  const Uniforms u = draws.at(kDiffuseDraws);
  if (u[0] >= reflectance) return {Fate::absorbed, direction, 1};
  const Vec3 away = sample_lambertian(u[1], u[2]);
  return {Fate::reflected, direction.z() > 0.0 ? flipped(away) : away, 1};
}

Outcome meet_interface(const Finish& finish, double index, const Vec3& direction,
                       const Draws& draws) {
  switch (finish.kind) {
    case Finish::Kind::polished:
      return meet_polished(index, direction, draws);
    case Finish::Kind::painted:
      return meet_paint(finish.paint_reflectance, direction, draws);
    case Finish::Kind::rough:
      break;
  }
  if (finish.rough.frost_share > 0.0 && draws.at(kChoiceDraws)[1] < finish.rough.frost_share) {
    return meet_frost(finish.rough, index, direction, draws);
  }
  return meet_facets(finish.rough, index, direction, draws);
}

// Light that left the acrylic meets what stands behind it.
Outcome meet_backing(const Backing& backing, const Outcome& light, const Draws& draws) {
  const Uniforms u = draws.at(kBackingDraws);
  if (u[0] >= backing.reflectance) return {Fate::absorbed, light.direction, light.order + 1};
  if (backing.kind == Backing::Kind::mirror) {
    return {Fate::reflected, flipped(light.direction), light.order};
  }
  return {Fate::reflected, flipped(sample_lambertian(u[1], u[2])), light.order + 1};
}

}  // namespace

Outcome scatter(const Finish& finish, double index, const Vec3& direction, Draws draws) {
  Outcome light = meet_interface(finish, index, direction, draws);
  if (!finish.backing) return light;
  int passes = 0;
  while (light.fate != Fate::absorbed && light.direction.z() > 0.0) {
    light = meet_backing(*finish.backing, light, draws);
    if (light.fate == Fate::absorbed) return light;
    if (++passes > kMaxPasses) return {Fate::absorbed, light.direction, light.order};
    draws.next_pass();
    const int order = light.order;
    light = meet_interface(finish, index, light.direction, draws);
    light.order += order;
  }
  light.fate = Fate::reflected;
  return light;
}

double estimate_toward(const Finish& finish, double index, const Vec3& direction,
                       const Vec3& toward, const Draws& draws) {
  const Rough& rough = finish.rough;
  const double frost = rough.frost_radiance(index, toward.z() > 0.0);
  const Vec3 in = to_grain(rough, flipped(-direction));
  const Vec3 out = to_grain(rough, flipped(toward));
  const double facets = estimate_scattering(rough.slopes, 1.0 / index, in, out, draws);
  return rough.frost_share * frost + (1.0 - rough.frost_share) * facets;
}

}  // namespace rimeglow
