// A Monte Carlo number as it leaves the library: a mean and its standard error, worked out from
// the run's batches. An Estimate has no arithmetic of its own; whatever is made of several sums is
// estimated from the batches again, by jackknife.
#pragma once

#include <array>
#include <cmath>
#include <functional>

namespace rimeglow {

inline constexpr int kBatches = 64;

struct Estimate {
  double mean = 0.0;
  double standard_error = 0.0;
};

// Below this many standard errors a difference is not told from none.
inline constexpr double kTelling = 2.0;
inline bool is_telling(const Estimate& difference) {
  return std::abs(difference.mean) > kTelling * difference.standard_error;
}

// One value per batch.
using BatchValues = std::array<double, kBatches>;

// A metric of all batches, and of all but each one of them: what jackknife works on.
struct Replicates {
  double all = 0.0;
  BatchValues without{};
};

// `metric` is a function of the totals left when one batch is omitted: called with kEveryBatch for
// all of them, with 0..kBatches-1 for all but that one.
inline constexpr int kEveryBatch = -1;
Replicates replicates(const std::function<double(int omitted)>& metric);

Estimate jackknife(const Replicates& metric);
Estimate jackknife(const std::function<double(int omitted)>& metric);

// Of two runs by the same photons: batch k is left out of both at once, so what they have in common
// is in neither the result nor its error.
Replicates operator-(const Replicates& metric, const Replicates& base);
Replicates operator/(const Replicates& metric, const Replicates& base);
Estimate difference(const Replicates& metric, const Replicates& base);
Estimate ratio(const Replicates& metric, const Replicates& base);

// Half width of the two-sided 95 % interval: Student's t with kBatches - 1 degrees of freedom.
double half_width_95(const Estimate& estimate);

}  // namespace rimeglow
