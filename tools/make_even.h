// The verb `even`: plans one or more scenes, brings a set to one brightness, and writes for each a
// folder with the laser's files, the work note, the report and the scene that burns as planned.
#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <vector>

#include "scene_files.h"

namespace rimeglow {

struct EvenRunOptions {
  std::optional<std::uint64_t> photons;  // of the final figures, exactly so many
  std::uint64_t seed = 1;
  int threads = 0;
  std::optional<std::filesystem::path> folder;  // of several scenes: their folders lie in it
  bool jig = false;
  bool replace = false;
  bool json = false;
};

// Returns an ExitCode. The scenes have no problems.
int even(const std::vector<LoadedScene>& scenes, const EvenRunOptions& options, std::ostream& out,
         std::ostream& err);

}  // namespace rimeglow
