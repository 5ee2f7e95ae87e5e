#include "glow.h"

#include <algorithm>
#include <cmath>

#include "measures.h"

namespace rimeglow {
namespace {

std::vector<RowGlow> row_glows(const Run& run, const Eye& eye) {
  std::vector<RowGlow> rows;
  const double strip_mm = run.map.grid.cell_mm.y() * run.map.grid.rows / kStrips;
  for (int strip = 0; strip < kStrips; ++strip) {
    const Region region = strip_region(run.map, strip);
    const double y_mm = run.map.grid.lower_left_mm.y() + (strip + 0.5) * strip_mm;
    rows.push_back({y_mm, region.engraved_mm2, eye.estimate(region)});
  }
  return rows;
}

void judge_evenness(ViewerGlow& glow, const Run& run, const Eye& eye) {
  const auto extremes = extremes_of(run, eye);
  if (!extremes) return;
  glow.darkest_cd_m2 = eye.estimate(extremes->darkest);
  glow.brightest_cd_m2 = eye.estimate(extremes->brightest);
  if (glow.brightest_cd_m2.mean <= 0.0) return;
  glow.evenness = jackknife([&](int omitted) {
    return eye.luminance(extremes->darkest, omitted) / eye.luminance(extremes->brightest, omitted);
  });
}

// A backdrop close behind takes the room's light and all that leaves the panel's back, spread over
// the panel's area. Its own light that the panel sends back to it is left out.
double backdrop_cd_m2(const Run& run) {
  const Model& model = *run.model;
  if (!model.room.backdrop) return model.room.cd_m2;
  const double area_m2 = area_mm2(model.outline) * kM2PerMm2;
  return *model.room.backdrop * (model.room.cd_m2 + back_lm(run) / (kPi * area_m2));
}

Estimate seen_of_room(const Model& model, const Viewer& viewer, const Outlook& outlook,
                      double backdrop) {
  const double room = model.room.cd_m2;
  const double behind = viewer.toward.z() > 0.0 ? backdrop : room;
  return {luminance_of(outlook, room, behind, room), outlook.error * std::max(room, behind)};
}

// The colours of the channels, mixed as their light is in what the viewer sees.
Chromaticity colour_of(const Run& run, std::size_t viewer) {
  Tristimulus sum;
  for (std::size_t c = 0; c < run.model->channels.size(); ++c) {
    double light = 0.0;
    for (std::size_t slot = 0; slot < run.map.cells.size(); ++slot) {
      light += run.map.cells[slot].catching_share *
               static_cast<double>(
                   run.tally.field[c * run.map.channel_size() + slot * run.map.stride() + viewer]);
    }
    const Tristimulus& colour = run.model->channels[c].colour;
    sum = {sum.x + light * colour.x, sum.y + light * colour.y, sum.z + light * colour.z};
  }
  return sum.y > 0.0 ? chromaticity(sum) : Chromaticity{};
}

ViewerGlow viewer_glow(const Run& run, const BatchTotals& blocks, double backdrop,
                       std::size_t viewer) {
  const Viewer& seer = run.model->viewers[viewer];
  const Eye eye(run, blocks, viewer);
  ViewerGlow glow;
  glow.name = seer.name;
  glow.colour = colour_of(run, viewer);
  glow.room_cd_m2 = seen_of_room(*run.model, seer, run.room[viewer].mark, backdrop);
  glow.beside_cd_m2 = seen_of_room(*run.model, seer, run.room[viewer].clear, backdrop);
  glow.mean_cd_m2 = eye.estimate(whole_art(run.map));
  const Region lines = scored_beside(run.map);
  if (lines.engraved_mm2 > 0.0) glow.scored_cd_m2 = eye.estimate(lines);
  for (const Region& patch : patch_regions(run.map)) {
    glow.patches.push_back({patch.engraved_mm2, is_counted(run.map, patch), eye.estimate(patch)});
  }
  judge_evenness(glow, run, eye);
  glow.rows = row_glows(run, eye);
  return glow;
}

std::vector<Share> ledger_shares(const Run& run) {
  const std::vector<std::string> names = ledger_names(run.model->outline);
  const BatchTotals ledger(run, &BatchSums::ledger);
  std::vector<Share> shares;
  for (std::size_t entry = 0; entry < names.size(); ++entry) {
    shares.push_back({names[entry], jackknife([&](int omitted) {
                        return kLedgerUnit * ledger.per_photon(entry, omitted);
                      })});
  }
  return shares;
}

std::vector<EdgeGlow> edge_glows(const Run& run) {
  const Model& model = *run.model;
  std::vector<EdgeGlow> glows;
  for (const auto& [edge, viewer, cd_m2] : edge_luminances(run)) {
    const auto& table = run.responses.edges[edge];  // none of polished ones, where photons count
    glows.push_back({model.outline.edges[edge].name, model.viewers[viewer].name,
                     with_noise(jackknife(cd_m2), table ? table->noise(viewer) : 0.0)});
  }
  return glows;
}

// Luminance of the fully engraved surface between cell centres: bilinear over the scored cells.
class CellField {
 public:
  CellField(const Run& run, std::size_t layer, std::size_t viewer, int channel)
      : run_(run),
        layer_(layer),
        viewer_(viewer),
        first_channel_(channel == kEveryChannel ? 0 : channel),
        end_channel_(channel == kEveryChannel ? run.map.channels : channel + 1) {
    cd_m2_per_unit_ = run.model->flux_lm() * kScoreUnit /
                      (static_cast<double>(run.photons) * run.map.grid.cell_area_mm2() * kM2PerMm2);
  }

  double at(const Vec2& point_mm) const {
    double sum = 0.0;
    double weights = 0.0;
    run_.map.grid.for_each_about(point_mm, [&](std::size_t cell, double weight) {
      const int slot = run_.map.slot[layer_][cell];
      if (slot < 0) return;
      sum += weight * cd_m2(static_cast<std::size_t>(slot));
      weights += weight;
    });
    return weights > 0.0 ? sum / weights : 0.0;
  }

 private:
  double cd_m2(std::size_t slot) const {
    const std::size_t index = slot * run_.map.stride() + viewer_;
    std::int64_t sum = 0;
    for (int channel = first_channel_; channel < end_channel_; ++channel) {
      sum += run_.tally.field[static_cast<std::size_t>(channel) * run_.map.channel_size() + index];
    }
    return cd_m2_per_unit_ * static_cast<double>(sum);
  }

  const Run& run_;
  std::size_t layer_;
  std::size_t viewer_;
  int first_channel_;
  int end_channel_;
  double cd_m2_per_unit_ = 0.0;
};

}  // namespace

Glow glow_of(const Run& run) {
  Glow glow;
  glow.flux_lm = run.model->flux_lm();
  glow.photons = run.photons;
  glow.ledger = ledger_shares(run);
  const Estimate& missed = glow.ledger[kMissed].of_emitted;
  glow.entered = {1.0 - missed.mean, missed.standard_error};
  glow.edges = edge_glows(run);
  if (run.map.cells.empty()) return glow;
  const BatchTotals blocks(run, &BatchSums::blocks);
  const double backdrop = backdrop_cd_m2(run);
  for (std::size_t v = 0; v < run.model->viewers.size(); ++v) {
    glow.viewers.push_back(viewer_glow(run, blocks, backdrop, v));
  }
  for (const auto& [edge, contrast] : hot_spots(run)) {
    glow.hot_spots.push_back({edge, jackknife(contrast)});
  }
  return glow;
}

std::optional<Estimate> contrast(const ViewerGlow& viewer) {
  const double beside = viewer.beside_cd_m2.mean;
  if (!(beside > 0.0)) return std::nullopt;
  const double ratio = (viewer.mean_cd_m2.mean + viewer.room_cd_m2.mean) / beside;
  const double glow_error =
      std::hypot(viewer.mean_cd_m2.standard_error, viewer.room_cd_m2.standard_error) / beside;
  return Estimate{ratio,
                  std::hypot(glow_error, ratio * viewer.beside_cd_m2.standard_error / beside)};
}

ViewerGlow viewer_glow_of(const Run& run, std::size_t viewer) {
  return viewer_glow(run, BatchTotals(run, &BatchSums::blocks), backdrop_cd_m2(run), viewer);
}

double worst_relative_error(const Run& run) {
  if (run.map.cells.empty()) return 0.0;
  const BatchTotals blocks(run, &BatchSums::blocks);
  double worst = 0.0;
  for (std::size_t v = 0; v < run.model->viewers.size(); ++v) {
    const Eye eye(run, blocks, v);
    for (const Region& patch : patch_regions(run.map)) {
      if (!is_counted(run.map, patch)) continue;
      const Estimate estimate = eye.counted(patch);
      const double unknown = estimate.mean > 0.0 ? estimate.standard_error / estimate.mean : 1.0;
      worst = std::max(worst, unknown);
    }
  }
  return worst;
}

LuminanceMap luminance_map(const Run& run, int viewer, double pixel_mm, int channel,
                           const IsWanted& is_wanted) {
  const Model& model = *run.model;
  LuminanceMap map;
  map.pixel_mm = pixel_mm;
  map.columns = static_cast<int>(std::ceil(model.outline.size_mm.x() / pixel_mm));
  map.rows = static_cast<int>(std::ceil(model.outline.size_mm.y() / pixel_mm));
  map.cd_m2.assign(map.index(0, map.rows), 0.0F);
  for (std::size_t layer = 0; layer < model.layers.size(); ++layer) {
    const CellField field(run, layer, static_cast<std::size_t>(viewer), channel);
    for (int row = 0; row < map.rows; ++row) {
      go_on_if(is_wanted);
      for (int column = 0; column < map.columns; ++column) {
        const Vec2 from(column * pixel_mm, row * pixel_mm);
        const Vec2 to = from + Vec2(pixel_mm, pixel_mm);
        const double engraved_mm2 = model.layers[layer].engraved().burnt_area_mm2(from, to);
        if (engraved_mm2 <= 0.0) continue;
        const double share = engraved_mm2 / (pixel_mm * pixel_mm);
        const Vec2 middle = 0.5 * (from + to);
        map.cd_m2[map.index(column, row)] +=
            static_cast<float>(share * run.map.catching_at(layer, middle) * field.at(middle));
      }
    }
  }
  return map;
}

}  // namespace rimeglow
