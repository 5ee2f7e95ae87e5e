// Laws of sim/lamp: where and whither light leaves the LEDs, and how much of it reaches the edge.
#include "lamp.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "optics.h"
#include "prism.h"
#include "statistics.h"
#include "units.h"
#include "walk.h"

namespace rimeglow::lamp_test {
namespace {

LedRow row_on_bottom(double centre_x_mm, int count) {
  LedRow row;
  row.centre_mm = {centre_x_mm, 0.0};
  row.along = Vec2::UnitX();
  row.count = count;
  row.pitch_mm = 20.0;
  row.emitter_mm = {3.5, 2.8};
  row.gap_mm = 0.5;
  row.flux_each_lm = 9.0;
  return row;
}

Ray nth(const std::vector<LedRow>& lamps, double thickness_mm, int k) {
  return emit(lamps, thickness_mm, Draws(statistics::kSeed + 61, static_cast<std::uint64_t>(k)))
      .ray;
}

// An endless strip beside an endless edge: one emitter of 200 mm before a panel of 1000 mm, off
// which less than 2e-6 of its light passes sideways.
LedRow strip(double width_mm, double gap_mm) {
  LedRow row = row_on_bottom(500.0, 1);
  row.emitter_mm = {200.0, width_mm};
  row.gap_mm = gap_mm;
  return row;
}

// Hottel's crossed strings (Hottel and Sarofim 1967, Radiative Transfer) for parallel strips of
// widths w and t, centred, a gap apart.
double crossed_strings(double w, double t, double gap) {
  return (std::hypot(0.5 * (w + t), gap) - std::hypot(0.5 * (t - w), gap)) / w;
}

// Share of an LED's light that meets the edge. Table derived by crossed strings. False-alarm level
// 1e-4; sees 0.004.
TEST(Lamp, CouplesToTheEdgeByCrossedStrings) {
  const struct {
    double emitter_mm, sheet_mm, gap_mm, share;
  } known[] = {{5.0, 3.0, 0.0, 0.6000}, {5.0, 3.0, 0.5, 0.5826}, {5.0, 5.0, 0.5, 0.9050},
               {5.0, 6.0, 0.5, 0.9631}, {2.8, 3.0, 0.5, 0.8689}, {2.8, 3.0, 1.0, 0.7366},
               {2.8, 5.0, 0.5, 0.9727}, {3.5, 3.0, 0.5, 0.7798}};
  const int count = statistics::samples(250000);
  for (const auto& [emitter, sheet, gap, share] : known) {
    EXPECT_NEAR(crossed_strings(emitter, sheet, gap), share, 5e-5);
    const Prism prism(rounded_rectangle(1000.0, 100.0, 0.0), sheet, 1.49, {});
    int met = 0;
    for (int k = 0; k < count; ++k) {
      met += prism.meet_from_outside(nth({strip(emitter, gap)}, sheet, k)).has_value();
    }
    const double due = crossed_strings(emitter, sheet, gap);
    EXPECT_LT(
        std::abs(static_cast<double>(met) / count - due),
        statistics::z_limit(statistics::kFalseAlarm, 8) * statistics::binomial_sigma(due, count))
        << emitter << " mm before " << sheet << " mm: " << static_cast<double>(met) / count;
  }
}

struct NoScores {
  double missed = 0.0;
  void deposit(LedgerEntry, double weight) { missed += weight; }
};

// Lambertian light that fills the edge loses 0.09031 to its first reflection (n = 1.49; K2, K3).
// False-alarm level 1e-4; sees 0.0025.
TEST(Lamp, APolishedEdgeThrowsBackItsDiffuseReflectance) {
  Model model;
  model.outline = rounded_rectangle(1000.0, 100.0, 0.0);
  model.thickness_mm = 3.0;
  model.sheet.index = 1.49;
  model.edge_finish.resize(4);
  model.lamps = {strip(2.8, 0.0)};
  const Prism prism(model.outline, model.thickness_mm, model.sheet.index, {});
  const int count = statistics::samples(250000);
  NoScores scores;
  int entered = 0;
  for (int k = 0; k < count; ++k) {
    Draws draws(statistics::kSeed + 62, static_cast<std::uint64_t>(k));
    const auto ray = enter(model, prism, draws, scores);
    if (!ray) continue;
    ++entered;
    EXPECT_GT(ray->direction.y(), 0.0);
    // Within the critical angle of the edge's normal, hence trapped between the faces.
    EXPECT_TRUE(totally_reflected(1.49, std::abs(ray->direction.z())));
  }
  EXPECT_EQ(scores.missed + entered, count);
  EXPECT_LT(std::abs(scores.missed / count - 0.09031),
            5e-6 + statistics::z_limit(statistics::kFalseAlarm) *
                       statistics::binomial_sigma(0.09031, count));
}

// Chi-square over LEDs, and over places on them; false-alarm level 1e-4 each; sees an LED 2 %
// brighter than the others.
TEST(Lamp, AllLedsOfARowShineAlikeAndEvenly) {
  constexpr int kLeds = 6;
  constexpr int kPlaces = 10;
  const std::vector<LedRow> lamps = {row_on_bottom(70.0, kLeds)};
  const int count = statistics::samples(300000);
  std::vector<double> leds(kLeds, 0.0), across(kPlaces, 0.0), along(kPlaces, 0.0);
  for (int k = 0; k < count; ++k) {
    const Ray ray = nth(lamps, 3.0, k);
    EXPECT_EQ(ray.origin_mm.y(), -0.5);
    const double from_first = ray.origin_mm.x() - (70.0 - 2.5 * 20.0);
    const double led = std::round(from_first / 20.0);
    ASSERT_TRUE(led >= 0.0 && led < kLeds);
    const double u = (from_first - 20.0 * led) / 3.5 + 0.5;
    const double v = (ray.origin_mm.z() - 1.5) / 2.8 + 0.5;
    ASSERT_TRUE(u >= 0.0 && u <= 1.0 && v >= 0.0 && v <= 1.0);
    leds[static_cast<std::size_t>(led)] += 1.0;
    along[static_cast<std::size_t>(std::min(kPlaces - 1, static_cast<int>(u * kPlaces)))] += 1.0;
    across[static_cast<std::size_t>(std::min(kPlaces - 1, static_cast<int>(v * kPlaces)))] += 1.0;
  }
  const double level = statistics::sidak(statistics::kFalseAlarm, 3);
  EXPECT_GT(statistics::chi_square(leds, std::vector<double>(kLeds, count / 6.0)).tail, level);
  EXPECT_GT(statistics::chi_square(along, std::vector<double>(kPlaces, count / 10.0)).tail, level);
  EXPECT_GT(statistics::chi_square(across, std::vector<double>(kPlaces, count / 10.0)).tail, level);
}

// Rows on three edges, of 6 x 9, 3 x 5 and 1 x 31 lm. False-alarm level 1e-4; sees 0.5 % of the
// flux.
TEST(Lamp, RowsShareThePhotonsByTheirFluxAndFaceTheirEdges) {
  std::vector<LedRow> lamps = {row_on_bottom(70.0, 6), row_on_bottom(0.0, 3),
                               row_on_bottom(0.0, 1)};
  lamps[1].centre_mm = {140.0, 60.0};  // on the right edge, going up
  lamps[1].along = {0.0, 1.0};
  lamps[1].flux_each_lm = 5.0;
  lamps[2].centre_mm = {70.0, 120.0};  // on the top edge, going left
  lamps[2].along = {-1.0, 0.0};
  lamps[2].flux_each_lm = 31.0;
  const int count = statistics::samples(200000);
  std::vector<double> seen(3, 0.0);
  for (int k = 0; k < count; ++k) {
    const Ray ray = nth(lamps, 3.0, k);
    if (ray.origin_mm.y() < 0.0) {
      ASSERT_GT(ray.direction.y(), 0.0);
      seen[0] += 1.0;
    } else if (ray.origin_mm.x() > 140.0) {
      ASSERT_NEAR(ray.origin_mm.x(), 140.5, 1e-12);
      ASSERT_LT(ray.direction.x(), 0.0);
      seen[1] += 1.0;
    } else {
      ASSERT_NEAR(ray.origin_mm.y(), 120.5, 1e-12);
      ASSERT_LT(ray.direction.y(), 0.0);
      seen[2] += 1.0;
    }
  }
  const std::vector<double> due = {0.54 * count, 0.15 * count, 0.31 * count};
  EXPECT_GT(statistics::chi_square(seen, due).tail, statistics::kFalseAlarm);
}

// I = I0 cos^m about the inward normal: within an angle t of it lies 1 - cos^(m+1) t of the light
// (derived); chi-square over 30 equal shares and 8 sectors. False-alarm level 1e-4; sees m wrong by
// 2 %.
TEST(Lamp, LightLeavesAnLedByTheCosineLawOfItsBeam) {
  constexpr int kShares = 30;
  constexpr int kSectors = 8;
  const int count = statistics::samples(200000);
  for (const double m : {1.0, 0.8970, 4.8188}) {
    std::vector<LedRow> lamps = {row_on_bottom(70.0, 2)};
    lamps[0].cosine_power = m;
    std::vector<double> seen(kShares * kSectors, 0.0);
    for (int k = 0; k < count; ++k) {
      const Vec3 direction = nth(lamps, 3.0, k).direction;
      ASSERT_NEAR(direction.norm(), 1.0, 1e-12);
      const double share = 1.0 - std::pow(direction.y(), m + 1.0);
      const double turn = std::atan2(direction.z(), direction.x()) / (2.0 * kPi) + 0.5;
      seen[static_cast<std::size_t>(
          std::min(kShares - 1, static_cast<int>(share * kShares)) * kSectors +
          std::min(kSectors - 1, static_cast<int>(turn * kSectors)))] += 1.0;
    }
    const std::vector<double> due(seen.size(), count / static_cast<double>(seen.size()));
    EXPECT_GT(statistics::chi_square(seen, due).tail, statistics::sidak(statistics::kFalseAlarm, 3))
        << m;
  }
}

}  // namespace
}  // namespace rimeglow::lamp_test
