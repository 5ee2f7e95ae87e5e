// Camera pictures of pieces: from where people look, with base and table, side by side at one
// exposure.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "run.h"

namespace rimeglow {

// A run whose arrivals cameras can see.
Run run_for_cameras(std::shared_ptr<const Model> model, const IsWanted& is_wanted);

struct Photograph {
  std::vector<std::string> pngs;  // one a run
  std::string caption;            // "from half a metre; white is 900 cd/m2, in a room of 30 cd/m2"
};

// Seen by a viewer of the first run's, by name, in the room it says.
Photograph photographed(const std::vector<Run>& runs, const std::string& viewer);

}  // namespace rimeglow
