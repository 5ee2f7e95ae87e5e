#include "estimate.h"

#include <cmath>

namespace rimeglow {
namespace {

template <class Combine>
Replicates combined(const Replicates& a, const Replicates& b, Combine combine) {
  Replicates both;
  both.all = combine(a.all, b.all);
  for (std::size_t i = 0; i < both.without.size(); ++i) {
    both.without[i] = combine(a.without[i], b.without[i]);
  }
  return both;
}

}  // namespace

Replicates replicates(const std::function<double(int omitted)>& metric) {
  Replicates values;
  values.all = metric(kEveryBatch);
  for (int batch = 0; batch < kBatches; ++batch) {
    values.without[static_cast<std::size_t>(batch)] = metric(batch);
  }
  return values;
}

Estimate jackknife(const Replicates& metric) {
  double mean = 0.0;
  for (const double value : metric.without) mean += value / kBatches;
  double squares = 0.0;
  for (const double value : metric.without) squares += (value - mean) * (value - mean);
  return {metric.all, std::sqrt(squares * (kBatches - 1.0) / kBatches)};
}

Estimate jackknife(const std::function<double(int omitted)>& metric) {
  return jackknife(replicates(metric));
}

Replicates operator-(const Replicates& metric, const Replicates& base) {
  return combined(metric, base, [](double of, double from) { return of - from; });
}

Replicates operator/(const Replicates& metric, const Replicates& base) {
  return combined(metric, base, [](double of, double to) { return of / to; });
}

Estimate difference(const Replicates& metric, const Replicates& base) {
  return jackknife(metric - base);
}

Estimate ratio(const Replicates& metric, const Replicates& base) {
  return jackknife(metric / base);
}

double half_width_95(const Estimate& estimate) {
  constexpr double kStudent63 = 1.99834;  // 0.975 quantile of Student's t, 63 degrees of freedom
  return kStudent63 * estimate.standard_error;
}

}  // namespace rimeglow
