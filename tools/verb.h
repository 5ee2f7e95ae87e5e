// What all verbs share that trace light and write a folder: their options and their last words.
#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "run.h"
#include "scene_files.h"

namespace rimeglow {

class InterruptGuard;

struct Writing {
  std::string folder;  // empty: the verb's own, named after the scene
  bool replace = false;
  bool json = false;
  std::uint64_t seed = 1;

  std::filesystem::path folder_for(const LoadedScene& scene, const std::string& own) const {
    return folder.empty() ? scene.file.stem().string() + "-" + own : folder;
  }
};

struct Tracing : Writing {
  std::optional<std::uint64_t> photons;  // exactly so many
  int threads = 0;                       // 0: as many as the machine offers
};

RunSettings run_settings(const Tracing& options);

// Traces as many as asked, or as usual for pictures. False if it was interrupted before.
bool trace_as_asked(std::span<Run> runs, const Tracing& options, const InterruptGuard& guard,
                    std::ostream& err);

std::string interrupted_after(std::uint64_t photons);

void tell_warnings(const std::vector<std::string>& warnings, std::ostream& out);

}  // namespace rimeglow
