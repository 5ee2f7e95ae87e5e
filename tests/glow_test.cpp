// Laws of sim/glow: from sums that are known by construction to luminances, evenness, hot spots and
// maps. The tallies here are filled by hand; expected values follow from them (derived).
#include "glow.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <string>

#include "batch_statistics.h"
#include "measures.h"
#include "panels.h"

namespace rimeglow::glow_test {
namespace {

constexpr double kBatchPhotons = 1000.0;

// A run of a sign with one viewer, art in the box (10, 20) to (60, 70), and no photon traced.
// Frost alone has a table without noise.
Run untraced(const panels::Art& art, Model model = panels::sign_blank()) {
  panels::engrave(model, Side::back, panels::ground(0.5, 1.0), art, {10.0, 20.0}, {60.0, 70.0});
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(30.0, 0.0, Side::front)};
  RunSettings settings;
  settings.threads = 1;
  settings.response_walks = 64;
  settings.room_rays = panels::kFewRoomRays;
  Run run = start(std::make_shared<const Model>(model), settings);
  for (BatchSums& batch : run.tally.batches)
    batch.photons = static_cast<std::uint64_t>(kBatchPhotons);
  run.photons = static_cast<std::uint64_t>(kBatchPhotons) * kBatches;
  return run;
}

// Scores that give a luminance over an engraved area, whole for every batch.
std::int64_t score_for(const Run& run, double cd_m2, double engraved_mm2) {
  const double per_photon = cd_m2 * engraved_mm2 * kM2PerMm2 / run.model->flux_lm();
  return fixed_point(per_photon * kBatchPhotons, kScoreUnit);
}

// Gives every block a luminance, by column and strip; lines scored beside have further strips.
template <class Luminance>
void light_blocks(Run& run, Luminance&& cd_m2) {
  for (BatchSums& batch : run.tally.batches) {
    int block = 0;
    for (const double engraved_mm2 : run.map.block_engraved_mm2) {
      batch.blocks[static_cast<std::size_t>(block) * run.map.stride()] =
          score_for(run, cd_m2(block % kPatchesAcross, block / kPatchesAcross), engraved_mm2);
      ++block;
    }
  }
}

// Rounding of a score to its unit.
constexpr double kRounding_cd_m2 = 0.01;

TEST(GlowOfSums, AnEvenPanelIsEvenEverywhere) {
  auto run = untraced(panels::everywhere());
  light_blocks(run, [](int, int) { return 300.0; });
  const Glow glow = glow_of(run);
  ASSERT_EQ(glow.viewers.size(), 2u);
  const ViewerGlow& straight = glow.viewers.front();
  EXPECT_EQ(straight.name, "front, 0 up, 0 left");
  EXPECT_NEAR(straight.mean_cd_m2.mean, 300.0, kRounding_cd_m2);
  EXPECT_NEAR(straight.mean_cd_m2.standard_error, 0.0, 1e-9);
  EXPECT_NEAR(straight.evenness.mean, 1.0, 1e-4);
  ASSERT_EQ(straight.patches.size(), 25u);
  for (const PatchGlow& patch : straight.patches) {
    EXPECT_TRUE(patch.counted);
    EXPECT_NEAR(patch.engraved_mm2, 100.0, 1e-9);
    EXPECT_NEAR(patch.cd_m2.mean, 300.0, kRounding_cd_m2);
  }
  ASSERT_EQ(straight.rows.size(), 25u);
  EXPECT_NEAR(straight.rows.front().y_mm, 21.0, 1e-9);
  EXPECT_NEAR(straight.rows.back().y_mm, 69.0, 1e-9);
  for (const RowGlow& row : straight.rows) EXPECT_NEAR(row.cd_m2.mean, 300.0, kRounding_cd_m2);
  EXPECT_EQ(glow.viewers.back().mean_cd_m2.mean, 0.0);
}

TEST(GlowOfSums, EvennessIsTheDarkestOfTheBrightestPatch) {
  auto run = untraced(panels::everywhere());
  light_blocks(run, [](int column, int strip) { return 100.0 + 10.0 * column + 2.0 * strip; });
  const ViewerGlow seen = glow_of(run).viewers.front();
  EXPECT_NEAR(seen.darkest_cd_m2.mean, 104.0, kRounding_cd_m2);    // strips 0 to 4, column 0
  EXPECT_NEAR(seen.brightest_cd_m2.mean, 184.0, kRounding_cd_m2);  // strips 20 to 24, column 4
  EXPECT_NEAR(seen.evenness.mean, 104.0 / 184.0, 1e-4);
  EXPECT_NEAR(seen.mean_cd_m2.mean, 144.0, kRounding_cd_m2);
  EXPECT_NEAR(seen.rows[7].cd_m2.mean, 134.0, kRounding_cd_m2);
  EXPECT_NEAR(seen.patches[13].cd_m2.mean, 154.0, kRounding_cd_m2);
}

// Luminance is per engraved area: a half-engraved patch of the same luminance is no darker.
TEST(GlowOfSums, BareSurfaceDoesNotDimAPatch) {
  auto run = untraced([](double x, double) { return x < 20.0 ? 0.5 : 1.0; });
  light_blocks(run, [](int, int) { return 200.0; });
  const ViewerGlow seen = glow_of(run).viewers.front();
  EXPECT_NEAR(seen.patches[0].engraved_mm2, 50.0, 0.5);
  EXPECT_NEAR(seen.patches[0].cd_m2.mean, 200.0, kRounding_cd_m2);
  EXPECT_NEAR(seen.evenness.mean, 1.0, 1e-4);
}

// Lines far brighter than the area that they are scored beside make it no less even.
TEST(GlowOfSums, LinesScoredBesideAreToldApart) {
  Model model = panels::sign_blank();
  const auto line = [](double x, double) { return x < 12.0 ? 0.1 : 0.0; };
  panels::engrave(model, Side::back, panels::ground(0.5, 1.0), line, {10.0, 20.0}, {60.0, 70.0});
  model.layers.front().scored = true;
  auto run = untraced(panels::everywhere(), std::move(model));
  light_blocks(run, [](int, int strip) { return strip < kStrips ? 200.0 : 900.0; });
  const ViewerGlow seen = glow_of(run).viewers.front();
  EXPECT_NEAR(seen.mean_cd_m2.mean, 200.0, kRounding_cd_m2);
  EXPECT_NEAR(seen.evenness.mean, 1.0, 1e-4);
  EXPECT_NEAR(seen.patches[0].engraved_mm2, 100.0, 1e-9);
  ASSERT_TRUE(seen.scored_cd_m2);
  EXPECT_NEAR(seen.scored_cd_m2->mean, 900.0, 0.1);
}

// A speck of less than 1 % and 1 mm2 in a patch is noise, not a dark place.
TEST(GlowOfSums, PatchesWithHardlyAnyArtAreNotJudged) {
  auto run = untraced([](double x, double y) {
    if (x < 20.0 && y < 30.0) return x < 11.0 && y < 20.9 ? 1.0 : 0.0;
    return y < 40.0 ? 0.0 : 1.0;
  });
  light_blocks(run, [](int column, int strip) { return column == 0 && strip < 5 ? 1.0 : 250.0; });
  const ViewerGlow seen = glow_of(run).viewers.front();
  EXPECT_FALSE(seen.patches[0].counted);
  EXPECT_NEAR(seen.patches[0].engraved_mm2, 0.9, 1e-6);
  EXPECT_FALSE(seen.patches[1].counted);
  EXPECT_TRUE(seen.patches[20].counted);
  EXPECT_NEAR(seen.darkest_cd_m2.mean, 250.0, kRounding_cd_m2);
}

// The larger of 1 % of the patch and 1 mm2.
TEST(GlowOfSums, PatchesCountFromAHundredthAndASquareMillimetreOn) {
  const auto counts_from = [](double box_mm, double engraved_mm2) {
    ScoreMap map;
    map.grid.columns = map.grid.rows = 50;
    map.grid.cell_mm = Vec2::Constant(box_mm / 50.0);
    return is_counted(map, {{}, 1.001 * engraved_mm2}) &&
           !is_counted(map, {{}, 0.999 * engraved_mm2});
  };
  EXPECT_TRUE(counts_from(20.0, 1.0));
  EXPECT_TRUE(counts_from(50.0, 1.0));
  EXPECT_TRUE(counts_from(250.0, 25.0));
}

// The error of a mean is that of its 64 batches: values +1 and -1 about the mean, half of each.
TEST(GlowOfSums, ErrorsComeFromTheSpreadOfTheBatches) {
  auto run = untraced(panels::everywhere());
  light_blocks(run, [](int, int) { return 200.0; });
  for (std::size_t b = 0; b < kBatches; ++b) {
    for (std::int64_t& score : run.tally.batches[b].blocks)
      score = b % 2 == 0 ? score * 3 / 2 : score / 2;
  }
  const Glow glow = glow_of(run);
  const double expected_cd_m2 = 100.0 / std::sqrt(63.0);
  EXPECT_NEAR(glow.viewers.front().mean_cd_m2.mean, 200.0, kRounding_cd_m2);
  EXPECT_NEAR(glow.viewers.front().mean_cd_m2.standard_error, expected_cd_m2, 0.01);
  // All patches rise and fall together: their ratio is known.
  EXPECT_NEAR(glow.viewers.front().evenness.standard_error, 0.0, 1e-4);
}

// What a backdrop of a tenth sends back is dimmer than the room: the error is at most that of the
// share of the room.
TEST(GlowOfSums, WhatTheRoomAddsIsKnownAsItsBrightestPartIs) {
  auto run = untraced(panels::everywhere());
  Model model = *run.model;
  model.room = {30.0, 0.1};
  run.model = std::make_shared<const Model>(model);
  run.room.front() = {{0.2, 0.5, 0.3, 0.01}, {0.1, 0.8, 0.1, 0.02}};
  const ViewerGlow seen = glow_of(run).viewers.front();
  EXPECT_NEAR(seen.room_cd_m2.mean, 0.2 * 30.0 + 0.5 * 3.0 + 0.3 * 30.0, 1e-12);
  EXPECT_NEAR(seen.room_cd_m2.standard_error, 0.01 * 30.0, 1e-12);
  EXPECT_NEAR(seen.beside_cd_m2.mean, 0.1 * 30.0 + 0.8 * 3.0 + 0.1 * 30.0, 1e-12);
  EXPECT_NEAR(seen.beside_cd_m2.standard_error, 0.02 * 30.0, 1e-12);
}

// Warm light where all is burnt, cold light where two fifths are: as much score in each cell, two
// fifths of the light in the latter, mixed as tristimulus values add.
TEST(GlowOfSums, ColoursMixByTheLightOfTheirCells) {
  auto run = untraced([](double x, double) { return x < 35.0 ? 1.0 : 0.4; });
  Model model = *run.model;
  model.channels = {{{1.2, 1.0, 0.3}}, {{0.9, 1.0, 1.5}}};
  run.model = std::make_shared<const Model>(model);
  run.map.channels = 2;
  const std::size_t one = run.map.channel_size();
  run.tally.field.assign(2 * one, 0);
  for (std::size_t cell = 0; cell < run.map.cells.size(); ++cell) {
    const bool cold = run.map.cells[cell].catching_share < 0.75;
    run.tally.field[(cold ? one : 0) + cell * run.map.stride()] = 1 << 20;
  }
  const Chromaticity mixed = chromaticity({1.2 + 0.36, 1.0 + 0.4, 0.3 + 0.6});
  const ViewerGlow seen = glow_of(run).viewers.front();
  EXPECT_NEAR(seen.colour.x, mixed.x, 1e-4);
  EXPECT_NEAR(seen.colour.y, mixed.y, 1e-4);
}

// Of a patch that no photon lit nothing is known; one with hardly any art is not asked about.
TEST(GlowOfSums, DarkPatchesAreNotKnownAndBarePatchesNotAsked) {
  auto run =
      untraced([](double x, double y) { return x < 20.0 && !(x < 15.0 && y > 29.9) ? 0.0 : 1.0; });
  light_blocks(run, [](int, int) { return 100.0; });
  for (BatchSums& batch : run.tally.batches) {
    for (std::size_t k = 0; k < batch.blocks.size(); k += run.map.stride())
      batch.blocks[k + 1] = batch.blocks[k];
  }
  ASSERT_FALSE(glow_of(run).viewers.front().patches.front().counted);
  run.tally.batches.front().blocks[4 * kPatchesAcross * run.map.stride()] = 0;
  EXPECT_NEAR(worst_relative_error(run), 0.0, 1e-12);
  for (BatchSums& batch : run.tally.batches) {
    for (std::size_t strip = 10; strip < 15; ++strip)
      batch.blocks[(strip * kPatchesAcross + 3) * run.map.stride()] = 0;
  }
  EXPECT_EQ(worst_relative_error(run), 1.0);
}

TEST(GlowOfSums, TheWorstKnownPatchSetsTheErrorOfTheRun) {
  auto run = untraced(panels::everywhere());
  for (BatchSums& batch : run.tally.batches) {
    for (std::size_t block = 0; block < run.map.block_engraved_mm2.size(); ++block) {
      batch.blocks[block * run.map.stride()] = 1 << 20;
      batch.blocks[block * run.map.stride() + 1] = 1 << 20;
    }
  }
  EXPECT_NEAR(worst_relative_error(run), 0.0, 1e-12);
  for (std::size_t b = 0; b < kBatches; ++b) {
    for (int strip = 10; strip < 15; ++strip) {  // one patch, one viewer
      const auto block = static_cast<std::size_t>(strip * kPatchesAcross + 3);
      run.tally.batches[b].blocks[block * run.map.stride() + 1] = b % 2 == 0 ? 3 << 19 : 1 << 19;
    }
  }
  EXPECT_NEAR(worst_relative_error(run), 0.5 / std::sqrt(63.0), 1e-6);
  EXPECT_EQ(worst_relative_error(panels::traced(panels::sign_blank(), 1000)), 0.0);
}

// Michelson: (brightest - darkest) / (brightest + darkest), per light-catching area of the phase.
TEST(GlowOfSums, HotSpotsAreTheContrastOverOneLedPitch) {
  auto run = untraced(panels::everywhere());
  for (BatchSums& batch : run.tally.batches) {
    for (std::size_t phase = 0; phase < kPhases; ++phase) {
      const double brightness = phase == 3 ? 3.0 : phase == 7 ? 1.0 : 2.0;
      batch.phases[phase] =
          std::llround(1e6 * brightness * run.map.bands.front().catching_mm2[phase]);
    }
  }
  const Glow glow = glow_of(run);
  ASSERT_EQ(glow.hot_spots.size(), 1u);
  EXPECT_EQ(glow.hot_spots.front().edge, "bottom");
  EXPECT_NEAR(glow.hot_spots.front().contrast.mean, 0.5, 1e-6);
  EXPECT_NEAR(glow.hot_spots.front().contrast.standard_error, 0.0, 1e-9);
}

// Of two rows before one edge it is told of the one that shows more, whichever comes first.
TEST(GlowOfSums, AnEdgeHasTheHotSpotsOfTheWorstOfItsRows) {
  for (const std::size_t worst : {std::size_t{0}, std::size_t{1}}) {
    Model model = panels::sign_blank();
    model.lamps.push_back(model.lamps.front());
    model.lamps.back().centre_mm.x() += 0.5 * model.lamps.back().pitch_mm;
    auto run = untraced(panels::everywhere(), model);
    ASSERT_EQ(run.map.bands.size(), 2u);
    for (BatchSums& batch : run.tally.batches) {
      for (std::size_t k = 0; k < batch.phases.size(); ++k) {
        const std::size_t band = k / kPhases;
        const double bright = k % kPhases == 2 ? (band == worst ? 3.0 : 1.5) : 1.0;
        batch.phases[k] =
            std::llround(1e6 * bright * run.map.bands[band].catching_mm2[k % kPhases]);
      }
    }
    const Glow glow = glow_of(run);
    ASSERT_EQ(glow.hot_spots.size(), 1u);
    EXPECT_NEAR(glow.hot_spots.front().contrast.mean, 0.5, 1e-6);
  }
}

// Thirty LEDs 4 mm apart below and three 40 mm apart above, as bright, a band before each. Their
// order leaves photons to other rows, so that contrasts agree within their errors: level 1e-4.
// The two contrasts lie 0.5 apart; sees one taken for the other.
TEST(Glow, LedsAreToldWhereTheyShowMostWhateverTheOrderOfTheRows) {
  Model model = panels::sign_blank();
  const auto bands = [](double, double y_mm) { return y_mm < 15.0 || y_mm > 112.0 ? 1.0 : 0.0; };
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), bands, {10.0, 10.0}, {117.0, 117.0});
  model.viewers = {panels::eye(0.0, 0.0, Side::front)};
  LedRow dense = model.lamps.front();
  dense.count = 30;
  dense.pitch_mm = 4.0;
  LedRow sparse = dense;
  sparse.edge = panels::kTop;
  sparse.centre_mm = {63.5, 127.0};
  sparse.along = -Vec2::UnitX();
  sparse.count = 3;
  sparse.pitch_mm = 40.0;
  sparse.flux_each_lm = 10.0 * dense.flux_each_lm;
  const auto told = [&](const std::vector<LedRow>& rows) {
    model.lamps = rows;
    return glow_of(panels::traced(model, statistics::samples(200000)));
  };
  const Glow one = told({dense, sparse});
  const Glow other = told({sparse, dense});
  ASSERT_EQ(one.hot_spots.size(), 2u);
  ASSERT_EQ(other.hot_spots.size(), 2u);
  for (std::size_t e = 0; e < 2; ++e) {
    const Estimate& a = one.hot_spots[e].contrast;
    const Estimate& b = other.hot_spots[e].contrast;
    EXPECT_EQ(one.hot_spots[e].edge, other.hot_spots[e].edge);
    EXPECT_NEAR(a.mean, b.mean,
                statistics::t_limit(statistics::kFalseAlarm, 2) *
                    std::hypot(a.standard_error, b.standard_error));
  }
  EXPECT_EQ(one.worst_spots()->edge, "top");
  EXPECT_GT(one.worst_spots()->contrast.mean, one.hot_spots.front().contrast.mean + 0.4);
}

// Three dots before three LEDs of six: each is brighter than the next by where it lies.
TEST(GlowOfSums, AFewDotsDoNotTellWhetherTheLedsShow) {
  const auto dots = [](double x_mm, double y_mm) {
    for (const double dot_mm : {13.0, 33.0, 57.0})
      if (std::hypot(x_mm - dot_mm, y_mm - 22.0) < 1.5) return 1.0;
    return 0.0;
  };
  EXPECT_TRUE(glow_of(untraced(dots)).hot_spots.empty());
}

TEST(GlowOfSums, AnEdgesGlowIsPerItsArea) {
  Model model = panels::sign_blank();
  model.edge_finish[panels::kTop] = panels::ground(0.3);
  model.viewers = {panels::eye(20.0, 0.0, Side::front)};
  auto run = panels::traced(model, 64);
  for (BatchSums& batch : run.tally.batches) {
    batch.photons = static_cast<std::uint64_t>(kBatchPhotons);
    batch.edges[panels::kTop * run.map.stride()] = score_for(run, 5000.0, 127.0 * 3.0);
  }
  int found = 0;
  for (const EdgeGlow& edge : glow_of(run).edges) {
    if (edge.edge != "top") continue;
    ++found;
    EXPECT_NEAR(edge.cd_m2.mean, 5000.0, kRounding_cd_m2);
  }
  EXPECT_EQ(found, 1);
}

// Its slot hides a lit edge from below; from above it is seen through the face, where it is rough.
TEST(GlowOfSums, ALitEdgeInItsSlotIsSeenThroughTheFaceAlone) {
  Model model = panels::sign_blank();
  model.edge_finish[panels::kBottom] = panels::ground(0.3);
  model.viewers = {panels::eye(30.0, 0.0, Side::front), panels::eye(-30.0, 0.0, Side::front)};
  const auto seen_by = [&] {
    std::vector<std::string> viewers;
    for (const EdgeGlow& edge : glow_of(panels::traced(model, 64)).edges)
      if (edge.edge == "bottom") viewers.push_back(edge.viewer);
    return viewers;
  };
  EXPECT_EQ(seen_by().size(), 2u);
  model.base.slot_depth_mm = 8.0;
  EXPECT_EQ(seen_by(), std::vector<std::string>{model.viewers.front().name});
}

TEST(GlowOfSums, AClearBlankHasALedgerAndNoArtToSee) {
  Model model = panels::sign_blank();
  model.viewers = {panels::eye(0.0, 0.0, Side::front)};
  const Glow glow = glow_of(panels::traced(model, 10000));
  EXPECT_TRUE(glow.viewers.empty());
  EXPECT_TRUE(glow.hot_spots.empty());
  EXPECT_EQ(glow.photons, 10000u);
  EXPECT_EQ(glow.flux_lm, 54.0);
  ASSERT_EQ(glow.ledger.size(), 14u);
  EXPECT_EQ(glow.ledger[0].name, "front.mark");
  EXPECT_EQ(glow.ledger[12].name, "edges.top");
  double sum = 0.0;
  for (const Share& share : glow.ledger) sum += share.of_emitted.mean;
  EXPECT_NEAR(sum, 1.0, 1e-9);
  EXPECT_NEAR(glow.entered.mean, 1.0 - glow.ledger[4].of_emitted.mean, 1e-12);
}

// An evenly lit field maps to its luminance where all is engraved, to its share where some is, and
// to nothing beside the art.
TEST(LuminanceMap, ShowsEngravedSurfaceAtItsLuminanceAndTheRestDark) {
  auto run = untraced([](double x, double) { return x < 30.0 ? 1.0 : 0.0; });
  const std::int64_t score = kBatches * score_for(run, 400.0, run.map.grid.cell_area_mm2());
  for (std::size_t cell = 0; cell < run.map.cells.size(); ++cell) {
    run.tally.field[cell * run.map.stride()] = score;
  }
  const LuminanceMap map = luminance_map(run, 0, 0.8);
  EXPECT_EQ(map.columns, 159);
  EXPECT_EQ(map.rows, 159);
  const auto at = [&map](double x_mm, double y_mm) {
    const int column = static_cast<int>(x_mm / map.pixel_mm);
    const int row = static_cast<int>(y_mm / map.pixel_mm);
    return static_cast<double>(map.cd_m2[static_cast<std::size_t>(row * map.columns + column)]);
  };
  EXPECT_NEAR(at(15.0, 40.0), 400.0, 0.5);
  EXPECT_NEAR(at(30.0, 40.0), 200.0, 0.5);  // a pixel from 29.6 to 30.4
  EXPECT_EQ(at(40.0, 40.0), 0.0);
  EXPECT_EQ(at(5.0, 40.0), 0.0);
  EXPECT_EQ(at(15.0, 100.0), 0.0);
}

}  // namespace
}  // namespace rimeglow::glow_test
