// How the statistical tests judge: normal and chi-square limits, errors of counts, and numbered
// uniforms. A test names its false-alarm level, the chance that right code fails it under another
// seed; with several comparisons in it each gets its Sidak-corrected part of that level.
// Compile with -DRIMEGLOW_TEST_SEED=... to try other seeds.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <span>

#include "rng.h"

#ifndef RIMEGLOW_TEST_PHOTON_DIVISOR
#define RIMEGLOW_TEST_PHOTON_DIVISOR 1
#endif
#ifndef RIMEGLOW_TEST_SEED
#define RIMEGLOW_TEST_SEED 20260
#endif

namespace rimeglow::statistics {

inline constexpr std::uint64_t kSeed = RIMEGLOW_TEST_SEED;

// Of every test that names no other.
inline constexpr double kFalseAlarm = 1e-4;

// How many samples a test draws where it would draw `full` of them in a release build.
constexpr int samples(int full) { return std::max(500, full / RIMEGLOW_TEST_PHOTON_DIVISOR); }

// Uniforms for the test itself: `stream` keeps tests apart from one another and from the draws of
// the code under test, whose seed is kSeed.
inline Uniforms uniforms(std::uint64_t stream, std::uint64_t k) {
  return Draws(kSeed ^ (stream << 40), k).at(0);
}

// Standard error of a share p counted over n.
inline double binomial_sigma(double p, double n) {
  return std::sqrt(std::max(0.0, p * (1.0 - p)) / n);
}

// The level of each of `comparisons` independent ones of which none may fail by chance.
inline double sidak(double level, int comparisons) {
  return -std::expm1(std::log1p(-level) / comparisons);
}

// How many standard errors a two-sided comparison may be off, by bisection of the normal law.
inline double z_limit(double level, int comparisons = 1) {
  const double each = sidak(level, comparisons);
  double low = 0.0;
  double high = 40.0;
  for (int step = 0; step < 100; ++step) {
    const double middle = 0.5 * (low + high);
    (std::erfc(middle / std::sqrt(2.0)) > each ? low : high) = middle;
  }
  return high;
}

// Chance that chi-square of so many degrees of freedom exceeds `value`: the regularised upper
// incomplete gamma function, by its series or continued fraction (Abramowitz and Stegun 6.5).
inline double chi_square_tail(double value, double degrees) {
  const double a = 0.5 * degrees;
  const double x = 0.5 * value;
  if (x <= 0.0) return 1.0;
  const double front = std::exp(a * std::log(x) - x - std::lgamma(a));
  constexpr int kTerms = 2000;
  if (x < a + 1.0) {
    double term = 1.0 / a;
    double sum = term;
    for (int k = 1; k < kTerms && term > 1e-15 * sum; ++k) sum += term *= x / (a + k);
    return 1.0 - front * sum;
  }
  double fraction = 0.0;
  for (int k = kTerms; k > 0; --k) fraction = k * (k - a) / (x + 2.0 * k + 1.0 - a - fraction);
  return front / (x + 1.0 - a - fraction);
}

struct ChiSquare {
  double value = 0.0;
  int cells = 0;      // after merging
  double tail = 1.0;  // the chance of a larger value
};

// Counts against what the density expects, both over the same cells. Neighbours are merged until
// at least five are expected. The expected counts sum to the number of samples, so one degree of
// freedom is lost.
inline ChiSquare chi_square(std::span<const double> observed, std::span<const double> expected) {
  constexpr double kLeastExpected = 5.0;
  ChiSquare result;
  double seen = 0.0;
  double due = 0.0;
  for (std::size_t i = 0; i < observed.size(); ++i) {
    seen += observed[i];
    due += expected[i];
    if (due < kLeastExpected) continue;
    result.value += (seen - due) * (seen - due) / due;
    ++result.cells;
    seen = due = 0.0;
  }
  // What is left is too little for a cell; many samples in it are still wrong.
  if (seen > 0.0 || due > 0.0) {
    result.value += (seen - due) * (seen - due) / std::max(due, 1.0);
    ++result.cells;
  }
  result.tail = chi_square_tail(result.value, std::max(1, result.cells - 1));
  return result;
}

// A running mean and its standard error.
struct Average {
  double sum = 0.0;
  double squares = 0.0;
  double count = 0.0;

  void add(double value) {
    sum += value;
    squares += value * value;
    count += 1.0;
  }
  void add_all(const Average& others) {
    sum += others.sum;
    squares += others.squares;
    count += others.count;
  }
  double mean() const { return sum / count; }
  double sigma() const {
    return std::sqrt(std::max(0.0, squares / count - mean() * mean()) / (count - 1.0));
  }
};

}  // namespace rimeglow::statistics
