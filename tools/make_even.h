// The verb `even`: plans one or more scenes, brings a set to one brightness, and writes for each a
// folder with the laser's files, the work note, the report and the scene that burns as planned.
#pragma once

#include <iosfwd>
#include <vector>

#include "verb.h"

namespace rimeglow {

// `photons` are of the final figures; the folders of several scenes lie in `folder`.
struct EvenRunOptions : Tracing {
  bool jig = false;
};

// Returns an ExitCode. The scenes have no problems.
int even(const std::vector<LoadedScene>& scenes, const EvenRunOptions& options, std::ostream& out,
         std::ostream& err);

}  // namespace rimeglow
