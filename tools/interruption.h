// Ctrl-C and SIGTERM. Until light is traced there is nothing to keep, so the program ends at once;
// while it is, the first only asks to stop, and the second ends the program.
#pragma once

#include <csignal>

namespace rimeglow {

// From now on either signal ends the program with kInterrupted and says so; besides, that nothing
// was written, if nothing was.
void end_when_interrupted();

// A file is about to be made.
void note_writing();

// While it lives, the first signal only makes `interrupted()` true.
class InterruptGuard {
 public:
  InterruptGuard();
  ~InterruptGuard();
  InterruptGuard(const InterruptGuard&) = delete;
  InterruptGuard& operator=(const InterruptGuard&) = delete;

  bool interrupted() const;

 private:
  struct sigaction old_int_{};
  struct sigaction old_term_{};
};

}  // namespace rimeglow
