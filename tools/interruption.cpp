#include "interruption.h"

#include <atomic>
#include <string_view>

#include <unistd.h>

#include "cli.h"

namespace rimeglow {
namespace {

volatile std::sig_atomic_t noted = 0;
std::atomic<bool> has_written = false;
static_assert(std::atomic<bool>::is_always_lock_free);  // a handler reads it

// Only what may be done in the middle of anything: no streams, no allocation, no destructors.
void end(int) {
  constexpr std::string_view kWords = "\nrimeglow: interrupted\n";
  constexpr std::string_view kWordsOfNothing = "\nrimeglow: interrupted; nothing was written\n";
  const std::string_view words = has_written ? kWords : kWordsOfNothing;
  if (write(STDERR_FILENO, words.data(), words.size()) < 0) _exit(kInterrupted);
  _exit(kInterrupted);
}

void note(int) {
  if (noted != 0) end(0);
  noted = 1;
}

void handle(void (*handler)(int), struct sigaction* old_int, struct sigaction* old_term) {
  struct sigaction action{};
  action.sa_handler = handler;
  sigaction(SIGINT, &action, old_int);
  sigaction(SIGTERM, &action, old_term);
}

}  // namespace

void note_writing() { has_written = true; }

void end_when_interrupted() { handle(end, nullptr, nullptr); }

InterruptGuard::InterruptGuard() {
  noted = 0;
  handle(note, &old_int_, &old_term_);
}

InterruptGuard::~InterruptGuard() {
  sigaction(SIGINT, &old_int_, nullptr);
  sigaction(SIGTERM, &old_term_, nullptr);
}

bool InterruptGuard::interrupted() const { return noted != 0; }

}  // namespace rimeglow
