// From the dots to what they burn: every pixel of the widened raster, line by line.
#include <algorithm>
#include <bit>
#include <cmath>
#include <deque>
#include <utility>

#include "artwork.h"
#include "artwork_spot.h"

namespace rimeglow {
namespace {

// The gaps of every pixel of one widened raster line, each pair packed into one number.
struct DotLine {
  std::vector<std::uint32_t> codes;
  bool fires = false;
};

// Works out the burnt tone of pixels from the lines around them. Few different surroundings occur,
// and those met are remembered: a pixel then costs the same whatever the spot and the drawing.
class PixelBurner {
 public:
  PixelBurner(const Drawing& dots, const MovingSpot& spot)
      : dots_(dots),
        spot_(spot),
        margin_(spot.margin()),
        base_(static_cast<std::uint32_t>(margin_) + 2),
        line_count_(2 * static_cast<std::size_t>(spot.lines_each_side()) + 1),
        remembers_(keys_are_unique()),
        memory_bits_(std::min(kMostMemoryBits, static_cast<int>(std::bit_width(dots.tone.size())))),
        memory_(remembers_ ? std::size_t{1} << memory_bits_ : 0),
        gaps_(line_count_) {}

  std::size_t line_count() const { return line_count_; }

  // The raster line through the dots' row, which may lie outside of them.
  DotLine line(int row) const {
    const auto columns = static_cast<std::size_t>(dots_.columns + 2 * margin_);
    DotLine made{std::vector<std::uint32_t>(columns, code({margin_, margin_})), false};
    if (row < 0 || row >= dots_.rows) return made;
    std::vector<Gaps> gaps(columns, Gaps{margin_, margin_});
    const std::uint8_t* const tones = dots_.tone.data() + dots_.index(0, row);
    for (int column = 0; column < dots_.columns; ++column) {
      if (tones[column] != kOn) continue;
      gaps[static_cast<std::size_t>(column + margin_)] = {Gaps::kFiredHere, Gaps::kFiredHere};
      made.fires = true;
    }
    for (std::size_t i = 1; i < columns; ++i)
      gaps[i].left = std::min(gaps[i].left, gaps[i - 1].left + 1);
    for (std::size_t i = columns - 1; i-- > 0;)
      gaps[i].right = std::min(gaps[i].right, gaps[i + 1].right + 1);
    for (std::size_t i = 0; i < columns; ++i) made.codes[i] = code(gaps[i]);
    return made;
  }

  std::uint8_t tone(const std::deque<DotLine>& around, std::size_t column) {
    if (!remembers_) return worked_out(around, column);
    std::uint64_t key = 0;
    for (const DotLine& line : around) key = key * base_ * base_ + line.codes[column];
    // Multiplicative hashing by the golden ratio: Knuth, The Art of Computer Programming 3, 6.4
    // (from memory).
    Remembered& slot = memory_[(key * 0x9E3779B97F4A7C15u) >> (64 - memory_bits_)];
    // Keys are kept plus one, so that an empty slot matches none.
    if (slot.key_plus_one != key + 1) slot = {key + 1, worked_out(around, column)};
    return slot.tone;
  }

 private:
  static constexpr int kMostMemoryBits = 16;

  struct Remembered {
    std::uint64_t key_plus_one = 0;
    std::uint8_t tone = kOff;
  };

  // True up to spots of ten pixels; beyond, every pixel is worked out anew.
  bool keys_are_unique() const {
    return 2.0 * static_cast<double>(line_count_) * std::log2(base_) < 63.0;
  }

  // Gaps run from -1 to the margin, at which they no longer matter.
  std::uint32_t code(const Gaps& gaps) const {
    return static_cast<std::uint32_t>(gaps.left + 1) * base_ +
           static_cast<std::uint32_t>(gaps.right + 1);
  }

  std::uint8_t worked_out(const std::deque<DotLine>& around, std::size_t column) {
    for (std::size_t k = 0; k < line_count_; ++k) {
      const std::uint32_t packed = around[k].codes[column];
      gaps_[k] = {static_cast<int>(packed / base_) - 1, static_cast<int>(packed % base_) - 1};
    }
    return static_cast<std::uint8_t>(spot_.share(gaps_) * kOn + 0.5);
  }

  const Drawing& dots_;
  const MovingSpot& spot_;
  int margin_;
  std::uint32_t base_;
  std::size_t line_count_;
  bool remembers_;
  int memory_bits_;  // small drawings need few, and to clear them is most of their time
  std::vector<Remembered> memory_;
  std::vector<Gaps> gaps_;
};

Drawing burnt_along_x(const Drawing& dots, double spot_mm, const IsWanted& is_wanted) {
  const MovingSpot spot(spot_mm / dots.pixel_mm);
  const int margin = spot.margin();
  Drawing out{dots.columns + 2 * margin,
              dots.rows + 2 * margin,
              dots.pixel_mm,
              dots.origin_mm - Vec2::Constant(margin * dots.pixel_mm),
              {}};
  out.tone.assign(out.index(0, out.rows), kOff);

  PixelBurner burner(dots, spot);
  std::deque<DotLine> around(burner.line_count(), burner.line(-1));
  for (int row = 0; row < out.rows; ++row) {
    go_on_if(is_wanted);
    // One line comes into reach above, one goes out of it below.
    around.pop_front();
    around.push_back(burner.line(row - margin + spot.lines_each_side()));
    if (std::none_of(around.begin(), around.end(), [](const DotLine& line) { return line.fires; }))
      continue;
    std::uint8_t* const tones = out.tone.data() + out.index(0, row);
    for (int column = 0; column < out.columns; ++column)
      tones[column] = burner.tone(around, static_cast<std::size_t>(column));
  }
  return out;
}

Drawing transposed(const Drawing& drawing) {
  constexpr int kTile = 64;  // both rasters stay in the cache
  Drawing out = drawing;
  std::swap(out.columns, out.rows);
  out.origin_mm = Vec2(drawing.origin_mm.y(), drawing.origin_mm.x());
  for (int top = 0; top < out.rows; top += kTile)
    for (int left = 0; left < out.columns; left += kTile)
      for (int row = top; row < std::min(top + kTile, out.rows); ++row)
        for (int column = left; column < std::min(left + kTile, out.columns); ++column)
          out.tone[out.index(column, row)] = drawing.tone[drawing.index(row, column)];
  return out;
}

}  // namespace

Coverage burn(const Drawing& dots, const Beam& beam, const IsWanted& is_wanted) {
  if (dots.tone.empty()) return {};
  if (beam.axis == ScanAxis::x) return Coverage(burnt_along_x(dots, beam.spot_mm, is_wanted));
  return Coverage(transposed(burnt_along_x(transposed(dots), beam.spot_mm, is_wanted)));
}

}  // namespace rimeglow
