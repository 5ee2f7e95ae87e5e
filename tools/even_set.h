// Several scenes made even together, brought to one brightness: the dimmest one's.
#pragma once

#include <vector>

#include "even_plan.h"

namespace rimeglow {

// What would help is asked of the dimmest piece only. One scene alone is as bright as it can be.
// Ended early, the pieces come that were begun.
std::vector<EvenResult> make_even_set(const std::vector<LoadedScene>& scenes,
                                      const EvenOptions& options, const GoOn& go_on);

}  // namespace rimeglow
