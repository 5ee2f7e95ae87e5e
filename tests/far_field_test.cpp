// Laws of sim/far_field and tools/ies_reader: a table's flux is the integral over its directions,
// light is drawn by it, and a file means the same in every way of writing that is common. What is
// refused is in reader_errors_test.cpp.
#include "far_field.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "batch_statistics.h"
#include "ies_reader.h"
#include "made_up_ies.h"
#include "panels.h"
#include "sampling.h"
#include "statistics.h"

namespace rimeglow::far_field_test {
namespace {

using made_up::cosine;
using made_up::ies;
using made_up::IesStyle;

double flux_lm(const std::string& file) { return read_ies(file).far_field->flux_lm(); }

// 2 pi I0 / (m + 1) for I0 cos^m; the interpolation alone moves it by up to 0.2 % (derived).
TEST(FarField, FluxOfKnownLamps) {
  EXPECT_NEAR(flux_lm(ies(cosine(100.0, 1.0))), 100.0 * kPi, 0.002 * 100.0 * kPi);
  EXPECT_NEAR(flux_lm(ies(cosine(100.0, 3.0))), 50.0 * kPi, 0.002 * 50.0 * kPi);
  const auto even = [](double, double) { return 10.0; };
  EXPECT_NEAR(flux_lm(ies(even)), 20.0 * kPi, 1e-9);  // a hemisphere
  IesStyle sphere;
  sphere.last_vertical_deg = 180.0;
  EXPECT_NEAR(flux_lm(ies(even, sphere)), 40.0 * kPi, 1e-9);
  EXPECT_NEAR(read_ies(ies(even, sphere)).far_field->backward_share(), 0.5, 1e-12);
  EXPECT_EQ(read_ies(ies(even, sphere)).warnings.size(), 1u);
  EXPECT_TRUE(read_ies(ies(cosine(1.0, 1.0), sphere)).warnings.empty());
  // Half planes that go straight from 1 to 3 cd and back: 2 on average.
  IesStyle bilateral;
  bilateral.horizontal_deg = {0.0, 180.0};
  EXPECT_NEAR(
      flux_lm(ies([](double, double round) { return round == 0.0 ? 1.0 : 3.0; }, bilateral)),
      4.0 * kPi, 1e-9);
}

TEST(FarField, SymmetriesFillTheTurn) {
  const auto lobed = [](double vertical, double round) {
    return (90.0 - vertical) * (2.0 + std::cos(radians(2.0 * round)));
  };
  IesStyle quarter, half, whole;
  for (IesStyle* style : {&quarter, &half, &whole}) style->horizontal_deg.clear();
  for (double round = 0.0; round <= 360.0; round += 15.0) {
    if (round <= 90.0) quarter.horizontal_deg.push_back(round);
    if (round <= 180.0) half.horizontal_deg.push_back(round);
    whole.horizontal_deg.push_back(round);
  }
  const auto by_quarter = read_ies(ies(lobed, quarter)).far_field;
  const auto by_half = read_ies(ies(lobed, half)).far_field;
  const auto by_whole = read_ies(ies(lobed, whole)).far_field;
  for (std::uint64_t k = 0; k < 500; ++k) {
    const Uniforms u = statistics::uniforms(121, k);
    const double vertical = 0.5 * kPi * u[0];
    const double round = 2.0 * kPi * u[1];
    const double due = by_whole->intensity_cd(vertical, round);
    EXPECT_NEAR(by_half->intensity_cd(vertical, round), due, 1e-3);
    EXPECT_NEAR(by_quarter->intensity_cd(vertical, round), due, 1e-3);
    EXPECT_NEAR(due, lobed(degrees(vertical), degrees(round)), 3.0);  // straight between planes
  }
}

// Light by cells of 10 degrees against the integral of the density over them, by 12 x 12 midpoints,
// for a lopsided table with dark rows. Level 1e-4 over all cells; sees 7 % of the brightest.
TEST(FarField, LightIsDrawnByTheTable) {
  IesStyle style;
  style.last_vertical_deg = 180.0;
  style.step_deg = 20.0;
  style.horizontal_deg = {0.0, 30.0, 140.0, 360.0};
  const auto field =
      read_ies(ies(
                   [](double vertical, double round) {
                     if (vertical == 60.0 || vertical == 80.0) return 0.0;
                     return (180.0 - vertical) * (round == 140.0 ? 0.0 : 1.0 + vertical / 90.0);
                   },
                   style))
          .far_field;
  constexpr int kUp = 18, kRound = 36, kSteps = 12;
  std::array<std::array<int, kRound>, kUp> drawn{};
  const int count = statistics::samples(1000000);
  for (int k = 0; k < count; ++k) {
    const Uniforms u = statistics::uniforms(122, static_cast<std::uint64_t>(k));
    const Vec3 direction = field->sample(u[0], u[1]);
    ASSERT_NEAR(direction.norm(), 1.0, 1e-12);
    const double turn = std::atan2(direction.y(), direction.x());
    const int up = std::min(kUp - 1, static_cast<int>(degrees(std::acos(direction.z())) / 10.0));
    const int round = std::min(
        kRound - 1, static_cast<int>(degrees(turn < 0.0 ? turn + 2.0 * kPi : turn) / 10.0));
    ++drawn[static_cast<std::size_t>(up)][static_cast<std::size_t>(round)];
  }
  double sum = 0.0;
  for (int up = 0; up < kUp; ++up) {
    for (int round = 0; round < kRound; ++round) {
      double due = 0.0;
      for (int i = 0; i < kSteps * kSteps; ++i) {
        const double vertical = radians(10.0 * (up + (i / kSteps + 0.5) / kSteps));
        const double turn = radians(10.0 * (round + (i % kSteps + 0.5) / kSteps));
        const double cell = std::pow(radians(10.0) / kSteps, 2);
        due += field->pdf(direction_at(std::cos(vertical), turn)) * std::sin(vertical) * cell;
      }
      sum += due;
      const double found =
          static_cast<double>(
              drawn[static_cast<std::size_t>(up)][static_cast<std::size_t>(round)]) /
          count;
      EXPECT_LT(std::abs(found - due), statistics::z_limit(statistics::kFalseAlarm, kUp * kRound) *
                                               statistics::binomial_sigma(due, count) +
                                           1e-3 * due + 1.0 / count)
          << up << ", " << round;
    }
  }
  EXPECT_NEAR(sum, 1.0, 2e-3);
}

// A file of I0 cos gives the light of a beam of 120 degrees: as much misses the edge, and of what
// enters as much comes to the far end. Level 1e-4; sees 0.004 of the light.
TEST(FarField, ACosineFileIsALambertianLamp) {
  Model model = panels::clear_panel({60.0, 50.0}, 3.0, 1.49);
  model.lamps = {panels::strip_light(model, {2.8, 2.8}, 0.5)};
  Model measured = model;
  IesStyle fine;
  fine.step_deg = 1.0;
  measured.lamps.front().far_field = read_ies(ies(cosine(100.0, 1.0), fine)).far_field;
  const int photons = statistics::samples(100000);
  const auto one = panels::traced(model, photons);
  const auto other = panels::traced(measured, photons, statistics::kSeed + 1);
  for (const int entry :
       {+kMissed, kFirstEdgeEntry + panels::kTop, kFirstEdgeEntry + panels::kBottom}) {
    EXPECT_LT(std::abs(statistics::t_between(panels::ledger_share(one, entry),
                                             panels::ledger_share(other, entry))),
              statistics::t_limit(statistics::kFalseAlarm, 3))
        << "entry " << entry;
  }
}

TEST(FarField, NoLightGoesWhereTheTableDoesNotReach) {
  const auto lamp = read_ies(ies([](double, double) { return 100.0; })).far_field;
  EXPECT_NEAR(lamp->intensity_cd(radians(89.0), 1.0), 100.0, 1e-9);
  EXPECT_EQ(lamp->intensity_cd(radians(91.0), 1.0), 0.0);
}

// Half of an even sphere's light is behind the LED, base or not.
TEST(FarField, LightBehindTheLedMisses) {
  IesStyle sphere;
  sphere.last_vertical_deg = 180.0;
  for (const double wall : {0.0, 0.9}) {
    Model model = panels::clear_panel({60.0, 50.0}, 3.0, 1.49);
    model.base.wall = wall;
    model.lamps = {panels::strip_light(model, {2.8, 2.8}, 0.5)};
    model.lamps.front().far_field =
        read_ies(ies([](double, double) { return 1.0; }, sphere)).far_field;
    const auto run = panels::traced(model, statistics::samples(20000));
    EXPECT_GT(panels::ledger_share(run, kMissed).mean, 0.48);
  }
}

TEST(FarField, AFileMeansTheSameInEveryWayOfWriting) {
  const double due = flux_lm(ies(cosine(100.0, 1.0)));
  const auto with = [](const std::string& head) {
    IesStyle style;
    style.head = head;
    return ies(cosine(100.0, 1.0), style);
  };
  EXPECT_EQ(flux_lm(with("TILT=NONE\n")), due);  // 1986: no first line
  EXPECT_EQ(flux_lm(with("IESNA91\r\n[A]\r\n tilt = none \r\n")), due);
  EXPECT_EQ(flux_lm(with("IES:LM-63-2019\nTILT=NONE\n")), due);
  const std::string tilted = with("IESNA:LM-63-1995\nTILT=INCLUDE\n1\n3\n0 45 90\n1, .9 .8\n");
  EXPECT_EQ(flux_lm(tilted), due);
  EXPECT_EQ(read_ies(tilted).warnings.size(), 1u);
  IesStyle commas;
  commas.gap = ",";
  commas.line = "\r\n";
  EXPECT_EQ(flux_lm(ies(cosine(100.0, 1.0), commas) + "\x1A"), due);
  IesStyle scaled;
  scaled.multiplier = 4.0;
  scaled.ballast = 0.5;
  EXPECT_NEAR(flux_lm(ies(cosine(50.0, 1.0), scaled)), due, 1e-4 * due);
  std::string one_line = ies(cosine(100.0, 1.0));
  const std::size_t body = one_line.find("NONE\n") + 5;
  std::replace(one_line.begin() + static_cast<long>(body), one_line.end(), '\n', ' ');
  EXPECT_EQ(flux_lm(one_line), due);
}

}  // namespace
}  // namespace rimeglow::far_field_test
