#include "estimate.h"

#include <cmath>

namespace rimeglow {

Estimate estimate_mean(const BatchValues& values) {
  double mean = 0.0;
  for (const double value : values) mean += value;
  mean /= kBatches;
  double squares = 0.0;
  for (const double value : values) squares += (value - mean) * (value - mean);
  return {mean, std::sqrt(squares / (kBatches * (kBatches - 1.0)))};
}

Estimate jackknife(const std::function<double(int omitted)>& metric) {
  const double all = metric(kEveryBatch);
  BatchValues without;
  double mean = 0.0;
  for (int batch = 0; batch < kBatches; ++batch) {
    without[static_cast<std::size_t>(batch)] = metric(batch);
    mean += without[static_cast<std::size_t>(batch)] / kBatches;
  }
  double squares = 0.0;
  for (const double value : without) squares += (value - mean) * (value - mean);
  return {all, std::sqrt(squares * (kBatches - 1.0) / kBatches)};
}

double half_width_95(const Estimate& estimate) {
  constexpr double kStudent63 = 1.99834;  // 0.975 quantile of Student's t, 63 degrees of freedom
  return kStudent63 * estimate.standard_error;
}

}  // namespace rimeglow
