#include "tally.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "sides.h"

namespace rimeglow {
namespace {

constexpr double kScoreCell_mm = 1.0;
constexpr double kBandDepth_mm = 5.0;  // of engraving nearest the LEDs, where they show most

int cells_along(double length_mm, int parts) {
  return parts * std::max(1, static_cast<int>(std::ceil(length_mm / parts / kScoreCell_mm - 1e-9)));
}

// Before which LED of a row a point lies, and at which phase of its pitch, counted from between two
// LEDs.
struct PlaceInRow {
  int led = 0;
  int phase = 0;
};

PlaceInRow place_in_row(const LedRow& row, const Vec2& point_mm) {
  const double along = (point_mm - row.centre_mm).dot(row.along) / row.pitch_mm + 0.5 * row.count;
  const double led = std::floor(along);
  return {static_cast<int>(led), static_cast<int>(std::floor((along - led) * kPhases)) % kPhases};
}

bool within_row(const LedRow& row, const Vec2& point_mm) {
  return std::abs((point_mm - row.centre_mm).dot(row.along)) <= 0.5 * row.count * row.pitch_mm;
}

void add_layer(ScoreMap& map, const Layer& layer, int first_block, const IsWanted& is_wanted) {
  std::vector<int> slots(map.grid.size(), -1);
  for (int row = 0; row < map.grid.rows; ++row) {
    go_on_if(is_wanted);
    for (int column = 0; column < map.grid.columns; ++column) {
      const Vec2 from = map.grid.corner_mm(column, row);
      const Vec2 to = map.grid.corner_mm(column + 1, row + 1);
      const double catching_mm2 = layer.coverage.burnt_area_mm2(from, to);
      const double engraved_mm2 = layer.glowing().burnt_area_mm2(from, to);
      if (engraved_mm2 <= 0.0 && catching_mm2 <= 0.0) continue;
      const int block =
          first_block + map.grid.strip_of(row) * kPatchesAcross + map.grid.patch_column_of(column);
      map.block_engraved_mm2[static_cast<std::size_t>(block)] += engraved_mm2;
      const int square = map.grid.square_of(column, row);
      map.square_engraved_mm2[static_cast<std::size_t>(square)] += engraved_mm2;
      slots[map.grid.index(column, row)] = static_cast<int>(map.cells.size());
      map.cells.push_back(
          {engraved_mm2, catching_mm2 / map.grid.cell_area_mm2(), block, square, {}});
    }
  }
  map.slot.push_back(std::move(slots));
}

// Of each cell and the eight about it.
std::vector<double> sums_about(const CellGrid& grid, const std::vector<double>& values) {
  std::vector<double> sums(values.size(), 0.0);
  for (int row = 0; row < grid.rows; ++row) {
    for (int column = 0; column < grid.columns; ++column) {
      double& sum = sums[grid.index(column, row)];
      for (int y = std::max(0, row - 1); y <= std::min(grid.rows - 1, row + 1); ++y) {
        for (int x = std::max(0, column - 1); x <= std::min(grid.columns - 1, column + 1); ++x) {
          sum += values[grid.index(x, y)];
        }
      }
    }
  }
  return sums;
}

// Of the layer added last. A groove may catch light in a cell beside its own: what a cell catches
// is shared out among what is burnt about it.
std::vector<double> catching_of(const ScoreMap& map, const Layer& layer) {
  if (!layer.burnt) return {};
  const std::vector<int>& slots = map.slot.back();
  std::vector<double> burnt_mm2(slots.size(), 0.0);
  std::vector<double> share(slots.size(), 0.0);
  for (int row = 0; row < map.grid.rows; ++row) {
    for (int column = 0; column < map.grid.columns; ++column) {
      const std::size_t k = map.grid.index(column, row);
      if (slots[k] < 0) continue;
      const Vec2 from = map.grid.corner_mm(column, row);
      burnt_mm2[k] = layer.burnt->burnt_area_mm2(from, from + map.grid.cell_mm);
      share[k] = map.cells[static_cast<std::size_t>(slots[k])].catching_share;
    }
  }
  const std::vector<double> about_mm2 = sums_about(map.grid, burnt_mm2);
  for (std::size_t k = 0; k < share.size(); ++k) {
    share[k] *= about_mm2[k] > 0.0 ? map.grid.cell_area_mm2() / about_mm2[k] : 0.0;
  }
  return sums_about(map.grid, share);
}

// Phases are compared that catch a fair part of the band's light, each before half or more of the
// LEDs that the band lies before: a few dots would tell where on the panel they are, not whether
// the LEDs show.
constexpr double kLeastPart = 0.25;  // of an even share among the phases
constexpr int kFewestPhases = kPhases / 2;

struct Phase {
  double catching_mm2 = 0.0;
  std::set<int> leds;
};

// What each of the phases to be compared catches; 0 for the others.
std::array<double, kPhases> compared_areas(const std::array<Phase, kPhases>& phases) {
  double all_mm2 = 0.0;
  std::set<int> leds;
  for (const Phase& phase : phases) {
    all_mm2 += phase.catching_mm2;
    leds.insert(phase.leds.begin(), phase.leds.end());
  }
  std::array<double, kPhases> compared_mm2{};
  int count = 0;
  for (std::size_t k = 0; k < kPhases; ++k) {
    const bool is_fair = phases[k].catching_mm2 > kLeastPart * all_mm2 / kPhases &&
                         2 * phases[k].leds.size() >= leds.size();
    if (!is_fair) continue;
    compared_mm2[k] = phases[k].catching_mm2;
    ++count;
  }
  return count < kFewestPhases ? std::array<double, kPhases>{} : compared_mm2;
}

// Marks the engraved cells of the band that begins where the engraving does, seen from the LEDs.
void add_band(ScoreMap& map, const LedRow& row) {
  const std::size_t first_phase = map.bands.size() * kPhases;
  const auto for_each_cell = [&](auto&& visit) {
    for (const std::vector<int>& slots : map.slot) {
      for (std::size_t k = 0; k < slots.size(); ++k) {
        const Vec2 middle = map.grid.middle_mm(k);
        if (slots[k] >= 0 && within_row(row, middle))
          visit(map.cells[static_cast<std::size_t>(slots[k])], middle);
      }
    }
  };
  double nearest = 1e300;
  for_each_cell([&](ScoredCell&, const Vec2& middle) {
    nearest = std::min(nearest, row.above_edge_mm(middle));
  });
  std::array<Phase, kPhases> phases;
  for_each_cell([&](ScoredCell& cell, const Vec2& middle) {
    if (row.above_edge_mm(middle) > nearest + kBandDepth_mm) return;
    const PlaceInRow place = place_in_row(row, middle);
    const auto number = static_cast<std::size_t>(place.phase);
    cell.phases.push_back(first_phase + number);
    Phase& phase = phases[number];
    phase.catching_mm2 += cell.catching_share * map.grid.cell_area_mm2();
    if (cell.catching_share > 0.0) phase.leds.insert(place.led);
  });
  map.bands.push_back({static_cast<std::size_t>(row.edge), compared_areas(phases)});
}

bool in_one_place(const LedRow& a, const LedRow& b) {
  return a.edge == b.edge && a.centre_mm == b.centre_mm && a.count == b.count &&
         a.pitch_mm == b.pitch_mm;
}

void add_bands(ScoreMap& map, const std::vector<LedRow>& rows) {
  for (auto row = rows.begin(); row != rows.end(); ++row) {
    const bool has_one = std::any_of(
        rows.begin(), row, [&](const LedRow& other) { return in_one_place(other, *row); });
    if (row->count > 1 && !has_one) add_band(map, *row);
  }
}

// Of an edge's pieces that face as its seat does: what edge glow is summed over.
std::vector<double> edge_areas(const Model& model) {
  const Outline& outline = model.outline;
  std::vector<double> areas_mm2(outline.edges.size(), 0.0);
  if (!outline.chamfered()) {
    for (const OutlinePiece& piece : outline.pieces) {
      if (faces_as_seat(outline, piece)) {
        areas_mm2[static_cast<std::size_t>(piece.edge)] += piece.length_mm;
      }
    }
    for (double& area_mm2 : areas_mm2) area_mm2 *= model.thickness_mm;
    return areas_mm2;
  }
  for (const SideFacet& facet : side_facets(outline, model.thickness_mm, kCoarseSagitta_mm, 0.0)) {
    const OutlinePiece& piece = outline.pieces[static_cast<std::size_t>(facet.piece)];
    if (faces_as_seat(outline, piece)) {
      areas_mm2[static_cast<std::size_t>(facet.edge)] += facet.area_mm2();
    }
  }
  return areas_mm2;
}

}  // namespace

std::vector<std::string> ledger_names(const Outline& outline) {
  std::vector<std::string> names = {"front.mark", "front.other", "back.mark", "back.other",
                                    "missed",     "base",        "finish",    "sheet",
                                    "trapped",    "lost"};
  for (const OutlineEdge& edge : outline.edges) names.push_back("edges." + edge.name);
  return names;
}

CellGrid cell_grid(const Model& model) {
  CellGrid grid;
  if (model.layers.empty()) return grid;
  const Vec2 size = model.art_upper_right_mm - model.art_lower_left_mm;
  grid.lower_left_mm = model.art_lower_left_mm;
  grid.columns = cells_along(size.x(), kPatchesAcross);
  grid.rows = cells_along(size.y(), kStrips);
  grid.cell_mm = {size.x() / grid.columns, size.y() / grid.rows};
  return grid;
}

ScoreMap score_map(const Model& model, int viewer_groups, const IsWanted& is_wanted) {
  ScoreMap map;
  map.grid = cell_grid(model);
  map.groups = viewer_groups;
  map.edges = static_cast<int>(model.outline.edges.size());
  map.channels = static_cast<int>(model.channels.size());
  map.edge_mm2 = edge_areas(model);
  const bool has_beside = model.has_scored() && model.has_rastered();
  map.block_engraved_mm2.assign((has_beside ? 2 : 1) * std::size_t{kBlocks}, 0.0);
  map.square_engraved_mm2.assign(row_by_row(map.grid.squares_across(), 0, map.grid.squares_up()),
                                 0.0);
  for (const Layer& layer : model.layers) {
    add_layer(map, layer, has_beside && layer.scored ? kBlocks : 0, is_wanted);
    map.catching.push_back(catching_of(map, layer));
  }
  add_bands(map, model.lamps);
  return map;
}

Tally::Tally(const ScoreMap& map)
    : field(static_cast<std::size_t>(map.channels) * map.channel_size(), 0), batches(kBatches) {
  for (BatchSums& batch : batches) {
    batch.ledger.assign(static_cast<std::size_t>(kFirstEdgeEntry + map.edges), 0);
    batch.blocks.assign(map.block_engraved_mm2.size() * map.stride(), 0);
    batch.squares.assign(map.square_engraved_mm2.size(), 0);
    batch.edges.assign(static_cast<std::size_t>(map.edges) * map.stride(), 0);
    batch.walls.assign(static_cast<std::size_t>(map.channels * map.edges), 0);
    batch.phases.assign(map.bands.size() * kPhases, 0);
  }
}

}  // namespace rimeglow
