// One photon's way as a table to read and as JSON for scripts.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "history.h"

namespace rimeglow {

// The value of the key "schema", by which our own files are known again.
inline constexpr std::string_view kPhotonSchema = "rimeglow photon 1";

// Which photon of what.
struct FollowedPhoton {
  std::string title;    // of the scene
  std::string version;  // of the program
  std::string inputs;   // see fingerprint.h
  std::uint64_t seed = 0;
  std::uint64_t photon = 0;
  std::vector<std::string> finishes;  // of the outline's edges, in the scene's words
};

// Bounces between the faces are counted, all else is a line of its own.
std::string photon_text(const FollowedPhoton& which, const Model& model, const History& history);

// Every event that the walk decided.
std::string photon_json(const FollowedPhoton& which, const Model& model, const History& history);

}  // namespace rimeglow
