// Laws of sim/finish: what polished, ground, frosted, painted and backed surfaces do with light.
// Closed forms are derived here unless a source is named; counts err as binomials.
#include "finish.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "optics.h"
#include "sampling.h"
#include "statistics.h"
#include "units.h"

namespace rimeglow::finish_test {
namespace {

constexpr double kIndex = 1.49;
constexpr double kEscape = 1.0 / (kIndex * kIndex);  // most that Lambertian light inside can lose

Finish polished() { return {}; }

Finish ground(double alpha_x, double alpha_y, double frost = 0.0, SlopeLaw law = SlopeLaw::ggx,
              double frost_reflectance = 0.3) {
  Finish finish;
  finish.kind = Finish::Kind::rough;
  finish.rough = {{alpha_x, alpha_y, law}, frost, frost_reflectance};
  return finish;
}

Finish frost(double reflectance) { return ground(0.5, 0.5, 1.0, SlopeLaw::ggx, reflectance); }

Finish painted(double reflectance) {
  Finish finish;
  finish.kind = Finish::Kind::painted;
  finish.paint_reflectance = reflectance;
  return finish;
}

Finish backed(Finish finish, Backing::Kind kind, double reflectance) {
  finish.backing = Backing{kind, reflectance};
  return finish;
}

struct Named {
  std::string name;
  Finish finish;
};

std::vector<Named> all_finishes() {
  using Kind = Backing::Kind;
  return {{"polished", polished()},
          {"ground 0.05", ground(0.05, 0.05)},
          {"ground 0.3", ground(0.3, 0.3)},
          {"ground 1", ground(1.0, 1.0)},
          {"grooves", ground(0.2, 0.8)},
          {"Beckmann", ground(0.5, 0.5, 0.0, SlopeLaw::beckmann)},
          {"part frost", ground(0.5, 0.5, 0.4)},
          {"frost", frost(0.3)},
          {"white frost", frost(0.9)},
          {"paint", painted(0.8)},
          {"black paint", painted(0.0)},
          {"card", backed(polished(), Kind::white, 0.9)},
          {"mirror", backed(polished(), Kind::mirror, 0.9)},
          {"ground before a card", backed(ground(0.3, 0.3), Kind::white, 0.9)},
          {"frost before a mirror", backed(ground(0.5, 0.5, 0.5), Kind::mirror, 0.95)}};
}

enum class From { inside, outside };

Vec3 arriving(From from, double polar_rad) {
  const Vec3 direction = direction_at(std::cos(polar_rad), 0.4);
  return from == From::inside ? direction : Vec3(direction.x(), direction.y(), -direction.z());
}

Vec3 lambertian(From from, std::uint64_t stream, int k) {
  const Uniforms u = statistics::uniforms(stream, static_cast<std::uint64_t>(k));
  const Vec3 direction = sample_lambertian(u[0], u[1]);
  return from == From::inside ? direction : Vec3(direction.x(), direction.y(), -direction.z());
}

// Shares of what becomes of light.
struct Fates {
  double reflected = 0.0, transmitted = 0.0, absorbed = 0.0;
  double count = 0.0;

  void add(const Outcome& outcome) {
    count += 1.0;
    switch (outcome.fate) {
      case Fate::reflected:
        reflected += 1.0;
        break;
      case Fate::transmitted:
        transmitted += 1.0;
        break;
      case Fate::absorbed:
        absorbed += 1.0;
        break;
    }
  }
  Fates shares() const { return {reflected / count, transmitted / count, absorbed / count, count}; }
};

template <class Direction>
Fates meet(const Finish& finish, int count, Direction&& direction_of, std::uint64_t stream) {
  Fates fates;
  for (int k = 0; k < count; ++k) {
    fates.add(interact(finish, kIndex, direction_of(k),
                       Draws(statistics::kSeed + stream, static_cast<std::uint64_t>(k))));
  }
  return fates.shares();
}

Fates meet_diffuse(const Finish& finish, From from, int count) {
  return meet(finish, count, [&](int k) { return lambertian(from, 21, k); }, 31);
}

Fates meet_at(const Finish& finish, const Vec3& direction, int count) {
  return meet(finish, count, [&](int) { return direction; }, 32);
}

void expect_share(double seen, double due, double count, int comparisons, const std::string& what) {
  const double sigma = statistics::binomial_sigma(due, count) + 1.0 / count;
  EXPECT_LT(std::abs(seen - due), statistics::z_limit(statistics::kFalseAlarm, comparisons) * sigma)
      << what << ": " << seen << ", due " << due;
}

// False-alarm level 1e-4 over all finishes, sides and angles; sees shares wrong by 0.007.
TEST(Finish, PolishedAcrylicReflectsByFresnelsLawAndKeepsToTheRay) {
  const int count = statistics::samples(100000);
  for (const From from : {From::inside, From::outside}) {
    for (const double polar : {0.0, 0.3, 0.6, 0.73, 1.2}) {
      const Vec3 ray = arriving(from, polar);
      const double ratio = from == From::inside ? 1.0 / kIndex : kIndex;
      const Fates fates = meet_at(polished(), ray, count);
      expect_share(fates.reflected, fresnel(ratio, std::abs(ray.z())), count, 10, "polished");
      EXPECT_EQ(fates.absorbed, 0.0);
      for (int k = 0; k < 50; ++k) {
        const Outcome outcome =
            interact(polished(), kIndex, ray, Draws(7, static_cast<std::uint64_t>(k)));
        EXPECT_EQ(outcome.order, 0);
        const Vec3 normal(0.0, 0.0, ray.z() > 0.0 ? -1.0 : 1.0);
        const Vec3 due =
            outcome.fate == Fate::reflected ? reflect(ray, normal) : *refract(ray, normal, ratio);
        EXPECT_LT((outcome.direction - due).norm(), 1e-12);
      }
    }
  }
}

TEST(Finish, TotallyReflectedLightNeverLeavesAPolishedSurface) {
  const double critical = std::asin(1.0 / kIndex);
  for (int k = 0; k < statistics::samples(200000); ++k) {
    const Uniforms u = statistics::uniforms(22, static_cast<std::uint64_t>(k));
    const double polar = critical + 1e-9 + u[0] * (kPi / 2.0 - critical - 1e-9);
    const Vec3 ray = direction_at(std::cos(polar), 2.0 * kPi * u[1]);
    const Outcome outcome =
        interact(polished(), kIndex, ray, Draws(statistics::kSeed, static_cast<std::uint64_t>(k)));
    ASSERT_EQ(outcome.fate, Fate::reflected);
    ASSERT_LT(outcome.direction.z(), 0.0);
  }
}

// Directions agree with fates, and what no paint or backing can absorb is not absorbed.
TEST(Finish, LightIsNeverLostAndGoesToTheSideItsFateSays) {
  const int count = statistics::samples(10000);
  for (const Named& named : all_finishes()) {
    const bool absorbs = named.finish.kind == Finish::Kind::painted || named.finish.backing;
    for (const From from : {From::inside, From::outside}) {
      for (int k = 0; k < count; ++k) {
        const Vec3 ray = lambertian(from, 23, k);
        const Outcome outcome = interact(named.finish, kIndex, ray,
                                         Draws(statistics::kSeed, static_cast<std::uint64_t>(k)));
        ASSERT_NEAR(outcome.direction.norm(), 1.0, 1e-9) << named.name;
        if (outcome.fate == Fate::absorbed) {
          ASSERT_TRUE(absorbs) << named.name;
          continue;
        }
        const bool outside = outcome.direction.z() > 0.0;
        if (from == From::inside) {
          ASSERT_EQ(outside, outcome.fate == Fate::transmitted) << named.name;
        } else if (!named.finish.backing) {
          ASSERT_EQ(outside, outcome.fate == Fate::reflected) << named.name;
        }
      }
    }
  }
}

// Grooves turned about the normal do to light that is turned with them what they did to it before,
// draw by draw (derived); 90 degrees is an upright raster.
TEST(Finish, TurningGroovesAndLightTogetherChangesNothing) {
  const Finish grooves = ground(0.2, 0.8);
  for (const double turn_rad : {radians(30.0), radians(90.0), radians(-90.0)}) {
    const Eigen::AngleAxisd turn(turn_rad, Vec3::UnitZ());
    Finish turned = grooves;
    turned.rough.along = {std::cos(turn_rad), std::sin(turn_rad)};
    const Vec3 toward = direction_at(-0.6, 2.0);
    for (const From from : {From::inside, From::outside}) {
      const Vec3 ray = arriving(from, radians(50.0));
      for (std::uint64_t k = 0; k < 200; ++k) {
        const Draws draws(statistics::kSeed, k);
        const Outcome before = interact(grooves, kIndex, ray, draws);
        const Outcome after = interact(turned, kIndex, turn * ray, draws);
        ASSERT_EQ(after.fate, before.fate);
        ASSERT_NEAR((after.direction - turn * before.direction).norm(), 0.0, 1e-9);
        if (from == From::outside) continue;
        const double seen = estimate_toward(grooves, kIndex, ray, toward, draws);
        ASSERT_NEAR(estimate_toward(turned, kIndex, turn * ray, turn * toward, draws), seen,
                    1e-6 * seen);
      }
    }
  }
}

// Tape, card and mirror close an edge, from inside and from outside: not one photon passes.
TEST(Finish, BackedAndPaintedSurfacesAreOpaque) {
  const int count = statistics::samples(50000);
  for (const Named& named : all_finishes()) {
    if (!named.finish.backing && named.finish.kind != Finish::Kind::painted) continue;
    EXPECT_EQ(meet_diffuse(named.finish, From::inside, count).transmitted, 0.0) << named.name;
    EXPECT_EQ(meet_diffuse(named.finish, From::outside, count).transmitted, 0.0) << named.name;
  }
}

// K9, the brightness theorem: at most 1/n^2 of Lambertian light inside leaves, whatever the finish,
// and tau_ext = n^2 tau_int. False-alarm level 1e-4 each; sees tau_int wrong by 0.004.
TEST(Finish, DiffuseLightCrossesEveryFinishBothWaysInTheRatioOfIndexSquared) {
  const int count = statistics::samples(250000);
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 15);
  for (const Named& named : all_finishes()) {
    const Fates out = meet_diffuse(named.finish, From::inside, count);
    const double sigma_out = statistics::binomial_sigma(out.transmitted, count) + 1.0 / count;
    EXPECT_LT(out.transmitted, kEscape + limit * sigma_out) << named.name;
    const Fates in = meet_diffuse(named.finish, From::outside, count);
    const double sigma_in = statistics::binomial_sigma(in.transmitted, count) + 1.0 / count;
    EXPECT_LT(std::abs(kEscape * in.transmitted - out.transmitted),
              limit * std::hypot(kEscape * sigma_in, sigma_out))
        << named.name << ": tau_ext " << in.transmitted << ", tau_int " << out.transmitted;
  }
}

// tau_ext over all orders for GGX alpha 0.05 to 1, n = 1.49, another program's 6e6 walks, rounded
// to 0.001. False-alarm level 1e-4; sees tau_ext wrong by 0.003.
TEST(Finish, RougherAcrylicLetsMoreDiffuseLightIn) {
  const struct {
    double alpha, transmitted;
  } known[] = {{0.05, 0.914}, {0.1, 0.921}, {0.2, 0.934}, {0.3, 0.944},
               {0.5, 0.957},  {0.7, 0.967}, {1.0, 0.976}};
  const int count = statistics::samples(300000);
  for (const auto& [alpha, transmitted] : known) {
    const Fates fates = meet_diffuse(ground(alpha, alpha), From::outside, count);
    EXPECT_NEAR(fates.transmitted, transmitted,
                0.001 + statistics::z_limit(statistics::kFalseAlarm, 7) *
                            statistics::binomial_sigma(transmitted, count))
        << alpha;
  }
}

// Frost is a reciprocal Lambertian layer: tau_ext = 1 - rho_ext, tau_int = tau_ext / n^2, at every
// angle, and both lobes are Lambertian (mean cosine 2/3, mean squared cosine 1/2). False-alarm
// level 1e-4; sees 0.008.
TEST(Finish, FrostIsAReciprocalLambertianLayer) {
  const int count = statistics::samples(100000);
  for (const double reflectance : {0.0, 0.3, 0.9}) {
    for (const From from : {From::inside, From::outside}) {
      for (const double polar : {0.1, 1.3}) {
        const double due = (1.0 - reflectance) * (from == From::inside ? kEscape : 1.0);
        statistics::Average cosine, squared, sideways;
        Fates fates;
        for (int k = 0; k < count; ++k) {
          const Outcome outcome =
              interact(frost(reflectance), kIndex, arriving(from, polar),
                       Draws(statistics::kSeed + 33, static_cast<std::uint64_t>(k)));
          fates.add(outcome);
          cosine.add(std::abs(outcome.direction.z()));
          squared.add(outcome.direction.z() * outcome.direction.z());
          sideways.add(outcome.direction.x());
          EXPECT_EQ(outcome.order, 1);
        }
        expect_share(fates.shares().transmitted, due, count, 48, "frost");
        const double limit = statistics::z_limit(statistics::kFalseAlarm, 48);
        EXPECT_LT(std::abs(cosine.mean() - 2.0 / 3.0), limit * cosine.sigma());
        EXPECT_LT(std::abs(squared.mean() - 0.5), limit * squared.sigma());
        EXPECT_LT(std::abs(sideways.mean()), limit * sideways.sigma());
      }
    }
  }
}

// A mark mixes frost and facets by area. False-alarm level 1e-4; sees 0.01.
TEST(Finish, PartFrostTransmitsTheMixOfItsParts) {
  const int count = statistics::samples(200000);
  for (const double polar : {0.2, 0.9, 1.4}) {
    const Vec3 ray = arriving(From::inside, polar);
    const double facets = meet_at(ground(0.5, 0.5), ray, count).transmitted;
    const double mixed = meet_at(ground(0.5, 0.5, 0.3), ray, count).transmitted;
    const double due = 0.3 * 0.7 * kEscape + 0.7 * facets;
    EXPECT_LT(std::abs(mixed - due), statistics::z_limit(statistics::kFalseAlarm, 3) * 1.3 *
                                         statistics::binomial_sigma(due, count))
        << polar;
  }
}

}  // namespace
}  // namespace rimeglow::finish_test
