// How far a tracing is, on one line that is written over; on a terminal only.
#pragma once

#include <chrono>
#include <cstdint>
#include <iosfwd>

namespace rimeglow {

// Photons traced between two looks at the keyboard.
inline constexpr std::uint64_t kRound = std::uint64_t{1} << 15;

class Progress {
 public:
  explicit Progress(std::ostream& err);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  // `error` of what is known worst, 0 where nobody asked.
  void show(std::uint64_t photons, std::uint64_t wanted, double error);

 private:
  std::ostream& err_;
  bool shown_;
  bool dim_ = false;
  std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
  double last_ = 0.0;
};

}  // namespace rimeglow
