// A whole sign against an independent tracer: 127 x 127 x 3 mm, index 1.49, six LEDs of 9 lm. That
// program walked a box in plain arithmetic, counted photons one by one and saw an edge by counting
// what left toward the eye; it shares no code with this one. Its figures stand for 1.5e6 photons.
// And the ledger of every kind of sign closes.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <tuple>
#include <vector>

#include "batch_statistics.h"
#include "panels.h"

namespace rimeglow::sign_test {
namespace {

Model blank_with_top(const Finish& top) {
  Model model = panels::sign_blank();
  model.edge_finish[panels::kTop] = top;
  return model;
}

// Sum of some ledger entries.
Estimate share_of(const Run& run, const std::vector<int>& entries) {
  return jackknife([&](int omitted) {
    double sum = 0.0;
    double photons = 0.0;
    for (int b = 0; b < kBatches; ++b) {
      if (b == omitted) continue;
      const BatchSums& batch = run.tally.batches[static_cast<std::size_t>(b)];
      photons += static_cast<double>(batch.photons);
      for (const int entry : entries) {
        sum += kLedgerUnit * static_cast<double>(batch.ledger[static_cast<std::size_t>(entry)]);
      }
    }
    return sum / photons;
  });
}

struct Entry {
  std::string name;
  std::vector<int> entries;
  double share;
};

const std::vector<int> kFront = {kFrontMark, kFrontOther};
const std::vector<int> kBack = {kBackMark, kBackOther};
const std::vector<int> kTopOut = {kFirstEdgeEntry + panels::kTop};
const std::vector<int> kBottomOut = {kFirstEdgeEntry + panels::kBottom};
const std::vector<int> kSidesOut = {kFirstEdgeEntry + panels::kRight,
                                    kFirstEdgeEntry + panels::kLeft};

void expect_ledger(const Model& model, const std::vector<Entry>& ledger) {
  constexpr double kTheirError = 4e-4;
  constexpr double kDigit = 1e-3;
  const auto run = panels::traced(model, statistics::samples(1000000));
  const double limit =
      statistics::t_limit(statistics::kFalseAlarm, static_cast<int>(ledger.size()));
  for (const Entry& entry : ledger) {
    const Estimate ours = share_of(run, entry.entries);
    if (entry.share == 0.0) {
      EXPECT_EQ(ours.mean, 0.0) << entry.name;
      continue;
    }
    const double error = std::hypot(ours.standard_error, kTheirError, kDigit / std::sqrt(12.0));
    EXPECT_NEAR(ours.mean, entry.share, limit * error) << entry.name;
  }
}

// "Missed" holds what that program called missed the edge and first reflection: 0.131 + 0.063.
// Level 1e-4; sees 0.003 of the light.
TEST(Sign, ABlanksLightGoesWhereAnIndependentTracerSaysItGoes) {
  expect_ledger(panels::sign_blank(), {{"missed", {kMissed}, 0.194},
                                       {"front", kFront, 0.0},
                                       {"back", kBack, 0.0},
                                       {"top", kTopOut, 0.725},
                                       {"bottom", kBottomOut, 0.045},
                                       {"left and right", kSidesOut, 0.0},
                                       {"sheet", {kSheetLoss}, 0.037}});
}

// The same with the top sanded, GGX alpha 0.3 and 0.5, all orders. Level 1e-4 each; sees 0.003.
TEST(Sign, ASandedTopsLightGoesWhereAnIndependentTracerSaysItGoes) {
  expect_ledger(blank_with_top(panels::ground(0.3)), {{"missed", {kMissed}, 0.194},
                                                      {"front", kFront, 0.029},
                                                      {"back", kBack, 0.029},
                                                      {"top", kTopOut, 0.589},
                                                      {"bottom", kBottomOut, 0.050},
                                                      {"left and right", kSidesOut, 0.061},
                                                      {"sheet", {kSheetLoss}, 0.050}});
  expect_ledger(blank_with_top(panels::ground(0.5)), {{"missed", {kMissed}, 0.194},
                                                      {"front", kFront, 0.035},
                                                      {"back", kBack, 0.034},
                                                      {"top", kTopOut, 0.535},
                                                      {"bottom", kBottomOut, 0.080},
                                                      {"left and right", kSidesOut, 0.070},
                                                      {"sheet", {kSheetLoss}, 0.053}});
}

struct EdgeSight {
  double up_deg, cd_m2, error;
};

// `counting`: how far counts in cones of other sizes may differ.
void expect_top_glow(const Finish& top, const std::vector<EdgeSight>& sights, double counting) {
  Model model = blank_with_top(top);
  for (const EdgeSight& sight : sights) {
    model.viewers.push_back(panels::eye(sight.up_deg, 0.0, Side::front));
  }
  const Glow glow = glow_of(panels::traced(model, statistics::samples(1000000)));
  const double limit =
      statistics::t_limit(statistics::kFalseAlarm, static_cast<int>(sights.size()));
  for (std::size_t v = 0; v < sights.size(); ++v) {
    const auto seen = std::find_if(glow.edges.begin(), glow.edges.end(), [&](const EdgeGlow& edge) {
      return edge.edge == "top" && edge.viewer == model.viewers[v].name;
    });
    ASSERT_NE(seen, glow.edges.end()) << model.viewers[v].name;
    EXPECT_NEAR(seen->cd_m2.mean, sights[v].cd_m2,
                limit * std::hypot(seen->cd_m2.standard_error, sights[v].error) +
                    counting * sights[v].cd_m2)
        << model.viewers[v].name;
  }
}

// Sanded, alpha 0.3: directly from 20, 45 and 90 degrees above, and through the front from 7.2 and
// 20 below. That program's errors were 0.2 to 1.8 %; 1 % is taken. Level 1e-4; sees 6 %.
TEST(Sign, ASandedTopGlowsAsAnIndependentTracerSaysItDoes) {
  expect_top_glow(panels::ground(0.3),
                  {{20.0, 6320.0, 63.0},
                   {45.0, 27700.0, 277.0},
                   {90.0, 39900.0, 399.0},
                   {-7.2, 8320.0, 83.0},
                   {-20.0, 7750.0, 78.0}},
                  0.0);
}

// Polished: counted in a cone of 5 degrees here and of 3 there, over which LEDs come and go. Level
// 1e-4; sees 10 %. Through the front it is a mirror of the dark inside and has no glow at all.
TEST(Sign, APolishedTopGlowsAsAnIndependentTracerSaysItDoes) {
  expect_top_glow({}, {{20.0, 16650.0, 820.0}, {45.0, 32200.0, 322.0}, {90.0, 40700.0, 407.0}},
                  0.02);
  Model model = panels::sign_blank();
  model.viewers = {panels::eye(-7.2, 0.0, Side::front)};
  for (const EdgeGlow& edge : glow_of(panels::traced(model, 1000)).edges) {
    EXPECT_NE(edge.edge, "top");
  }
}

// All three free edges sanded: the left one from 20 degrees to its side, and through the front from
// 7.2 to the other. That program's errors were 1 to 3 %; 2 % is taken. Level 1e-4; sees 12 %.
TEST(Sign, ASandedSideGlowsAsAnIndependentTracerSaysItDoes) {
  for (const auto& [alpha, beside, through] :
       {std::tuple(0.3, 1013.0, 1917.0), std::tuple(0.5, 1374.0, 3038.0)}) {
    Model model = panels::sign_blank();
    for (const int edge : {panels::kRight, panels::kTop, panels::kLeft})
      model.edge_finish[static_cast<std::size_t>(edge)] = panels::ground(alpha);
    model.viewers = {panels::eye(0.0, 20.0, Side::front), panels::eye(0.0, -7.2, Side::front)};
    const Glow glow = glow_of(panels::traced(model, statistics::samples(1000000)));
    const double limit = statistics::t_limit(statistics::kFalseAlarm, 4);
    for (const auto& [viewer, cd_m2] : {std::pair(0, beside), std::pair(1, through)}) {
      const std::string& name = model.viewers[static_cast<std::size_t>(viewer)].name;
      const auto seen = std::find_if(
          glow.edges.begin(), glow.edges.end(),
          [&name](const EdgeGlow& edge) { return edge.edge == "left" && edge.viewer == name; });
      ASSERT_NE(seen, glow.edges.end()) << name;
      EXPECT_NEAR(seen->cd_m2.mean, cd_m2,
                  limit * std::hypot(seen->cd_m2.standard_error, 0.02 * cd_m2))
          << alpha << ", " << name;
    }
  }
}

// Every edge another, a dark sheet, a base that returns light: a panel 60 x 50 x 3 mm of 5 per
// metre absorption, three LEDs of 12 lm in a cavity of reflectance 0.6, paint of 0.5 on the right,
// a mirror of 0.8 on the top, a white card of 0.85 on the left, a solid mark of alpha 0.4 and frost
// 0.2.
Model sign_of_every_edge() {
  Model model = panels::clear_panel({60.0, 50.0}, 3.0, 1.49);
  model.sheet.absorption_per_mm = 0.005;
  LedRow row = panels::strip_light(model, {3.5, 2.8}, 0.5);
  row.count = 3;
  row.pitch_mm = 18.0;
  row.flux_each_lm = 12.0;
  model.lamps = {row};
  model.base.wall = 0.6;
  Finish paint = panels::black_paint();
  paint.paint_reflectance = 0.5;
  model.edge_finish[panels::kRight] = paint;
  model.edge_finish[panels::kTop] = panels::backed({}, Backing::Kind::mirror, 0.8);
  model.edge_finish[panels::kLeft] = panels::backed({}, Backing::Kind::white, 0.85);
  panels::engrave(model, Side::back, panels::ground(0.4, 0.2), panels::everywhere(), {14.95, 19.95},
                  {45.05, 40.05});
  return model;
}

// By another tracer of our own, written from the textbook for this: forward for the ledger (4e6
// photons), from the eye to the LEDs for luminances (1.2e7 paths a viewer). Level 1e-4
// each; sees 0.003 of the light and 3 % of a luminance.
TEST(Sign, ADarkPanelOfEveryEdgeIsAsATracerFromTheTextbookSays) {
  Model model = sign_of_every_edge();
  expect_ledger(model, {{"front, marks", {kFrontMark}, 0.13599},
                        {"back, marks", {kBackMark}, 0.13167},
                        {"front, other", {kFrontOther}, 0.00812},
                        {"back, other", {kBackOther}, 0.01004},
                        {"paint, mirror and card", {kFinishLoss}, 0.19209},
                        {"missed", {kMissed}, 0.10920},
                        {"base", {kBaseLoss}, 0.08509},
                        {"sheet", {kSheetLoss}, 0.32780}});
  struct Sight {
    double up_deg, left_deg;
    Side side;
    double cd_m2, error;
  };
  const std::vector<Sight> sights = {{0.0, 0.0, Side::front, 1646.0, 6.4},
                                     {45.0, 0.0, Side::front, 4892.7, 11.3},
                                     {0.0, 60.0, Side::front, 2157.6, 7.1},
                                     {-30.0, 0.0, Side::front, 1786.3, 6.5},
                                     {0.0, 0.0, Side::back, 875.6, 4.8}};
  for (const Sight& sight : sights)
    model.viewers.push_back(panels::eye(sight.up_deg, sight.left_deg, sight.side));
  const Glow glow = glow_of(panels::traced(model, statistics::samples(300000)));
  const double limit =
      statistics::t_limit(statistics::kFalseAlarm, static_cast<int>(sights.size()));
  for (std::size_t v = 0; v < sights.size(); ++v) {
    const Estimate& seen = glow.viewers[v].mean_cd_m2;
    EXPECT_NEAR(seen.mean, sights[v].cd_m2,
                limit * std::hypot(seen.standard_error, sights[v].error))
        << model.viewers[v].name;
  }
}

// A fully engraved band 5 mm high that begins so far above the edge, seen straight on.
Estimate hot_spots_of_band(double above_mm) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::everywhere(),
                  {10.0, above_mm}, {117.0, above_mm + 5.0});
  model.viewers = {panels::eye(0.0, 0.0, Side::front)};
  return glow_of(panels::traced(model, statistics::samples(400000))).hot_spots.at(0).contrast;
}

// That program's contrast over one pitch of 21.17 mm fell from 0.94 at 5 mm above the edge through
// 0.67 at 10 and 0.17 at 15 to 0.04, which was noise, at 20: LEDs no longer show from 0.9 pitches
// up. Its rows were single and its bins finer, so that only the fall is compared. The extremes of
// eight phases lie apart by noise alone: 0.01 at this many photons. Level 1e-4; sees LEDs that show
// 5 mm higher than they should.
TEST(Sign, HotSpotsFadeWithinOneLedPitch) {
  constexpr double kPitch_mm = 21.17;
  const double margin = statistics::t_limit(statistics::kFalseAlarm, 3);
  const Estimate low = hot_spots_of_band(5.0);
  const Estimate middle = hot_spots_of_band(10.0);
  const Estimate high = hot_spots_of_band(0.9 * kPitch_mm);
  EXPECT_NEAR(low.mean, 0.75, 0.15 + margin * low.standard_error);
  EXPECT_NEAR(middle.mean, 0.4, 0.15 + margin * middle.standard_error);
  EXPECT_LT(high.mean, 0.1 + margin * high.standard_error);
}

}  // namespace
}  // namespace rimeglow::sign_test
