// The rows of the art as a bar chart, from the bottom up as on the panel, drawn as inline SVG.
#pragma once

#include "glow.h"
#include "html.h"

namespace rimeglow {

Html row_chart(const ViewerGlow& viewer);

}  // namespace rimeglow
