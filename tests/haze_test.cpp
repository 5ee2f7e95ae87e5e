// Laws of light in a hazy sheet, against published slabs. A panel four metres wide stands for an
// endless slab; light comes in through its back face, and reflects there as Fresnel says.
#include <gtest/gtest.h>

#include <cmath>

#include "optics.h"
#include "panels.h"
#include "sampling.h"

namespace rimeglow::haze_test {
namespace {

enum class Light { straight, slanting, diffuse };

struct Slab {
  double albedo, depth, asymmetry, index;  // depth: optical, of absorption and scattering
};

constexpr double kThickness_mm = 1.0;

Model model_of(const Slab& slab) {
  Model model = panels::clear_panel({4000.0, 4000.0}, kThickness_mm, slab.index);
  const double per_mm = slab.depth / kThickness_mm;
  model.sheet.scattering_per_mm = slab.albedo * per_mm;
  model.sheet.absorption_per_mm = (1.0 - slab.albedo) * per_mm;
  model.sheet.asymmetry = slab.asymmetry;
  return model;
}

struct Outcomes {
  statistics::Average reflected, transmitted, absorbed;
};

// One ray's direction before the face. Slanting: 60 degrees from straight on.
Vec3 drawn(Light light, const Uniforms& u) {
  if (light == Light::straight) return Vec3::UnitZ();
  if (light == Light::slanting) return {std::sqrt(0.75), 0.0, 0.5};
  return sample_lambertian(u[0], u[1]);
}

// Reflection at the face is not drawn but weighed.
Outcomes shine_on(const Model& model, Light light, int photons) {
  const Prism prism = panels::prism_of(model);
  const double index = model.sheet.index;
  Outcomes outcomes;
  for (int k = 0; k < statistics::samples(photons); ++k) {
    const auto photon = static_cast<std::uint64_t>(k);
    const Uniforms u = statistics::uniforms(90, photon);
    const Vec3 outside = drawn(light, u);
    const Boundary face = boundary(index, outside.z());
    const Vec3 inside(outside.x() / index, outside.y() / index, face.cos_refracted);
    panels::Ends ends;
    const Vec3 centre(0.5 * model.outline.size_mm.x(), 0.5 * model.outline.size_mm.y(), 0.0);
    travel(model, prism, {centre, inside}, Draws(statistics::kSeed, photon), ends);
    const double entered = 1.0 - face.reflectance;
    outcomes.reflected.add(face.reflectance + entered * ends.of(kBackOther));
    outcomes.transmitted.add(entered * ends.of(kFrontOther));
    outcomes.absorbed.add(entered * ends.of(kSheetLoss));
  }
  return outcomes;
}

void expect_share(const statistics::Average& got, double expected, double limit) {
  constexpr double kDigit = 1e-5;
  EXPECT_NEAR(got.mean(), expected, limit * got.sigma() + kDigit);
}

// Total reflection and transmission of slabs under straight (UR1, UT1) and diffuse light (URU,
// UTU). The first row is van de Hulst's as printed with MCML's verification (Wang and Jacques 1992,
// table 6.1); all are by adding-doubling with 32 streams (the public program scottprahl/iad). Level
// 1e-4; sees a share wrong by 0.004 of the light.
TEST(Haze, SlabsReflectAndTransmitAsPublished) {
  struct Row {
    Slab slab;
    double ur1, ut1, uru, utu;
  };
  constexpr Row kRows[] = {{{0.9, 2, 0.75, 1.0}, 0.09739, 0.66096, 0.19109, 0.50182},
                           {{0.99, 1, 0, 1.0}, 0.33292, 0.65098, 0.43596, 0.54435},
                           {{1, 1, 0, 1.0}, 0.34133, 0.65867, 0.44659, 0.55341},
                           {{1, 0.5, 0, 1.49}, 0.24652, 0.75348, 0.31692, 0.68308},
                           {{1, 1, 0, 1.49}, 0.35791, 0.64209, 0.41951, 0.58049},
                           {{1, 2, 0, 1.49}, 0.48875, 0.51125, 0.53595, 0.46405},
                           {{1, 10, 0, 1.49}, 0.77713, 0.22287, 0.79587, 0.20413},
                           {{0.999, 10, 0, 1.49}, 0.75109, 0.20379, 0.77160, 0.18653},
                           {{1, 5, 0.8, 1.49}, 0.40079, 0.59921, 0.46017, 0.53983},
                           {{0, 0.1, 0, 1.49}, 0.06806, 0.83714, 0.13897, 0.75420},
                           {{0, 1, 0, 1.49}, 0.04357, 0.34001, 0.09583, 0.27085}};
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 4 * std::size(kRows));
  for (const Row& row : kRows) {
    SCOPED_TRACE(testing::Message() << "albedo " << row.slab.albedo << ", depth " << row.slab.depth
                                    << ", g " << row.slab.asymmetry << ", n " << row.slab.index);
    const Model model = model_of(row.slab);
    const Outcomes straight = shine_on(model, Light::straight, 200000);
    expect_share(straight.reflected, row.ur1, limit);
    expect_share(straight.transmitted, row.ut1, limit);
    const Outcomes diffuse = shine_on(model, Light::diffuse, 200000);
    expect_share(diffuse.reflected, row.uru, limit);
    expect_share(diffuse.transmitted, row.utu, limit);
  }
}

// Slanting light on slabs of isotropic and of forward scattering: van de Hulst 1980, pages 256 and
// 424, as the public program scottprahl/iad tests itself by them (src/ad_oblique_test.c). Level
// 1e-4; sees a share wrong by 0.004 of the light.
TEST(Haze, SlabsReflectAndTransmitSlantingLightAsPublished) {
  struct Row {
    Slab slab;
    double reflected, transmitted;
  };
  constexpr Row kRows[] = {{{0.99, 1, 0, 1.0}, 0.48652, 0.49163},
                           {{0.99, 4, 0.5, 1.0}, 0.61996, 0.30605}};
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 2 * std::size(kRows));
  for (const Row& row : kRows) {
    const Outcomes slanting = shine_on(model_of(row.slab), Light::slanting, 200000);
    expect_share(slanting.reflected, row.reflected, limit);
    expect_share(slanting.transmitted, row.transmitted, limit);
  }
}

// Giovanelli 1955, as printed with MCML's verification (table 6.2): 0.2600 of the light comes back
// from an endless depth of albedo 0.9 and index 1.5, the 4 % of its surface included.
// Adding-doubling says 0.25994, and the others. Forty optical depths stand for endless. Level
// 1e-4; sees 0.004.
TEST(Haze, AnEndlessDepthReflectsAsGiovanelliSays) {
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 3);
  const auto reflected = [](double index, Light light) {
    return shine_on(model_of({0.9, 40.0, 0.0, index}), light, 200000).reflected;
  };
  expect_share(reflected(1.5, Light::straight), 0.2600, limit);
  expect_share(reflected(1.49, Light::straight), 0.26154, limit);
  expect_share(reflected(1.49, Light::diffuse), 0.30938, limit);
}

// Whatever haze is in it, diffuse light stays 2 n^2 t in a slab on average, per photon that falls
// on it (derived: mean chord 4V/S times n^2; Blanco and Fournier 2003 for scattering media). Weak
// absorption measures the way. Level 1e-4; sees 1 %.
TEST(Haze, LeavesTheMeanWayOfDiffuseLightAsItIs) {
  constexpr double kIndex = 1.49;
  constexpr double kWeak_per_mm = 1e-7;
  constexpr Slab kSlabs[] = {{1, 0.5, 0.0, kIndex}, {1, 4.0, 0.0, kIndex}, {1, 4.0, 0.8, kIndex}};
  const double limit = statistics::z_limit(statistics::kFalseAlarm, std::size(kSlabs));
  for (const Slab& slab : kSlabs) {
    Model model = model_of(slab);
    model.sheet.absorption_per_mm = kWeak_per_mm;
    const Outcomes outcomes = shine_on(model, Light::diffuse, 400000);
    EXPECT_NEAR(outcomes.absorbed.mean() / kWeak_per_mm, 2.0 * kIndex * kIndex * kThickness_mm,
                limit * outcomes.absorbed.sigma() / kWeak_per_mm)
        << slab.depth << ' ' << slab.asymmetry;
  }
}

// The points that follow from the formula at g = 0.75 (derived), and that g is the mean cosine.
TEST(Haze, ScattersAsHenyeyAndGreensteinSay) {
  constexpr struct {
    double u, cosine;
  } kPoints[] = {{0.0, -1.0}, {0.25, 0.715}, {0.5, 0.9140625}, {0.75, 0.97417355}, {1.0, 1.0}};
  for (const auto& point : kPoints) {
    EXPECT_NEAR(henyey_greenstein(0.75, point.u), point.cosine, 1e-8);
  }
  for (const double g : {-0.5, 0.0, 0.3, 0.9}) {
    double sum = 0.0;
    constexpr int kSteps = 100000;
    for (int k = 0; k < kSteps; ++k) sum += henyey_greenstein(g, (k + 0.5) / kSteps);
    EXPECT_NEAR(sum / kSteps, g, 1e-6);
  }
}

// A sign of hazy acrylic closes its ledger and shines through its faces where a clear one does not.
TEST(Haze, LetsAClearBlankLeakThroughItsFaces) {
  Model model = panels::sign_blank();
  model.sheet.scattering_per_mm = 2e-3;
  model.sheet.asymmetry = 0.9;
  const auto hazy = panels::traced(model, statistics::samples(200000));
  EXPECT_GT(panels::ledger_share(hazy, kFrontOther).mean, 0.005);
  EXPECT_EQ(panels::ledger_share(hazy, kLost).mean, 0.0);
  model.sheet.scattering_per_mm = 0.0;
  const auto clear = panels::traced(model, statistics::samples(200000));
  EXPECT_EQ(panels::ledger_share(clear, kFrontOther).mean, 0.0);
}

}  // namespace
}  // namespace rimeglow::haze_test
