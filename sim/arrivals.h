// Light arriving by place and direction, for eyes that nobody named before the light was traced: at
// the engraving in squares of about 2 mm, at edges that scatter in pieces of 2 mm along them and
// all through the sheet, at chamfers beside them. Kept only where a camera is asked for.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

#include "hats.h"
#include "tally.h"

namespace rimeglow {

struct ArrivalMap {
  HatLayout face_hats = kFaceHats;
  CellGrid grid;              // whole cells of the ScoreMap's, merged
  double step_mm = 0.0;       // along the outline
  std::vector<int> slot;      // per cell of the grid: its place, -1 where nothing is engraved
  std::vector<bool> by_edge;  // which of the outline's edges are kept
  std::vector<int> band_of;   // of each edge: 0 walls, then chamfers at the back and at the front
  std::size_t art_cells = 0;
  std::size_t band_cells = 0;  // along the outline
  std::size_t edge_cells = 0;  // in all bands
  // Per edge cell: how much of it scatters, as a length of the sheet's full thickness, and the edge
  // that has most of it (-1: none).
  std::vector<double> kept_mm;
  std::vector<int> edge_of;
  std::size_t channels = 0;

  std::size_t channel_size() const {
    return art_cells * static_cast<std::size_t>(face_hats.nodes()) +
           edge_cells * static_cast<std::size_t>(kEdgeHats.nodes());
  }
  std::size_t size() const { return channels * channel_size(); }
  // Where the nodes of a cell begin, within a channel.
  std::size_t of_art(std::size_t cell) const {
    return cell * static_cast<std::size_t>(face_hats.nodes());
  }
  std::size_t of_edge(std::size_t cell) const {
    return of_art(art_cells) + cell * static_cast<std::size_t>(kEdgeHats.nodes());
  }

  // The cell of a place on the art's face, -1 where none is kept.
  int art_cell(const Vec2& point_mm) const {
    const double u = (point_mm.x() - grid.lower_left_mm.x()) / grid.cell_mm.x();
    const double v = (point_mm.y() - grid.lower_left_mm.y()) / grid.cell_mm.y();
    if (!(u >= 0.0 && v >= 0.0 && u < grid.columns && v < grid.rows)) return -1;
    return slot[grid.index(static_cast<int>(u), static_cast<int>(v))];
  }
  std::size_t edge_cell(int edge, double along_mm) const {
    const auto band = static_cast<std::size_t>(band_of[static_cast<std::size_t>(edge)]);
    const auto cell = static_cast<std::size_t>(std::max(0.0, along_mm / step_mm));
    return band * band_cells + std::min(cell, band_cells - 1);
  }
};

ArrivalMap arrival_map(const Model& model, const ScoreMap& scores);

}  // namespace rimeglow
