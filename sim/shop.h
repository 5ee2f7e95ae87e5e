// What a scene takes from its shop file, the same for all scenes of one shop. What stands there
// under a header as in a scene ([machine], [mark.NAME]) holds for every scene, unless the scene
// says otherwise; a table with a name of its own ([panel."A6 plaque"]) only where a table of the
// scene asks for it by `use`. Moves values; does not judge them.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "document.h"

namespace rimeglow {

// Whether tables of this pattern stand in a shop file under names of their own: "panel", "lamp[]".
bool is_shop_shelf(std::string_view pattern);

// That a document is a shop file's, where it names tables of its own and no panel to simulate.
std::optional<Problem> not_a_scene(const Node& document);

// The scene's document with all that it takes; each value keeps its line and file. `shop` is null
// for a scene without one.
struct Completed {
  Node document;
  std::vector<Problem> problems;
};
Completed with_shop(const Node& scene, const Node* shop);

}  // namespace rimeglow
