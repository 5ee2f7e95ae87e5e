// Laws of sim/estimate: means, jackknife and intervals from 64 batches, on made-up batches whose
// truth is known.
#include "estimate.h"

#include <gtest/gtest.h>

#include <cmath>

#include "batch_statistics.h"
#include "units.h"

namespace rimeglow::estimate_test {
namespace {

// A standard normal number by Box and Muller 1958.
double normal(std::uint64_t stream, std::uint64_t k) {
  const Uniforms u = statistics::uniforms(stream, k);
  return std::sqrt(-2.0 * std::log(u[0])) * std::cos(2.0 * kPi * u[1]);
}

BatchValues normal_batches(std::uint64_t stream, std::uint64_t trial, double mean, double sigma) {
  BatchValues values;
  for (std::size_t b = 0; b < kBatches; ++b) {
    values[b] = mean + sigma * normal(stream, trial * kBatches + b);
  }
  return values;
}

double total_without(const BatchValues& values, int omitted) {
  double sum = 0.0;
  for (int b = 0; b < kBatches; ++b) {
    if (b != omitted) sum += values[static_cast<std::size_t>(b)];
  }
  return sum;
}

// By the jackknife, as the program has it.
Estimate mean_of(const BatchValues& values) {
  return jackknife([&](int omitted) {
    return total_without(values, omitted) / (omitted == kEveryBatch ? kBatches : kBatches - 1);
  });
}

TEST(Estimate, EqualBatchesAreCertain) {
  BatchValues values;
  values.fill(3.5);
  const Estimate estimate = mean_of(values);
  EXPECT_EQ(estimate.mean, 3.5);
  EXPECT_EQ(estimate.standard_error, 0.0);
}

// 0, 1, ..., 63: mean 31.5, sample variance 64 * 65 / 12 (derived).
TEST(Estimate, CountingBatchesHaveTheirKnownMeanAndError) {
  BatchValues values;
  for (int b = 0; b < kBatches; ++b) values[static_cast<std::size_t>(b)] = b;
  const Estimate estimate = mean_of(values);
  EXPECT_NEAR(estimate.mean, 31.5, 1e-12);
  EXPECT_NEAR(estimate.standard_error, std::sqrt(64.0 * 65.0 / 12.0 / 64.0), 1e-12);
}

// Exactly, whatever the batches.
TEST(Estimate, TheJackknifeOfAMeanIsTheMean) {
  const BatchValues values = normal_batches(71, 0, 5.0, 2.0);
  const Estimate direct = statistics::estimate_mean(values);
  const Estimate omitting = mean_of(values);
  EXPECT_NEAR(omitting.mean, direct.mean, 1e-12);
  EXPECT_NEAR(omitting.standard_error, direct.standard_error, 1e-12);
}

// Ratio of correlated sums: error by the delta method, (s_y^2 - 2 r s_xy + r^2 s_x^2) / (64 x^2)
// of the same batches; they differ by terms of order 1/64.
TEST(Estimate, TheJackknifeOfARatioAgreesWithTheDeltaMethod) {
  for (std::uint64_t trial = 0; trial < 20; ++trial) {
    BatchValues x = normal_batches(72, trial, 10.0, 0.5);
    BatchValues y = normal_batches(73, trial, 4.0, 0.3);
    for (std::size_t b = 0; b < kBatches; ++b) y[b] += 0.4 * (x[b] - 10.0);
    const Estimate ratio = jackknife(
        [&](int omitted) { return total_without(y, omitted) / total_without(x, omitted); });
    const double mean_x = statistics::estimate_mean(x).mean;
    const double r = statistics::estimate_mean(y).mean / mean_x;
    BatchValues residual;
    for (std::size_t b = 0; b < kBatches; ++b) residual[b] = (y[b] - r * x[b]) / mean_x;
    EXPECT_NEAR(ratio.mean, r, 1e-12);
    EXPECT_NEAR(ratio.standard_error, statistics::estimate_mean(residual).standard_error,
                0.02 * ratio.standard_error);
  }
}

// The 0.975 quantile of Student's t with 63 degrees of freedom, by integrating its density: half of
// 0.95 lies between 0 and it.
TEST(Estimate, TheHalfWidthIsStudents) {
  const double degrees = kBatches - 1.0;
  const double quantile = half_width_95({0.0, 1.0});
  constexpr int kSteps = 100000;
  double integral = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double t = quantile * (i + 0.5) / kSteps;
    integral += std::pow(1.0 + t * t / degrees, -0.5 * (degrees + 1.0)) * quantile / kSteps;
  }
  const double norm = std::exp(std::lgamma(0.5 * (degrees + 1.0)) - std::lgamma(0.5 * degrees)) /
                      std::sqrt(degrees * kPi);
  EXPECT_NEAR(norm * integral, 0.475, 1e-6);
}

// Intervals of means hold the truth in 95 % of trials, of ratios and of skewed batches (squares of
// normal numbers) nearly. False-alarm level 1e-4; sees a coverage wrong by 1 %.
TEST(Estimate, IntervalsHoldTheTruthAsOftenAsTheySay) {
  const int trials = statistics::samples(6000);
  int mean_holds = 0;
  int ratio_holds = 0;
  int skewed_holds = 0;
  for (int n = 0; n < trials; ++n) {
    const auto trial = static_cast<std::uint64_t>(n);
    const BatchValues x = normal_batches(74, trial, 10.0, 1.0);
    const BatchValues y = normal_batches(75, trial, 4.0, 1.0);
    const Estimate mean = mean_of(y);
    mean_holds += std::abs(mean.mean - 4.0) <= half_width_95(mean);
    const Estimate ratio = jackknife(
        [&](int omitted) { return total_without(y, omitted) / total_without(x, omitted); });
    ratio_holds += std::abs(ratio.mean - 0.4) <= half_width_95(ratio);
    BatchValues squares;
    for (std::size_t b = 0; b < kBatches; ++b) squares[b] = (y[b] - 4.0) * (y[b] - 4.0);
    const Estimate skewed = mean_of(squares);
    skewed_holds += std::abs(skewed.mean - 1.0) <= half_width_95(skewed);
  }
  const double error =
      statistics::z_limit(statistics::kFalseAlarm, 3) * statistics::binomial_sigma(0.95, trials);
  EXPECT_NEAR(static_cast<double>(mean_holds) / trials, 0.95, error);
  EXPECT_NEAR(static_cast<double>(ratio_holds) / trials, 0.95, error + 0.003);
  EXPECT_NEAR(static_cast<double>(skewed_holds) / trials, 0.94, error + 0.01);
}

}  // namespace
}  // namespace rimeglow::estimate_test
