// Traces a scene until it is known well enough, telling how far it is, and writes what came out.
#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>

#include "scene_files.h"

namespace rimeglow {

struct PredictOptions {
  std::optional<std::uint64_t> photons;  // exactly so many
  std::optional<double> error;           // wanted relative error of the worst known patch
  std::uint64_t seed = 1;
  int threads = 0;
  std::optional<std::filesystem::path> folder;
  bool replace = false;
  bool json = false;
};

// Returns an ExitCode.
int predict(const LoadedScene& scene, const PredictOptions& options, std::ostream& out,
            std::ostream& err);

}  // namespace rimeglow
