// Samplers of directions and places, each beside its density. Directions are in a local frame with
// z along the axis; densities are per solid angle.
#pragma once

#include <algorithm>
#include <cmath>

#include "ray.h"
#include "units.h"

namespace rimeglow {

inline Vec3 direction_at(double cos_axis, double azimuth_rad) {
  const double sin_axis = std::sqrt(std::max(0.0, 1.0 - cos_axis * cos_axis));
  return {sin_axis * std::cos(azimuth_rad), sin_axis * std::sin(azimuth_rad), cos_axis};
}

// Flux of an emitter of intensity I0 cos^m, m >= 0, over its hemisphere: I0 cos^m is the flux per
// solid angle itself, so cos = u^(1/(m+1)). m = 1 is Lambertian.
inline Vec3 sample_cosine_power(double m, double u_cos, double u_azimuth) {
  const double cos_axis = m == 1.0 ? std::sqrt(u_cos) : std::pow(u_cos, 1.0 / (m + 1.0));
  return direction_at(cos_axis, 2.0 * kPi * u_azimuth);
}

inline double pdf_cosine_power(double m, const Vec3& direction) {
  if (direction.z() <= 0.0) return 0.0;
  return (m + 1.0) / (2.0 * kPi) * std::pow(direction.z(), m);
}

inline Vec3 sample_lambertian(double u_cos, double u_azimuth) {
  return sample_cosine_power(1.0, u_cos, u_azimuth);
}

inline double pdf_lambertian(const Vec3& direction) { return pdf_cosine_power(1.0, direction); }

}  // namespace rimeglow
