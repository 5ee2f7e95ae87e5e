// What the laser burns and how much of the surface it leaves rough: from the dots on its raster to
// the share of every raster pixel that the moving spot has burnt (its coverage). Assumes a raster
// aligned with the panel's x and y, as the machine's is. Reads no file and knows no finish.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "ray.h"
#include "wanted.h"

namespace rimeglow {

// A drawing on the laser's raster: `tone` 0 = leave, 255 = engrave fully. Row 0 is the lowest,
// so that (column, row) grow with the panel's x and y; the lower left corner of pixel (0, 0) lies
// at `origin_mm`.
struct Drawing {
  int columns = 0;
  int rows = 0;
  double pixel_mm = 0.0;  // both ways: raster line spacing = dot spacing along the line
  Vec2 origin_mm = Vec2::Zero();
  std::vector<std::uint8_t> tone;

  std::size_t index(int column, int row) const { return row_by_row(columns, column, row); }
};

// Tones of a pixel that is left alone and of one that fires or burns in full.
inline constexpr std::uint8_t kOff = 0;
inline constexpr std::uint8_t kOn = 255;

// What is drawn, a grey by its share.
double drawn_mm2(const Drawing& drawing);

enum class Tone { line_art, grey };

// Line art when nearly all drawn pixels are fully on or off (edges of strokes aside).
Tone tone_of(const Drawing& drawing);

enum class ScanAxis { x, y };

// The round spot, burning while it moves along `axis` over the whole of each fired pixel: one dot
// burns a stadium of area (pi/4) s^2 + s p for a spot s on pixels p.
struct Beam {
  double spot_mm = 0.0;  // diameter within which the surface is burnt
  ScanAxis axis = ScanAxis::x;
};

// The burnt share of every pixel, 0..255 for 0..1, on the raster of the dots, widened by the
// margin that the spot reaches beyond them.
class Coverage {
 public:
  Coverage() = default;
  explicit Coverage(const Drawing& burnt);

  int columns() const { return columns_; }
  int rows() const { return rows_; }
  double pixel_mm() const { return pixel_mm_; }
  Vec2 lower_left_mm() const { return origin_mm_; }
  Vec2 upper_right_mm() const;
  bool empty() const { return columns_ == 0; }

  // Coverage 0..1 at a point; 0 outside the raster.
  double at(double x_mm, double y_mm) const {
    const double u = (x_mm - origin_mm_.x()) * pixels_per_mm_;
    const double v = (y_mm - origin_mm_.y()) * pixels_per_mm_;
    if (!(u >= 0.0 && v >= 0.0 && u < columns_ && v < rows_)) return 0.0;
    return tone_at(static_cast<std::size_t>(u), static_cast<std::size_t>(v)) * (1.0 / 255.0);
  }

  // Burnt area in mm2 inside an axis-parallel box, exact for the piecewise constant coverage
  // that `at` reads. Costs time in proportion to the pixels in the box and no memory: cells and
  // patches that tile the art cost one pass over the raster together.
  double burnt_area_mm2(const Vec2& lower_left_mm, const Vec2& upper_right_mm) const;

 private:
  // Photons ask at random places, and what the cache does not hold costs them dearly: the raster is
  // kept in tiles of one cache line, and equal tiles are one.
  static constexpr std::size_t kTile = 8;  // pixels each way
  using TileTones = std::array<std::uint8_t, kTile * kTile>;
  struct alignas(kTile* kTile) Tile {
    TileTones tone{};
  };

  std::uint8_t tone_at(std::size_t column, std::size_t row) const {
    const Tile& tile = tiles_[tile_at_[row / kTile * tile_columns_ + column / kTile]];
    return tile.tone[row % kTile * kTile + column % kTile];
  }

  int columns_ = 0;
  int rows_ = 0;
  double pixel_mm_ = 0.0;
  double pixels_per_mm_ = 0.0;
  Vec2 origin_mm_ = Vec2::Zero();
  std::size_t tile_columns_ = 0;
  std::vector<std::uint32_t> tile_at_;  // index into tiles_, by row and column of tiles
  std::vector<Tile> tiles_;             // the first is bare
};

// The coverage that the dots leave with this beam. Burnt is burnt: where stadiums overlap they
// count once. Every pixel is within kCoverageError of the exact burnt share, the rounding to 255
// steps included.
inline constexpr double kCoverageError = 0.003;
Coverage burn(const Drawing& dots, const Beam& beam, const IsWanted& is_wanted = always);

}  // namespace rimeglow
