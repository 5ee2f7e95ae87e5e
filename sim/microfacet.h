// What a rough boundary does with light: one scattering in closed form (Walter, Marschner, Li,
// Torrance 2007), and all orders by a random walk on its facets (Heitz, Hanika, d'Eon, Dachsbacher
// 2016), which loses no light.
// Here "up" (z > 0) is the side the light comes from and `ratio` = index below / index above.
#pragma once

#include "ray.h"
#include "rng.h"
#include "slopes.h"

namespace rimeglow {

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
