// Laws of what stands behind an interface: paint in contact, and cards and mirrors across an air
// gap, against closed forms derived by summing the passes between interface and backing.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "diffuse_reflectance.h"
#include "finish.h"
#include "glow.h"
#include "optics.h"
#include "panels.h"
#include "sampling.h"
#include "statistics.h"
#include "units.h"

namespace rimeglow::finish_backing_test {
namespace {

constexpr double kIndex = 1.49;

Finish painted(double reflectance) {
  Finish finish;
  finish.kind = Finish::Kind::painted;
  finish.paint_reflectance = reflectance;
  return finish;
}

Finish behind_polish(Backing::Kind kind, double reflectance) {
  Finish finish;
  finish.backing = Backing{kind, reflectance};
  return finish;
}

Outcome nth(const Finish& finish, const Vec3& ray, int k, std::uint64_t stream = 0) {
  return interact(finish, kIndex, ray,
                  Draws(statistics::kSeed + stream, static_cast<std::uint64_t>(k)));
}

double reflected_share(const Finish& finish, const Vec3& ray, int count) {
  int reflected = 0;
  for (int k = 0; k < count; ++k) reflected += nth(finish, ray, k).fate == Fate::reflected;
  return static_cast<double>(reflected) / count;
}

void expect_share(double seen, double due, int count, int comparisons) {
  EXPECT_LT(std::abs(seen - due), statistics::z_limit(statistics::kFalseAlarm, comparisons) *
                                      (statistics::binomial_sigma(due, count) + 1.0 / count))
      << seen << ", due " << due;
}

// False-alarm level 1e-4; sees a reflectance wrong by 0.006.
TEST(FinishBacking, PaintSendsBackItsReflectanceFromEitherSide) {
  const int count = statistics::samples(100000);
  for (const double reflectance : {0.0, 0.35, 0.8, 1.0}) {
    for (const Vec3& ray :
         {Vec3(0.0, 0.6, 0.8), Vec3(0.0, 0.995, 0.1).normalized(), Vec3(0.6, 0.0, -0.8)}) {
      expect_share(reflected_share(painted(reflectance), ray, count), reflectance, count, 12);
    }
  }
}

// White paint on the back of a clear sheet: light that the paint has scattered leaves through the
// front with 1 - rho_i at once, and rho (1 - rho_i) / (1 - rho rho_i) of what first reaches it in
// all: 0.621, 0.787, 0.886 for reflectance 0.8, 0.9, 0.95 (derived). False-alarm level 1e-4; sees
// 0.006.
TEST(FinishBacking, AFullyPaintedBackLeavesThroughTheFrontByTheKnownFactor) {
  const int count = statistics::samples(150000);
  const struct {
    double reflectance, factor;
  } known[] = {{0.8, 0.621}, {0.9, 0.787}, {0.95, 0.886}};
  for (const auto& [reflectance, factor] : known) {
    int left = 0;
    int scattered = 0;
    int left_at_once = 0;
    for (int k = 0; k < count; ++k) {
      Draws draws(statistics::kSeed + 5, static_cast<std::uint64_t>(k));
      Vec3 toward_back(0.0, 0.6, 0.8);
      for (int pass = 0;; ++pass) {
        draws.next_event();
        const Outcome paint = interact(painted(reflectance), kIndex, toward_back, draws);
        if (paint.fate == Fate::absorbed) break;
        scattered += pass == 0;
        draws.next_event();
        const Outcome front = interact({}, kIndex, -paint.direction, draws);
        if (front.fate == Fate::transmitted) {
          ++left;
          left_at_once += pass == 0;
          break;
        }
        toward_back = -front.direction;
      }
    }
    const double due = reflectance * (1.0 - diffuse_reflectance(1.0 / kIndex)) /
                       (1.0 - reflectance * diffuse_reflectance(1.0 / kIndex));
    EXPECT_NEAR(due, factor, 5e-4);
    expect_share(static_cast<double>(left) / count, due, count, 6);
    expect_share(static_cast<double>(left_at_once) / scattered, 0.40975, scattered, 6);
  }
}

// A card of reflectance rho behind a polished face sends back R + (1 - R) rho (1 - rho_e) /
// (1 - rho rho_e): what crosses the face meets the card, of whose light rho_e is thrown back to it
// by the face each time. Beyond the critical angle it is not seen. False-alarm level 1e-4; sees
// 0.006.
TEST(FinishBacking, AWhiteCardBehindAPolishedFaceReturnsTheClosedForm) {
  const int count = statistics::samples(100000);
  const double external = diffuse_reflectance(kIndex);
  for (const double rho : {0.2, 0.9, 1.0}) {
    for (const double polar : {0.0, 0.4, 0.7}) {
      const Vec3 ray = direction_at(std::cos(polar), 1.0);
      const double smooth = fresnel(1.0 / kIndex, ray.z());
      const double due = smooth + (1.0 - smooth) * rho * (1.0 - external) / (1.0 - rho * external);
      expect_share(reflected_share(behind_polish(Backing::Kind::white, rho), ray, count), due,
                   count, 9);
    }
    EXPECT_EQ(reflected_share(behind_polish(Backing::Kind::white, rho), Vec3(0.8, 0.0, 0.6), count),
              1.0);
  }
}

// ... as Lambertian light refracted into the escape cone: flux per solid angle inside goes as
// n^2 cos (1 - R). Chi-square over 24 rings and 6 sectors; false-alarm level 1e-4; sees 2 % of it
// in the wrong ring.
TEST(FinishBacking, AWhiteCardsLightFillsTheEscapeCone) {
  constexpr int kRings = 24;
  constexpr int kSectors = 6;
  const int count = statistics::samples(400000);
  const double sin2_critical = 1.0 / (kIndex * kIndex);
  std::vector<double> seen(kRings * kSectors, 0.0);
  double all = 0.0;
  for (int k = 0; k < count; ++k) {
    const Outcome outcome =
        nth(behind_polish(Backing::Kind::white, 0.9), Vec3(0.0, 0.3, 0.9539392), k);
    if (outcome.fate == Fate::absorbed || outcome.order == 0) continue;
    const Vec3& back = outcome.direction;
    const double ring = (1.0 - back.z() * back.z()) / sin2_critical;  // of equal etendue
    ASSERT_LE(ring, 1.0 + 1e-9);
    const double turn = std::atan2(back.y(), back.x()) / (2.0 * kPi) + 0.5;
    seen[static_cast<std::size_t>(std::min(kRings - 1, static_cast<int>(ring * kRings)) * kSectors +
                                  std::min(kSectors - 1, static_cast<int>(turn * kSectors)))] +=
        1.0;
    all += 1.0;
  }
  std::vector<double> due;
  for (int ring = 0; ring < kRings; ++ring) {
    constexpr int kSteps = 400;
    double transmitted = 0.0;
    for (int i = 0; i < kSteps; ++i) {
      const double sin2 = sin2_critical * (ring + (i + 0.5) / kSteps) / kRings;
      transmitted += (1.0 - fresnel(1.0 / kIndex, std::sqrt(1.0 - sin2))) / kSteps;
    }
    const double share = transmitted / kRings / (1.0 - diffuse_reflectance(kIndex));
    for (int sector = 0; sector < kSectors; ++sector) due.push_back(all * share / kSectors);
  }
  EXPECT_GT(statistics::chi_square(seen, due).tail, statistics::kFalseAlarm);
}

// A mirror of reflectance r: R + (1 - R)^2 r / (1 - R r), all along the mirrored ray, for the face
// is met at the same angle each time. False-alarm level 1e-4; sees 0.006.
TEST(FinishBacking, AMirrorBehindAPolishedFaceReturnsTheMirroredRay) {
  const int count = statistics::samples(100000);
  for (const double r : {0.5, 0.95, 1.0}) {
    for (const double polar : {0.0, 0.4, 0.72, 1.2}) {
      const Finish mirror = behind_polish(Backing::Kind::mirror, r);
      const Vec3 ray = direction_at(std::cos(polar), 1.0);
      const double smooth = fresnel(1.0 / kIndex, ray.z());
      const double due =
          smooth == 1.0 ? 1.0 : smooth + (1.0 - smooth) * (1.0 - smooth) * r / (1.0 - smooth * r);
      expect_share(reflected_share(mirror, ray, count), due, count, 12);
      for (int k = 0; k < 200; ++k) {
        const Outcome outcome = nth(mirror, ray, k);
        if (outcome.fate == Fate::absorbed) continue;
        EXPECT_LT((outcome.direction - reflect(ray, Vec3::UnitZ())).norm(), 1e-9);
      }
    }
  }
}

// A perfect backing absorbs nothing: all light returns, whatever the interface (one part in 10^5 is
// cut by the limit on passes at most).
TEST(FinishBacking, APerfectBackingReturnsAllLight) {
  const int count = statistics::samples(20000);
  for (const Backing::Kind kind : {Backing::Kind::white, Backing::Kind::mirror}) {
    for (const double frost : {0.0, 0.5, 1.0}) {
      Finish finish = behind_polish(kind, 1.0);
      finish.kind = Finish::Kind::rough;
      finish.rough = {{0.5, 0.5, SlopeLaw::ggx}, frost, 0.6};
      EXPECT_EQ(reflected_share(finish, Vec3(0.6, 0.0, 0.8), count), 1.0) << frost;
    }
  }
}

// From above, paint or a mirror on the top edge hides it: dark. From below, through the face, paint
// glows; in a mirror other places are seen, which is not told rather than told as dark.
TEST(FinishBacking, AMirrorSeenThroughTheFaceIsNotToldAsDark) {
  Model model = panels::sign_blank();
  model.viewers = {panels::eye(30.0, 0.0, Side::front), panels::eye(-30.0, 0.0, Side::front)};
  const auto top_seen_by = [&](const Finish& finish) {
    model.edge_finish[panels::kTop] = finish;
    std::vector<double> cd_m2;
    for (const EdgeGlow& edge : glow_of(panels::traced(model, 4096)).edges)
      if (edge.edge == "top") cd_m2.push_back(edge.cd_m2.mean);
    return cd_m2;
  };
  EXPECT_EQ(top_seen_by(behind_polish(Backing::Kind::mirror, 0.9)), std::vector<double>{0.0});
  const std::vector<double> paint = top_seen_by(painted(0.9));
  ASSERT_EQ(paint.size(), 2u);
  EXPECT_EQ(paint[0], 0.0);
  EXPECT_GT(paint[1], 0.0);
}

}  // namespace
}  // namespace rimeglow::finish_backing_test
