// Traces a scene until it is known well enough, telling how far it is, and writes what came out.
#pragma once

#include <iosfwd>
#include <optional>

#include "verb.h"

namespace rimeglow {

struct PredictOptions : Tracing {
  std::optional<double> error{};  // wanted relative error of the worst known patch
};

// Returns an ExitCode.
int predict(const LoadedScene& scene, const PredictOptions& options, std::ostream& out,
            std::ostream& err);

}  // namespace rimeglow
