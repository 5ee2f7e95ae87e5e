// Laws of the base as a reflecting cavity.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "batch_statistics.h"
#include "panels.h"

namespace rimeglow::base_test {
namespace {

Model lit_cuboid(double wall, double gap_mm, double emitter_mm) {
  Model model = panels::clear_panel({150.0, 200.0}, 3.0, 1.49);
  model.lamps = {panels::strip_light(model, {60.0, emitter_mm}, gap_mm)};
  model.base.wall = wall;
  return model;
}

double share(const Run& run, int entry) { return panels::ledger_share(run, entry).mean; }

// A strip light of the edge's own size, touching it, over a floor of reflectance R: what the edge
// throws back (rho = 0.090306 of Lambertian light) or lets out again comes back Lambertian with R.
// The plate of the lossless cuboid returns B = 0.15295 - 0.09031 of the first light through the lit
// edge, so a photon enters with E = (1 - rho) / (1 - rho R), leaves at the far edge with 0.84705 of
// the first-entered light per entry 1 - rho, and returns the rest. A geometric series (derived):
// far = f E / (1 - (1 - f) R E), f = 0.84705 / 0.90969. Level 1e-4; sees 0.003.
TEST(Base, ReturnsLightInAGeometricSeries) {
  constexpr double kEntered = 1.0 - 0.090306;
  constexpr double kFar = 0.84705 / kEntered;
  for (const double wall : {0.3, 0.8}) {
    const auto run = panels::traced(lit_cuboid(wall, 0.0, 3.0), statistics::samples(1000000));
    const double enters = kEntered / (1.0 - (1.0 - kEntered) * wall);
    const double far = kFar * enters / (1.0 - (1.0 - kFar) * wall * enters);
    const Estimate got = panels::edge_share(run, panels::kTop);
    EXPECT_LT(std::abs(statistics::t_of(got, far, 1e-5)),
              statistics::t_limit(statistics::kFalseAlarm, 2))
        << wall << ": " << got.mean << " of " << far;
    EXPECT_EQ(share(run, kLost), 0.0);
  }
}

// Light is neither made nor lost: what does not leave the panel ends in the base or never entered.
TEST(Base, KeepsTheLedgerClosed) {
  for (const double gap_mm : {0.0, 0.5, 3.0}) {
    for (const double emitter_mm : {2.8, 5.0}) {
      const auto run =
          panels::traced(lit_cuboid(0.7, gap_mm, emitter_mm), statistics::samples(100000));
      EXPECT_EQ(share(run, kFirstEdgeEntry + panels::kBottom), 0.0);
      EXPECT_GT(share(run, kBaseLoss), 0.0);
      EXPECT_NEAR(share(run, kMissed) + share(run, kBaseLoss) + share(run, kTrapped) +
                      panels::edge_share(run, panels::kTop).mean,
                  1.0, 1e-9);
    }
  }
}

// With a gap a reflecting base saves part of what a dark one loses, never more than all of it
// (common practice, no source, for its sign; sees a base that does nothing).
TEST(Base, SavesPartOfWhatADarkBaseLoses) {
  double before = 0.0;
  for (const double wall : {0.0, 0.4, 0.9}) {
    const auto run = panels::traced(lit_cuboid(wall, 1.0, 2.8), statistics::samples(200000));
    const double far = panels::edge_share(run, panels::kTop).mean;
    EXPECT_GT(far, before + 0.02);
    EXPECT_LT(far, 1.0);
    before = far;
  }
}

// Meetings with a face per mm of a touching slot: both faces' 0.1088 at 3 mm and no gap (derived),
// so a touching share of 5 % takes about 5 % on the way in of 10 mm. Two rows stand in one slot.
// Sees a slot that does nothing, or twice its work.
TEST(Base, OnlyATouchingSlotTakesGuidedLight) {
  Model model = lit_cuboid(0.0, 0.0, 3.0);
  model.lamps.push_back(model.lamps.front());
  model.base.slot_depth_mm = 10.0;
  const int photons = statistics::samples(200000);
  const double air = panels::edge_share(panels::traced(model, photons), panels::kTop).mean;
  EXPECT_EQ(panels::ledger_share(panels::traced(model, photons), kBaseLoss).mean, 0.0);
  model.base.contact = 0.05;
  const auto touching = panels::traced(model, photons);
  const double far = panels::edge_share(touching, panels::kTop).mean;
  EXPECT_NEAR(1.0 - far / air, 0.05, 0.015);
  EXPECT_NEAR(panels::ledger_share(touching, kBaseLoss).mean, 0.05, 0.015);
}

// Light that rises 0.6 mm a millimetre meets the faces of a 3 mm sheet every 5 mm of its way, 4 mm
// along the panel. Upward from 2 mm above the edge and 1 mm above the back it meets two of them in
// a slot 10 mm deep, after 3.33 and 8.33 mm; downward from 20 mm three, after 13.33, 18.33 and
// 23.33 mm. Of what the sheet has left by then a touching fifth of walls that return 0.6 keeps 0.08
// at each, and black walls at the end the rest (derived; exact).
TEST(Base, TouchingWallsKeepWhatTheyDoNotReturnOfWhatReachesThem) {
  Model model = lit_cuboid(0.6, 0.0, 3.0);
  model.sheet.absorption_per_mm = 0.01;
  model.base.slot_depth_mm = 10.0;
  model.base.contact = 0.2;
  model.edge_finish.assign(4, panels::black_paint());
  const auto expect = [&](double above_mm, double along, const std::vector<double>& touches_mm) {
    panels::Ends ends;
    const Vec3 direction(0.0, along, 0.6);
    travel(model, panels::prism_of(model), {{75.0, above_mm, 1.0}, direction},
           Draws(statistics::kSeed, 0), ends);
    double left = 1.0;
    double kept = 0.0;
    for (const double way_mm : touches_mm) {
      kept += 0.08 * left * std::exp(-0.01 * way_mm);
      left *= 0.92;
    }
    left *= std::exp(-0.01 * (along > 0.0 ? 200.0 - above_mm : above_mm) / 0.8);
    EXPECT_NEAR(ends.of(kBaseLoss), kept, 1e-12);
    EXPECT_NEAR(ends.of(kFinishLoss), left, 1e-12);
    EXPECT_NEAR(ends.of(kSheetLoss), 1.0 - kept - left, 1e-12);
  };
  expect(2.0, 0.8, {10.0 / 3.0, 25.0 / 3.0});
  expect(20.0, -0.8, {40.0 / 3.0, 55.0 / 3.0, 70.0 / 3.0});
}

// As wide as the LEDs, 5 mm, and 2 mm deep; the edge of 3 mm is no wall.
TEST(Base, ACavitysWallsAreAllRoundButForTheEdge) {
  const Cavity cavity(lit_cuboid(0.6, 2.0, 5.0).lamps.front(), 3.0);
  EXPECT_DOUBLE_EQ(cavity.half_width_mm, 2.5);
  EXPECT_DOUBLE_EQ(cavity.walls_mm, 5.0 + 2.0 + 2.0 + (5.0 - 3.0));
}

// The bottom's half of a corner of 10 mm reaches 2.9 mm up, its seat none: a slot of 2 mm takes
// what leaves below that, and of other edges nothing.
TEST(Base, TakesWhatLeavesTheLitEdgeWithinItsSlot) {
  Model model = panels::clear_panel({150.0, 200.0}, 3.0, 1.49, 10.0);
  model.lamps = {panels::strip_light(model, {60.0, 3.0}, 0.0)};
  model.base.slot_depth_mm = 2.0;
  const auto taken = [&](int edge, bool round, double above_mm) {
    const auto& pieces = model.outline.pieces;
    const auto piece = std::find_if(pieces.begin(), pieces.end(), [&](const OutlinePiece& one) {
      return one.edge == edge && one.round() == round;
    });
    Hit hit;
    hit.surface = kFirstEdge + edge;
    hit.piece = static_cast<int>(piece - pieces.begin());
    hit.position_mm = {4.0, above_mm, 1.5};
    return base_at(model, hit) != nullptr;
  };
  EXPECT_TRUE(taken(panels::kBottom, false, 0.0));
  EXPECT_TRUE(taken(panels::kBottom, true, 1.9));
  EXPECT_FALSE(taken(panels::kBottom, true, 2.1));
  EXPECT_FALSE(taken(panels::kLeft, true, 1.9));
}

// Straight up, in a base that keeps what it meets: all but what the edge reflects, 0.0387 at normal
// incidence (Fresnel), enters it, and nothing beside it: before or behind the sheet, or where
// chamfers of the sides cut it off.
TEST(Base, OnlyWhatMeetsTheEdgeEnters) {
  Model model = lit_cuboid(1e-12, 2.0, 5.0);
  model.lamps.front().cut_mm = {4.0, 6.0};
  const auto entering = [&](double x_mm, double z_mm) {
    int entered = 0;
    for (std::uint64_t k = 0; k < 100; ++k) {
      Draws draws(statistics::kSeed, k);
      const Ray up{Vec3(x_mm, -2.0, z_mm), Vec3::UnitY()};
      if (through_base(model, model.lamps.front(), up, draws)) ++entered;
    }
    return entered;
  };
  for (const Vec2& beside : {Vec2(75.0, 3.1), Vec2(75.0, -0.1), Vec2(3.9, 1.5), Vec2(144.1, 1.5)})
    EXPECT_EQ(entering(beside.x(), beside.y()), 0) << beside.transpose();
  for (const Vec2& edge : {Vec2(75.0, 2.9), Vec2(75.0, 0.1), Vec2(4.1, 1.5), Vec2(143.9, 1.5)})
    EXPECT_GT(entering(edge.x(), edge.y()), 80) << edge.transpose();
}

}  // namespace
}  // namespace rimeglow::base_test
