// Samplers of directions and places, each beside its density. Directions are in a local frame with
// z along the axis; densities are per solid angle.
#pragma once

#include <algorithm>
#include <cmath>

#include "ray.h"
#include "units.h"

namespace rimeglow {

// The point of the unit circle at `turns` of a full turn, 0 <= turns <= 1, within 2e-15: Taylor's
// series of half the angle, doubled. Several times faster than the library's sine and cosine, and
// each emission and each facet asks for one.
inline Vec2 on_circle(double turns) {
  const double half = kPi * (turns - 0.5);
  const double x = half * half;
  double sine = 1.0;
  double cosine = 1.0;
#pragma GCC unroll 10
  for (int k = 10; k > 0; --k) {
    sine = 1.0 - sine * (x * (1.0 / (2 * k * (2 * k + 1))));
    cosine = 1.0 - cosine * (x * (1.0 / (2 * k * (2 * k - 1))));
  }
  sine *= half;
  return {2.0 * sine * sine - 1.0, -2.0 * sine * cosine};
}

inline double sin_axis(double cos_axis) {
  return std::sqrt(std::max(0.0, 1.0 - cos_axis * cos_axis));
}

inline Vec3 direction_at(double cos_axis, double azimuth_rad) {
  const double across = sin_axis(cos_axis);
  return {across * std::cos(azimuth_rad), across * std::sin(azimuth_rad), cos_axis};
}

inline Vec3 direction_at_turn(double cos_axis, double azimuth_turns) {
  const Vec2 azimuth = sin_axis(cos_axis) * on_circle(azimuth_turns);
  return {azimuth.x(), azimuth.y(), cos_axis};
}

// The direction at an angle of cosine `cos_away` from `axis`, a turn's share `turns` about it.
inline Vec3 deflected(const Vec3& axis, double cos_away, double turns) {
  return frame_about(axis).to_world(direction_at_turn(cos_away, turns)).normalized();
}

// Flux of an emitter of intensity I0 cos^m, m >= 0, over its hemisphere: I0 cos^m is the flux per
// solid angle itself, so cos = u^(1/(m+1)). m = 1 is Lambertian.
inline Vec3 sample_cosine_power(double m, double u_cos, double u_azimuth) {
  const double cos_axis = m == 1.0 ? std::sqrt(u_cos) : std::pow(u_cos, 1.0 / (m + 1.0));
  return direction_at_turn(cos_axis, u_azimuth);
}

inline double pdf_cosine_power(double m, const Vec3& direction) {
  if (direction.z() <= 0.0) return 0.0;
  return (m + 1.0) / (2.0 * kPi) * std::pow(direction.z(), m);
}

inline Vec3 sample_lambertian(double u_cos, double u_azimuth) {
  return sample_cosine_power(1.0, u_cos, u_azimuth);
}

}  // namespace rimeglow
