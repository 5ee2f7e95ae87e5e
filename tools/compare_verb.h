// Sets variants of a scene against it, by the same photons, and writes what differs.
#pragma once

#include <iosfwd>
#include <string>
#include <vector>

#include "verb.h"

namespace rimeglow {

// The scene as it stands and at most five variants of it: more is no picture at a glance.
inline constexpr std::size_t kMostVariants = 5;

struct CompareOptions : Tracing {
  Changes settings{};                 // of all designs alike
  std::string key{};                  // --change; empty: the scene's own [[variant]] tables
  std::vector<std::string> values{};  // --to
};

// `scene` is the base. Returns an ExitCode.
int compare_designs(const LoadedScene& scene, const CompareOptions& options, std::ostream& out,
                    std::ostream& err);

// The scene's variants, each loaded; what is wrong in them is said on `err`, and then none come.
std::vector<LoadedScene> load_variants(const LoadedScene& scene,
                                       const std::vector<VariantSpec>& variants,
                                       const Changes& settings, std::ostream& err);

}  // namespace rimeglow
