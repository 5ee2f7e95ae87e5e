// Changes one value in the text of a scene, or adds or strikes out one table, and leaves all the
// rest as it was written: comments, order, blank lines. Pure, from text to text.
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

// With one more row behind the others of a list of tables ("lamp"); a lone [lamp] becomes the
// first.
std::variant<std::string, Problem> with_row(const std::string& scene, const std::string& list,
                                            const Node::Table& row);

// Without the table at `path` ("lamp[1]", "viewer.standing").
std::variant<std::string, Problem> without_table(const std::string& scene, std::string_view path);

}  // namespace rimeglow
