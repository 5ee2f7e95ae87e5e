// One page to take to the bench: which file goes onto which face, how the machine is set, how long
// it takes, how the edges are finished, and what to mind.
#pragma once

#include <optional>
#include <string>

#include "laser_files.h"
#include "outline.h"
#include "scene.h"

namespace rimeglow {

enum class PlanState { finished, unfinished };

std::string work_note(const Scene& scene, const Outline& outline, std::optional<double> laser_min,
                      PlanState plan, Jig jig);

// The engraving's file of a layer, counted from 0, of so many.
std::string engraving_name(std::size_t layer, std::size_t layers);

}  // namespace rimeglow
