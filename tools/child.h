// Work on bytes from strangers in a process of its own, with limits on memory, processor time and
// wall time, so that whatever they do to a library ends there. The child sees no open file but its
// pipe, writes no file, and does not outlive its parent. Linux only.
#pragma once

#include <chrono>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>

namespace rimeglow {

struct ChildLimits {
  std::size_t memory_bytes = 1'500'000'000;  // beyond what the program uses already
  unsigned processor_s = 20;
  std::chrono::milliseconds wall{60'000};
  std::size_t answer_bytes = 100'000'000;
};

struct ChildAnswer {
  std::optional<std::string> bytes;  // what `work` returned, whole, or nothing
  std::string failure;               // else why: "it took more than 10 s of processor time"
};

// Throws std::system_error when no process can be had. `work` should throw nothing but
// std::bad_alloc, and must not use OpenMP: after a fork its threads are gone.
ChildAnswer run_in_child(const std::function<std::string()>& work, const ChildLimits& limits);

}  // namespace rimeglow
