// How the tests judge numbers that come with an error estimated from a run's batches: like
// statistics.h, but by Student's t, for that error is itself uncertain.
#pragma once

#include <cmath>

#include "estimate.h"
#include "statistics.h"

namespace rimeglow::statistics {

// Mean of the batch values and its standard error.
inline Estimate estimate_mean(const BatchValues& values) {
  double mean = 0.0;
  for (const double value : values) mean += value;
  mean /= kBatches;
  double squares = 0.0;
  for (const double value : values) squares += (value - mean) * (value - mean);
  return {mean, std::sqrt(squares / (kBatches * (kBatches - 1.0)))};
}

// How many standard errors an estimate may be off: Student's t with kBatches - 1 degrees of freedom
// from the normal quantile (Abramowitz and Stegun 26.7.5).
inline double t_limit(double level, int comparisons = 1) {
  constexpr double kDegrees = kBatches - 1.0;
  const double z = z_limit(level, comparisons);
  const double z3 = z * z * z;
  const double z5 = z3 * z * z;
  return z + (z3 + z) / (4.0 * kDegrees) +
         (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * kDegrees * kDegrees);
}

// Difference in standard errors from a value known to half a `digit`. `least` bounds the error from
// below, for a share that hardly any photon had.
inline double t_of(const Estimate& estimate, double value, double digit = 0.0, double least = 0.0) {
  const double error = std::max(estimate.standard_error, least);
  return (estimate.mean - value) / std::hypot(error, digit / std::sqrt(12.0));
}

inline double t_between(const Estimate& a, const Estimate& b) {
  return (a.mean - b.mean) / std::hypot(a.standard_error, b.standard_error);
}

}  // namespace rimeglow::statistics
