// Laws of sim/tally: cells, patches and phases tile the art and keep its area; sums in fixed point
// neither drift nor overflow.
#include "tally.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "measures.h"
#include "panels.h"

namespace rimeglow::tally_test {
namespace {

Model engraved(const panels::Art& art, const Vec2& lower_left_mm, const Vec2& upper_right_mm) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5), art, lower_left_mm, upper_right_mm);
  return model;
}

TEST(Tally, CellsAreAtMostAMillimetreAndTileTheBox) {
  for (const Vec2& size_mm : {Vec2(107.0, 101.0), Vec2(25.0, 25.0), Vec2(3.3, 60.7)}) {
    const Vec2 corner(4.0, 9.0);
    const CellGrid grid = cell_grid(engraved(panels::everywhere(), corner, corner + size_mm));
    EXPECT_EQ(grid.lower_left_mm, corner);
    EXPECT_EQ(grid.columns % kPatchesAcross, 0);
    EXPECT_EQ(grid.rows % kStrips, 0);
    EXPECT_LE(grid.cell_mm.x(), 1.0 + 1e-9);
    EXPECT_LE(grid.cell_mm.y(), 1.0 + 1e-9);
    EXPECT_NEAR(grid.columns * grid.cell_mm.x(), size_mm.x(), 1e-9);
    EXPECT_NEAR(grid.rows * grid.cell_mm.y(), size_mm.y(), 1e-9);
  }
}

TEST(Tally, PatchesAndStripsHoldEquallyManyWholeCells) {
  const CellGrid grid = cell_grid(
      engraved(panels::everywhere(), panels::kArtLowerLeft_mm, panels::kArtUpperRight_mm));
  std::vector<int> columns(kPatchesAcross, 0);
  std::vector<int> rows(kStrips, 0);
  for (int column = 0; column < grid.columns; ++column) {
    ++columns[static_cast<std::size_t>(grid.patch_column_of(column))];
  }
  for (int row = 0; row < grid.rows; ++row) ++rows[static_cast<std::size_t>(grid.strip_of(row))];
  for (const int count : columns) EXPECT_EQ(count, grid.columns / kPatchesAcross);
  for (const int count : rows) EXPECT_EQ(count, grid.rows / kStrips);
}

TEST(Tally, EngravedAreaIsNeitherLostNorDoubled) {
  const Model model =
      engraved(panels::mixed(), panels::kArtLowerLeft_mm, panels::kArtUpperRight_mm);
  const ScoreMap map = score_map(model, 1);
  const double whole_mm2 = model.layers.front().coverage.burnt_area_mm2(panels::kArtLowerLeft_mm,
                                                                        panels::kArtUpperRight_mm);
  const double blocks_mm2 =
      std::accumulate(map.block_engraved_mm2.begin(), map.block_engraved_mm2.end(), 0.0);
  double cells_mm2 = 0.0;
  for (const ScoredCell& cell : map.cells) {
    EXPECT_GT(cell.catching_share, 0.0);
    EXPECT_LE(cell.catching_share, 1.0 + 1e-9);
    cells_mm2 += cell.catching_share * map.grid.cell_area_mm2();
  }
  EXPECT_GT(whole_mm2, 1000.0);
  EXPECT_NEAR(blocks_mm2, whole_mm2, 1e-6);
  EXPECT_NEAR(cells_mm2, whole_mm2, 1e-6);
}

// Lines have blocks of their own beside rastered marks, and none but these where they are alone.
TEST(Tally, ScoredLinesAreKeptApartFromWhatIsRastered) {
  Model model = engraved(panels::everywhere(), {10.0, 20.0}, {60.0, 70.0});
  model.layers.front().scored = true;
  const ScoreMap alone = score_map(model, 1);
  EXPECT_EQ(alone.block_engraved_mm2.size(), std::size_t{kBlocks});
  EXPECT_NEAR(whole_art(alone).engraved_mm2, 2500.0, 1e-6);
  EXPECT_EQ(scored_beside(alone).engraved_mm2, 0.0);
  const auto half = [](double x, double) { return x < 35.0 ? 1.0 : 0.0; };
  model.layers.push_back(engraved(half, {10.0, 20.0}, {60.0, 70.0}).layers.front());
  const ScoreMap beside = score_map(model, 1);
  EXPECT_NEAR(whole_art(beside).engraved_mm2, 1250.0, 1e-6);
  EXPECT_NEAR(scored_beside(beside).engraved_mm2, 2500.0, 1e-6);
}

TEST(Tally, OnlyEngravedCellsAreScored) {
  const auto dot = [](double x, double y) {
    return std::hypot(x - 30.5, y - 40.5) < 0.4 ? 1.0 : 0.0;
  };
  const Model model = engraved(dot, {10.0, 20.0}, {60.0, 70.0});
  const ScoreMap map = score_map(model, 1);
  ASSERT_EQ(map.cells.size(), 1u);
  EXPECT_EQ(map.slot.front()[20 * 50 + 20], 0);
  EXPECT_EQ(map.cells.front().block, map.grid.strip_of(20) * kPatchesAcross + 2);
}

// Squares of 4 mm, of whole cells, in a box that is wider than high.
TEST(Tally, SquaresTileTheBoxEachWithItsOwnCells) {
  const ScoreMap map = score_map(engraved(panels::everywhere(), {10.0, 20.0}, {70.0, 40.0}), 1);
  ASSERT_EQ(map.grid.squares_across(), 15);
  ASSERT_EQ(map.grid.squares_up(), 5);
  for (const double engraved_mm2 : map.square_engraved_mm2)
    EXPECT_NEAR(engraved_mm2, kSquare_mm * kSquare_mm, 1e-9);
  const int slot = map.slot.front()[map.grid.index_at({25.0, 33.0})];
  EXPECT_EQ(map.cells[static_cast<std::size_t>(slot)].square, 3 * 15 + 3);
}

// Each phase of a fully engraved band has the same area.
TEST(Tally, PhasesOfTheLedPitchShareTheBandNearestTheLeds) {
  Model model = panels::sign_blank();
  model.lamps.front().pitch_mm = 16.0;
  model.lamps.front().count = 5;
  panels::engrave(model, Side::back, panels::ground(0.5), panels::everywhere(), {23.5, 20.0},
                  {103.5, 95.0});
  const ScoreMap map = score_map(model, 1);
  ASSERT_EQ(map.bands.size(), 1u);
  const auto& areas_mm2 = map.bands.front().catching_mm2;
  double band_mm2 = 0.0;
  for (const double area_mm2 : areas_mm2) {
    EXPECT_NEAR(area_mm2, areas_mm2.front(), 1e-6);
    band_mm2 += area_mm2;
  }
  EXPECT_NEAR(band_mm2, 80.0 * 6.0, 1e-6);  // cells within 5 mm of the first: six rows
}

// Before five LEDs every other phase is engraved before three, the others before two: those are
// told by where on the panel they lie.
TEST(Tally, PhasesBeforeFewOfTheLedsAreNotCompared) {
  Model model = panels::sign_blank();
  model.lamps.front().pitch_mm = 16.0;
  model.lamps.front().count = 5;
  const auto checked = [](double x_mm, double) {
    const int led = static_cast<int>((x_mm - 23.5) / 16.0);
    const int phase = static_cast<int>((x_mm - 23.5) / 2.0) % kPhases;
    return (led + phase) % 2 == 0 ? 1.0 : 0.0;
  };
  panels::engrave(model, Side::back, panels::ground(0.5), checked, {23.5, 20.0}, {103.5, 95.0});
  const ScoreMap map = score_map(model, 1);
  ASSERT_EQ(map.bands.size(), 1u);
  for (std::size_t phase = 0; phase < kPhases; ++phase)
    EXPECT_NEAR(map.bands.front().catching_mm2[phase], phase % 2 == 0 ? 3.0 * 12.0 : 0.0, 1e-6);
}

// Grooves 1 mm wide that catch light over 2.6 mm: what they catch is shared out among what is burnt
// about it, none lost and none doubled.
TEST(Tally, WhatDeepGroovesCatchIsSharedOutWhole) {
  const auto grooves = [](double width_mm) {
    return engraved(
        [width_mm](double x, double y) {
          return std::abs(std::remainder(x - 1.3 * y, 9.0)) < 0.5 * width_mm ? 1.0 : 0.0;
        },
        {10.0, 20.0}, {60.0, 70.0});
  };
  Model model = grooves(2.6);
  model.layers.front().burnt = grooves(1.0).layers.front().coverage;
  const ScoreMap map = score_map(model, 1);
  double caught_mm2 = 0.0;
  double shared_mm2 = 0.0;
  for (std::size_t k = 0; k < map.grid.size(); ++k) {
    const int slot = map.slot.front()[k];
    if (slot < 0) continue;
    caught_mm2 +=
        map.cells[static_cast<std::size_t>(slot)].catching_share * map.grid.cell_area_mm2();
    const Vec2 half = 0.5 * map.grid.cell_mm;
    const Vec2 middle = map.grid.middle_mm(k);
    shared_mm2 += map.catching_at(0, middle) *
                  model.layers.front().burnt->burnt_area_mm2(middle - half, middle + half);
  }
  EXPECT_NEAR(shared_mm2, caught_mm2, 1e-6 * caught_mm2);
}

// Straight parts alone, whether or not a chamfer makes facets of the round ones.
TEST(Tally, EdgeGlowIsOverWhatFacesAsTheSeatDoes) {
  Model model = panels::sign_blank();
  model.outline = rounded_rectangle(127.0, 127.0, 10.0);
  EXPECT_NEAR(score_map(model, 1).edge_mm2[panels::kBottom], 107.0 * 3.0, 1e-9);
  add_chamfer(model.outline, {panels::kTop, Side::front, 1.0, 1.0});
  model.edge_finish.emplace_back();
  EXPECT_NEAR(score_map(model, 1).edge_mm2[panels::kBottom], 107.0 * 3.0, 1e-9);
}

// A row of red, one of green and one of blue LEDs in one place have the same to tell; a single LED
// has nothing. Cells in a corner belong to the bands of both rows that meet there.
TEST(Tally, EveryPlaceOfARowHasABandOfItsOwn) {
  Model model = engraved(panels::everywhere(), {13.0, 16.0}, {113.0, 116.0});
  const LedRow below = model.lamps.front();
  LedRow single = below;
  single.edge = panels::kTop;
  single.count = 1;
  LedRow left = below;
  left.edge = panels::kLeft;
  left.centre_mm = {0.0, 63.5};
  left.along = -Vec2::UnitY();
  model.lamps = {single, below, below, left, below};
  LedRow aside = below;
  aside.centre_mm.x() += 0.5 * below.pitch_mm;
  model.lamps.push_back(aside);
  EXPECT_EQ(score_map(model, 1).bands.size(), 3u) << "on the same edge in another place";
  model.lamps.pop_back();
  const ScoreMap map = score_map(model, 1);
  ASSERT_EQ(map.bands.size(), 2u);
  EXPECT_EQ(map.bands[0].edge, static_cast<std::size_t>(panels::kBottom));
  EXPECT_EQ(map.bands[1].edge, static_cast<std::size_t>(panels::kLeft));
  std::array<int, 3> cells_in_bands{};
  for (const ScoredCell& cell : map.cells) ++cells_in_bands.at(cell.phases.size());
  EXPECT_EQ(cells_in_bands[2], 6 * 6);
  EXPECT_EQ(cells_in_bands[1], 2 * 6 * (100 - 6));
  EXPECT_EQ(Tally(map).batches.front().phases.size(), std::size_t{2} * kPhases);
}

TEST(Tally, FixedPointRoundsToTheNearestUnitOnBothSidesOfZero) {
  EXPECT_EQ(fixed_point(1.0, kLedgerUnit), std::int64_t{1} << 40);
  EXPECT_EQ(fixed_point(-1.0, kLedgerUnit), -(std::int64_t{1} << 40));
  EXPECT_EQ(fixed_point(1.49 * kScoreUnit, kScoreUnit), 1);
  EXPECT_EQ(fixed_point(1.51 * kScoreUnit, kScoreUnit), 2);
  EXPECT_EQ(fixed_point(-1.51 * kScoreUnit, kScoreUnit), -2);
}

// The photon ceiling keeps every sum in 63 bits: the ledger with a whole photon a deposit, the
// scores with the bounds that the header states.
TEST(Tally, SumsOfTheLargestRunFitTheirIntegers) {
  constexpr double kLargest = 0x1p63;
  const double photons = static_cast<double>(kPhotonCeiling);
  EXPECT_LT(photons / kBatches / kLedgerUnit, kLargest);
  EXPECT_LT(photons * kCellScore / kScoreUnit, kLargest);
}

TEST(Tally, AClearBlankHasNothingToScore) {
  const ScoreMap map = score_map(panels::sign_blank(), 1);
  EXPECT_TRUE(map.cells.empty());
  EXPECT_TRUE(Tally(map).field.empty());
  EXPECT_EQ(Tally(map).batches.size(), static_cast<std::size_t>(kBatches));
}

}  // namespace
}  // namespace rimeglow::tally_test
