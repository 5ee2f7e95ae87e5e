// Pictures of a lit panel from where people look at it, written into a folder.
#pragma once

#include <iosfwd>
#include <optional>
#include <string_view>

#include "verb.h"

namespace rimeglow {

struct LookOptions : Tracing {
  // One place to look from instead of the usual four, when any of them is said.
  std::optional<double> distance_mm{}, height_mm{}, bearing_rad{};
  bool behind = false;
  std::optional<double> white_cd_m2{};
  int pixels = 1000;
};

// The value of the key "schema" in look.json, by which our own files are known again.
inline constexpr std::string_view kLookSchema = "rimeglow look 1";

// Returns an ExitCode.
int look(const LoadedScene& scene, const LookOptions& options, std::ostream& out,
         std::ostream& err);

}  // namespace rimeglow
