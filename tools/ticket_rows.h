// Rows of LEDs and places to look from: added to a scene's text, or struck out of it. Pure.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "scene_files.h"

namespace rimeglow {

inline constexpr const char* kLampRows = "lamp";
inline constexpr const char* kViewers = "viewer";

// The scene's text with one more of these. Several to be tried in turn, the best first: an edge may
// be too short for LEDs, or round. Empty where there is no room for another.
std::vector<std::variant<std::string, Problem>> with_another(const std::string& what,
                                                             const std::string& text,
                                                             const LoadedScene& scene);

// Edges without LEDs; the one opposite the first row before the others.
std::vector<std::string> unlit_edges(const Scene& scene);

// Whether a row of LEDs can be lit at another edge, or a row be taken away.
bool can_light_another_edge(const Scene& scene);
bool can_strike_out(const std::string& key, const Scene& scene, const Node& document);

}  // namespace rimeglow
