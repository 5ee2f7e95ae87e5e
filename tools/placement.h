// Art of a size laid on the panel: the laser raster that it needs, and a picture brought onto that
// raster. Rasters keep to the panel's x and y; the art may be turned.
#pragma once

#include "artwork.h"

namespace rimeglow {

// Turned counter-clockwise about its centre as seen from the front.
struct Placement {
  Vec2 size_mm = Vec2::Zero();  // before it is turned
  Vec2 centre_mm = Vec2::Zero();
  double rotate_rad = 0.0;
};

// The empty raster over the box of the turned art, from its lower left corner on. Throws ArtError
// when it takes too many pixels.
Drawing raster_for(const Placement& placement, double pixel_mm);

// Picture pixels along one laser pixel, the larger of both ways.
double picture_pixels_per_laser_pixel(const Drawing& picture, const Drawing& raster,
                                      const Placement& placement);

// The raster with the picture on it, each pixel the mean of the picture over its area.
Drawing resampled(const Drawing& picture, Drawing raster, const Placement& placement);

}  // namespace rimeglow
