// The slopes of a rough surface: how its facets are distributed, how they mask each other, and
// which of them a given direction sees (Walter, Marschner, Li, Torrance 2007; Heitz 2014). Two laws
// of slope: GGX with a long tail, Beckmann (Gaussian slopes) without; which of them engraved or
// sanded acrylic follows is not published, so results that lean on it are run with both.
#pragma once

#include "ray.h"

namespace rimeglow {

enum class SlopeLaw { ggx, beckmann };

// alpha along x and y. For Beckmann alpha is sqrt(2) times the rms slope of a profile along that
// axis; for GGX it is a fit, its slope variance being infinite. alpha = 0 is not a rough surface;
// see Finish::Kind::polished.
struct Slopes {
  double alpha_x = 0.5;
  double alpha_y = 0.5;
  SlopeLaw law = SlopeLaw::ggx;

  bool isotropic() const { return alpha_x == alpha_y; }
};

// How smooth and how rough a scene may say a surface is, and a span supposes it.
inline constexpr double kLeastAlpha = 0.02;
inline constexpr double kMostAlpha = 1.5;

// Density of facet normals per solid angle, projected on the mean plane it integrates to 1.
double facet_density(const Slopes& slopes, const Vec3& normal);

// Smith's Lambda for a direction of either sign of z: masking is G1 = 1 / (1 + Lambda), and
// Lambda(-w) = -1 - Lambda(w).
double smith_lambda(const Slopes& slopes, const Vec3& direction);

// Facet normal as seen from `toward`, of density pdf_visible_normal (GGX by spherical
// caps, Dupuy and Benyoub 2023; Beckmann by inverting the visible slopes, Heitz and d'Eon 2014).
Vec3 sample_visible_normal(const Slopes& slopes, const Vec3& toward, double u_first,
                           double u_second);
double pdf_visible_normal(const Slopes& slopes, const Vec3& toward, const Vec3& normal);

}  // namespace rimeglow
