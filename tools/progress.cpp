#include "progress.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>
#include <string>

#include "scene_files.h"
#include "words.h"

namespace rimeglow {

Progress::Progress(std::ostream& err)
    : err_(err), shown_(&err == &std::cerr && isatty(STDERR_FILENO) == 1) {
  const char* colour = std::getenv("NO_COLOR");
  dim_ = shown_ && !(colour && *colour);
}

Progress::~Progress() {
  if (shown_ && last_ > 0.0) err_ << "\r\x1b[K" << std::flush;
}

void Progress::show(std::uint64_t photons, std::uint64_t wanted, double error) {
  if (!shown_) return;
  const double now = seconds();
  if (now - last_ < 0.1) return;
  const double rate = static_cast<double>(photons) / std::max(now, 1e-3);
  const double left = static_cast<double>(wanted - std::min(wanted, photons)) / rate;
  std::string line = spoken(static_cast<double>(photons) / 1e6) + " million photons, " +
                     spoken(rate / 1e6) + " million a second";
  if (error > 0.0) line += ", good to " + percent(error);
  line += ", " + spoken(std::ceil(left)) + " s to go";
  show(line);
}

void Progress::show(const std::string& what) {
  if (!shown_) return;
  last_ = seconds();
  err_ << "\r\x1b[K" << (dim_ ? "\x1b[2m" : "") << printable(what) << (dim_ ? "\x1b[0m" : "")
       << std::flush;
}

double Progress::seconds() const {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin_).count();
}

bool trace_to(std::uint64_t photons, std::span<Run> runs, const Goal& goal,
              const InterruptGuard& guard, Progress& progress) {
  const std::uint64_t wanted = std::max(goal.photons, photons) * runs.size();
  const Run& first = runs.front();
  while (first.photons < photons) {
    const std::uint64_t round = std::min(kRound, photons - first.photons);
    for (Run& run : runs) advance(run, round);
    if (guard.interrupted()) return first.photons >= photons;
    progress.show(first.photons * runs.size(), wanted, goal.error);
  }
  return true;
}

}  // namespace rimeglow
