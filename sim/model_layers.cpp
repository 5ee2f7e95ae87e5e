// The engraving of a scene, layer by layer: part of model.h.
#include <algorithm>
#include <cmath>
#include <utility>

#include "model.h"

namespace rimeglow {
namespace {

Beam beam_of(const MarkSpec& mark) {
  return {mark.spot_mm, mark.upright() ? ScanAxis::y : ScanAxis::x};
}

Finish finish_of(const MarkSpec& mark, Side face) {
  Finish finish;
  finish.kind = Finish::Kind::rough;
  finish.rough.slopes = {mark.alpha_x, mark.alpha_y, mark.law};
  finish.rough.alpha_span = {0.6, 2.0};  // from 0.3 to 1 about the usual 0.5
  // The back's own frame has y down (face_frame).
  const double up = face == Side::front ? 1.0 : -1.0;
  finish.rough.along = {std::cos(mark.direction_rad), up * std::sin(mark.direction_rad)};
  finish.rough.frost_share = mark.frost;
  finish.rough.frost_reflectance = mark.frost_reflectance;
  return finish;
}

}  // namespace

// A groove d deep and w wide that stands alone juts into the guide and catches light over w + k d:
// k = E[tan(theta) |cos(phi)|] over the guided light that arrives, 0.3 (V-shaped, along the light)
// to 3 (a trench across it); derived. Where grooves merge their catches merge too.
double catching_mm(const MarkSpec& mark) {
  constexpr double kCatchPerDepth = 1.5;
  return mark.spot_mm + kCatchPerDepth * mark.depth_mm;
}

std::vector<const MarkSpec*> layer_marks(const Scene& scene) {
  const auto named = [&](const std::string& name) -> const MarkSpec* {
    const auto mark = scene.marks.find(name);
    return mark == scene.marks.end() ? nullptr : &mark->second;
  };
  if (!scene.art) return {};
  const bool obvious = scene.art->mark.empty() && scene.marks.size() == 1;
  std::vector<const MarkSpec*> marks = {obvious ? &scene.marks.begin()->second
                                                : named(scene.art->mark)};
  for (const RegionSpec& region : scene.art->regions) marks.push_back(named(region.mark));
  return marks;
}

std::string mark_name(const Scene& scene, std::size_t layer) {
  const std::string& said = layer == 0 ? scene.art->mark : scene.art->regions[layer - 1].mark;
  return said.empty() && !scene.marks.empty() ? scene.marks.begin()->first : said;
}

ArtBox box_of(const std::vector<Drawing>& drawings) {
  ArtBox box{drawings.front().origin_mm, drawings.front().origin_mm};
  for (const Drawing& drawing : drawings) {
    const Vec2 upper_right =
        drawing.origin_mm + drawing.pixel_mm * Vec2(drawing.columns, drawing.rows);
    box.lower_left_mm = box.lower_left_mm.cwiseMin(drawing.origin_mm).eval();
    box.upper_right_mm = box.upper_right_mm.cwiseMax(upper_right).eval();
  }
  return box;
}

std::optional<ArtBox> fired_box(const Drawing& drawing) {
  int first_column = drawing.columns, last_column = -1, first_row = drawing.rows, last_row = -1;
  for (int row = 0; row < drawing.rows; ++row) {
    for (int column = 0; column < drawing.columns; ++column) {
      if (drawing.tone[drawing.index(column, row)] == 0) continue;
      first_column = std::min(first_column, column);
      last_column = std::max(last_column, column);
      first_row = std::min(first_row, row);
      last_row = std::max(last_row, row);
    }
  }
  if (last_row < 0) return std::nullopt;
  return ArtBox{drawing.origin_mm + drawing.pixel_mm * Vec2(first_column, first_row),
                drawing.origin_mm + drawing.pixel_mm * Vec2(last_column + 1, last_row + 1)};
}

double above_edge_mm(const ArtBox& box, const LedRow& row) {
  const Vec2 inward = row.inward();
  const Vec2 nearest(inward.x() > 0.0 ? box.lower_left_mm.x() : box.upper_right_mm.x(),
                     inward.y() > 0.0 ? box.lower_left_mm.y() : box.upper_right_mm.y());
  return row.above_edge_mm(nearest);
}

Density density_over(const ArtBox& box, const Drawing& densities) {
  Density density{box.lower_left_mm, Vec2::Ones(), densities.columns, densities.rows, {}};
  density.cell_mm = (box.upper_right_mm - box.lower_left_mm)
                        .cwiseQuotient(Vec2(densities.columns, densities.rows));
  for (const std::uint8_t tone : densities.tone) density.share.push_back(tone / 255.0);
  return density;
}

std::vector<LayerArt> layer_art(const Scene& scene, const std::vector<Drawing>& drawings,
                                Burning burning, const IsWanted& is_wanted) {
  const std::vector<const MarkSpec*> marks = layer_marks(scene);
  std::vector<LayerArt> layers;
  for (std::size_t i = 0; i < drawings.size(); ++i) {
    const Drawing& drawing = drawings[i];
    const bool scored = marks[i]->scored();
    const Tone tone = scored || scene.art->flat ? Tone::line_art : tone_of(drawing);
    LayerArt art{drawing, tone, *marks[i], scene.art->face};
    if (!scored && (burning == Burning::by_density || tone == Tone::grey)) {
      art.screen = screen_of(beam_of(art.mark), drawing.pixel_mm);
      art.meant = std::make_shared<const Coverage>(meant(drawing, tone, *art.screen, is_wanted));
    }
    layers.push_back(std::move(art));
  }
  return layers;
}

Drawing fired(const LayerArt& art, const Density& density, const IsWanted& is_wanted) {
  return art.screen ? engraved(art.drawing, art.tone, *art.screen, density, is_wanted)
                    : engraved_in_full(art.drawing);
}

Layer burnt_layer(const LayerArt& art, const Drawing& dots, const IsWanted& is_wanted) {
  const Beam beam = beam_of(art.mark);
  Layer layer{finish_of(art.mark, art.face), burn(dots, beam, is_wanted)};
  layer.meant = art.meant;
  layer.scored = art.mark.scored();
  if (art.mark.depth_mm > 0.0) {
    layer.burnt = std::move(layer.coverage);
    layer.coverage = burn(dots, {catching_mm(art.mark), beam.axis}, is_wanted);
  }
  return layer;
}

}  // namespace rimeglow
