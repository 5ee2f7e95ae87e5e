#include "arrivals.h"

#include <algorithm>
#include <cmath>

#include "sides.h"

namespace rimeglow {
namespace {

constexpr double kCell_mm = 2.0;
constexpr double kStep_mm = 2.0;
constexpr double kNarrow = 0.3;      // roughness below which lobes want finer hats
constexpr int kMostCells = 1 << 14;  // 16 MB of directions a channel

int merged(int cells, double cell_mm, double wanted_mm) {
  return std::max(1, static_cast<int>(std::ceil(cells * cell_mm / wanted_mm - 1e-9)));
}

// The art's box in cells of about this size.
void lay_out(ArrivalMap& map, const ScoreMap& scores, double cell_mm) {
  const CellGrid& fine = scores.grid;
  map.grid = fine;
  map.grid.columns = merged(fine.columns, fine.cell_mm.x(), cell_mm);
  map.grid.rows = merged(fine.rows, fine.cell_mm.y(), cell_mm);
  map.grid.cell_mm = Vec2(fine.cell_mm.x() * fine.columns / map.grid.columns,
                          fine.cell_mm.y() * fine.rows / map.grid.rows);
  map.slot.assign(map.grid.size(), -1);
}

void keep_engraved(ArrivalMap& map, const Model& model) {
  map.art_cells = 0;
  for (int row = 0; row < map.grid.rows; ++row) {
    for (int column = 0; column < map.grid.columns; ++column) {
      const Vec2 from = map.grid.corner_mm(column, row);
      const bool engraved =
          std::any_of(model.layers.begin(), model.layers.end(), [&](const Layer& layer) {
            return layer.coverage.burnt_area_mm2(from, from + map.grid.cell_mm) > 0.0;
          });
      if (!engraved) continue;
      map.slot[map.grid.index(column, row)] = static_cast<int>(map.art_cells++);
    }
  }
}

// How much of the sheet's thickness an edge has of each piece of the outline, on average.
std::vector<double> share_of_pieces(const Model& model, std::size_t edge,
                                    const std::vector<SideFacet>& facets) {
  std::vector<double> shares;
  for (const OutlinePiece& piece : model.outline.pieces) {
    const bool square = facets.empty() && piece.edge == static_cast<int>(edge);
    shares.push_back(square ? 1.0 : 0.0);
  }
  for (const SideFacet& facet : facets) {
    if (facet.edge != static_cast<int>(edge)) continue;
    const auto number = static_cast<std::size_t>(facet.piece);
    const double length_mm = model.outline.pieces[number].length_mm;
    shares[number] += facet.area_mm2() / (length_mm * model.thickness_mm);
  }
  return shares;
}

void measure_edge_cells(ArrivalMap& map, const Model& model) {
  const std::vector<SideFacet> facets =
      model.outline.chamfered()
          ? side_facets(model.outline, model.thickness_mm, kCoarseSagitta_mm, 0.0)
          : std::vector<SideFacet>();
  map.kept_mm.assign(map.edge_cells, 0.0);
  map.edge_of.assign(map.edge_cells, -1);
  std::vector<double> most_mm(map.edge_cells, 0.0);
  for (std::size_t edge = 0; edge < map.by_edge.size(); ++edge) {
    if (!map.by_edge[edge]) continue;
    const int number = static_cast<int>(edge);
    const std::vector<double> shares = share_of_pieces(model, edge, facets);
    const std::size_t first = map.edge_cell(number, 0.0);
    for (std::size_t i = 0; i < shares.size(); ++i) {
      if (shares[i] <= 0.0) continue;
      const OutlinePiece& piece = model.outline.pieces[i];
      const double end_mm = piece.begin_mm + piece.length_mm;
      for (std::size_t cell = map.edge_cell(number, piece.begin_mm); cell < first + map.band_cells;
           ++cell) {
        const double from_mm = static_cast<double>(cell - first) * map.step_mm;
        const double inside_mm =
            std::min(end_mm, from_mm + map.step_mm) - std::max(piece.begin_mm, from_mm);
        if (inside_mm <= 0.0) break;
        map.kept_mm[cell] += inside_mm * shares[i];
        if (inside_mm <= most_mm[cell]) continue;
        most_mm[cell] = inside_mm;
        map.edge_of[cell] = number;
      }
    }
  }
}

}  // namespace

ArrivalMap arrival_map(const Model& model, const ScoreMap& scores) {
  ArrivalMap map;
  map.channels = model.channels.size();
  for (const Layer& layer : model.layers) {
    const Slopes& slopes = layer.mark.rough.slopes;
    if (std::min(slopes.alpha_x, slopes.alpha_y) < kNarrow) map.face_hats = kFineFaceHats;
  }
  if (!model.layers.empty()) {
    double cell_mm = kCell_mm;
    do {
      lay_out(map, scores, cell_mm);
      keep_engraved(map, model);
      cell_mm *= 2.0;
    } while (map.art_cells > static_cast<std::size_t>(kMostCells));
  }
  for (const Finish& finish : model.edge_finish) map.by_edge.push_back(finish.scatters());
  if (std::none_of(map.by_edge.begin(), map.by_edge.end(), [](bool kept) { return kept; })) {
    return map;
  }
  double length_mm = 0.0;
  for (const OutlinePiece& piece : model.outline.pieces) {
    length_mm = std::max(length_mm, piece.begin_mm + piece.length_mm);
  }
  map.band_cells = static_cast<std::size_t>(
      std::clamp(std::ceil(length_mm / kStep_mm), 1.0, static_cast<double>(kMostCells)));
  map.step_mm = length_mm / static_cast<double>(map.band_cells);
  for (const OutlineEdge& edge : model.outline.edges) {
    const auto& chamfer = edge.chamfer;
    map.band_of.push_back(!chamfer ? 0 : chamfer->face == Side::back ? 1 : 2);
  }
  map.edge_cells = map.band_cells * (model.outline.chamfered() ? 3 : 1);
  measure_edge_cells(map, model);
  return map;
}

}  // namespace rimeglow
