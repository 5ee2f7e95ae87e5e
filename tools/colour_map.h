// The false colours of measured pictures: viridis, in which equal steps look equally large, also
// to eyes that confuse red and green, and which stays in order when printed in grey.
#pragma once

#include "canvas.h"

namespace rimeglow {

// Colour at a place from 0 (dark) to 1 (bright); beyond the ends, the end's colour.
Rgb8 false_colour(double place);

// The colours of differences: from -1 (orange, less) by 0 (pale) to 1 (blue, more); beyond the
// ends, the end's colour.
Rgb8 difference_colour(double place);

}  // namespace rimeglow
