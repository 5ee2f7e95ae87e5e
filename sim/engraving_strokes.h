// Thin strokes: which pixels of line art belong to them, and how they are dimmed by whole lines
// left out across them, at equal distances, so that a stroke keeps its width and has no gaps but
// these. Lines across a slanting stroke are made wider by so much as it takes to burn the same
// share of it. Specks, which stand alone and are no larger than a few lines, keep at least one, and
// theirs lie evenly about their middle.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "artwork.h"
#include "screen.h"

namespace rimeglow {

class StrokeMap {
 public:
  // `fired` is line art, 0 or 255. Thin is what no square of `thin_px` a side fits into.
  StrokeMap(const Drawing& fired, int thin_px, const IsWanted& is_wanted = always);

  enum Part : std::uint8_t { nothing, area, along_x, along_y, speck };

  // A speck's box in pixels, the upper end not included.
  struct Box {
    int left, bottom, right, top;
  };
  const std::vector<Box>& specks() const { return specks_; }

  int columns() const { return columns_; }
  int rows() const { return rows_; }
  Part at(int column, int row) const { return static_cast<Part>(part_[index(column, row)]); }

  // How steeply a stroke crosses the axis that it goes along, in steps of 1 / kSlopes, and how many
  // pixels it has across that.
  static constexpr int kSlopes = 15;
  static constexpr int kMostAcross = 15;
  struct Course {
    int slope, across;
  };
  Course course_at(int column, int row) const {
    const std::uint8_t packed = course_[index(column, row)];
    return {packed / (kMostAcross + 1), packed % (kMostAcross + 1)};
  }

 private:
  std::size_t index(int column, int row) const { return row_by_row(columns_, column, row); }
  bool is_alone_and_thin(const Box& box) const;

  int columns_;
  int rows_;
  std::vector<std::uint8_t> part_;
  std::vector<std::uint8_t> course_;
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
  bool fires(int column, StrokeMap::Part part, const StrokeMap::Course& course) const {
    const bool level = part == StrokeMap::along_x;
    const Line& line = (level ? level_ : upright_)[static_cast<std::size_t>(column)];
    const Widths& widths = level ? level_widths_ : upright_widths_;
    return line.passed < line.share * widths[static_cast<std::size_t>(course.slope)]
                                            [static_cast<std::size_t>(course.across)];
  }

 private:
  // Of the distance between two lines, how far a pixel is beyond the last, and how much one pixel
  // takes.
  struct Line {
    double passed = 0.0;
    double share = 0.0;
  };
  // Of a line in pixels, by course.
  using Widths = std::array<std::array<double, StrokeMap::kMostAcross + 1>, StrokeMap::kSlopes + 1>;
  static Widths widths(double spot_px, bool scanned_along);

  FiredShares columns_;
  FiredShares rows_;
  Widths level_widths_;
  Widths upright_widths_;
  std::vector<double> phase_;  // of the lines across strokes along y, by column
  std::vector<Line> level_;
  std::vector<Line> upright_;
};

// Which of a speck's lines fire, of so many from its left (for one longer across) or its bottom.
std::vector<bool> speck_lines(int length, double density, ScanAxis along, const Screen& screen);

}  // namespace rimeglow
