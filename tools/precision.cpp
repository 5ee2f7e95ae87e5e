#include "precision.h"

#include <algorithm>

#include "glow.h"

namespace rimeglow {
namespace {

constexpr double kGrowth = 1.5;  // of the photons between two looks

// Were the error to shrink as one over the root.
std::uint64_t expected_photons(std::uint64_t photons, double error, double wanted) {
  const double ratio = error > 0.0 ? error / wanted : 1.0;
  const double count = static_cast<double>(photons) * ratio * ratio;
  return static_cast<std::uint64_t>(std::min(count, static_cast<double>(kPhotonCeiling)));
}

}  // namespace

Precision::Finding Precision::look(const Run& run) {
  error_ = worst_relative_error(run);
  if (error_ <= wanted_) return Finding::reached;
  if (run.photons == kPhotonCeiling) return Finding::exhausted;
  goal_ = expected_photons(run.photons, error_, wanted_);
  next_ =
      std::min(kPhotonCeiling, static_cast<std::uint64_t>(static_cast<double>(next_) * kGrowth));
  return Finding::more;
}

}  // namespace rimeglow
