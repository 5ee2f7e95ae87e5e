// What `even` found, as the first part of the report on the panel it plans: the plan, the glow
// before and after at one scale, rows with their errors, the bench, density, and what else would
// help.
#pragma once

#include "even_plan.h"
#include "html.h"

namespace rimeglow {

struct EvenPictures {
  std::string plan_png;
  std::string close_up_png;
  std::string before_png, after_png;                      // as the eye sees them
  std::string luminance_before_png, luminance_after_png;  // false colours
};

Html even_sections(const EvenResult& result, const LoadedScene& scene,
                   const EvenPictures& pictures);

}  // namespace rimeglow
