// What went into a prediction, said back to the reader, and what to mind at the bench.
#pragma once

#include "html.h"
#include "model.h"
#include "prediction.h"
#include "scene.h"

namespace rimeglow {

// One line below the title: size, lamps.
std::string facts_in_short(const Scene& scene);

Html inputs_list(const Scene& scene, const Model& model);
// Of those, how every edge and chamfer is finished, as entries of a list of names and values.
Html edge_entries(const Scene& scene, const Outline& outline);
Html cautions();
std::vector<std::string> caution_words();  // the same, sentence by sentence
Html provenance_list(const Provenance& provenance);

}  // namespace rimeglow
