// Scene files: TOML text to the document tree, with the line of every value. The text is weighed
// before it is parsed, since the parser itself follows nesting as deep as it is written.
#pragma once

#include <optional>
#include <string_view>
#include <variant>

#include "document.h"

namespace rimeglow {

inline constexpr std::size_t kMostSceneBytes = 1'000'000;
inline constexpr int kDeepestNesting = 16;

// The tree, or the one thing that kept the text from being read.
std::variant<Node, Problem> parse_scene(std::string_view text);

// Sets one key of a document, as `--set` does: path "panel.thickness", "lamp.gap" (of every row)
// or "lamp[1].gap". The value may be TOML ("0.5", "[\"3 mm\", \"2 mm\"]") or plain text (5 mm).
// None when it was set.
std::optional<Problem> set_key(Node& document, std::string_view path, std::string_view value);

}  // namespace rimeglow
