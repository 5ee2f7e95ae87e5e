// Rows of LEDs, places to look from and chamfers: added to a scene's text, or struck out of it.
// Pure.
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

// Whether a row of LEDs can be lit at another edge, an edge be chamfered, or one of these be taken
// away.
bool can_light_another_edge(const Scene& scene);
bool can_chamfer(const std::string& edge, const Scene& scene);
bool can_strike_out(const std::string& key, const Scene& scene, const Node& document);

// The scene's text without one of these.
std::variant<std::string, Problem> struck_out(const std::string& text, const std::string& key);

// The names of the edges in the order they are told in, holes when there are any.
std::vector<std::string> edges_of(const Scene& scene);

// The scene's text with a value, whichever way it says its edges: one that is said by a word alone
// becomes a table for its chamfers, and a word for the finish of a table is its kind.
std::variant<std::string, Problem> with_field(const std::string& text, const std::string& key,
                                              const std::string& toml);

}  // namespace rimeglow
