// What a report shows of a panel as it stands on the table: camera pictures from the usual places,
// at one exposure, in a dark room.
#pragma once

#include <string>
#include <vector>

#include "pictures.h"
#include "run.h"

namespace rimeglow {

struct StandardViews {
  struct View {
    std::string name;  // of the standpoint: "seated"
    std::string png;
  };
  std::vector<View> views;
  Exposure exposure;
};

// By a short run of its own, with the seed of `run` and no more photons: few enough to wait for.
// Empty where those would leave the pictures too grainy to show.
StandardViews standard_views(const Run& run);

}  // namespace rimeglow
