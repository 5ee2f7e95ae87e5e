// Thin strokes: which pixels of line art belong to them, and how they are dimmed by whole lines
// left out across them, at equal distances, so that a stroke keeps its width and has no gaps but
// these. Specks, which stand alone and are no larger than a few lines, keep at least one, and
// theirs lie evenly about their middle. How much a line burns is taken from strokes along x or y; a
// slanting one is burnt somewhat more.
#pragma once

#include <cstdint>
#include <vector>

#include "artwork.h"
#include "screen.h"

namespace rimeglow {

class StrokeMap {
 public:
  // `fired` is line art, 0 or 255. Thin is what no square of `thin_px` a side fits into.
  StrokeMap(const Drawing& fired, int thin_px);

  enum Part : std::uint8_t { nothing, area, along_x, along_y, speck };

  // A speck's box in pixels, the upper end not included.
  struct Box {
    int left, bottom, right, top;
  };
  const std::vector<Box>& specks() const { return specks_; }

  int columns() const { return columns_; }
  int rows() const { return rows_; }
  Part at(int column, int row) const {
    return static_cast<Part>(
        part_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
              static_cast<std::size_t>(column)]);
  }
  bool is_thin(int column, int row) const { return at(column, row) >= along_x; }

 private:
  int columns_;
  int rows_;
  bool is_alone_and_thin(const Box& box) const;

  std::vector<std::uint8_t> part_;
  std::vector<Box> specks_;
};

// Shares of dots by wanted tone, read a million times.
class FiredShares {
 public:
  explicit FiredShares(const DotGrowth& growth);

  // All for tone 1; just below it, the fewest dots that burn as much.
  double of(double wanted) const;

 private:
  std::vector<double> fired_;
};

// Says row by row, from the lowest up, which pixels of strokes fire.
class StrokeDimmer {
 public:
  StrokeDimmer(const StrokeMap& strokes, const Screen& screen);

  // `density` is what is wanted at each column of the row. The phase of the lines runs on through
  // whole rows and columns, so that they meet those beside.
  void begin_row(const std::vector<double>& density);
  bool fires(int column, StrokeMap::Part part) const {
    return (part == StrokeMap::along_x ? level_ : upright_)[static_cast<std::size_t>(column)] != 0;
  }

 private:
  FiredShares columns_;
  FiredShares rows_;
  std::vector<double> phase_;  // of the lines across strokes along y, by column
  std::vector<std::uint8_t> level_;
  std::vector<std::uint8_t> upright_;
};

// Which of a speck's lines fire, of so many from its left (for one longer across) or its bottom.
std::vector<bool> speck_lines(int length, double density, ScanAxis along, const Screen& screen);

}  // namespace rimeglow
