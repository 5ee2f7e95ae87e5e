// How much of a raster pixel the moving laser spot burns, given where it fires around that pixel.
// The spot is a disc that sweeps along its raster line over the whole of each fired pixel; burnt is
// burnt, overlaps count once. Lengths are in pixels; lines lie one pixel apart, through the middle
// of their pixels. Knows no drawing and no panel.
#pragma once

#include <span>
#include <vector>

namespace rimeglow {

// How far, in whole pixels, the nearest fired pixel of one raster line lies to the left and to the
// right of a pixel: 0 touches it, kFiredHere is the pixel itself.
struct Gaps {
  static constexpr int kFiredHere = -1;
  int left = 0;
  int right = 0;
};

class MovingSpot {
 public:
  explicit MovingSpot(double diameter_px);

  // Pixels that the spot reaches beyond the fired ones, and the raster lines on either side of a
  // pixel's own that can burn some of it. A gap of `margin` or more is out of reach.
  int margin() const { return margin_; }
  int lines_each_side() const { return lines_each_side_; }

  // The burnt share 0..1 of a pixel, from one pair of gaps for each line, the lowest first,
  // 2 lines_each_side + 1 of them. Within 0.001 of exact (see kHeightsPerRow).
  double share(std::span<const Gaps> lines) const;

 private:
  struct Line {
    std::vector<double> reach;  // half the spot's chord at every height, below 0 where it has none
    double least = 0.0;         // of them
  };

  double radius_px_ = 0.0;
  int margin_ = 0;
  int lines_each_side_ = 0;
  std::vector<double> weights_;  // of the heights within the pixel
  std::vector<Line> lines_;
};

}  // namespace rimeglow
