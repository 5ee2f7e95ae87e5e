// Light at a smooth boundary and along its way: Snell, Fresnel, total reflection, Beer-Lambert.
// Pure functions. Light is unpolarised at every meeting: carrying polarisation from one surface to
// the next would raise the light that crosses a clear sheet lengthwise by 0.7 % (derived).
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

#include "ray.h"

namespace rimeglow {

// Whether light inside acrylic of `index` at `cos_incident` from the normal is totally reflected.
inline bool totally_reflected(double index, double cos_incident) {
  return (1.0 - cos_incident * cos_incident) * index * index >= 1.0;
}

// Below this cosine from the normal light inside is totally reflected.
inline double critical_cosine(double index) {
  return std::sqrt(std::max(0.0, 1.0 - 1.0 / (index * index)));
}

// Light at a smooth boundary: its reflected share when unpolarised (Fresnel; Born and Wolf,
// Principles of Optics, 1.5.2) and the cosine beyond it (Snell), 0 under total reflection.
struct Boundary {
  double reflectance = 1.0;
  double cos_refracted = 0.0;
};

// `ratio` = index beyond / index on this side; 0 <= cos_incident <= 1.
inline Boundary boundary(double ratio, double cos_incident) {
  const double sin2_refracted = (1.0 - cos_incident * cos_incident) / (ratio * ratio);
  if (sin2_refracted >= 1.0) return {};
  const double cos_refracted = std::sqrt(1.0 - sin2_refracted);
  const double a = ratio * cos_refracted;
  const double b = ratio * cos_incident;
  const double s = (cos_incident - a) / (cos_incident + a);
  const double p = (b - cos_refracted) / (b + cos_refracted);
  return {0.5 * (s * s + p * p), cos_refracted};
}

inline double fresnel(double ratio, double cos_incident) {
  return boundary(ratio, cos_incident).reflectance;
}

inline Vec3 reflect(const Vec3& direction, const Vec3& normal) {
  return direction - 2.0 * direction.dot(normal) * normal;
}

// Direction beyond a boundary whose cosines on both sides are known (Snell).
inline Vec3 refracted(const Vec3& direction, const Vec3& normal, double ratio, double cos_incident,
                      double cos_refracted) {
  const double along = cos_incident / ratio - cos_refracted;
  return Vec3(direction / ratio + along * normal).normalized();
}

// The same, or none under total reflection. `normal` is the side's unit normal against which the
// light travels: direction . normal < 0.
inline std::optional<Vec3> refract(const Vec3& direction, const Vec3& normal, double ratio) {
  const double cos_incident = -direction.dot(normal);
  const double sin2_refracted = (1.0 - cos_incident * cos_incident) / (ratio * ratio);
  if (sin2_refracted >= 1.0) return std::nullopt;
  return refracted(direction, normal, ratio, cos_incident, std::sqrt(1.0 - sin2_refracted));
}

// Share that is left after a way through an absorbing sheet (Beer-Lambert).
inline double transmittance(double absorption_per_mm, double way_mm) {
  return std::exp(-absorption_per_mm * way_mm);
}

// What is left of a photon's light, and what the sheet took of it.
struct Weight {
  double left = 1.0;
  double absorbed = 0.0;

  void fade(double absorption_per_mm, double way_mm) {
    if (way_mm != stride_mm_) {  // zigzags repeat their stride to the last bit
      stride_mm_ = way_mm;
      stride_transmittance_ = transmittance(absorption_per_mm, way_mm);
    }
    const double before = left;
    left *= stride_transmittance_;
    absorbed += before - left;
  }

 private:
  double stride_mm_ = 0.0;
  double stride_transmittance_ = 1.0;
};

// Cosine of the angle of scattering in haze of mean cosine g (Henyey and Greenstein 1941,
// Astrophysical Journal 93, 70), -1 < g < 1.
inline double henyey_greenstein(double g, double u) {
  if (std::abs(g) < 1e-6) return 2.0 * u - 1.0;
  const double root = (1.0 - g * g) / (1.0 - g + 2.0 * g * u);
  return (1.0 + g * g - root * root) / (2.0 * g);
}

}  // namespace rimeglow
