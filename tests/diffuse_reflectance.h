// What a smooth boundary throws back of light that comes from all sides: closed forms of painted
// and backed panels are made of it.
#pragma once

#include <cmath>

#include "optics.h"

namespace rimeglow {

// Of a smooth boundary for Lambertian light: 2 int F(c) c dc, by midpoint sums that begin where
// total reflection ends; error below 1e-7.
inline double diffuse_reflectance(double ratio) {
  const double cos_critical = ratio < 1.0 ? std::sqrt(1.0 - ratio * ratio) : 0.0;
  constexpr int kSteps = 20000;
  double sum = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    // cos = cos_critical + (1 - cos_critical) t^2: the square tames the root at the critical angle.
    const double t = (i + 0.5) / kSteps;
    const double cos_incident = cos_critical + (1.0 - cos_critical) * t * t;
    sum += fresnel(ratio, cos_incident) * cos_incident * 2.0 * t;
  }
  return cos_critical * cos_critical + 2.0 * (1.0 - cos_critical) * sum / kSteps;
}

}  // namespace rimeglow
