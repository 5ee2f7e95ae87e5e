// A rough boundary as facets of random slope: their distribution and mutual masking (Walter,
// Marschner, Li, Torrance 2007; Heitz 2014), one scattering in closed form, and all orders by a
// random walk on the surface (Heitz, Hanika, d'Eon, Dachsbacher 2016), which loses no light.
// Here "up" (z > 0) is the side the light comes from and `ratio` = index below / index above.
#pragma once

#include "ray.h"
#include "rng.h"

namespace rimeglow {

// GGX slopes: alpha along x and y. alpha = 0 is not a rough surface; see Finish::Kind::polished.
struct Slopes {
  double alpha_x = 0.5;
  double alpha_y = 0.5;

  bool isotropic() const { return alpha_x == alpha_y; }
};

// Density of facet normals per solid angle, projected on the mean plane it integrates to 1.
double facet_density(const Slopes& slopes, const Vec3& normal);

// Smith's Lambda for a direction of either sign of z: masking is G1 = 1 / (1 + Lambda), and
// Lambda(-w) = -1 - Lambda(w).
double smith_lambda(const Slopes& slopes, const Vec3& direction);

// Facet normal as seen from `toward`, of density pdf_visible_normal (Dupuy and Benyoub 2023).
Vec3 sample_visible_normal(const Slopes& slopes, const Vec3& toward, double u_height,
                           double u_azimuth);
double pdf_visible_normal(const Slopes& slopes, const Vec3& toward, const Vec3& normal);

// One scattering only, 1/sr, symmetric masking (height-correlated). `in` and `out` point away from
// the surface; in.z > 0. Reflection: out.z > 0. Transmission: out.z < 0, power convention, so that
// its integral times |cos out| is the transmitted share.
double single_reflection(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out);
double single_transmission(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out);

// Where a walk left the surface. direction.z > 0: reflected; < 0: transmitted. `order` counts the
// facets met.
struct FacetWalk {
  Vec3 direction;
  int order = 0;
};

// All orders: light from direction `in` (pointing away from the surface, z > 0).
FacetWalk walk_facets(const Slopes& slopes, double ratio, const Vec3& in, const Draws& draws);

// One-sample estimate, unbiased, of all-order scattering from `in` toward `out` (1/sr, conventions
// as above), by scoring at every facet of one walk.
double estimate_scattering(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out,
                           const Draws& draws);

}  // namespace rimeglow
