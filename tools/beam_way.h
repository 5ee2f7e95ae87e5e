// The way of the beam's centre round a panel, half a kerf beside its outline.
#pragma once

#include <vector>

#include "outline.h"

namespace rimeglow {

// The rim and every hole of an outline moved outward, to their right (below 0: inward): each piece
// by so much, arcs about the corners that part, and what comes nearer to its neighbours cut away. A
// round of which nothing is left, as a hole narrower than the kerf, is left out. A hollow that
// widens behind a mouth narrower than the kerf is followed all the same: no beam cuts it true.
std::vector<std::vector<OutlinePiece>> beam_ways(const Outline& outline, double outward_mm);

}  // namespace rimeglow
