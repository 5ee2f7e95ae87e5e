// Tracing that can be interrupted, and how far work is: on one line that is written over, on a
// terminal only.
#pragma once

#include <chrono>
#include <cstdint>
#include <iosfwd>
#include <span>
#include <string>

#include "interruption.h"
#include "run.h"

namespace rimeglow {

// Photons traced between two looks at the keyboard.
inline constexpr std::uint64_t kRound = std::uint64_t{1} << 15;

// Photons for a picture or a design to compare, where nobody says how many.
inline constexpr std::uint64_t kUsualPhotons = std::uint64_t{1} << 22;

class Progress {
 public:
  explicit Progress(std::ostream& err);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  // `error` of what is known worst, 0 where nobody asked.
  void show(std::uint64_t photons, std::uint64_t wanted, double error);
  void show(const std::string& what);

 private:
  double seconds() const;

  std::ostream& err_;
  bool shown_;
  bool dim_ = false;
  std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
  double last_ = 0.0;
};

// What is shown of the way: a goal that may lie farther, and the error of what is known worst.
struct Goal {
  std::uint64_t photons = 0;
  double error = 0.0;
};

// Traces all runs up to so many photons together, so that they hold the same whenever one stops
// them. False if it was interrupted before.
bool trace_to(std::uint64_t photons, std::span<Run> runs, const Goal& goal,
              const InterruptGuard& guard, Progress& progress);

}  // namespace rimeglow
