// What sim/roughness says of the shop's tools, and that models take it up.
#include "roughness.h"

#include <gtest/gtest.h>

#include "model.h"

namespace rimeglow::roughness_test {
namespace {

// FEPA/ISO 6344 and CAMI grades as tabulated at stusshed.wordpress.com/2008/03/24.
TEST(Roughness, KnowsBothSystemsOfGrit) {
  const std::pair<const char*, double> grades[] = {
      {"P120", 125.0},  {"P150", 100.0},  {"P180", 82.0},    {"P220", 68.0},   {"P240", 58.5},
      {"P280", 52.2},   {"P320", 46.2},   {"P360", 40.5},    {"P400", 35.0},   {"P500", 30.2},
      {"P600", 25.8},   {"P800", 21.8},   {"P1000", 18.3},   {"P1200", 15.3},  {"P1500", 12.6},
      {"P2000", 10.3},  {"P2500", 8.4},   {"120 US", 115.0}, {"150 US", 92.0}, {"180 US", 82.0},
      {"220 US", 68.0}, {"240 US", 53.0}, {"320 US", 36.0},  {"360 US", 28.0}, {"400 US", 23.0},
      {"500 US", 20.0}, {"600 US", 16.0}, {"800 US", 12.6},  {"1000 US", 10.3}};
  for (const auto& [grit, um] : grades) EXPECT_EQ(grain_um(grit), um) << grit;
  EXPECT_FALSE(grain_um("320"));
  EXPECT_FALSE(grain_um("P321"));
  // 400 US is about P800, as both tables say.
  EXPECT_NEAR(*grain_um("400 US"), *grain_um("P800"), 2.0);
}

// Ours; no source.
TEST(Roughness, FinerGritIsSmootherAndStraightStrokesLeaveGrooves) {
  double before = 1.0;
  for (const char* grit : {"P60", "P120", "P320", "P800", "P2500"}) {
    const Roughness now = sanded(*grain_um(grit), Stroke::circular);
    EXPECT_EQ(now.alpha.x(), now.alpha.y());
    EXPECT_LT(now.alpha.x(), before);
    before = now.alpha.x();
  }
  EXPECT_DOUBLE_EQ(sanded(46.2, Stroke::circular).alpha.x(), 0.3);
  const Vec2 along = sanded(46.2, Stroke::along).alpha;
  const Vec2 across = sanded(46.2, Stroke::across).alpha;
  EXPECT_LT(along.x(), along.y());
  EXPECT_EQ(along.x(), across.y());
  EXPECT_EQ(along.y(), across.x());
}

TEST(Roughness, EdgesTakeTheirKindsOwnUnlessSaid) {
  EdgeSpec edge;
  edge.kind = EdgeSpec::Kind::sanded;
  edge.grit = "P320";
  EXPECT_DOUBLE_EQ(roughness_of(edge).alpha.x(), 0.3);
  edge.kind = EdgeSpec::Kind::laser_cut;
  EXPECT_EQ(roughness_of(edge).alpha, laser_cut().alpha);
  edge.alpha = Vec2(0.2, 0.4);
  EXPECT_EQ(roughness_of(edge).alpha, Vec2(0.2, 0.4));
}

// Lasers and saws differ by more than hands with one grit do; a roughness that is said is of one
// edge.
TEST(Roughness, OfMachinesIsLessCertain) {
  EdgeSpec edge;
  edge.kind = EdgeSpec::Kind::sanded;
  edge.grit = "P320";
  const AlphaSpan by_hand = roughness_of(edge).span;
  for (const EdgeSpec::Kind kind : {EdgeSpec::Kind::laser_cut, EdgeSpec::Kind::sawn}) {
    edge.kind = kind;
    edge.alpha.reset();
    EXPECT_LT(roughness_of(edge).span.low, by_hand.low);
    EXPECT_GT(roughness_of(edge).span.high, by_hand.high);
    edge.alpha = Vec2(0.2, 0.4);
    EXPECT_EQ(roughness_of(edge).span.high, by_hand.high);
  }
}

}  // namespace
}  // namespace rimeglow::roughness_test
