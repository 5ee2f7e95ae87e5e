#include "engraving_strokes.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "units.h"

namespace rimeglow {
namespace {

// What is no larger both ways than so many thin strokes are wide is a speck.
constexpr int kSpeck = 3;

// Morphological opening by a square: 1 where one of `side` pixels fits into what fires.
std::vector<std::uint8_t> wide_parts(const Drawing& fired, int side, const IsWanted& is_wanted) {
  const auto columns = static_cast<std::size_t>(fired.columns);
  std::vector<std::uint8_t> wide(fired.tone.size());
  // Where the upper right corner of such a square may be.
  std::vector<int> deep(columns, 0);
  for (int row = 0; row < fired.rows; ++row) {
    go_on_if(is_wanted);
    int across = 0;
    for (std::size_t i = 0; i < columns; ++i) {
      across = fired.tone[fired.index(0, row) + i] ? across + 1 : 0;
      deep[i] = across >= side ? deep[i] + 1 : 0;
      wide[fired.index(0, row) + i] = deep[i] >= side;
    }
  }
  // All that those squares cover.
  std::fill(deep.begin(), deep.end(), 0);
  for (int row = fired.rows; row-- > 0;) {
    go_on_if(is_wanted);
    int across = 0;
    for (std::size_t i = columns; i-- > 0;) {
      std::uint8_t& here = wide[fired.index(0, row) + i];
      deep[i] = here ? side : std::max(0, deep[i] - 1);
      across = deep[i] > 0 ? side : std::max(0, across - 1);
      here = across > 0;
    }
  }
  return wide;
}

// The length of the upright run of fired pixels through each, 255 for that and more.
std::vector<std::uint8_t> upright_runs(const Drawing& fired, const IsWanted& is_wanted) {
  std::vector<std::uint8_t> lengths(fired.tone.size(), 0);
  std::vector<int> begin(static_cast<std::size_t>(fired.columns), -1);
  for (int row = 0; row <= fired.rows; ++row) {
    go_on_if(is_wanted);
    for (std::size_t i = 0; i < begin.size(); ++i) {
      const bool on = row < fired.rows && fired.tone[fired.index(0, row) + i];
      if (on && begin[i] < 0) begin[i] = row;
      if (on || begin[i] < 0) continue;
      const auto length = static_cast<std::uint8_t>(std::min(row - begin[i], 255));
      for (int k = begin[i]; k < row; ++k) lengths[fired.index(0, k) + i] = length;
      begin[i] = -1;
    }
  }
  return lengths;
}

// The boxes of what hangs together (corners touching is enough), as far as they are small: runs of
// pixels joined row by row to those below.
class Islands {
 public:
  Islands(const Drawing& fired, const IsWanted& is_wanted) {
    std::vector<Run> below;
    for (int row = 0; row < fired.rows; ++row) {
      go_on_if(is_wanted);
      std::vector<Run> here;
      const std::uint8_t* const line = fired.tone.data() + fired.index(0, row);
      for (int begin = 0; begin < fired.columns;) {
        int end = begin;
        while (end < fired.columns && line[end]) ++end;
        if (end > begin) here.push_back({begin, end, add({begin, row, end, row + 1})});
        begin = std::max(end, begin + 1);
      }
      auto next = below.begin();
      for (const Run& run : here) {
        while (next != below.end() && next->end < run.begin) ++next;
        for (auto touching = next; touching != below.end() && touching->begin <= run.end;
             ++touching)
          join(touching->island, run.island);
      }
      below = std::move(here);
    }
  }

  std::vector<StrokeMap::Box> no_larger_than(int side) {
    std::vector<StrokeMap::Box> small;
    for (std::size_t i = 0; i < boxes_.size(); ++i) {
      const StrokeMap::Box& box = boxes_[i];
      const bool is_small = box.right - box.left <= side && box.top - box.bottom <= side;
      if (parent_[i] == i && is_small) small.push_back(box);
    }
    return small;
  }

 private:
  struct Run {
    int begin, end;
    std::size_t island;
  };

  std::size_t add(const StrokeMap::Box& box) {
    parent_.push_back(parent_.size());
    boxes_.push_back(box);
    return parent_.back();
  }

  std::size_t root(std::size_t island) {
    while (parent_[island] != island) island = parent_[island] = parent_[parent_[island]];
    return island;
  }

  void join(std::size_t one, std::size_t other) {
    const std::size_t from = root(one);
    const std::size_t to = root(other);
    if (from == to) return;
    parent_[from] = to;
    StrokeMap::Box& box = boxes_[to];
    const StrokeMap::Box& added = boxes_[from];
    box = {std::min(box.left, added.left), std::min(box.bottom, added.bottom),
           std::max(box.right, added.right), std::max(box.top, added.top)};
  }

  std::vector<std::size_t> parent_;
  std::vector<StrokeMap::Box> boxes_;
};

}  // namespace

StrokeMap::StrokeMap(const Drawing& fired, int thin_px, const IsWanted& is_wanted)
    : columns_(fired.columns),
      rows_(fired.rows),
      part_(upright_runs(fired, is_wanted)),
      course_(part_.size()) {
  const std::vector<std::uint8_t> wide = wide_parts(fired, thin_px, is_wanted);
  for (int row = 0; row < rows_; ++row) {
    go_on_if(is_wanted);
    const std::size_t line = fired.index(0, row);
    for (int begin = 0; begin < columns_;) {
      int end = begin;
      while (end < columns_ && fired.tone[line + static_cast<std::size_t>(end)]) ++end;
      for (int column = begin; column < end; ++column) {
        std::uint8_t& part = part_[line + static_cast<std::size_t>(column)];
        const int along = std::max<int>(end - begin, part);
        const int across = std::min<int>(end - begin, part);
        course_[line + static_cast<std::size_t>(column)] =
            static_cast<std::uint8_t>((kSlopes * across + along / 2) / along * (kMostAcross + 1) +
                                      std::min(across, kMostAcross));
        const bool level = end - begin >= part;
        part = wide[line + static_cast<std::size_t>(column)] ? area : level ? along_x : along_y;
      }
      begin = std::max(end, begin + 1);
    }
  }
  for (const Box& box : Islands(fired, is_wanted).no_larger_than(kSpeck * thin_px)) {
    // A box holds pieces of others at times, but a speck that is an area somewhere is none.
    if (!is_alone_and_thin(box)) continue;
    specks_.push_back(box);
    for (int row = box.bottom; row < box.top; ++row)
      for (int column = box.left; column < box.right; ++column) {
        std::uint8_t& part = part_[fired.index(column, row)];
        if (part != nothing) part = speck;
      }
  }
}

bool StrokeMap::is_alone_and_thin(const Box& box) const {
  for (int row = std::max(0, box.bottom - 1); row < std::min(rows_, box.top + 1); ++row)
    for (int column = std::max(0, box.left - 1); column < std::min(columns_, box.right + 1);
         ++column) {
      const bool inside =
          row >= box.bottom && row < box.top && column >= box.left && column < box.right;
      const Part part = at(column, row);
      if (part == area || part == speck || (!inside && part != nothing)) return false;
    }
  return true;
}

FiredShares::FiredShares(const DotGrowth& growth) {
  constexpr int kSteps = 4096;
  for (int i = 0; i < kSteps; ++i) fired_.push_back(growth.fired(growth.most() * i / kSteps));
}

double FiredShares::of(double wanted) const {
  const double at = wanted * static_cast<double>(fired_.size());
  const auto below = static_cast<std::size_t>(at);
  if (below >= fired_.size()) return 1.0;
  if (below + 1 == fired_.size()) return fired_[below];
  return fired_[below] + (at - static_cast<double>(below)) * (fired_[below + 1] - fired_[below]);
}

StrokeDimmer::StrokeDimmer(const StrokeMap& strokes, const Screen& screen)
    : columns_(screen.columns),
      rows_(screen.rows),
      level_widths_(widths(screen.beam.spot_mm / screen.pixel_mm, screen.beam.axis == ScanAxis::x)),
      upright_widths_(
          widths(screen.beam.spot_mm / screen.pixel_mm, screen.beam.axis == ScanAxis::y)),
      phase_(static_cast<std::size_t>(strokes.columns()), 0.0),
      level_(phase_.size()),
      upright_(phase_.size()) {}

void StrokeDimmer::begin_row(const std::vector<double>& density) {
  const auto steps_on = [](double& phase, double share) {
    phase += share;
    return Line{phase - std::floor(phase), share};
  };
  double phase = 0.0;
  for (std::size_t i = 0; i < phase_.size(); ++i) {
    level_[i] = steps_on(phase, columns_.of(density[i]));
    upright_[i] = steps_on(phase_[i], rows_.of(density[i]));
  }
}

// One line across a stroke burns `lone` (in pixels), and what a stroke burns in full, by its length
// along the axis that it goes along, is what widening the line by a pixel adds: the stroke's width
// as its spots have it, square to its course (derived: a convex spot's sweep). The shares of lines
// are those for strokes of three pixels along an axis; where the same line burns less of a stroke
// than of those, widening makes up for it.
StrokeDimmer::Widths StrokeDimmer::widths(double spot_px, bool scanned_along) {
  const double round = 0.25 * kPi * spot_px * spot_px;
  const auto lone = [&](int across) {
    return scanned_along ? (across - 1) * (spot_px + 1.0) + round + spot_px
                         : across * spot_px + round;
  };
  const auto full = [&](int across, double slope) {
    return across - 1 + spot_px * std::hypot(1.0, slope) + (scanned_along ? slope : 1.0);
  };
  constexpr int kUsual = 3;
  Widths widths;
  for (int slope = 0; slope <= StrokeMap::kSlopes; ++slope) {
    for (int across = 0; across <= StrokeMap::kMostAcross; ++across) {
      const double missing =
          lone(kUsual) / full(kUsual, 0.0) -
          lone(across) / full(across, static_cast<double>(slope) / StrokeMap::kSlopes);
      // Spots smaller than a pixel leave gaps everywhere.
      const bool widens = spot_px > 1.0 && across > 0;
      widths[static_cast<std::size_t>(slope)][static_cast<std::size_t>(across)] =
          1.0 + (widens ? std::max(0.0, missing) : 0.0);
    }
  }
  return widths;
}

// So many lines that what they burn along the speck comes nearest to the wanted share of the whole.
std::vector<bool> speck_lines(int length, double density, ScanAxis along, const Screen& screen) {
  std::vector<bool> chosen(static_cast<std::size_t>(length), density >= 1.0);
  if (density <= 0.0 || density >= 1.0) return chosen;
  const auto fires = [&](int line, int lines) {
    const auto passed = [&](int at) { return std::floor((at * lines + 0.5 * length) / length); };
    return passed(line + 1) > passed(line);
  };
  // A line burns the spot's width, and along the scan the pixel's as well.
  const double spot_px = screen.beam.spot_mm / screen.pixel_mm;
  const double reach = 0.5 * (spot_px - (along == screen.beam.axis ? 0.0 : 1.0));
  const auto burnt = [&](int lines) {
    double sum = 0.0;
    double burnt_to = -std::numeric_limits<double>::infinity();
    for (int line = 0; line < length; ++line) {
      if (!fires(line, lines)) continue;
      sum += line + 1.0 + reach - std::max(line - reach, burnt_to);
      burnt_to = line + 1.0 + reach;
    }
    return sum;
  };
  const double wanted = density * burnt(length);
  int best = 1;
  for (int lines = 2; lines <= length; ++lines)
    if (std::abs(burnt(lines) - wanted) < std::abs(burnt(best) - wanted)) best = lines;
  for (int line = 0; line < length; ++line)
    chosen[static_cast<std::size_t>(line)] = fires(line, best);
  return chosen;
}

}  // namespace rimeglow
