// Follows one photon of a scene by its number: its way as a table and as a picture.
#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <string>

#include "scene_files.h"

namespace rimeglow {

struct FollowOptions {
  std::uint64_t photon = 0;
  std::uint64_t seed = 1;
  std::optional<std::string> ending;  // go on to the first photon with this end in the ledger
  std::optional<std::filesystem::path> folder;
  bool replace = false;
  bool json = false;
};

// Returns an ExitCode.
int follow_photon(const LoadedScene& scene, const FollowOptions& options, std::ostream& out,
                  std::ostream& err);

}  // namespace rimeglow
