#include "artwork.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace rimeglow {
namespace {

constexpr std::uint8_t kOff = 0;
constexpr std::uint8_t kOn = 255;

std::size_t at_index(int column, int row, int columns) {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
         static_cast<std::size_t>(column);
}

// ---- line art or grey ----

// Within 5 % of off or on counts as off or on: compression noise and rounding, not a grey.
constexpr std::uint8_t kFaintest = 13;
constexpr std::uint8_t kStrongest = 242;

bool is_partial(std::uint8_t tone) { return tone >= kFaintest && tone <= kStrongest; }

// ---- error diffusion ----

// The weights of Floyd and Steinberg (1976), "An adaptive algorithm for spatial greyscale", in
// sixteenths: 7 ahead, 3 below behind, 5 below, 1 below ahead. The last takes what rounding left,
// so that no tone is lost within the raster. Errors are whole 256ths of a tone step.
struct Shares {
  int ahead, below_behind, below, below_ahead;
};

Shares shares_of(int error) {
  const int ahead = error * 7 / 16;
  const int below_behind = error * 3 / 16;
  const int below = error * 5 / 16;
  return {ahead, below_behind, below, error - ahead - below_behind - below};
}

Drawing error_diffused(const Drawing& drawing) {
  constexpr int kStep = 256;  // units of one tone step
  constexpr int kHalf = kOn * kStep / 2;
  Drawing out = drawing;
  // Errors waiting for this row and the next, with one spare pixel at either end.
  std::vector<int> here(static_cast<std::size_t>(drawing.columns) + 2, 0);
  std::vector<int> next(here.size(), 0);
  for (int row = 0; row < drawing.rows; ++row) {
    // Rows run to and fro, which leaves fewer worms than running one way.
    const int step = row % 2 == 0 ? 1 : -1;
    int column = step > 0 ? 0 : drawing.columns - 1;
    for (int done = 0; done < drawing.columns; ++done, column += step) {
      const std::size_t pixel = at_index(column, row, drawing.columns);
      const std::uint8_t tone = drawing.tone[pixel];
      const int slot = column + 1;
      const auto cell = [slot](int offset) { return static_cast<std::size_t>(slot + offset); };
      const int wanted = tone * kStep + here[cell(0)];
      const bool fires = tone == kOn || (tone != kOff && wanted >= kHalf);
      out.tone[pixel] = fires ? kOn : kOff;
      const Shares share = shares_of(wanted - (fires ? kOn * kStep : 0));
      here[cell(step)] += share.ahead;
      next[cell(-step)] += share.below_behind;
      next[cell(0)] += share.below;
      next[cell(step)] += share.below_ahead;
    }
    here.swap(next);
    std::fill(next.begin(), next.end(), 0);
  }
  return out;
}

Drawing thresholded(const Drawing& drawing) {
  Drawing out = drawing;
  for (std::uint8_t& tone : out.tone) tone = tone >= 128 ? kOn : kOff;
  return out;
}

// The share of a pixel that lies between `begin` and `end`, in pixels.
double overlap(int pixel, double begin, double end) {
  return std::max(0.0, std::min(end, pixel + 1.0) - std::max(begin, static_cast<double>(pixel)));
}

}  // namespace

// Greys count in squares of kBand pixels: the soft edge of a stroke and a hairline thinner than a
// pixel make bands of one to three, and where these cross there are few such squares. (A star map
// with hairlines, reduced to a third, had 0.0001 of its drawn pixels in squares; a picture has
// nearly all.)
Tone tone_of(const Drawing& drawing) {
  constexpr int kBand = 5;
  constexpr double kGreyShare = 0.02;  // of the drawn pixels; our choice
  std::size_t drawn = 0;
  std::size_t grey = 0;
  std::size_t next = 0;
  // Grey pixels on end down from this row, and columns on end that have kBand of them.
  std::vector<int> down(static_cast<std::size_t>(drawing.columns), 0);
  for (int row = 0; row < drawing.rows; ++row) {
    int across = 0;
    for (int& column : down) {
      const std::uint8_t tone = drawing.tone[next++];
      column = is_partial(tone) ? column + 1 : 0;
      across = column >= kBand ? across + 1 : 0;
      if (tone >= kFaintest) ++drawn;
      if (across >= kBand) ++grey;
    }
  }
  const double limit = kGreyShare * static_cast<double>(drawn);
  return static_cast<double>(grey) > limit ? Tone::grey : Tone::line_art;
}

Drawing dots(const Drawing& drawing, Tone tone) {
  return tone == Tone::grey ? error_diffused(drawing) : thresholded(drawing);
}

Coverage::Coverage(const Drawing& burnt)
    : columns_(burnt.columns),
      rows_(burnt.rows),
      pixel_mm_(burnt.pixel_mm),
      pixels_per_mm_(1.0 / burnt.pixel_mm),
      origin_mm_(burnt.origin_mm),
      tile_columns_((static_cast<std::size_t>(burnt.columns) + kTile - 1) / kTile),
      tiles_(1) {
  const auto columns = static_cast<std::size_t>(burnt.columns);
  const auto rows = static_cast<std::size_t>(burnt.rows);
  for (std::size_t bottom = 0; bottom < rows; bottom += kTile) {
    const std::size_t height = std::min(kTile, rows - bottom);
    for (std::size_t left = 0; left < columns; left += kTile) {
      const std::size_t width = std::min(kTile, columns - left);
      Tile tile;
      for (std::size_t row = 0; row < height; ++row) {
        const std::uint8_t* const line = burnt.tone.data() + (bottom + row) * columns + left;
        std::copy_n(line, width, tile.tone.begin() + row * kTile);
      }
      const bool bare = tile.tone == tiles_.front().tone;
      tile_at_.push_back(bare ? 0 : static_cast<std::uint32_t>(tiles_.size()));
      if (!bare) tiles_.push_back(tile);
    }
  }
}

Vec2 Coverage::upper_right_mm() const { return origin_mm_ + Vec2(columns_, rows_) * pixel_mm_; }

double Coverage::burnt_area_mm2(const Vec2& lower_left_mm, const Vec2& upper_right_mm) const {
  if (empty()) return 0.0;
  const Vec2 raster(columns_, rows_);
  const Vec2 lower = (lower_left_mm - origin_mm_) * pixels_per_mm_;
  const Vec2 upper = (upper_right_mm - origin_mm_) * pixels_per_mm_;
  const Vec2 begin = lower.cwiseMax(Vec2::Zero()).cwiseMin(raster);
  const Vec2 end = upper.cwiseMax(begin).cwiseMin(raster);
  if (!(begin.x() < end.x() && begin.y() < end.y())) return 0.0;
  double sum = 0.0;
  for (int row = static_cast<int>(begin.y()); row < end.y(); ++row) {
    double line = 0.0;
    for (int column = static_cast<int>(begin.x()); column < end.x(); ++column) {
      line += tone_at(static_cast<std::size_t>(column), static_cast<std::size_t>(row)) *
              overlap(column, begin.x(), end.x());
    }
    sum += overlap(row, begin.y(), end.y()) * line;
  }
  return sum / 255.0 * pixel_mm_ * pixel_mm_;
}

}  // namespace rimeglow
