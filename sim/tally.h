// Where the light went and what it lit: sums in 64-bit fixed point, which do not depend on the
// order of adding. The luminance field is one for all photons; what errors are estimated from is
// small and kept per batch.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "estimate.h"
#include "response.h"

namespace rimeglow {

// Ends of the light's way. Edges follow from kFirstEdgeEntry in the outline's order.
enum LedgerEntry : int {
  kFrontMark,  // left through the front straight from an engraving
  kFrontOther,
  kBackMark,
  kBackOther,
  kMissed,      // never entered: beside the edge, or thrown back by it
  kBaseLoss,    // absorbed by the base
  kFinishLoss,  // absorbed by paint, tape, card or mirror
  kSheetLoss,   // absorbed in the acrylic
  kTrapped,     // cut by the cap on events; roulette's losses less its gains
  kLost,        // no surface found: a fault
  kFirstEdgeEntry
};

// What numbers.json calls each entry: "front.mark", "edges.top", "missed", ...
std::vector<std::string> ledger_names(const Outline& outline);

// Fixed point of the ledger: a batch of 2^20 photons stays below 2^60, and a deposit errs by less
// than 2^-41. Of the scores: 2^26 photons stay below 2^61 in a cell to which each adds kCellScore
// on average. A single score may be higher, up to kMostScore: of a lobe that peaks so high, so
// small a part of the light arrives within it.
inline constexpr double kLedgerUnit = 0x1p-40;
inline constexpr double kScoreUnit = 0x1p-22;
inline constexpr double kCellScore = 0x1p13;
inline constexpr double kMostScore = 0x1p24;

// The art's box in cells of at most 1 mm, grouped in strips (rows of the report) and 5 columns.
// Patches and strips hold whole cells, so no cell straddles them.
inline constexpr int kPatchesAcross = 5;
inline constexpr int kStrips = 25;
inline constexpr int kBlocks = kStrips * kPatchesAcross;
// Squares of whole cells as well: what differences between two designs are mapped by.
inline constexpr double kSquare_mm = 4.0;

struct CellGrid {
  Vec2 lower_left_mm = Vec2::Zero();
  Vec2 cell_mm = Vec2::Ones();
  int columns = 0;
  int rows = 0;

  int strip_of(int row) const { return row * kStrips / rows; }
  int patch_column_of(int column) const { return column * kPatchesAcross / columns; }
  double cell_area_mm2() const { return cell_mm.x() * cell_mm.y(); }
  std::size_t size() const { return index(0, rows); }
  std::size_t index(int column, int row) const { return row_by_row(columns, column, row); }
  // Squares of about kSquare_mm, row by row from the lower left.
  int squares_across() const { return squares_along(columns, cell_mm.x()); }
  int squares_up() const { return squares_along(rows, cell_mm.y()); }
  int square_of(int column, int row) const {
    return squares_across() * (row * squares_up() / rows) + column * squares_across() / columns;
  }
  // The cell of a point, or the nearest.
  std::size_t index_at(const Vec2& point_mm) const {
    const Vec2 cells = (point_mm - lower_left_mm).cwiseQuotient(cell_mm);
    return index(static_cast<int>(std::clamp(cells.x(), 0.0, columns - 1.0)),
                 static_cast<int>(std::clamp(cells.y(), 0.0, rows - 1.0)));
  }
  Vec2 corner_mm(int column, int row) const {
    return lower_left_mm + cell_mm.cwiseProduct(Vec2(column, row));
  }
  Vec2 middle_mm(std::size_t cell) const {
    const int at = static_cast<int>(cell);
    return corner_mm(at % columns, at / columns) + 0.5 * cell_mm;
  }

  // Calls visit(cell, share) for the cells whose middles are about a point, by how near they are.
  // All count a little even from afar, so that strokes at the borders of cells keep their light
  // where only some cells hold any.
  template <class Visit>
  void for_each_about(const Vec2& point_mm, const Visit& visit) const {
    constexpr double kLeast = 1e-6;
    const double u = (point_mm.x() - lower_left_mm.x()) / cell_mm.x() - 0.5;
    const double v = (point_mm.y() - lower_left_mm.y()) / cell_mm.y() - 0.5;
    const int first_column = static_cast<int>(std::floor(u));
    const int first_row = static_cast<int>(std::floor(v));
    for (const int row : {first_row, first_row + 1}) {
      for (const int column : {first_column, first_column + 1}) {
        if (column < 0 || row < 0 || column >= columns || row >= rows) continue;
        const double share = (1.0 - std::abs(u - column)) * (1.0 - std::abs(v - row));
        visit(index(column, row), share + kLeast);
      }
    }
  }

 private:
  static int squares_along(int cells, double along_mm) {
    return cells == 0 ? 0 : std::clamp(static_cast<int>(cells * along_mm / kSquare_mm), 1, cells);
  }
};

CellGrid cell_grid(const Model& model);

// Phases of the LED pitch over which the brightness along the lit edge is compared.
inline constexpr int kPhases = 8;

// The engraving nearest a row of LEDs, where they show most. Rows in one place share one.
struct LedBand {
  std::size_t edge = 0;
  std::array<double, kPhases> catching_mm2{};  // 0: too little to be compared
};

// What an arrival in one engraved cell of one layer adds to.
struct ScoredCell {
  double engraved_mm2 = 0.0;
  double catching_share = 0.0;      // of the cell's area, what meets the mark
  int block = 0;                    // see ScoreMap::block_engraved_mm2
  int square = 0;                   // see CellGrid::square_of
  std::vector<std::size_t> phases;  // of the bands it is in: indices into BatchSums::phases
};

// Which cells are scored: fixed by the model.
struct ScoreMap {
  CellGrid grid;
  int groups = 0;  // of viewers
  int edges = 0;
  int channels = 1;
  std::vector<std::vector<int>> slot;  // per layer and cell: index into `cells`, or -1
  // Per layer and cell: over how many times their own area deep grooves about there catch light.
  // Empty where none are deep.
  std::vector<std::vector<double>> catching;
  std::vector<ScoredCell> cells;
  // kBlocks, one a strip and patch column. Lines scored beside rastered marks have kBlocks of their
  // own behind these.
  std::vector<double> block_engraved_mm2;
  std::vector<double> square_engraved_mm2;  // see CellGrid::square_of
  std::vector<LedBand> bands;
  std::vector<double> edge_mm2;  // of each edge what faces as its seat does

  double catching_at(std::size_t layer, const Vec2& point_mm) const {
    return catching[layer].empty() ? 1.0 : catching[layer][grid.index_at(point_mm)];
  }
  std::size_t stride() const { return static_cast<std::size_t>(groups) * kViewerGroup; }
  std::size_t channel_size() const { return cells.size() * stride(); }
};

ScoreMap score_map(const Model& model, int viewer_groups, const IsWanted& is_wanted = always);

// Sums of one batch.
struct BatchSums {
  std::uint64_t photons = 0;
  std::vector<std::int64_t> ledger;   // kFirstEdgeEntry + edges, of kLedgerUnit
  std::vector<std::int64_t> blocks;   // blocks x viewers: score x engraved share, of kScoreUnit
  std::vector<std::int64_t> squares;  // first viewer: score x engraved share
  std::vector<std::int64_t> edges;    // edges x viewers: score, of kScoreUnit
  std::vector<std::int64_t> walls;    // channels x edges: kept by base walls, of kLedgerUnit
  std::vector<std::int64_t> phases;   // bands x kPhases, first viewer: score x engraved share
  std::int64_t cut = 0;               // of `trapped`: by the cap on events
  std::uint64_t faults = 0;           // deposits, and light under way, of no amount
};

struct Tally {
  explicit Tally(const ScoreMap& map);

  std::vector<std::int64_t> field;  // channels x cells x viewers: score, of kScoreUnit
  std::vector<BatchSums> batches;   // kBatches
};

// The nearest whole number of units, for |value| below 2^51 units. Adding 1.5 * 2^52 leaves a
// double's last bit worth one.
inline std::int64_t fixed_point(double value, double unit) {
  constexpr double kWhole = 0x1.8p52;
  return std::bit_cast<std::int64_t>(value / unit + kWhole) - std::bit_cast<std::int64_t>(kWhole);
}

}  // namespace rimeglow
