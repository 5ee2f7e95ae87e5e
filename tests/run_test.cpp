// Laws of a run as a value: the same sums for any number of threads and any split into rounds, the
// same panel in other words gives the same glow, and its 95 % intervals hold the truth as often as
// they say.
#include "run.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <vector>

#include "batch_statistics.h"
#include "panels.h"

namespace rimeglow::run_test {
namespace {

// A little of everything the tally sums: art, a ground edge, a taped one, an eye on either side.
Model busy_sign() {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::mixed());
  model.edge_finish[panels::kTop] = panels::ground(0.3);
  model.edge_finish[panels::kLeft] = panels::backed({}, Backing::Kind::mirror, 0.9);
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(30.0, 0.0, Side::back)};
  return model;
}

struct Sums {
  std::vector<std::int64_t> field;
  std::vector<std::vector<std::int64_t>> batches;

  friend bool operator==(const Sums&, const Sums&) = default;
};

Sums sums_of(const Run& run) {
  Sums sums{run.tally.field, {}};
  for (const BatchSums& batch : run.tally.batches) {
    sums.batches.push_back({static_cast<std::int64_t>(batch.photons)});
    sums.batches.push_back(batch.ledger);
    sums.batches.push_back(batch.blocks);
    sums.batches.push_back(batch.edges);
    sums.batches.emplace_back(batch.phases.begin(), batch.phases.end());
  }
  return sums;
}

Sums sums_after(const Model& model, int threads, const std::vector<int>& rounds) {
  RunSettings settings;
  settings.seed = 7;
  settings.threads = threads;
  settings.response_walks = 1 << 12;
  settings.room_rays = panels::kFewRoomRays;
  auto run = start(std::make_shared<const Model>(model), settings);
  for (const int photons : rounds) advance(run, static_cast<std::uint64_t>(photons));
  return sums_of(run);
}

// Sums of integers: exact, no false alarm; one photon counted twice would be seen.
TEST(RunValue, SumsAreTheSameForAnyNumberOfThreads) {
  const Model model = busy_sign();
  const std::vector<int> rounds = {statistics::samples(60000)};
  const Sums alone = sums_after(model, 1, rounds);
  for (const int threads : {2, 3, 8})
    EXPECT_EQ(sums_after(model, threads, rounds), alone) << threads;
}

TEST(RunValue, SumsAreTheSameForAnySplitIntoRounds) {
  const Model model = busy_sign();
  const Sums whole = sums_after(model, 2, {20000});
  EXPECT_EQ(sums_after(model, 2, {1, 63, 64, 65, 0, 12345, 7462}), whole);
  EXPECT_EQ(sums_after(model, 3, {19999, 1}), whole);
  EXPECT_NE(sums_after(model, 2, {19999}), whole);
}

TEST(RunValue, EveryPhotonIsInOneBatch) {
  auto run = panels::traced(panels::sign_blank(), 1000);
  for (std::size_t b = 0; b < run.tally.batches.size(); ++b) {
    EXPECT_EQ(run.tally.batches[b].photons, b < 1000 % kBatches ? 16u : 15u);
  }
}

TEST(RunValue, HoldsNoMorePhotonsThanItsSumsCanBear) {
  auto run = panels::traced(panels::sign_blank(), 100);
  EXPECT_THROW(advance(run, kPhotonCeiling - 99), std::length_error);
  EXPECT_EQ(run.photons, 100u);
}

// Luminance is proportional to flux; twice the flux is twice the number to the last bit, the same
// photons going the same ways. Exact.
TEST(RunValue, TwiceTheFluxGlowsExactlyTwiceAsBright) {
  const Model model = busy_sign();
  Model doubled = model;
  doubled.lamps.front().flux_each_lm *= 2.0;
  const Glow glow = glow_of(panels::traced(model, 20000));
  const Glow twice = glow_of(panels::traced(doubled, 20000));
  ASSERT_EQ(glow.viewers.size(), 2u);
  for (std::size_t v = 0; v < glow.viewers.size(); ++v) {
    EXPECT_GT(glow.viewers[v].mean_cd_m2.mean, 0.0);
    EXPECT_EQ(twice.viewers[v].mean_cd_m2.mean, 2.0 * glow.viewers[v].mean_cd_m2.mean);
    EXPECT_EQ(twice.viewers[v].evenness.mean, glow.viewers[v].evenness.mean);
  }
  for (std::size_t e = 0; e < glow.edges.size(); ++e) {
    EXPECT_EQ(twice.edges[e].cd_m2.mean, 2.0 * glow.edges[e].cd_m2.mean);
  }
  for (std::size_t i = 0; i < glow.ledger.size(); ++i) {
    EXPECT_EQ(twice.ledger[i].of_emitted.mean, glow.ledger[i].of_emitted.mean);
  }
}

// A panel of 5 in is one of 127 mm, 1/8 in thick one of 3.175 mm. Exact.
TEST(RunValue, InchesAndMillimetresNameTheSamePanel) {
  const auto sign = [](double side_mm, double thickness_mm) {
    Model model = panels::clear_panel({side_mm, side_mm}, thickness_mm, 1.49);
    model.lamps = {panels::whole_edge_light(model)};
    model.edge_finish[panels::kTop] = panels::ground(0.3);
    model.viewers = {panels::eye(20.0, 0.0, Side::front)};
    return model;
  };
  EXPECT_EQ(sums_after(sign(5.0 * kMmPerInch, 0.125 * kMmPerInch), 1, {20000}),
            sums_after(sign(127.0, 3.175), 1, {20000}));
}

// Everything twice as large and half as absorbing: the light shares itself alike, and an edge of
// four times the area glows a quarter as bright. Exact, doubling being exact.
TEST(RunValue, APanelTwiceAsLargeSharesItsLightAlike) {
  const auto sign = [](double scale) {
    Model model = panels::clear_panel(scale * Vec2(64.0, 48.0), scale * 3.0, 1.49, scale * 4.0);
    model.sheet.absorption_per_mm = 0.001 / scale;
    model.lamps = {panels::strip_light(model, scale * Vec2(40.0, 2.8), scale * 0.5)};
    model.edge_finish[panels::kTop] = panels::ground(0.3);
    model.viewers = {panels::eye(20.0, 0.0, Side::front)};
    return model;
  };
  const Glow small = glow_of(panels::traced(sign(1.0), 20000));
  const Glow large = glow_of(panels::traced(sign(2.0), 20000));
  for (std::size_t i = 0; i < small.ledger.size(); ++i) {
    EXPECT_EQ(large.ledger[i].of_emitted.mean, small.ledger[i].of_emitted.mean)
        << small.ledger[i].name;
  }
  ASSERT_FALSE(small.edges.empty());
  for (std::size_t e = 0; e < small.edges.size(); ++e) {
    EXPECT_DOUBLE_EQ(large.edges[e].cd_m2.mean, 0.25 * small.edges[e].cd_m2.mean);
  }
}

// The art of a drawing seen in a mirror, eyes likewise: patch by patch the mirrored glow, in
// distribution. Level 1e-4 over 50 patches; sees a patch wrong by 8 %.
TEST(RunValue, MirroredArtMirrorsTheGlow) {
  const panels::Art art = panels::mixed();
  const auto sign = [](const panels::Art& drawn, double left_deg) {
    Model model = panels::sign_blank();
    panels::engrave(model, Side::back, panels::ground(0.5, 0.3), drawn);
    model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(0.0, left_deg, Side::front)};
    return model;
  };
  const int photons = statistics::samples(400000);
  const Glow glow = glow_of(panels::traced(sign(art, 30.0), photons));
  const Glow mirror =
      glow_of(panels::traced(sign([&art](double x, double y) { return art(127.0 - x, y); }, -30.0),
                             photons, statistics::kSeed + 1));
  const double limit =
      statistics::t_limit(statistics::kFalseAlarm, 2 * kPatchesAcross * kPatchesAcross);
  for (std::size_t v = 0; v < 2; ++v) {
    for (int row = 0; row < kPatchesAcross; ++row) {
      for (int column = 0; column < kPatchesAcross; ++column) {
        const auto patch = [&](const Glow& of, int across) {
          return of.viewers[v].patches[static_cast<std::size_t>(row * kPatchesAcross + across)];
        };
        const PatchGlow here = patch(glow, column);
        const PatchGlow there = patch(mirror, kPatchesAcross - 1 - column);
        EXPECT_NEAR(there.engraved_mm2, here.engraved_mm2, 0.01 * here.engraved_mm2 + 1e-9);
        EXPECT_LT(std::abs(statistics::t_between(here.cd_m2, there.cd_m2)), limit)
            << "viewer " << v << ", row " << row << ", column " << column;
      }
    }
  }
}

// Of 200 short runs 190 should hold the truth in their 95 % interval. The bounds 180 and 198 fail
// by chance in 0.0016 of all seeds each time (binomial), so in 0.003 for the two together; they see
// an error estimate 15 % too small. Truth: the edge-lit plate with mu L = 0.3 (derived).
TEST(RunValue, NinetyFivePercentIntervalsHoldTheTruthThatOften) {
  Model model = panels::clear_panel({150.0, 200.0}, 3.0, 1.49);
  model.sheet.absorption_per_mm = 0.3 / 200.0;
  model.lamps = {panels::whole_edge_light(model)};
  constexpr int kRuns = 200;
  int held_far = 0;
  int held_absorbed = 0;
  const auto holds = [](const Estimate& share, double truth) {
    return std::abs(share.mean - truth) <= half_width_95(share) ? 1 : 0;
  };
  for (int k = 0; k < kRuns; ++k) {
    const auto run = panels::traced(model, 6400, statistics::kSeed + static_cast<std::uint64_t>(k));
    held_far += holds(panels::edge_share(run, panels::kTop), 0.599242);
    held_absorbed += holds(panels::ledger_share(run, kSheetLoss), 0.280588);
  }
  for (const int held : {held_far, held_absorbed}) {
    EXPECT_GE(held, 180);
    EXPECT_LE(held, 198);
  }
}

// Few walks behind the tables and many photons: runs of other seeds differ by the tables, and their
// errors say by how much. Of forty the squares of what each is off, in its errors, sum to
// chi-square; the light it is reckoned for is that of the LEDs before anything scatters it, so that
// half to twice the error will do. Level 1e-4; without the tables' part it fails.
TEST(RunValue, ErrorsKnowTheNoiseOfTheTables) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5), panels::mixed());
  model.edge_finish[panels::kTop] = panels::ground(0.3);
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(45.0, 0.0, Side::front),
                   panels::eye(0.0, 60.0, Side::front)};
  constexpr int kRuns = 40;
  std::vector<std::vector<Estimate>> told(model.viewers.size() + 1);
  for (int k = 0; k < kRuns; ++k) {
    RunSettings settings;
    settings.seed = statistics::kSeed + static_cast<std::uint64_t>(k);
    settings.threads = 1;
    settings.response_walks = 1 << 10;
    settings.room_rays = panels::kFewRoomRays;
    auto run = start(std::make_shared<const Model>(model), settings);
    advance(run, 60000);
    const Glow glow = glow_of(run);
    for (std::size_t v = 0; v < model.viewers.size(); ++v)
      told[v].push_back(glow.viewers[v].mean_cd_m2);
    for (const EdgeGlow& edge : glow.edges)
      if (edge.edge == "top" && edge.viewer == model.viewers[1].name)
        told.back().push_back(edge.cd_m2);
  }
  for (const std::vector<Estimate>& runs : told) {
    ASSERT_EQ(runs.size(), std::size_t{kRuns});
    double mean = 0.0;
    for (const Estimate& one : runs) mean += one.mean / kRuns;
    double squares = 0.0;
    for (const Estimate& one : runs) squares += std::pow((one.mean - mean) / one.standard_error, 2);
    // Chi-square of 39 degrees is between 13 and 84 but for 1e-4 (2.5e-5 for each of the four).
    EXPECT_LT(squares, 4.0 * 86.0);
    EXPECT_GT(squares, 0.25 * 13.0);
  }
}

}  // namespace
}  // namespace rimeglow::run_test
