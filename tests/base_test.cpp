// Laws of the base as a reflecting cavity.
#include <gtest/gtest.h>

#include <cmath>

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

}  // namespace
}  // namespace rimeglow::base_test
