// The step of finishing that would be asked about first: an edge away from the lamps sanded if it
// is polished, polished if it is rough. Pure, from a scene to another.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "scene_files.h"

namespace rimeglow {

struct FinishingStep {
  std::string edge;
  EdgeSpec finish;    // of it afterwards
  std::string value;  // the same as the ticket says it: "sanded P320"
  std::string deed;   // "sanding the top edge"

  std::string key() const { return "edges." + edge; }
};

// None where no edge can be finished otherwise: all are lit, covered or painted.
std::optional<FinishingStep> likely_step(const LoadedScene& scene);

// The panel after the step.
std::shared_ptr<const Model> model_after(const FinishingStep& step, const LoadedScene& scene,
                                         const IsWanted& is_wanted = always);

}  // namespace rimeglow
