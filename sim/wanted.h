// Whether anybody still waits for what is being worked out. Long work asks between small pieces,
// which are so many walks, photons or rows and never a time, and ends by an exception once the
// answer is no; what it was working on is of no use then.
#pragma once

#include <exception>
#include <functional>

namespace rimeglow {

// Asked by every thread that works, several at once.
using IsWanted = std::function<bool()>;
inline bool always() { return true; }

struct Unwanted : std::exception {
  const char* what() const noexcept override { return "nobody waits for this any longer"; }
};

inline void go_on_if(const IsWanted& is_wanted) {
  if (!is_wanted()) throw Unwanted();
}

// Whether a piece of work came to its end: for the threads of a team, which no exception may leave.
template <class Work>
bool is_finished(Work&& work) {
  try {
    work();
    return true;
  } catch (const Unwanted&) {
    return false;
  }
}

}  // namespace rimeglow
