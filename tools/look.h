// Pictures of a lit panel from where people look at it, written into a folder.
#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <string_view>

#include "ray.h"
#include "scene_files.h"

namespace rimeglow {

struct LookOptions {
  // One place to look from instead of the usual four, when any of them is said.
  std::optional<double> distance_mm, height_mm, bearing_rad;
  bool behind = false;
  std::optional<double> white_cd_m2;
  int pixels = 1000;
  std::optional<std::uint64_t> photons;
  std::uint64_t seed = 1;
  int threads = 0;
  std::optional<std::filesystem::path> folder;
  bool replace = false;
  bool json = false;
};

// The value of the key "schema" in look.json, by which our own files are known again.
inline constexpr std::string_view kLookSchema = "rimeglow look 1";

// Returns an ExitCode.
int look(const LoadedScene& scene, const LookOptions& options, std::ostream& out,
         std::ostream& err);

}  // namespace rimeglow
