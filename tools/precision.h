// When a run has told enough: its error is looked at after fixed numbers of photons, never by the
// clock, so that the same scene ends with the same photons on any machine, in `predict` and on the
// page.
#pragma once

#include <cstdint>

#include "run.h"

namespace rimeglow {

inline constexpr double kUsualError = 0.02;

class Precision {
 public:
  enum class Finding { more, reached, exhausted };

  explicit Precision(double wanted_error = kUsualError) : wanted_(wanted_error) {}

  std::uint64_t next_look() const { return next_; }

  // To be asked when the run holds next_look() photons.
  Finding look(const Run& run);

  double error() const { return error_; }  // at the last look; 0 before
  // Photons at which the error should be small enough.
  std::uint64_t goal() const { return goal_; }

 private:
  // Never fewer, or the picture is grainy: single cells are known worse than whole patches.
  static constexpr std::uint64_t kFewestPhotons = std::uint64_t{1} << 22;

  double wanted_;
  double error_ = 0.0;
  std::uint64_t next_ = kFewestPhotons;
  std::uint64_t goal_ = kFewestPhotons;
};

}  // namespace rimeglow
