#include "engraving.h"

#include <algorithm>

#include "engraving_strokes.h"

namespace rimeglow {
namespace {

// The density along one row of a drawing, pixel by pixel.
class DensityRow {
 public:
  DensityRow(const Density& density, const Drawing& drawing)
      : density_(density), drawing_(drawing), values_(static_cast<std::size_t>(drawing.columns)) {
    for (int column = 0; column < drawing.columns; ++column)
      across_.push_back(between_cells(drawing.origin_mm.x() + (column + 0.5) * drawing.pixel_mm,
                                      density.lower_left_mm.x(), density.cell_mm.x(),
                                      density.columns));
  }

  const std::vector<double>& at(int row) {
    const BetweenCells up =
        between_cells(drawing_.origin_mm.y() + (row + 0.5) * drawing_.pixel_mm,
                      density_.lower_left_mm.y(), density_.cell_mm.y(), density_.rows);
    const auto cell = [&](int column) {
      const auto share = [&](int line) { return density_.share[density_.index(column, line)]; };
      return share(up.first) + up.part * (share(up.second) - share(up.first));
    };
    for (std::size_t i = 0; i < values_.size(); ++i) {
      const double first = cell(across_[i].first);
      values_[i] = first + across_[i].part * (cell(across_[i].second) - first);
    }
    return values_;
  }

 private:
  const Density& density_;
  const Drawing& drawing_;
  std::vector<BetweenCells> across_;
  std::vector<double> values_;
};

Drawing screened(const Drawing& drawing, const Screen& screen, const Density& density,
                 const IsWanted& is_wanted) {
  const FiredShares shares(screen.area);
  DensityRow densities(density, drawing);
  Drawing out = drawing;
  for (int row = 0; row < out.rows; ++row) {
    go_on_if(is_wanted);
    const std::vector<double>& here = densities.at(row);
    std::uint8_t* const line = out.tone.data() + out.index(0, row);
    for (int column = 0; column < out.columns; ++column) {
      if (line[column] == kOff) continue;
      const double wanted = line[column] / 255.0 * here[static_cast<std::size_t>(column)];
      line[column] = shares.of(wanted) > screen.mask.threshold(column, row) ? kOn : kOff;
    }
  }
  return out;
}

void dim_speck(Drawing& dots, const StrokeMap::Box& box, const Screen& screen, double density) {
  const int width = box.right - box.left;
  const int height = box.top - box.bottom;
  const ScanAxis along = width >= height ? ScanAxis::x : ScanAxis::y;
  const std::vector<bool> lines = speck_lines(std::max(width, height), density, along, screen);
  for (int row = box.bottom; row < box.top; ++row)
    for (int column = box.left; column < box.right; ++column) {
      const int line = along == ScanAxis::x ? column - box.left : row - box.bottom;
      std::uint8_t& tone = dots.tone[dots.index(column, row)];
      if (!lines[static_cast<std::size_t>(line)]) tone = kOff;
    }
}

// Line art: areas by the mask, thin strokes by lines across them.
Drawing dimmed(const Drawing& drawing, const Screen& screen, const Density& density,
               const IsWanted& is_wanted) {
  Drawing out = engraved_in_full(drawing);
  const StrokeMap strokes(out, screen.thin_px, is_wanted);
  const FiredShares areas(screen.area);
  StrokeDimmer dimmer(strokes, screen);
  DensityRow densities(density, drawing);
  for (int row = 0; row < out.rows; ++row) {
    go_on_if(is_wanted);
    const std::vector<double>& here = densities.at(row);
    std::uint8_t* const line = out.tone.data() + out.index(0, row);
    dimmer.begin_row(here);
    for (int column = 0; column < out.columns; ++column) {
      const StrokeMap::Part part = strokes.at(column, row);
      if (part == StrokeMap::nothing || part == StrokeMap::speck) continue;
      const double wanted = here[static_cast<std::size_t>(column)];
      const bool fires = part == StrokeMap::area
                             ? areas.of(wanted) > screen.mask.threshold(column, row)
                             : dimmer.fires(column, part, strokes.course_at(column, row));
      line[column] = fires ? kOn : kOff;
    }
  }
  for (const StrokeMap::Box& box : strokes.specks()) {
    const Vec2 middle(0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top));
    dim_speck(out, box, screen, density.at(drawing.origin_mm + drawing.pixel_mm * middle));
  }
  return out;
}

}  // namespace

BetweenCells between_cells(double place_mm, double lower_mm, double cell_mm, int cells) {
  const double at = std::clamp((place_mm - lower_mm) / cell_mm - 0.5, 0.0, cells - 1.0);
  const int first = static_cast<int>(at);
  return {first, std::min(first + 1, cells - 1), at - first};
}

double Density::at(const Vec2& point_mm) const {
  const BetweenCells x = between_cells(point_mm.x(), lower_left_mm.x(), cell_mm.x(), columns);
  const BetweenCells y = between_cells(point_mm.y(), lower_left_mm.y(), cell_mm.y(), rows);
  const auto along = [&](int row) {
    const double first = share[index(x.first, row)];
    return first + x.part * (share[index(x.second, row)] - first);
  };
  return along(y.first) + y.part * (along(y.second) - along(y.first));
}

Drawing engraved_in_full(const Drawing& line_art) {
  Drawing out = line_art;
  for (std::uint8_t& tone : out.tone) tone = tone >= 128 ? kOn : kOff;
  return out;
}

Drawing engraved(const Drawing& drawing, Tone tone, const Screen& screen, const Density& density,
                 const IsWanted& is_wanted) {
  return tone == Tone::grey ? screened(drawing, screen, density, is_wanted)
                            : dimmed(drawing, screen, density, is_wanted);
}

Coverage meant(const Drawing& drawing, Tone tone, const Screen& screen, const IsWanted& is_wanted) {
  if (tone == Tone::line_art) return burn(engraved_in_full(drawing), screen.beam, is_wanted);
  Drawing wanted = drawing;
  for (std::uint8_t& level : wanted.tone)
    level = static_cast<std::uint8_t>(level * screen.area.most() + 0.5);
  return Coverage(wanted);
}

}  // namespace rimeglow
