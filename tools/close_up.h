// Burnt strokes as they are and as an eye at reading distance sees them: whether thinning shows.
#pragma once

#include <string>
#include <vector>

#include "model.h"

namespace rimeglow {

inline constexpr double kReadingDistance_mm = 500.0;

// Burnt share, 0 to 1, on a fine square raster, row 0 the lowest.
struct BurntField {
  int columns = 0;
  int rows = 0;
  double pixel_mm = 0.0;
  std::vector<double> share;
};
BurntField burnt_field(const Model& model, const Vec2& lower_left_mm, const Vec2& size_mm,
                       double pixel_mm);

// Blurred as by an eye that resolves one arc minute (a Gaussian so wide at half its height) from
// that distance.
BurntField seen_from(const BurntField& field, double distance_mm);

// Both models around a point, close up above and from reading distance below.
std::string close_up_png(const Model& before, const Model& after, const Vec2& middle_mm);

}  // namespace rimeglow
