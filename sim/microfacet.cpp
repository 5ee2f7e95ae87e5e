#include "microfacet.h"

#include <algorithm>
#include <cmath>

#include "optics.h"
#include "sampling.h"

namespace rimeglow {
namespace {

// A walk this long has met less than 1e-12 of the light at any roughness tried.
constexpr int kMaxOrder = 256;
constexpr double kHorizon = 1e-9;  // |z| below which a direction counts as lying in the plane

// Light on its way over the facets, seen from the side it is on: that side is up, `log_height` is
// the logarithm of the share of the surface below it, 0 far above.
struct Wanderer {
  Vec3 direction;
  double log_height = 0.0;
  double ratio = 1.0;    // index below / index above
  bool crossed = false;  // on the other side than at the start

  Vec3 world(const Vec3& v) const { return crossed ? Vec3(-v) : v; }
};

// Advances to the next facet; false when the light leaves. Heitz et al. 2016, section 4: the
// height is met with probability C1(h)^Lambda, here in logarithms.
bool fly(const Slopes& slopes, Wanderer& light, double u) {
  if (std::abs(light.direction.z()) < kHorizon) return true;
  const double lambda = smith_lambda(slopes, light.direction);
  if (lambda == 0.0) return false;
  light.log_height -= std::log(1.0 - u) / lambda;
  return light.log_height < 0.0;
}

// The same height seen from the other side.
double turned_over(double log_height) { return std::log(1.0 - std::exp(log_height)); }

// Passes through the facet: the far side becomes up.
void cross_interface(Wanderer& light, const Vec3& refracted) {
  light.direction = -refracted;
  light.log_height = turned_over(light.log_height);
  light.ratio = 1.0 / light.ratio;
  light.crossed = !light.crossed;
}

// `u`: two for the facet met, one for what it does.
void scatter(const Slopes& slopes, Wanderer& light, const Uniforms& u) {
  const Vec3 facet = sample_visible_normal(slopes, -light.direction, u[0], u[1]);
  const double cos_incident = std::clamp(-light.direction.dot(facet), 0.0, 1.0);
  const Boundary here = boundary(light.ratio, cos_incident);
  if (here.cos_refracted > 0.0 && u[2] >= here.reflectance) {
    cross_interface(
        light, refracted(light.direction, facet, light.ratio, cos_incident, here.cos_refracted));
    return;
  }
  light.direction = reflect(light.direction, facet);
}

Vec3 half_vector(const Vec3& in, const Vec3& out, double ratio) {
  const Vec3 sum = out.z() > 0.0 ? Vec3(in + out) : Vec3(in + ratio * out);
  const Vec3 normal = sum.normalized();
  return normal.z() < 0.0 ? Vec3(-normal) : normal;
}

// Jacobian of the half vector by the transmitted direction (Walter 2007, eq. 17).
double refraction_jacobian(double ratio, double cos_in, double cos_out) {
  const double denominator = cos_in - ratio * std::abs(cos_out);
  return ratio * ratio * std::abs(cos_out) / (denominator * denominator);
}

// Facet-to-facet scattering toward `out` per solid angle: the phase function of the walk.
double phase(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out) {
  const Vec3 facet = half_vector(in, out, ratio);
  const double cos_in = in.dot(facet);
  const double cos_out = out.dot(facet);
  const bool reflected = out.z() > 0.0;
  if (cos_in <= 0.0 || (reflected ? cos_out <= 0.0 : cos_out >= 0.0)) return 0.0;
  const double reflectance = fresnel(ratio, std::min(cos_in, 1.0));
  const double seen = pdf_visible_normal(slopes, in, facet);
  if (reflected) return reflectance * seen / (4.0 * cos_in);
  return (1.0 - reflectance) * seen * refraction_jacobian(ratio, cos_in, cos_out);
}

}  // namespace

double single_reflection(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out) {
  if (in.z() <= 0.0 || out.z() <= 0.0) return 0.0;
  const Vec3 facet = half_vector(in, out, ratio);
  const double masking = 1.0 / (1.0 + smith_lambda(slopes, in) + smith_lambda(slopes, out));
  return fresnel(ratio, std::min(in.dot(facet), 1.0)) * facet_density(slopes, facet) * masking /
         (4.0 * in.z() * out.z());
}

double single_transmission(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out) {
  if (in.z() <= 0.0 || out.z() >= 0.0) return 0.0;
  const Vec3 facet = half_vector(in, out, ratio);
  const double cos_in = in.dot(facet);
  const double cos_out = out.dot(facet);
  if (cos_in <= 0.0 || cos_out >= 0.0) return 0.0;
  // Light crosses where both sides see the facet: Beta(1 + Lambda_in, 1 + Lambda_out), Heitz 2016.
  const Vec3 below(out.x(), out.y(), -out.z());
  const double masking =
      std::beta(1.0 + smith_lambda(slopes, in), 1.0 + smith_lambda(slopes, below));
  return (1.0 - fresnel(ratio, std::min(cos_in, 1.0))) * facet_density(slopes, facet) * masking *
         cos_in * refraction_jacobian(ratio, cos_in, cos_out) / (in.z() * -out.z());
}

FacetWalk walk_facets(const Slopes& slopes, double ratio, const Vec3& in, const Draws& draws) {
  Wanderer light{-in, 0.0, ratio, false};
  double u_height = draws.at(kChoiceDraws)[3];  // the first height; the later ones with the facets
  int order = 0;
  for (; order < kMaxOrder && fly(slopes, light, u_height); ++order) {
    const Uniforms& u = draws.at(kFacetDraws + static_cast<std::uint32_t>(order));
    scatter(slopes, light, u);
    u_height = u[3];
  }
  return {light.world(light.direction), order};
}

double estimate_scattering(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out,
                           const Draws& draws) {
  Wanderer light{-in, 0.0, ratio, false};
  double sum = 0.0;
  double u_height = draws.at(kChoiceDraws)[3];
  for (int order = 0; order < kMaxOrder && fly(slopes, light, u_height); ++order) {
    const Vec3 target = light.world(out);
    const double share = phase(slopes, light.ratio, -light.direction, target);
    if (share > 0.0) {
      // Chance of leaving toward the target from this height, on the side where it arrives.
      const bool stays = target.z() > 0.0;
      const double log_height = stays ? light.log_height : turned_over(light.log_height);
      const Vec3 leaving = stays ? target : Vec3(-target);
      sum += share * std::exp(log_height * smith_lambda(slopes, leaving));
    }
    const Uniforms& u = draws.at(kFacetDraws + static_cast<std::uint32_t>(order));
    scatter(slopes, light, u);
    u_height = u[3];
  }
  return sum / std::abs(out.z());
}

}  // namespace rimeglow
