// Laws of a clear panel as a light guide: what enters through an edge, how it runs between the
// faces, and where it leaves. Closed forms throughout; where a formula is worked out here from
// Fresnel's and Snell's laws, it is derived.
#include <gtest/gtest.h>

#include <cmath>

#include "batch_statistics.h"
#include "optics.h"
#include "panels.h"
#include "sampling.h"

namespace rimeglow::light_guide_test {
namespace {

using panels::kBottom;
using panels::kTop;

constexpr double kIndex = 1.49;

// Follows `count` photons of the model's lamps.
template <class Scorer>
void trace_all(const Model& model, int count, Scorer& scorer) {
  const Prism prism = panels::prism_of(model);
  for (int k = 0; k < count; ++k) {
    trace(model, prism, statistics::kSeed, static_cast<std::uint64_t>(k), scorer);
  }
}

// Two parallel edges of a lossless or absorbing cuboid as a plate: Fresnel at each, exp(-mu L/cos)
// between (derived; the printed values of a second program agree to their last digit).
struct EdgeLitCase {
  double absorbed_on_axis;  // mu L
  double far, near, absorbed;
};
constexpr EdgeLitCase kEdgeLit[] = {{0.0, 0.84705, 0.15295, 0.0},
                                    {0.03, 0.81794, 0.14837, 0.03369},
                                    {0.1, 0.75416, 0.13905, 0.10680},
                                    {0.3, 0.59924, 0.12017, 0.28059}};

Model edge_lit_cuboid(double absorbed_on_axis) {
  constexpr double kLength_mm = 200.0;
  Model model = panels::clear_panel({150.0, kLength_mm}, 3.0, kIndex);
  model.sheet.absorption_per_mm = absorbed_on_axis / kLength_mm;
  model.lamps = {panels::whole_edge_light(model)};
  return model;
}

// Derived (plate of two Fresnel surfaces). Level 1e-4; sees a share wrong by 0.002 of the light.
TEST(LightGuide, EdgeLitCuboidSharesItsLightAsAPlateDoes) {
  constexpr double kDigit = 1e-5;
  const double limit = statistics::t_limit(statistics::kFalseAlarm, 4 * 3);
  for (const EdgeLitCase& expected : kEdgeLit) {
    const auto run =
        panels::traced(edge_lit_cuboid(expected.absorbed_on_axis), statistics::samples(2000000));
    const Estimate far = panels::edge_share(run, kTop);
    const Estimate missed = panels::ledger_share(run, kMissed);
    const Estimate out_again = panels::edge_share(run, kBottom);
    const Estimate absorbed = panels::ledger_share(run, kSheetLoss);
    // `near` is one count of two entries: thrown back at the start, or coming back.
    const double near = missed.mean + out_again.mean;
    const double near_error =
        statistics::binomial_sigma(expected.near, static_cast<double>(run.photons));
    EXPECT_LT(std::abs(statistics::t_of(far, expected.far, kDigit)), limit) << far.mean;
    EXPECT_LT(std::abs(near - expected.near), limit * near_error + kDigit) << near;
    EXPECT_LT(std::abs(statistics::t_of(absorbed, expected.absorbed, kDigit, 1e-12)), limit)
        << absorbed.mean;
    EXPECT_NEAR(missed.mean, 0.090306, limit * missed.standard_error);
  }
}

// All light that enters through a wall at right angles to the faces is trapped between them when
// the index exceeds sqrt(2): sin of its angle from the wall's normal is at most 1/n, so it meets a
// face at cos <= 1/n, beyond the critical angle (a textbook result; derived). Zero means zero: no
// false alarm, and a leak of 3e-7 of the light would be seen with 95 % certainty.
TEST(LightGuide, ClearPanelLitFromTheEdgeHasDarkFaces) {
  struct Case {
    double index, thickness_mm, width_mm;
  };
  constexpr Case kCases[] = {{1.49, 3.0, 300.0}, {1.42, 1.0, 40.0}, {1.585, 10.0, 60.0}};
  for (const Case& panel : kCases) {
    Model model = panels::clear_panel({panel.width_mm, 200.0}, panel.thickness_mm, panel.index);
    model.lamps = {panels::whole_edge_light(model)};
    panels::Ends ends;
    trace_all(model, statistics::samples(2500000), ends);
    EXPECT_EQ(ends.faces(), 0.0) << "index " << panel.index;
    EXPECT_EQ(ends.of(kLost), 0.0);
    EXPECT_GT(ends.of(kFirstEdgeEntry + kTop), 0.0);
  }
}

// The same law holds at round corners, lit by LEDs that stand before the arcs as well. Zero means
// zero; a leak of 1e-6 would be seen with 90 % certainty.
TEST(LightGuide, RoundedCornersLeaveTheFacesDark) {
  Model model = panels::clear_panel({60.0, 50.0}, 3.0, kIndex, 12.0);
  model.lamps = {panels::strip_light(model, {60.0, 3.0}, 0.5)};
  panels::Ends ends;
  trace_all(model, statistics::samples(2500000), ends);
  EXPECT_EQ(ends.faces(), 0.0);
  EXPECT_EQ(ends.of(kLost), 0.0);
  EXPECT_GT(ends.of(kFirstEdgeEntry + panels::kLeft), 0.0);
}

// Light made evenly and in all directions inside a lossless polished cuboid leaves each face in its
// escape cone, 1/2 (1 - cos of the critical angle) of the sphere; the rest never leaves, since the
// cones do not overlap for n > sqrt(2) (derived). Level 1e-4; sees a share wrong by 0.009.
TEST(LightGuide, LightMadeInsideACuboidLeavesByItsEscapeConesOrNever) {
  const Model model = panels::clear_panel({30.0, 20.0}, 12.0, kIndex);
  const Prism prism = panels::prism_of(model);
  const int count = statistics::samples(40000);
  panels::Ends ends;
  for (int k = 0; k < count; ++k) {
    const auto photon = static_cast<std::uint64_t>(k);
    const Uniforms place = statistics::uniforms(101, photon);
    const Uniforms whither = statistics::uniforms(102, photon);
    const Vec3 origin(30.0 * place[0], 20.0 * place[1], 12.0 * place[2]);
    const Vec3 direction = direction_at(2.0 * whither[0] - 1.0, 2.0 * kPi * whither[1]);
    travel(model, prism, {origin, direction}, Draws(statistics::kSeed, photon), ends);
  }
  constexpr double kCone = 0.12934;
  constexpr double kNever = 0.22399;
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 7);
  const double cone_error = statistics::binomial_sigma(kCone, count);
  for (const int entry : {+kFrontOther, +kBackOther, kFirstEdgeEntry + 0, kFirstEdgeEntry + 1,
                          kFirstEdgeEntry + 2, kFirstEdgeEntry + 3}) {
    EXPECT_NEAR(ends.of(entry) / count, kCone, limit * cone_error) << "entry " << entry;
  }
  EXPECT_NEAR(ends.of(kTrapped) / count, kNever, limit * statistics::binomial_sigma(kNever, count));
  EXPECT_EQ(ends.of(kLost), 0.0);
}

// A beam straight through a clear sheet: 2n / (n^2 + 1) with all reflections between its surfaces
// (derived; sheet makers quote 92 %). Traced edge to edge. Level 1e-4; sees 0.001 of the light.
TEST(LightGuide, ClearSheetPassesABeamAsItsTwoSurfacesDo) {
  constexpr double kBeamPower = 1e10;
  const int count = statistics::samples(2000000);
  for (const double index : {1.49, 1.585}) {
    Model model = panels::clear_panel({50.0, 3.0}, 20.0, index);
    model.lamps = {panels::strip_light(model, {10.0, 10.0}, 1.0)};
    model.lamps.front().cosine_power = kBeamPower;
    panels::Ends ends;
    trace_all(model, count, ends);
    const double passed = 2.0 * index / (index * index + 1.0);
    const double limit = statistics::z_limit(statistics::kFalseAlarm, 2);
    EXPECT_NEAR(ends.of(kFirstEdgeEntry + kTop) / count, passed,
                limit * statistics::binomial_sigma(passed, count));
    EXPECT_EQ(ends.faces() + ends.of(kFirstEdgeEntry + panels::kLeft), 0.0);
  }
}

// Share of the light of a long emitter, `width_mm` across, that meets an edge face `height_mm` high
// across a gap: Hottel's crossed strings (Hottel and Sarofim, Radiative Transfer, 1967; from
// memory).
double strip_view_factor(double width_mm, double height_mm, double gap_mm) {
  return (std::hypot(0.5 * (width_mm + height_mm), gap_mm) -
          std::hypot(0.5 * (height_mm - width_mm), gap_mm)) /
         width_mm;
}

// Derived: share of the same light that enters, by midpoints in place, sin^2 of the angle and
// azimuth. Light that crosses a gap slantwise misses more often, so what arrives is steeper than
// Lambertian and loses less than a diffuse 9 % to reflection.
double strip_entry(double width_mm, double height_mm, double gap_mm) {
  constexpr int kSteps = 400;
  double sum = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double sin2 = (i + 0.5) / kSteps;
    const double cos_edge = std::sqrt(1.0 - sin2);
    const double shift_mm = gap_mm * std::sqrt(sin2) / cos_edge;
    for (int j = 0; j < kSteps; ++j) {
      const double across_mm = std::abs(shift_mm * std::cos(kPi * (j + 0.5) / kSteps));
      const double low = std::max(-0.5 * width_mm + across_mm, -0.5 * height_mm);
      const double high = std::min(0.5 * width_mm + across_mm, 0.5 * height_mm);
      sum += std::max(0.0, high - low) / width_mm * (1.0 - fresnel(kIndex, cos_edge));
    }
  }
  return sum / (kSteps * kSteps);
}

// Counts entries; the emitter is long before a longer edge, so that its ends lose 1e-6.
double traced_entry(double width_mm, double height_mm, double gap_mm, int count) {
  Model model = panels::clear_panel({2000.0, 20.0}, height_mm, kIndex);
  model.lamps = {panels::strip_light(model, {1000.0, width_mm}, gap_mm)};
  const Prism prism = panels::prism_of(model);
  panels::Ends ends;
  double entered = 0.0;
  for (int k = 0; k < count; ++k) {
    Draws draws(statistics::kSeed, static_cast<std::uint64_t>(k));
    if (enter(model, prism, draws, ends)) entered += 1.0;
  }
  EXPECT_EQ(entered + ends.of(kMissed), count);
  return entered / count;
}

// Crossed strings, and for what arrives the derived integral, which needs no strings where the
// emitter touches the edge. Level 1e-4; sees 0.3 % of the light.
TEST(LightGuide, LedLightEntersAnEdgeByItsViewFactor) {
  struct Case {
    double width_mm, height_mm, gap_mm, view_factor;  // the last to its printed digits
  };
  constexpr Case kCases[] = {{5.0, 3.0, 0.0, 0.6000}, {5.0, 3.0, 0.5, 0.5826},
                             {2.8, 3.0, 0.5, 0.8689}, {2.8, 3.0, 1.0, 0.7366},
                             {3.5, 3.0, 0.5, 0.7798}, {5.0, 6.0, 0.5, 0.9631}};
  constexpr double kStepError = 5e-5;  // of the midpoint sums
  const int count = statistics::samples(1000000);
  for (const Case& gap : kCases) {
    EXPECT_NEAR(strip_view_factor(gap.width_mm, gap.height_mm, gap.gap_mm), gap.view_factor, 5e-5);
    const double expected = strip_entry(gap.width_mm, gap.height_mm, gap.gap_mm);
    if (gap.gap_mm == 0.0) {
      EXPECT_NEAR(expected, gap.view_factor * (1.0 - 0.090306), kStepError);
    }
    const double limit = statistics::z_limit(statistics::kFalseAlarm, std::size(kCases));
    EXPECT_NEAR(traced_entry(gap.width_mm, gap.height_mm, gap.gap_mm, count), expected,
                limit * statistics::binomial_sigma(expected, count) + kStepError)
        << gap.width_mm << " mm before " << gap.height_mm << " mm, gap " << gap.gap_mm;
  }
}

}  // namespace
}  // namespace rimeglow::light_guide_test
