// How long the laser takes. Rows times the time along one, plus the turns between them: v / a to
// stop and as long to start again (derived from constant acceleration; fumes, fans and files not
// counted).
#pragma once

#include <cmath>

#include "scene.h"

namespace rimeglow {

// Of a box engraved line by line, upright or level. One way only, every row is gone twice.
inline double raster_minutes(const Vec2& box_mm, const MarkSpec& mark, const MachineSpec& machine) {
  const double along_mm = mark.upright() ? box_mm.y() : box_mm.x();
  const double across_mm = mark.upright() ? box_mm.x() : box_mm.y();
  const double rows = std::ceil(across_mm / mark.spacing_mm);
  const double turn_s = 2.0 * machine.speed_mm_per_s / machine.acceleration_mm_per_s2;
  const double passes = machine.two_way ? 1.0 : 2.0;
  return rows * passes * (along_mm / machine.speed_mm_per_s + turn_s) / 60.0;
}

// Of scored lines, as long together as their burnt area over the spot.
inline double scored_minutes(double burnt_mm2, const MarkSpec& mark, const MachineSpec& machine) {
  return burnt_mm2 / mark.spot_mm / machine.speed_mm_per_s / 60.0;
}

}  // namespace rimeglow
