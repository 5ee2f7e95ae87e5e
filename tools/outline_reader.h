// A panel's outline from an SVG file: one closed shape, holes in it as further parts of its path.
// Opens no file; takes bytes from strangers.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "outline_building.h"

namespace rimeglow {

struct DrawnOutline {
  std::vector<ClosedLine> lines;      // in mm, y up
  std::vector<std::string> warnings;  // for whom the panel is theirs
};

// Where the scene gives the panel's size, one guessed from the file does no harm.
enum class OutlineSize { by_file, by_scene };

// Throws ArtError.
DrawnOutline read_outline(std::string_view bytes, OutlineSize size);

}  // namespace rimeglow
