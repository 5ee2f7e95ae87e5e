// Laws of sim/sampling: each sampler gives what the density beside it says.
#include "sampling.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "statistics.h"

namespace rimeglow::sampling_test {
namespace {

// Exponents of the beams of checks: full angles of 120, 125, 60 and 20 degrees between half
// intensities (derived from I = I0 cos^m).
constexpr double kPowers[] = {1.0, 0.8970, 4.8188, 45.278};

Vec3 nth_direction(double m, int k) {
  const Uniforms u = statistics::uniforms(1, static_cast<std::uint64_t>(k));
  return sample_cosine_power(m, u[0], u[1]);
}

// Integral of pdf_cosine_power over a cell of z and azimuth, by 8 midpoints in z: the density turns
// no azimuth away.
double share_of_cell(double m, double z_low, double z_high, double azimuth_rad) {
  constexpr int kSteps = 8;
  double sum = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double z = z_low + (z_high - z_low) * (i + 0.5) / kSteps;
    sum += pdf_cosine_power(m, direction_at(z, 0.3)) / kSteps;
  }
  return sum * (z_high - z_low) * azimuth_rad;
}

TEST(Sampling, CosinePowerDensityIntegratesToOne) {
  for (const double m : kPowers) {
    double sum = 0.0;
    for (int i = 0; i < 2000; ++i) sum += share_of_cell(m, i / 2000.0, (i + 1) / 2000.0, 2.0 * kPi);
    EXPECT_NEAR(sum, 1.0, 1e-6) << "m = " << m;
    EXPECT_EQ(pdf_cosine_power(m, Vec3(0.6, 0.0, -0.8)), 0.0);
  }
}

// Chi-square over 60 x 12 cells in cosine and azimuth; false-alarm level 1e-4 over the four beams;
// sees an exponent wrong by 1 %.
TEST(Sampling, CosinePowerSamplesFollowTheirDensity) {
  constexpr int kBands = 60;
  constexpr int kSectors = 12;
  const int count = statistics::samples(1000000);
  for (const double m : kPowers) {
    std::vector<double> seen(kBands * kSectors, 0.0);
    std::vector<double> due(kBands * kSectors, 0.0);
    for (int k = 0; k < count; ++k) {
      const Vec3 direction = nth_direction(m, k);
      ASSERT_NEAR(direction.norm(), 1.0, 1e-12);
      const double azimuth = std::atan2(direction.y(), direction.x()) / (2.0 * kPi) + 0.5;
      const int band = std::min(kBands - 1, static_cast<int>(direction.z() * kBands));
      const int sector = std::min(kSectors - 1, static_cast<int>(azimuth * kSectors));
      seen[static_cast<std::size_t>(band * kSectors + sector)] += 1.0;
    }
    for (int cell = 0; cell < kBands * kSectors; ++cell) {
      const double low = static_cast<double>(cell / kSectors) / kBands;
      due[static_cast<std::size_t>(cell)] =
          count * share_of_cell(m, low, low + 1.0 / kBands, 2.0 * kPi / kSectors);
    }
    EXPECT_GT(statistics::chi_square(seen, due).tail, statistics::sidak(statistics::kFalseAlarm, 4))
        << "m = " << m;
  }
}

// Share within an angle t of the axis: 1 - cos^(m+1) t (derived); for m = 1 a quarter, a half and
// three quarters within 30, 45 and 60 degrees. False-alarm level 1e-4; sees shares off by 0.002.
TEST(Sampling, ALambertianSourceSendsAQuarterHalfAndThreeQuartersWithin30_45_60Degrees) {
  const int count = statistics::samples(1000000);
  const struct {
    double angle_deg, share;
  } known[] = {{30.0, 0.25}, {45.0, 0.5}, {60.0, 0.75}};
  for (const auto& [angle, share] : known) {
    int within = 0;
    for (int k = 0; k < count; ++k) {
      if (nth_direction(1.0, k).z() > std::cos(radians(angle))) ++within;
    }
    EXPECT_NEAR(
        static_cast<double>(within) / count, share,
        statistics::z_limit(statistics::kFalseAlarm, 3) * statistics::binomial_sigma(share, count));
  }
}

// Intensity on the axis over flux is (m + 1) / (2 pi): an emitter of full angle 60 degrees between
// half intensities has flux / I0 = 1.0798, one of 125 degrees 3.3122 (derived).
TEST(Sampling, IntensityFallsToHalfAtHalfTheBeamAngle) {
  const struct {
    double half_angle_deg, m, flux_per_intensity;
  } known[] = {{60.0, 1.0, 3.1416},
               {62.5, 0.8970, 3.3122},
               {30.0, 4.8188, 1.0798},
               {15.0, 19.994, 0.2993},
               {10.0, 45.278, 0.1358}};
  for (const auto& [half_angle, m, flux] : known) {
    const double on_axis = pdf_cosine_power(m, Vec3::UnitZ());
    EXPECT_NEAR(1.0 / on_axis, flux, 1e-4 * flux + 5e-5);
    EXPECT_NEAR(pdf_cosine_power(m, direction_at(std::cos(radians(half_angle)), 2.0)) / on_axis,
                0.5, 2e-5 * m + 2e-5);
  }
}

}  // namespace
}  // namespace rimeglow::sampling_test
