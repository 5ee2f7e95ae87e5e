// Camera pictures of pieces: from where people look, with base and table, side by side at one
// exposure. Can be broken off.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "run.h"

namespace rimeglow {

// `is_wanted` is asked every few hundredths of a second; once it says no, nothing comes.
using IsWanted = std::function<bool()>;

// Brings a run to so many photons; false when it is not wanted any more.
bool traced_while(const IsWanted& is_wanted, Run& run, std::uint64_t photons);

// A run whose arrivals cameras can see.
std::optional<Run> run_for_cameras(std::shared_ptr<const Model> model, const IsWanted& is_wanted);

struct Photograph {
  std::vector<std::string> pngs;  // one a run
  std::string caption;            // "from half a metre; white is 900 cd/m2, in a room of 30 cd/m2"
};

// Seen by a viewer of the first run's, by name, in the room it says. Asks between two pictures
// only.
std::optional<Photograph> photographed(const std::vector<Run>& runs, const std::string& viewer,
                                       const IsWanted& is_wanted);

}  // namespace rimeglow
