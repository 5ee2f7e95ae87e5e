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

Coverage::Coverage(Drawing burnt)
    : burnt_(std::move(burnt)), pixels_per_mm_(1.0 / burnt_.pixel_mm) {
  const auto tiles_along = [](int pixels) {
    return (static_cast<std::size_t>(pixels) + kTile - 1) / kTile;
  };
  tile_columns_ = tiles_along(burnt_.columns);
  const std::size_t tile_rows = tiles_along(burnt_.rows);
  tiles_.reserve(tile_columns_ * tile_rows);
  for (std::size_t row = 0; row < tile_rows; ++row) {
    for (std::size_t column = 0; column < tile_columns_; ++column) {
      tiles_.push_back(tile_at(column, row));
    }
  }
}

Coverage::Tile Coverage::tile_at(std::size_t tile_column, std::size_t tile_row) const {
  const auto columns = static_cast<std::size_t>(burnt_.columns);
  const auto rows = static_cast<std::size_t>(burnt_.rows);
  bool bare = true;
  bool full = true;
  for (std::size_t row = tile_row * kTile; row < std::min(rows, (tile_row + 1) * kTile); ++row) {
    const std::size_t end = std::min(columns, (tile_column + 1) * kTile);
    for (std::size_t column = tile_column * kTile; column < end; ++column) {
      const std::uint8_t tone = burnt_.tone[row * columns + column];
      bare = bare && tone == 0;
      full = full && tone == 255;
    }
  }
  return bare ? Tile::bare : full ? Tile::full : Tile::mixed;
}

Vec2 Coverage::upper_right_mm() const {
  return burnt_.origin_mm + Vec2(burnt_.columns, burnt_.rows) * burnt_.pixel_mm;
}

double Coverage::burnt_area_mm2(const Vec2& lower_left_mm, const Vec2& upper_right_mm) const {
  if (empty()) return 0.0;
  const Vec2 raster(columns(), rows());
  const Vec2 lower = (lower_left_mm - burnt_.origin_mm) * pixels_per_mm_;
  const Vec2 upper = (upper_right_mm - burnt_.origin_mm) * pixels_per_mm_;
  const Vec2 begin = lower.cwiseMax(Vec2::Zero()).cwiseMin(raster);
  const Vec2 end = upper.cwiseMax(begin).cwiseMin(raster);
  if (!(begin.x() < end.x() && begin.y() < end.y())) return 0.0;
  const int first_column = static_cast<int>(begin.x());
  const int last_column = std::min(static_cast<int>(end.x()), columns() - 1);
  double sum = 0.0;
  for (int row = static_cast<int>(begin.y()); row < end.y(); ++row) {
    const std::uint8_t* const line = burnt_.tone.data() + at_index(0, row, columns());
    // Whole pixels are added as integers; the first and the last count by their part inside.
    std::uint64_t inner = 0;
    for (int column = first_column + 1; column < last_column; ++column) inner += line[column];
    double ends = line[first_column] * overlap(first_column, begin.x(), end.x());
    if (last_column > first_column)
      ends += line[last_column] * overlap(last_column, begin.x(), end.x());
    sum += overlap(row, begin.y(), end.y()) * (static_cast<double>(inner) + ends);
  }
  return sum / 255.0 * pixel_mm() * pixel_mm();
}

}  // namespace rimeglow
