// When a run has told enough: at the wanted error of its worst patch, or at the ceiling.
#include "precision.h"

#include <gtest/gtest.h>

#include "glow.h"
#include "panels.h"

namespace rimeglow::precision_test {
namespace {

using Finding = Precision::Finding;

// A fifth of an error takes 25 times the photons.
TEST(Precision, AsksForMoreUntilTheWorstPatchIsKnownAsWellAsWanted) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::squares());
  model.viewers = {panels::eye(0.0, 0.0, Side::front)};
  auto run = panels::traced(model, 4000);
  const double error = worst_relative_error(run);
  ASSERT_GT(error, 0.0);

  Precision reached(1.001 * error);
  EXPECT_EQ(reached.look(run), Finding::reached);
  EXPECT_EQ(reached.error(), error);

  Precision wanting(0.2 * error);
  const std::uint64_t first = wanting.next_look();
  EXPECT_EQ(wanting.look(run), Finding::more);
  EXPECT_GT(wanting.next_look(), first);
  EXPECT_NEAR(static_cast<double>(wanting.goal()), 25.0 * 4000.0, 1.0);

  run.photons = kPhotonCeiling;
  EXPECT_EQ(wanting.look(run), Finding::exhausted);
  EXPECT_EQ(Precision(1.001 * error).look(run), Finding::reached);
}

TEST(Precision, IsTwoInAHundredUnlessAskedForOtherwise) { EXPECT_EQ(kUsualError, 0.02); }

}  // namespace
}  // namespace rimeglow::precision_test
