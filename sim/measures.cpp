#include "measures.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base.h"

namespace rimeglow {
namespace {

constexpr double kCountedShare = 0.01;    // a patch counts when engraved over this share of it
constexpr double kCountedArea_mm2 = 1.0;  // and over this area

Region region_of(const ScoreMap& map, std::vector<int> blocks) {
  Region region{std::move(blocks), 0.0};
  for (const int block : region.blocks) {
    region.engraved_mm2 += map.block_engraved_mm2[static_cast<std::size_t>(block)];
  }
  return region;
}

std::vector<int> blocks_from(int first, int end) {
  std::vector<int> blocks(static_cast<std::size_t>(end - first));
  std::iota(blocks.begin(), blocks.end(), first);
  return blocks;
}

Region patch_region(const ScoreMap& map, int column, int row) {
  constexpr int kStripsPerPatch = kStrips / kPatchesAcross;
  std::vector<int> blocks;
  for (int strip = row * kStripsPerPatch; strip < (row + 1) * kStripsPerPatch; ++strip) {
    blocks.push_back(strip * kPatchesAcross + column);
  }
  return region_of(map, std::move(blocks));
}

// Whether the slot of a base hides an edge from outside: a lit one, or its chamfer.
bool stands_in_slot(const Model& model, std::size_t edge) {
  const auto& chamfer = model.outline.edges[edge].chamfer;
  const int of = chamfer ? chamfer->of : static_cast<int>(edge);
  const double up_to_mm = chamfer ? chamfer->setback_mm : 0.0;
  return lamp_at(model, of) != nullptr && up_to_mm < model.base.slot_depth_mm;
}

bool sees_edge(const Run& run, std::size_t edge, std::size_t viewer) {
  const auto outward = seat_normal(run.model->outline, static_cast<int>(edge));
  // Of an edge that its chamfers cut away nothing is left to see.
  if (!outward || run.map.edge_mm2[edge] <= 0.0) return false;
  const double facing = run.model->viewers[viewer].toward.dot(*outward);
  if (facing > 0.0 && stands_in_slot(*run.model, edge)) return false;
  const Finish& finish = run.model->edge_finish[edge];
  // What a mirror shows through a face is no brightness of its own, as of a polished edge.
  const bool is_mirror = finish.kind == Finish::Kind::polished && finish.backing &&
                         finish.backing->kind == Backing::Kind::mirror;
  const bool scored = run.responses.edges[edge].has_value() && !is_mirror;
  return (scored ? std::abs(facing) : facing) >= kGrazingEdge;
}

std::optional<Replicates> contrast_over_pitch(const Run& run, std::size_t band) {
  const auto& catching_mm2 = run.map.bands[band].catching_mm2;
  const auto brightness = [&](std::size_t phase, int omitted) {
    double sum = 0.0;
    for (int b = 0; b < kBatches; ++b) {
      if (b == omitted) continue;
      sum += static_cast<double>(
          run.tally.batches[static_cast<std::size_t>(b)].phases[band * kPhases + phase]);
    }
    return sum / catching_mm2[phase];
  };
  std::optional<std::size_t> darkest, brightest;
  for (std::size_t phase = 0; phase < kPhases; ++phase) {
    if (catching_mm2[phase] <= 0.0) continue;
    const double here = brightness(phase, kEveryBatch);
    if (!darkest || here < brightness(*darkest, kEveryBatch)) darkest = phase;
    if (!brightest || here > brightness(*brightest, kEveryBatch)) brightest = phase;
  }
  if (!darkest || brightness(*brightest, kEveryBatch) <= 0.0) return std::nullopt;
  return replicates([&](int omitted) {
    const double dark = brightness(*darkest, omitted);
    const double bright = brightness(*brightest, omitted);
    return (bright - dark) / (bright + dark);
  });
}

}  // namespace

Region whole_art(const ScoreMap& map) { return region_of(map, blocks_from(0, kBlocks)); }

Region scored_beside(const ScoreMap& map) {
  return region_of(map, blocks_from(kBlocks, static_cast<int>(map.block_engraved_mm2.size())));
}

Region strip_region(const ScoreMap& map, int strip) {
  return region_of(map, blocks_from(strip * kPatchesAcross, (strip + 1) * kPatchesAcross));
}

std::vector<Region> patch_regions(const ScoreMap& map) {
  std::vector<Region> regions;
  for (int row = 0; row < kPatchesAcross; ++row) {
    for (int column = 0; column < kPatchesAcross; ++column) {
      regions.push_back(patch_region(map, column, row));
    }
  }
  return regions;
}

bool is_counted(const ScoreMap& map, const Region& patch) {
  const double patch_mm2 = map.grid.cell_area_mm2() * map.grid.columns * map.grid.rows /
                           (kPatchesAcross * kPatchesAcross);
  return patch.engraved_mm2 >= std::max(kCountedArea_mm2, kCountedShare * patch_mm2);
}

BatchTotals::BatchTotals(const Run& run, const std::vector<std::int64_t> BatchSums::* sums)
    : run_(run), sums_(sums) {
  total_.assign((run.tally.batches.front().*sums).size(), 0.0);
  for (const BatchSums& batch : run.tally.batches) {
    photons_ += static_cast<double>(batch.photons);
    for (std::size_t i = 0; i < total_.size(); ++i) total_[i] += value(batch, i);
  }
}

double BatchTotals::per_photon(std::size_t index, int omitted) const {
  if (omitted == kEveryBatch) return total_[index] / photons_;
  const BatchSums& batch = run_.tally.batches[static_cast<std::size_t>(omitted)];
  return (total_[index] - value(batch, index)) / (photons_ - static_cast<double>(batch.photons));
}

double back_lm(const Run& run) {
  const BatchTotals ledger(run, &BatchSums::ledger);
  return run.model->flux_lm() * kLedgerUnit *
         (ledger.per_photon(kBackMark, kEveryBatch) + ledger.per_photon(kBackOther, kEveryBatch));
}

double Eye::luminance(const Region& region, int omitted) const {
  double sum = 0.0;
  for (const int block : region.blocks) {
    sum +=
        blocks_.per_photon(static_cast<std::size_t>(block) * run_.map.stride() + viewer_, omitted);
  }
  return run_.model->flux_lm() * kScoreUnit * sum / (region.engraved_mm2 * kM2PerMm2);
}

Estimate Eye::counted(const Region& region) const {
  if (region.engraved_mm2 <= 0.0) return {};
  return jackknife([&](int omitted) { return luminance(region, omitted); });
}

Estimate Eye::estimate(const Region& region) const {
  double noise = 0.0;  // of the mark whose table is known worst
  for (const Response& table : run_.responses.layers) noise = std::max(noise, table.noise(viewer_));
  return with_noise(counted(region), noise);
}

Estimate with_noise(const Estimate& counted, double relative) {
  return {counted.mean, std::hypot(counted.standard_error, relative * counted.mean)};
}

std::optional<Extremes> extremes_of(const Run& run, const Eye& eye) {
  std::optional<Extremes> extremes;
  double dark = 0.0;
  double bright = 0.0;
  for (const Region& patch : patch_regions(run.map)) {
    if (!is_counted(run.map, patch)) continue;
    const double here = eye.luminance(patch, kEveryBatch);
    if (!extremes) {
      extremes = Extremes{patch, patch};
      dark = bright = here;
    }
    if (here < dark) {
      extremes->darkest = patch;
      dark = here;
    }
    if (here > bright) {
      extremes->brightest = patch;
      bright = here;
    }
  }
  return extremes;
}

std::vector<EdgeLuminance> edge_luminances(const Run& run) {
  const BatchTotals sums(run, &BatchSums::edges);
  const Model& model = *run.model;
  std::vector<EdgeLuminance> luminances;
  for (std::size_t e = 0; e < model.outline.edges.size(); ++e) {
    const double area_m2 = run.map.edge_mm2[e] * kM2PerMm2;
    const double cd_m2_per_unit = model.flux_lm() * kScoreUnit / area_m2;
    for (std::size_t v = 0; v < model.viewers.size(); ++v) {
      if (!sees_edge(run, e, v)) continue;
      luminances.push_back({e, v, replicates([&](int omitted) {
                              return cd_m2_per_unit *
                                     sums.per_photon(e * run.map.stride() + v, omitted);
                            })});
    }
  }
  return luminances;
}

std::vector<EdgeSpots> hot_spots(const Run& run) {
  const std::vector<OutlineEdge>& edges = run.model->outline.edges;
  std::vector<EdgeSpots> spots;
  for (std::size_t e = 0; e < edges.size(); ++e) {
    std::optional<Replicates> worst;
    for (std::size_t band = 0; band < run.map.bands.size(); ++band) {
      if (run.map.bands[band].edge != e) continue;
      const auto here = contrast_over_pitch(run, band);
      if (here && (!worst || here->all > worst->all)) worst = here;
    }
    if (worst) spots.push_back({edges[e].name, *worst});
  }
  return spots;
}

}  // namespace rimeglow
