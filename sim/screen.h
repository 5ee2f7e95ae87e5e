// Grey tones by dots of one strength: which pixels fire for a wanted share of dots, and how much of
// the surface they burn. Dots grow beyond their pixels, so the share that is burnt is far above the
// share that fires; it is measured on the pattern itself with the machine's own moving spot, and
// inverted. Knows no drawing and no plan.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "artwork.h"

namespace rimeglow {

// Patterns repeat after this many pixels both ways.
inline constexpr int kScreenSide = 64;

// Blue noise by void and cluster (R. Ulichney, "The void-and-cluster method for dither array
// generation", Proc. SPIE 1913, 1993): dots keep away from each other at every share, so that no
// clumps and no lines are seen.
class Mask {
 public:
  Mask();

  // Within 0..1; a pixel fires where the share of dots wanted there is above it.
  double threshold(int column, int row) const {
    return (0.5 + rank_[index(column, row)]) / (kScreenSide * kScreenSide);
  }

 private:
  static std::size_t index(int column, int row) {
    constexpr unsigned kWrap = kScreenSide - 1;
    return (static_cast<unsigned>(row) & kWrap) * kScreenSide +
           (static_cast<unsigned>(column) & kWrap);
  }

  std::array<std::uint16_t, std::size_t{kScreenSide} * kScreenSide> rank_{};
};

// The mask all over; or a thin stroke along x of which whole columns of pixels fire at equal
// distances, or one along y of which rows do.
enum class Pattern { mask, columns, rows };

// The share of the surface that is burnt, over the share of pixels that fire.
class DotGrowth {
 public:
  // `burnt` at equal steps of fired pixels from none to all; made monotone.
  explicit DotGrowth(std::vector<double> burnt);

  double burnt(double fired) const;
  // The fewest dots that burn this share of the surface; all for as much as can be burnt.
  double fired(double burnt) const;
  double most() const { return burnt_.back(); }

 private:
  std::vector<double> burnt_;
};

DotGrowth dot_growth(const Mask& mask, Pattern pattern, const Beam& beam, double pixel_mm);

// All that turning tones into dots of one mark takes.
struct Screen {
  Mask mask;
  Beam beam;
  double pixel_mm = 0.0;
  DotGrowth area;           // of the mask
  DotGrowth columns, rows;  // of bars across thin strokes
  int thin_px = 1;          // strokes narrower than this are too thin for the mask
};
Screen screen_of(const Beam& beam, double pixel_mm);

}  // namespace rimeglow
