// What the page is told, as JSON: the ticket, and what is known between two rounds.
#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "document.h"
#include "http_gates.h"
#include "scene_files.h"
#include "workbench.h"

namespace rimeglow {

// On one line, whatever bytes a customer's texts hold.
std::string line_of(const nlohmann::json& what);

HttpAnswer json_answer(const nlohmann::json& what);
HttpAnswer done();  // with nothing to tell
HttpAnswer too_early();

// A mistake of the user's, with the key it belongs to; of several the first.
HttpAnswer mistaken(const Problem& problem);
HttpAnswer mistaken(const std::vector<Problem>& problems);

// `document` is null when the scene cannot be read at all.
nlohmann::json ticket_json(const LoadedScene& scene, const Node* document);

nlohmann::json round_json(const Sighting& sighting);

}  // namespace rimeglow
