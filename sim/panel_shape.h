// The panel's outline from what a scene says: a rectangle, a disc, or lines drawn by somebody, at
// the size that the panel's width or height gives them.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "document.h"
#include "outline_building.h"
#include "scene.h"

namespace rimeglow {

inline constexpr std::string_view kRectangle = "rectangle";
inline constexpr std::string_view kDisc = "disc";

// Whether the outline is drawn in a file, which the reader of files has to bring.
bool is_of_file(const PanelSpec& panel);

// Gives the panel the outline that these lines make, and its size where that was not said; or says
// why it cannot have it.
std::optional<Problem> shape_panel(PanelSpec& panel, std::vector<ClosedLine> lines);

Outline panel_outline(const PanelSpec& panel);
// With the chamfers along its edges.
Outline scene_outline(const Scene& scene);

// Rows whose pitch was not said are spread evenly along their edge.
void spread_lamps(Scene& scene);

}  // namespace rimeglow
