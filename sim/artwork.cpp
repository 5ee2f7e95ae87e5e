#include "artwork.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rimeglow {
namespace {

// Within 5 % of off or on counts as off or on: compression noise and rounding, not a grey.
constexpr std::uint8_t kFaintest = 13;
constexpr std::uint8_t kStrongest = 242;

bool is_partial(std::uint8_t tone) { return tone >= kFaintest && tone <= kStrongest; }

// The share of a pixel that lies between `begin` and `end`, in pixels.
double overlap(int pixel, double begin, double end) {
  return std::max(0.0, std::min(end, pixel + 1.0) - std::max(begin, static_cast<double>(pixel)));
}

}  // namespace

double drawn_mm2(const Drawing& drawing) {
  double sum = 0.0;
  for (const std::uint8_t tone : drawing.tone) sum += tone;
  return sum / kOn * drawing.pixel_mm * drawing.pixel_mm;
}

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
  std::map<TileTones, std::uint32_t> known_tiles{{tiles_.front().tone, 0}};
  for (std::size_t bottom = 0; bottom < rows; bottom += kTile) {
    const std::size_t height = std::min(kTile, rows - bottom);
    for (std::size_t left = 0; left < columns; left += kTile) {
      const std::size_t width = std::min(kTile, columns - left);
      Tile tile;
      for (std::size_t row = 0; row < height; ++row) {
        const std::uint8_t* const line = burnt.tone.data() + (bottom + row) * columns + left;
        std::copy_n(line, width, tile.tone.begin() + row * kTile);
      }
      const auto next = static_cast<std::uint32_t>(tiles_.size());
      const auto [known, is_new] = known_tiles.try_emplace(tile.tone, next);
      if (is_new) tiles_.push_back(tile);
      tile_at_.push_back(known->second);
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
  constexpr int kStep = kTile;
  const int last = static_cast<int>(std::ceil(end.x()));
  double sum = 0.0;
  for (int row = static_cast<int>(begin.y()); row < end.y(); ++row) {
    const std::size_t tiles = static_cast<std::size_t>(row) / kTile * tile_columns_;
    double line = 0.0;
    for (int column = static_cast<int>(begin.x()); column < last;) {
      const int next = std::min(last, (column / kStep + 1) * kStep);
      const bool bare = tile_at_[tiles + static_cast<std::size_t>(column / kStep)] == 0;
      for (; column < next && !bare; ++column) {
        line += tone_at(static_cast<std::size_t>(column), static_cast<std::size_t>(row)) *
                overlap(column, begin.x(), end.x());
      }
      column = next;
    }
    sum += overlap(row, begin.y(), end.y()) * line;
  }
  return sum / 255.0 * pixel_mm_ * pixel_mm_;
}

}  // namespace rimeglow
