// What is known about an SVG from its characters alone, before any library parses it: refuses what
// would cost too much or reach for other files, and warns of what another computer draws otherwise.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace rimeglow {

inline constexpr std::size_t kMostSvgElements = 250'000;
inline constexpr std::size_t kDeepestSvg = 200;  // elements inside one another

inline constexpr const char* kSaveAgain =
    "open it in a drawing program and save it again as plain SVG";

// Throws ArtError with the line of what is refused. Returns warnings, in whole sentences.
std::vector<std::string> vet_svg(std::string_view bytes);

}  // namespace rimeglow
