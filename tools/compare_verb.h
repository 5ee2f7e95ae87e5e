// Sets variants of a scene against it, by the same photons, and writes what differs.
#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "scene_files.h"

namespace rimeglow {

// The scene as it stands and at most five variants of it: more is no picture at a glance.
inline constexpr std::size_t kMostVariants = 5;

struct CompareOptions {
  Changes settings;                 // of all designs alike
  std::string key;                  // --change; empty: the scene's own [[variant]] tables
  std::vector<std::string> values;  // --to
  std::optional<std::uint64_t> photons;
  std::uint64_t seed = 1;
  int threads = 0;
  std::optional<std::filesystem::path> folder;
  bool replace = false;
  bool json = false;
};

// `scene` is the base. Returns an ExitCode.
int compare_designs(const LoadedScene& scene, const CompareOptions& options, std::ostream& out,
                    std::ostream& err);

// The scene's variants, each loaded; what is wrong in them is said on `err`, and then none come.
std::vector<LoadedScene> load_variants(const LoadedScene& scene,
                                       const std::vector<VariantSpec>& variants,
                                       const Changes& settings, std::ostream& err);

}  // namespace rimeglow
