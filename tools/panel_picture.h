// What of a run is shown on the page: the panel's light alone as a PNG, for the eye or measured,
// what it differs in from another, and the readings of a light meter held before it.
#pragma once

#include <memory>
#include <span>
#include <string>

#include "compare.h"
#include "glow.h"
#include "run.h"

namespace rimeglow {

inline constexpr double kLargePicture = 900.0;  // pixels along the panel's longer side
inline constexpr double kSmallPicture = 240.0;
inline constexpr double kDifferencePicture = 280.0;
inline constexpr double kMeterPixel_mm = 0.25;

struct PanelPicture {
  std::string png;
  std::string caption;  // "white is 1800 cd/m2"
};

using Runs = std::span<const std::shared_ptr<const Run>>;

// `white_cd_m2` 0 chooses it.
PanelPicture eye_picture(const Run& run, int viewer, double pixels, double white_cd_m2);

// What pieces that stand side by side are drawn with, so that the dimmer looks dimmer.
double shared_white(Runs runs, int viewer);

PanelPicture measured_picture(Runs runs, std::size_t piece, int viewer, double pixels);

// Where the first viewer sees the engraving of the piece on the right glow more or less than that
// on the left. `differences` are those of the run, which is the right one's.
struct DifferencePicture {
  std::string png;
  std::string words;    // what is in it, for who does not see it
  std::string caption;  // what its colours mean, and the noise
};
DifferencePicture difference_picture(const Run& run, const DifferenceMap& differences);

// The colours of measured pictures, from the low end to the high one.
std::string false_colours_png();

// Over a round spot of 2 mm: all of it, and only what is lit in it; beside the panel nothing is.
struct MeterReading {
  double spot_cd_m2 = 0.0;
  double lit_cd_m2 = 0.0;
};
MeterReading read_meter(const LuminanceMap& map, const Vec2& at_mm);

// `glow` is the run's.
std::string meter_words(const Run& run, const Glow& glow, int viewer, const Vec2& at_mm,
                        const MeterReading& reading);

}  // namespace rimeglow
