// Follows one photon of a scene by its number: its way as a table and as a picture.
#pragma once

#include <cstdint>
#include <iosfwd>
#include <string>

#include "verb.h"

namespace rimeglow {

struct FollowOptions : Writing {
  std::uint64_t photon = 0;
  std::string ending{};  // go on to the first photon with this end in the ledger; empty: do not
};

// Returns an ExitCode.
int follow_photon(const LoadedScene& scene, const FollowOptions& options, std::ostream& out,
                  std::ostream& err);

}  // namespace rimeglow
