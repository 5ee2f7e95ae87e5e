// The lines that a scored mark's dots stand for, so that a laser can follow them.
#pragma once

#include <vector>

#include "artwork.h"
#include "wanted.h"

namespace rimeglow {

// Panel coordinates in mm, straight from one to the next, curves in short chords; a closed one ends
// where it began.
using ScoredLine = std::vector<Vec2>;

// How far lines may stray from the dots they follow.
inline constexpr double kScoredOff_px = 1.5;

// Through the middles of strokes. Where strokes branch, lines meet; where they cross, each goes
// straight on. A single dot is a line as long as it.
std::vector<ScoredLine> scored_lines(const Drawing& dots, const IsWanted& is_wanted = always);

}  // namespace rimeglow
