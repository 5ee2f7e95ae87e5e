// Laws of sim/optics: Snell, Fresnel, total reflection, Beer-Lambert. Values marked "mitsuba3" and
// "iadpython" stand in the tests of those public packages (src/render/tests/test_fresnel.py,
// src/bsdfs/tests/test_dielectric.py; tests/test_fresnel.py); "derived" ones follow from the
// formulas.
#include "optics.h"

#include <gtest/gtest.h>

#include <cmath>

#include "diffuse_reflectance.h"
#include "sampling.h"
#include "statistics.h"
#include "units.h"

namespace rimeglow::optics_test {
namespace {

constexpr double kAcrylic = 1.49;
constexpr double kIndices[] = {1.33, 1.4835, 1.49, 1.4917, 1.50, 1.52, 1.585, 2.00};

// Angle beyond the boundary for light at `angle_deg`, by refract.
double refracted_deg(double ratio, double angle_deg) {
  const Vec3 arriving(std::sin(radians(angle_deg)), 0.0, -std::cos(radians(angle_deg)));
  const auto beyond = refract(arriving, Vec3::UnitZ(), ratio);
  return beyond ? degrees(std::atan2(beyond->x(), -beyond->z())) : -1.0;
}

// K1: ((n - 1) / (n + 1))^2 (derived); 0.04 also in mitsuba3.
TEST(Optics, StraightOnAcrylicReflectsItsNormalReflectance) {
  EXPECT_NEAR(fresnel(1.5, 1.0), 0.040000, 1e-12);
  EXPECT_NEAR(fresnel(kAcrylic, 1.0), 0.038725, 1e-6);
  EXPECT_NEAR(fresnel(1.0 / kAcrylic, 1.0), 0.038725, 1e-6);
}

TEST(Optics, ReflectanceOfGlassAgreesWithPublishedValues) {
  EXPECT_NEAR(fresnel(1.5, std::cos(radians(45.0))), 0.0502399, 1e-7);           // mitsuba3
  EXPECT_NEAR(fresnel(1.5, std::cos(radians(80.0))), 0.387704354691473, 1e-12);  // mitsuba3
  EXPECT_NEAR(fresnel(1.0 / 1.5, std::cos(radians(10.0))), 0.0400830, 1e-7);     // mitsuba3
  EXPECT_NEAR(fresnel(1.5, 0.5), 0.0891867128, 1e-10);                           // iadpython
  EXPECT_NEAR(fresnel(1.5, 0.2), 0.338894, 1e-6);                                // iadpython
  EXPECT_NEAR(fresnel(1.0 / 1.5, 0.8), 0.11414110022, 1e-11);                    // iadpython
  EXPECT_NEAR(refracted_deg(1.5, 45.0), 28.1255057, 1e-7);                       // mitsuba3
  EXPECT_NEAR(refracted_deg(1.5, 80.0), 41.03641052520335, 1e-11);               // mitsuba3
  EXPECT_NEAR(refracted_deg(1.0 / 1.5, 10.0), 15.098086605, 1e-9);               // mitsuba3
}

// Derived for n = 1.49.
TEST(Optics, ReflectanceOfAcrylicFollowsTheTable) {
  const struct {
    double angle_deg, refracted_deg, reflectance;
  } from_air[] = {{0, 0, 0.038725},         {15, 10.00325, 0.038805}, {30, 19.60723, 0.040226},
                  {45, 28.33125, 0.048845}, {60, 35.53676, 0.087521}, {70, 39.09929, 0.169154},
                  {80, 41.37197, 0.385989}, {85, 41.95811, 0.611656}, {89, 42.14728, 0.903906}},
    from_inside[] = {{0, 0, 0.038725},           {10, 14.99506, 0.038805}, {20, 30.63786, 0.040374},
                     {30, 48.15910, 0.053064},   {35, 58.71876, 0.081651}, {38, 66.53962, 0.131755},
                     {40, 73.28626, 0.218420},   {41, 77.83042, 0.319079}, {42, 85.56419, 0.645492},
                     {42.15, 89.18991, 0.921315}};
  for (const auto& [angle, beyond, reflectance] : from_air) {
    EXPECT_NEAR(fresnel(kAcrylic, std::cos(radians(angle))), reflectance, 1e-6) << angle;
    EXPECT_NEAR(refracted_deg(kAcrylic, angle), beyond, 1e-5) << angle;
  }
  for (const auto& [angle, beyond, reflectance] : from_inside) {
    EXPECT_NEAR(fresnel(1.0 / kAcrylic, std::cos(radians(angle))), reflectance, 1e-6) << angle;
    EXPECT_NEAR(refracted_deg(1.0 / kAcrylic, angle), beyond, 1e-5) << angle;
  }
}

// At Brewster's angle p-polarised light is not reflected, so unpolarised light loses half its s
// part: r_s = 0.3846150939598947 at n = 1.5 (mitsuba3, single precision); from both sides
// r_s = (n^2 - 1) / (n^2 + 1) (derived).
TEST(Optics, AtBrewstersAngleOnlyOnePolarisationIsReflected) {
  EXPECT_NEAR(std::sqrt(2.0 * fresnel(1.5, std::cos(std::atan(1.5)))), 0.3846150939598947, 1e-6);
  for (const double n : kIndices) {
    const double s = (n * n - 1.0) / (n * n + 1.0);
    EXPECT_NEAR(fresnel(n, std::cos(std::atan(n))), 0.5 * s * s, 1e-12) << n;
    EXPECT_NEAR(fresnel(1.0 / n, std::cos(std::atan(1.0 / n))), 0.5 * s * s, 1e-12) << n;
  }
}

// Critical angles derived; cos 0.7453559 at n = 1.5 from iadpython.
TEST(Optics, LightIsTotallyReflectedBeyondTheCriticalAngle) {
  const struct {
    double index, critical_deg;
  } known[] = {{1.48, 42.5066}, {1.49, 42.1552}, {1.4925, 42.0684},
               {1.5, 41.8103},  {1.52, 41.1395}, {1.585, 39.1176}};
  for (const auto& [index, critical] : known) {
    for (const double angle : {critical - 1e-4, critical + 1e-4}) {
      const bool beyond = angle > critical;
      const double cos_incident = std::cos(radians(angle));
      EXPECT_EQ(totally_reflected(index, cos_incident), beyond) << index;
      EXPECT_EQ(fresnel(1.0 / index, cos_incident) == 1.0, beyond) << index;
      EXPECT_EQ(refracted_deg(1.0 / index, angle) < 0.0, beyond) << index;
    }
  }
  EXPECT_TRUE(totally_reflected(1.5, 0.7453559 - 1e-7));
  EXPECT_FALSE(totally_reflected(1.5, 0.7453559 + 1e-7));
}

// Derived by Gauss-Legendre quadrature, 2000 points, split at the critical angle (K2 at n = 1.49).
TEST(Optics, DiffuseReflectancesAgreeWithQuadrature) {
  const double external[] = {0.065931, 0.089347, 0.090306, 0.090557,
                             0.091778, 0.094707, 0.104102, 0.160597};
  const double internal[] = {0.471949, 0.586212, 0.590246, 0.591292,
                             0.596346, 0.608166, 0.643385, 0.790149};
  for (std::size_t i = 0; i < std::size(kIndices); ++i) {
    EXPECT_NEAR(diffuse_reflectance(kIndices[i]), external[i], 1e-6) << kIndices[i];
    EXPECT_NEAR(diffuse_reflectance(1.0 / kIndices[i]), internal[i], 1e-6) << kIndices[i];
  }
}

// Walsh's closed form of the external one (Duntley 1942; formula from memory, agreed to 1e-9 with
// quadrature).
TEST(Optics, DiffuseReflectanceFromOutsideHasAClosedForm) {
  for (const double n : kIndices) {
    const double n2 = n * n;
    const double n4 = n2 * n2;
    const double walsh =
        0.5 + (n - 1.0) * (3.0 * n + 1.0) / (6.0 * (n + 1.0) * (n + 1.0)) +
        n2 * (n2 - 1.0) * (n2 - 1.0) / std::pow(n2 + 1.0, 3.0) * std::log((n - 1.0) / (n + 1.0)) -
        2.0 * n2 * n * (n2 + 2.0 * n - 1.0) / ((n2 + 1.0) * (n4 - 1.0)) +
        8.0 * n4 * (n4 + 1.0) / ((n2 + 1.0) * (n4 - 1.0) * (n4 - 1.0)) * std::log(n);
    EXPECT_NEAR(diffuse_reflectance(n), walsh, 1e-7) << n;
  }
}

// Reciprocity of Lambertian light: (1 - rho_i) n^2 = 1 - rho_e, exactly (derived).
TEST(Optics, DiffuseLightCrossesBothWaysInTheRatioOfIndexSquared) {
  for (const double n : kIndices) {
    EXPECT_NEAR((1.0 - diffuse_reflectance(1.0 / n)) * n * n, 1.0 - diffuse_reflectance(n), 5e-7)
        << n;
  }
}

// K14: two surfaces and all reflections between them, T = (1 - R) / (1 + R) = 2n / (n^2 + 1)
// (derived); at n = 1.5 a plate reflects 0.0769231 (iadpython).
TEST(Optics, AClearPlateTransmitsTwoNOverNSquaredPlusOne) {
  const struct {
    double index, transmittance;
  } known[] = {{1.48, 0.927783},       {1.49, 0.925437}, {1.4925, 0.924848},
               {1.5, 1.0 - 0.0769231}, {1.52, 0.918318}, {1.585, 0.902562}};
  for (const auto& [index, transmittance] : known) {
    const double front = fresnel(index, 1.0);
    const double back = fresnel(1.0 / index, 1.0);
    EXPECT_NEAR((1.0 - front) * (1.0 - back) / (1.0 - back * back), transmittance, 1e-6) << index;
  }
}

TEST(Optics, ReflectanceIsTheSameFromBothSidesOfARay) {
  for (double angle = 0.0; angle < 90.0; angle += 1.0) {
    const double inside = radians(refracted_deg(kAcrylic, angle));
    EXPECT_NEAR(fresnel(1.0 / kAcrylic, std::cos(inside)),
                fresnel(kAcrylic, std::cos(radians(angle))), 1e-10)
        << angle;
  }
}

// Snell there and back, in any attitude of the boundary: 1000 random normals and rays.
TEST(Optics, ARefractedRayReturnsOnItsPath) {
  for (std::uint64_t k = 0; k < 1000; ++k) {
    const Uniforms u = statistics::uniforms(2, k);
    const Vec3 normal = direction_at(2.0 * u[0] - 1.0, 2.0 * kPi * u[1]);
    const Vec3 ray = direction_at(2.0 * u[2] - 1.0, 2.0 * kPi * u[3]);
    const Vec3 against = ray.dot(normal) > 0.0 ? Vec3(-normal) : normal;
    const auto inside = refract(ray, against, kAcrylic);
    ASSERT_TRUE(inside);
    EXPECT_NEAR(inside->norm(), 1.0, 1e-12);
    EXPECT_NEAR(inside->cross(against).norm() * kAcrylic, ray.cross(against).norm(), 1e-12);
    EXPECT_NEAR(inside->dot(ray.cross(against)), 0.0, 1e-12);  // in the plane of incidence
    const auto back = refract(-*inside, -against, 1.0 / kAcrylic);
    ASSERT_TRUE(back);
    EXPECT_LT((*back + ray).norm(), 1e-9);
    const Vec3 mirrored = reflect(ray, against);
    EXPECT_NEAR(mirrored.dot(against), -ray.dot(against), 1e-12);
    EXPECT_LT((mirrored.cross(against) - ray.cross(against)).norm(), 1e-12);
  }
}

// Values of exp(-a x) over 300 mm at 0.02, 0.3 and 2 per metre (derived).
TEST(Optics, LightFadesExponentiallyAlongItsWay) {
  EXPECT_NEAR(transmittance(0.02e-3, 300.0), 0.994, 5e-4);
  EXPECT_NEAR(transmittance(0.3e-3, 300.0), 0.914, 5e-4);
  EXPECT_NEAR(transmittance(2e-3, 300.0), 0.549, 5e-4);
  EXPECT_EQ(transmittance(0.0, 300.0), 1.0);
  EXPECT_NEAR(transmittance(1e-3, 700.0), transmittance(1e-3, 300.0) * transmittance(1e-3, 400.0),
              1e-15);
}

}  // namespace
}  // namespace rimeglow::optics_test
