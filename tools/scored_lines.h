// The lines that a scored mark's dots stand for, so that a laser can follow them.
#pragma once

#include <vector>

#include "artwork.h"

namespace rimeglow {

// Panel coordinates in mm, straight from one to the next, curves in short chords; a closed one ends
// where it began.
using ScoredLine = std::vector<Vec2>;

// Through the middles of strokes one or two dots wide, to within 1.5 dots. Where strokes branch,
// lines meet. A single dot is a line as long as it.
std::vector<ScoredLine> scored_lines(const Drawing& dots);

}  // namespace rimeglow
