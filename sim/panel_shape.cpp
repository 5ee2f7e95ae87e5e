#include "panel_shape.h"

#include <cmath>

#include "quantity.h"

namespace rimeglow {
namespace {

constexpr double kSameShape = 1e-3;  // rounding of sizes said in mm

void scale(std::vector<ClosedLine>& lines, double factor) {
  for (ClosedLine& line : lines) {
    for (OutlinePiece& piece : line) {
      piece.start_mm *= factor;
      piece.end_mm *= factor;
      piece.centre_mm *= factor;
      piece.radius_mm *= factor;
    }
  }
}

}  // namespace

bool is_of_file(const PanelSpec& panel) {
  return panel.corners_mm.empty() && panel.outline != kRectangle && panel.outline != kDisc;
}

std::optional<Problem> shape_panel(PanelSpec& panel, std::vector<ClosedLine> lines) {
  if (panel.corner_radius_mm > 0.0) {
    return Problem{"panel.corner_radius", 0, "rounds the corners of a rectangle only",
                   "leave it away, or round the corners of the outline itself"};
  }
  const Vec2 drawn_mm = box_size_mm(lines);
  const double across = panel.width_mm > 0.0 ? panel.width_mm / drawn_mm.x() : 0.0;
  const double up = panel.height_mm > 0.0 ? panel.height_mm / drawn_mm.y() : 0.0;
  if (across > 0.0 && up > 0.0 && std::abs(across / up - 1.0) > kSameShape) {
    return Problem{"panel.height", 0,
                   "the outline is " + length_text(drawn_mm.y() * across) + " high when it is " +
                       length_text(panel.width_mm) + " wide",
                   "say panel.width or panel.height alone; the other follows"};
  }
  const double factor = across > 0.0 ? across : up;
  if (factor > 0.0 && std::isfinite(factor)) scale(lines, factor);
  std::variant<Outline, OutlineFault> built = outline_of(std::move(lines));
  if (const auto* fault = std::get_if<OutlineFault>(&built)) {
    return Problem{"panel.outline", 0, fault->what, fault->mend};
  }
  panel.shape = std::get<Outline>(std::move(built));
  panel.width_mm = panel.shape->size_mm.x();
  panel.height_mm = panel.shape->size_mm.y();
  return std::nullopt;
}

Outline panel_outline(const PanelSpec& panel) {
  if (panel.shape) return *panel.shape;
  return rounded_rectangle(panel.width_mm, panel.height_mm, panel.corner_radius_mm);
}

Outline scene_outline(const Scene& scene) {
  Outline outline = panel_outline(scene.panel);
  const std::size_t edges = outline.edges.size();
  for (std::size_t e = 0; e < edges; ++e) {
    const EdgeSpec edge = scene.edge(outline.edges[e].name);
    for (const Side face : {Side::front, Side::back}) {
      const double back_mm = face == Side::front ? edge.chamfer_front_mm : edge.chamfer_back_mm;
      if (back_mm <= 0.0) continue;
      const double depth_mm = back_mm * std::tan(edge.chamfer_angle_rad);
      add_chamfer(outline, {static_cast<int>(e), face, back_mm, depth_mm});
    }
  }
  return outline;
}

void spread_lamps(Scene& scene) {
  const PanelSpec& panel = scene.panel;
  for (LampSpec& lamp : scene.lamps) {
    if (lamp.pitch_mm > 0.0 || lamp.count <= 0) continue;
    const bool across = lamp.edge == "bottom" || lamp.edge == "top";
    double along_mm = across ? panel.width_mm : panel.height_mm;
    if (panel.shape) {
      const auto seat = straight_piece(*panel.shape, *panel.shape->edge_named(lamp.edge));
      if (!seat) continue;
      along_mm = seat->length_mm;
    }
    lamp.pitch_mm = along_mm / lamp.count;
  }
}

}  // namespace rimeglow
