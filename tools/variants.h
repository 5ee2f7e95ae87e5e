// The variants of a scene: from its [[variant]] tables to the changes that `--set` would make, and
// what a change does to a panel in words.
#pragma once

#include <string>
#include <vector>

#include "document.h"
#include "scene.h"
#include "scene_files.h"

namespace rimeglow {

// Of a document that read without problems.
std::vector<VariantSpec> variants_in(const Node& document);

// "sanding the top edge with P320" where all that is changed is the word for one edge, else the
// title in quotes: an edge's figures (alpha, chamfers) have no deed. `scene` is the changed one.
std::string deed_of(const VariantSpec& variant, const Scene& scene);

}  // namespace rimeglow
