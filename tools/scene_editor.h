// Changes one value in the text of a scene and leaves all the rest as it was written: comments,
// order, blank lines. Pure, from text to text.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "document.h"

namespace rimeglow {

// The scene's text with the key at `path` ("panel.width", "lamp[0].count") set to a TOML value, or
// why that cannot be. A key or table that was not there is added where it belongs.
std::variant<std::string, Problem> with_value(const std::string& scene, std::string_view path,
                                              std::string_view toml_value);

}  // namespace rimeglow
