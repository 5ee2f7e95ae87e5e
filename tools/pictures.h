// The luminance of the panel's face as pictures: what an eye sees in a dark room, false colours to
// read values from, and the plain numbers (PFM). Only computed light is drawn; the panel's outline
// and a trace of grey for the sheet are there for orientation.
// Assumes a map over the outline's box; chooses no viewer.
#pragma once

#include <cstddef>
#include <functional>
#include <string>

#include "canvas.h"
#include "compare.h"
#include "glow.h"
#include "outline.h"
#include "spectrum.h"

namespace rimeglow {

// The luminance that is drawn as full white (in the lamp's colour). Up to half of it the picture
// is in proportion, above it bends over smoothly.
struct Exposure {
  double white_cd_m2 = 1.0;
};

// White a little below the brightest pixels, so that a few of them do not darken the rest.
Exposure exposure_of(const LuminanceMap& map);

// 0..1 of the light a screen can show, at a luminance given as a share of white.
double tone(double share_of_white);

// `tint` gives the colour of a lit pixel's light.
Canvas glow_picture(const LuminanceMap& map, const Outline& outline, const Exposure& exposure,
                    const std::function<LinearRgb(std::size_t pixel)>& tint);

// Light of a colour whose Y is its luminance, as a screen shows it at an exposure.
Rgb8 shown(const Tristimulus& light, const Exposure& exposure);

// The light alone on black, pixel by pixel of the map, its top row first.
Canvas light_picture(const LuminanceMap& map, const Exposure& exposure,
                     const std::function<LinearRgb(std::size_t pixel)>& tint);

// The ends of the false colours, on a logarithmic scale.
struct LuminanceScale {
  double low_cd_m2 = 1.0;
  double high_cd_m2 = 100.0;

  // 0 at the low end, 1 at the high one.
  double place(double cd_m2) const;
};

// Ends at 1, 2 or 5 times a power of ten, one to three decades apart.
LuminanceScale scale_of(const LuminanceMap& map);

// Black where there is no light at all; below the low end, the low end's colour.
Canvas luminance_picture(const LuminanceMap& map, const Outline& outline,
                         const LuminanceScale& scale);

// What differs from the base, on the strokes of `map`: by the colours of differences from less to
// more than nothing, less also dashed, and grey where the difference is not told from noise.
// `end_cd_m2` is drawn as either end of the scale.
Canvas difference_picture(const LuminanceMap& map, const Outline& outline,
                          const DifferenceMap& differences, double end_cd_m2);

inline constexpr const char* kDifferenceColours =
    "blue is more, dashed orange is less, grey is less than twice the noise and so not told from "
    "nothing";

// The largest difference that is told from noise, rounded up to 1, 2 or 5 times a power of ten.
double end_of_differences(const DifferenceMap& differences);

// The false colours alone, as `light_picture`.
Canvas false_light_picture(const LuminanceMap& map, const LuminanceScale& scale);

// Portable float map: "Pf", little-endian, bottom row first, cd/m2.
std::string pfm_of(const LuminanceMap& map);

}  // namespace rimeglow
