#include "verb.h"

#include <ostream>

#include "progress.h"

namespace rimeglow {

RunSettings run_settings(const Tracing& options) {
  RunSettings settings;
  settings.seed = options.seed;
  settings.threads = options.threads;
  return settings;
}

bool trace_as_asked(std::span<Run> runs, const Tracing& options, const InterruptGuard& guard,
                    std::ostream& err) {
  Progress progress(err);
  return trace_to(options.photons.value_or(kUsualPhotons), runs, {}, guard, progress);
}

std::string interrupted_after(std::uint64_t photons) {
  return "Interrupted after " + std::to_string(photons) +
         " photons: this is what was reached by then.";
}

void tell_warnings(const std::vector<std::string>& warnings, std::ostream& out) {
  for (const std::string& warning : warnings) out << "  Mind: " << printable(warning) << "\n";
}

}  // namespace rimeglow
