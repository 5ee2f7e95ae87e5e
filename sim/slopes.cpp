#include "slopes.h"

#include <algorithm>
#include <cmath>

#include "sampling.h"

namespace rimeglow {
namespace {

// The direction as the surface of unit slopes sees it, not normalised.
Vec3 stretched(const Slopes& slopes, const Vec3& v) {
  return {slopes.alpha_x * v.x(), slopes.alpha_y * v.y(), v.z()};
}

// Inverse of the error function: Winitzki's approximation (2008) made exact by two Newton steps.
double inverse_erf(double y) {
  constexpr double kFit = 0.147;
  const double log_term = std::log1p(-y * y);
  const double half = 2.0 / (kPi * kFit) + 0.5 * log_term;
  double x = std::copysign(std::sqrt(std::sqrt(half * half - log_term / kFit) - half), y);
  for (int step = 0; step < 2; ++step) {
    x -= (std::erf(x) - y) * 0.5 * std::sqrt(kPi) * std::exp(x * x);
  }
  return x;
}

// Beckmann slopes of alpha 1 seen from a direction in the x-z plane: the share of the projected
// area that belongs to slopes along x below `slope`, times the area (integral of the visible
// slopes' density).
double visible_below(double sin_toward, double cos_toward, double slope) {
  return 0.5 * cos_toward * std::erfc(-slope) +
         0.5 * sin_toward * std::exp(-slope * slope) / std::sqrt(kPi);
}

double sample_beckmann_slope(double sin_toward, double cos_toward, double u) {
  constexpr double kSteepest = 6.0;  // beyond, less than 1e-16 of the slopes
  constexpr double kPrecision = 1e-9;
  double low = -kSteepest;
  double high = std::min(kSteepest, cos_toward / std::max(sin_toward, 1e-12));
  const double wanted = u * visible_below(sin_toward, cos_toward, high);
  double slope = 0.5 * (low + high);
  double step = high - low;
  while (std::abs(step) > kPrecision) {
    const double excess = visible_below(sin_toward, cos_toward, slope) - wanted;
    (excess > 0.0 ? high : low) = slope;
    const double density =
        (cos_toward - slope * sin_toward) * std::exp(-slope * slope) / std::sqrt(kPi);
    step = -excess / density;
    // Newton's step where it stays between the bounds, else halve them.
    const bool inside = slope + step >= low && slope + step <= high;
    if (!inside) step = 0.5 * (low + high) - slope;
    slope += step;
  }
  return slope;
}

Vec3 sample_visible_beckmann(const Slopes& slopes, const Vec3& toward, double u_along,
                             double u_across) {
  const Vec3 w = stretched(slopes, toward).normalized();
  const double sin_toward = std::hypot(w.x(), w.y());
  const double along = sample_beckmann_slope(sin_toward, w.z(), u_along);
  const double across = inverse_erf(2.0 * u_across - 1.0);
  const Vec2 axis = sin_toward > 0.0 ? Vec2(w.x() / sin_toward, w.y() / sin_toward) : Vec2::UnitX();
  const Vec2 slope(axis.x() * along - axis.y() * across, axis.y() * along + axis.x() * across);
  return Vec3(-slopes.alpha_x * slope.x(), -slopes.alpha_y * slope.y(), 1.0).normalized();
}

Vec3 sample_visible_ggx(const Slopes& slopes, const Vec3& toward, double u_height,
                        double u_azimuth) {
  // Stretched by the slopes the surface is a hemisphere; its visible normals are the half vectors
  // of `toward` and a uniform point of a spherical cap.
  const Vec3 w = stretched(slopes, toward).normalized();
  const double height = (1.0 - u_height) * (1.0 + w.z()) - w.z();
  const Vec3 normal = direction_at_turn(height, u_azimuth) + w;
  return stretched(slopes, Vec3(normal.x(), normal.y(), std::max(normal.z(), 0.0))).normalized();
}

}  // namespace

double facet_density(const Slopes& slopes, const Vec3& normal) {
  if (normal.z() <= 0.0) return 0.0;
  const double x = normal.x() / slopes.alpha_x;
  const double y = normal.y() / slopes.alpha_y;
  const double z2 = normal.z() * normal.z();
  const double scale = 1.0 / (kPi * slopes.alpha_x * slopes.alpha_y);
  if (slopes.law == SlopeLaw::beckmann) return scale * std::exp(-(x * x + y * y) / z2) / (z2 * z2);
  const double sum = x * x + y * y + z2;
  return scale / (sum * sum);
}

double smith_lambda(const Slopes& slopes, const Vec3& direction) {
  const double x = slopes.alpha_x * direction.x();
  const double y = slopes.alpha_y * direction.y();
  const double z = direction.z();
  if (slopes.law == SlopeLaw::beckmann) {
    const double q = z / std::sqrt(x * x + y * y);
    if (std::isinf(q)) return q > 0.0 ? 0.0 : -1.0;
    return 0.5 * (std::exp(-q * q) / (q * std::sqrt(kPi)) - std::erfc(q));
  }
  const double root = std::sqrt(1.0 + (x * x + y * y) / (z * z));
  return z > 0.0 ? 0.5 * (root - 1.0) : -0.5 * (root + 1.0);
}

Vec3 sample_visible_normal(const Slopes& slopes, const Vec3& toward, double u_first,
                           double u_second) {
  if (slopes.law == SlopeLaw::beckmann) {
    return sample_visible_beckmann(slopes, toward, u_first, u_second);
  }
  return sample_visible_ggx(slopes, toward, u_first, u_second);
}

double pdf_visible_normal(const Slopes& slopes, const Vec3& toward, const Vec3& normal) {
  const double cos_facet = toward.dot(normal);
  if (cos_facet <= 0.0 || toward.z() == 0.0) return 0.0;
  const double projected = (1.0 + smith_lambda(slopes, toward)) * toward.z();
  return cos_facet * facet_density(slopes, normal) / projected;
}

}  // namespace rimeglow
