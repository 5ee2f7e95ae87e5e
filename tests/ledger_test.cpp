// The light ledger of signs of every kind: each batch adds up to its light, nothing is lost, and
// only ends that the sign has take any. Derived from conservation of energy.
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "batch_statistics.h"
#include "panels.h"

namespace rimeglow::ledger_test {
namespace {

struct Sign {
  std::string name;
  Model model;
};

// Three edges as given; the lit one stays clear.
Model with_edges(Model model, const Finish& finish) {
  for (const int edge : {panels::kRight, panels::kTop, panels::kLeft}) {
    model.edge_finish[static_cast<std::size_t>(edge)] = finish;
  }
  return model;
}

Model engraved(const Finish& mark, const panels::Art& art, Side side = Side::back) {
  Model model = panels::sign_blank();
  panels::engrave(model, side, mark, art);
  return model;
}

std::vector<Sign> signs_of_every_kind() {
  const Finish standard = panels::ground(0.5, 0.3);
  Finish white_paint = panels::black_paint();
  white_paint.paint_reflectance = 0.95;
  Model rounded = panels::clear_panel({60.0, 50.0}, 3.0, 1.49, 12.0);
  rounded.lamps = {panels::strip_light(rounded, {50.0, 3.0}, 0.5)};
  panels::engrave(rounded, Side::back, standard, panels::lines(), {10.0, 10.0}, {50.0, 40.0});
  Model lossless = with_edges(engraved(standard, panels::lines()),
                              panels::backed({}, Backing::Kind::mirror, 1.0));
  lossless.sheet.absorption_per_mm = 0.0;
  Model ground_below = engraved(standard, panels::mixed());
  ground_below.edge_finish[panels::kBottom] = panels::ground(0.3);
  Model dark = engraved(standard, panels::squares());
  dark.sheet.absorption_per_mm = 0.05;
  Model two_rows = engraved(standard, panels::mixed());
  LedRow above = two_rows.lamps.front();
  above.centre_mm = {63.5, 127.0};
  above.along = -Vec2::UnitX();
  above.count = 3;
  two_rows.lamps.push_back(above);
  return {{"lines", engraved(standard, panels::lines())},
          {"squares on the front", engraved(standard, panels::squares(), Side::front)},
          {"smooth marks", engraved(panels::ground(0.05), panels::mixed())},
          {"frost, ground edges",
           with_edges(engraved(panels::ground(0.5, 1.0), panels::squares()), panels::ground(0.3))},
          {"white card", with_edges(engraved(standard, panels::lines()),
                                    panels::backed({}, Backing::Kind::white, 0.9))},
          {"ground before a card", with_edges(engraved(standard, panels::lines()),
                                              panels::backed(standard, Backing::Kind::white, 0.9))},
          {"white paint", with_edges(engraved(white_paint, panels::squares()), white_paint)},
          {"lossless, mirrors all round", lossless},
          {"ground lit edge", ground_below},
          {"dark sheet", dark},
          {"two rows", two_rows},
          {"rounded", rounded}};
}

double sum_of(const BatchSums& batch, int entry) {
  return kLedgerUnit * static_cast<double>(batch.ledger[static_cast<std::size_t>(entry)]);
}

// Exact to the fixed point of the sums; one photon in a thousand million would be missed.
TEST(Ledger, EveryBatchOfEverySignAddsUpToItsLight) {
  for (const Sign& sign : signs_of_every_kind()) {
    const auto run = panels::traced(sign.model, statistics::samples(60000));
    for (const BatchSums& batch : run.tally.batches) {
      const auto photons = static_cast<double>(batch.photons);
      double sum = 0.0;
      for (int entry = 0; entry < kFirstEdgeEntry + 4; ++entry) sum += sum_of(batch, entry);
      EXPECT_NEAR(sum / photons, 1.0, 1e-9) << sign.name;
      EXPECT_EQ(sum_of(batch, kLost), 0.0) << sign.name;
      EXPECT_EQ(sum_of(batch, kBaseLoss), 0.0) << sign.name;
    }
  }
}

// A sheet without absorption takes nothing, finishes that absorb nothing take nothing, an opaque
// edge lets nothing out; and light that nothing ends is cut, counted, and rare.
TEST(Ledger, OnlyTheEndsThatASignHasTakeLight) {
  for (const Sign& sign : signs_of_every_kind()) {
    const auto run = panels::traced(sign.model, statistics::samples(60000));
    const auto share = [&run](int entry) { return panels::ledger_share(run, entry).mean; };
    EXPECT_EQ(share(kSheetLoss) > 0.0, sign.model.sheet.absorption_per_mm > 0.0) << sign.name;
    bool absorbs = false;
    for (std::size_t edge = 0; edge < 4; ++edge) {
      const Finish& finish = sign.model.edge_finish[edge];
      const bool opaque = finish.kind == Finish::Kind::painted || finish.backing.has_value();
      const double through = share(kFirstEdgeEntry + static_cast<int>(edge));
      EXPECT_EQ(through > 0.0, !opaque) << sign.name << ", edge " << edge;
      absorbs = absorbs || (finish.backing && finish.backing->reflectance < 1.0) ||
                finish.kind == Finish::Kind::painted;
    }
    absorbs = absorbs || sign.model.layers.front().mark.kind == Finish::Kind::painted;
    EXPECT_EQ(share(kFinishLoss) > 0.0, absorbs) << sign.name;
    EXPECT_LT(std::abs(share(kTrapped)), 1e-3) << sign.name;
    EXPECT_GT(share(kFrontMark) + share(kFrontOther), 0.0) << sign.name;
  }
}

// The front gets as much from marks on the front as the back from marks on the back: the panel seen
// from behind. Level 1e-4 over four; sees 3 % of the flux.
TEST(Ledger, TurningThePanelRoundSwapsFrontAndBack) {
  const int photons = statistics::samples(300000);
  const auto marks_behind =
      panels::traced(engraved(panels::ground(0.5, 0.3), panels::squares()), photons);
  const auto marks_before =
      panels::traced(engraved(panels::ground(0.5, 0.3), panels::squares(), Side::front), photons,
                     statistics::kSeed + 1);
  const double limit = statistics::t_limit(statistics::kFalseAlarm, 4);
  const std::vector<std::pair<int, int>> swapped = {{kFrontMark, kBackMark},
                                                    {kBackMark, kFrontMark},
                                                    {kFrontOther, kBackOther},
                                                    {kBackOther, kFrontOther}};
  for (const auto& [behind, before] : swapped) {
    EXPECT_LT(std::abs(statistics::t_between(panels::ledger_share(marks_behind, behind),
                                             panels::ledger_share(marks_before, before))),
              limit);
  }
}

// Two rows share the light by their flux: with one row three times the other's, and the panel its
// own mirror image, the edge lit less throws out what the other would. Level 1e-4; sees 0.004.
TEST(Ledger, RowsOnTwoEdgesAddUpAsEachAlone) {
  Model below = engraved(panels::ground(0.5, 0.3), panels::mixed());
  LedRow above_row = below.lamps.front();
  above_row.centre_mm = {63.5, 127.0};
  above_row.along = -Vec2::UnitX();
  above_row.flux_each_lm = 3.0;
  Model above = below;
  above.lamps = {above_row};
  Model both = below;
  both.lamps.push_back(above_row);
  const int photons = statistics::samples(200000);
  const auto run_below = panels::traced(below, photons);
  const auto run_above = panels::traced(above, photons, statistics::kSeed + 1);
  const auto run_both = panels::traced(both, photons, statistics::kSeed + 2);
  const std::vector<int> entries = {kFrontMark, kBackMark, kMissed, kFirstEdgeEntry + panels::kTop,
                                    kFirstEdgeEntry + panels::kBottom};
  for (const int entry : entries) {
    const Estimate alone_below = panels::ledger_share(run_below, entry);
    const Estimate alone_above = panels::ledger_share(run_above, entry);
    const Estimate together = panels::ledger_share(run_both, entry);
    const double error = std::hypot(0.75 * alone_below.standard_error,
                                    0.25 * alone_above.standard_error, together.standard_error);
    EXPECT_NEAR(together.mean, 0.75 * alone_below.mean + 0.25 * alone_above.mean,
                error * statistics::t_limit(statistics::kFalseAlarm, 5))
        << "entry " << entry;
  }
}

}  // namespace
}  // namespace rimeglow::ledger_test
