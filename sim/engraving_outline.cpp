// What a laser fires that follows outlines: part of engraving.h.
#include "engraving_outline.h"

#include <algorithm>
#include <bit>

#include "engraving.h"

namespace rimeglow {
namespace {

// Whether a dot lies within what fires, and not in a slanting stroke two dots wide.
bool lies_inside(const Drawing& full, int column, int row) {
  const auto fires = [&](int across, int up) {
    return full.tone[full.index(column + across, row + up)] == kOn;
  };
  return fires(0, 0) && fires(-1, 0) && fires(1, 0) && fires(0, -1) && fires(0, 1) &&
         (fires(-1, -1) || fires(1, 1)) && (fires(-1, 1) || fires(1, -1));
}

// A square of four by four dots, but for a corner.
bool is_square(const Drawing& full, int column, int row) {
  int count = 0;
  for (int k = 0; k < 16; ++k)
    count += full.tone[full.index(column + k % 4, row + k / 4)] == kOn ? 1 : 0;
  return count >= 15;
}

// What lies within the rims of areas, and of strokes that are four dots wide somewhere. Of a
// narrower stroke only dots here and there lie inside, and where two cross.
std::vector<std::size_t> wide_inside(const Drawing& full) {
  constexpr std::size_t kCrossing = 8;  // dots that may lie inside where narrow strokes cross
  std::vector<bool> inside(full.tone.size(), false);
  for (int row = 1; row + 1 < full.rows; ++row)
    for (int column = 1; column + 1 < full.columns; ++column)
      inside[full.index(column, row)] = lies_inside(full, column, row);
  const auto up = static_cast<std::size_t>(full.columns);
  std::vector<std::size_t> found;
  const auto find = [&](std::size_t pixel) {
    if (inside[pixel]) found.push_back(pixel);
    inside[pixel] = false;
  };
  for (int row = 0; row + 3 < full.rows; ++row)
    for (int column = 0; column + 3 < full.columns; ++column) {
      const std::size_t before = found.size();
      const std::size_t middle = full.index(column + 1, row + 1);
      if (!inside[middle] || !is_square(full, column, row)) continue;
      find(middle);
      for (std::size_t i = before; i < found.size(); ++i)
        for (const std::size_t line : {found[i] - up, found[i], found[i] + up})
          for (const std::size_t pixel : {line - 1, line, line + 1}) find(pixel);
      if (found.size() - before <= kCrossing) found.resize(before);
    }
  return found;
}

// Whether lines stay connected without a dot, told from those about it: Yokoi's connectivity
// number (1973, from memory) is 1.
bool is_spare(unsigned about) {
  const auto off = [&](int k) { return (about >> (k % FiredDots::kAbout) & 1U) == 0 ? 1 : 0; };
  int number = 0;
  for (int k = 0; k < FiredDots::kAbout; k += 2)
    number += off(k) - off(k) * off(k + 1) * off(k + 2);
  return number == 1;
}

}  // namespace

FiredDots::FiredDots(const Drawing& dots)
    : across_(static_cast<std::size_t>(dots.columns) + 2),
      fires_(across_ * (static_cast<std::size_t>(dots.rows) + 2), false) {
  for (int row = 0; row < dots.rows; ++row)
    for (int column = 0; column < dots.columns; ++column) {
      if (dots.tone[dots.index(column, row)] == kOff) continue;
      const std::size_t dot =
          (static_cast<std::size_t>(row) + 1) * across_ + static_cast<std::size_t>(column) + 1;
      fires_[dot] = true;
      all_.push_back(dot);
    }
}

unsigned FiredDots::about(std::size_t dot) const {
  unsigned bits = 0;
  for (int k = 0; k < kAbout; ++k) bits |= (fires_[beside(dot, k)] ? 1U : 0U) << k;
  return bits;
}

void FiredDots::thin() {
  std::size_t before = 0;
  do {
    before = all_.size();
    for (int side = 0; side < kAbout; side += 2) thin_from(side);
  } while (all_.size() < before);
}

bool FiredDots::may_go(std::size_t dot) const {
  const unsigned near = about(dot);
  return std::popcount(near) > 1 && is_spare(near);
}

void FiredDots::thin_from(int side) {
  std::vector<std::size_t> rim;
  for (const std::size_t dot : all_)
    if (!fires_[beside(dot, side)] && may_go(dot)) rim.push_back(dot);
  for (const std::size_t dot : rim)
    if (may_go(dot)) fires_[dot] = false;
  std::erase_if(all_, [&](std::size_t dot) { return !fires_[dot]; });
}

Drawing outlined(const Drawing& line_art) {
  Drawing out = engraved_in_full(line_art);
  for (const std::size_t pixel : wide_inside(out)) out.tone[pixel] = kOff;
  return out;
}

Drawing thinned(const Drawing& strokes) {
  FiredDots dots(strokes);
  dots.thin();
  Drawing out = strokes;
  std::fill(out.tone.begin(), out.tone.end(), kOff);
  for (const std::size_t dot : dots.all()) {
    out.tone[out.index(dots.column(dot), dots.row(dot))] = kOn;
  }
  return out;
}

}  // namespace rimeglow
