// The rows of the art as a bar chart, from the bottom up as on the panel, drawn as inline SVG.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "glow.h"
#include "html.h"

namespace rimeglow {

Html row_chart(const ViewerGlow& viewer);

// Lines with bands of two standard errors each way, told apart by dashes and by their names; a
// place along the lower axis may be marked.
struct CurvePoint {
  double at = 0.0;
  Estimate value;
};
struct Curve {
  std::string name;
  std::vector<CurvePoint> points;
};
Html curve_chart(std::string_view across, std::string_view up, const std::vector<Curve>& curves,
                 std::optional<double> mark = {});

}  // namespace rimeglow
