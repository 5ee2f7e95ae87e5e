// Laws of sim/spectrum: published photometry and colorimetry, published dispersion of acrylic.
#include "spectrum.h"

#include <gtest/gtest.h>

namespace rimeglow::spectrum_test {
namespace {

// CIE standard illuminant D65, relative power, 380 to 780 nm every 5 nm (CIE 015:2018).
constexpr Spectrum kDaylight65 = {
    49.9755, 52.3118, 54.6482, 68.7015, 82.7549, 87.1204, 91.486,  92.4589, 93.4318,
    90.057,  86.6823, 95.7736, 104.865, 110.936, 117.008, 117.41,  117.812, 116.336,
    114.861, 115.392, 115.923, 112.367, 108.811, 109.082, 109.354, 108.578, 107.802,
    106.296, 104.79,  106.239, 107.689, 106.047, 104.405, 104.225, 104.046, 102.023,
    100,     98.1671, 96.3342, 96.0611, 95.788,  92.2368, 88.6856, 89.3459, 90.0062,
    89.8026, 89.5991, 88.6489, 87.6987, 85.4936, 83.2886, 83.4939, 83.6992, 81.863,
    80.0268, 80.1207, 80.2146, 81.2462, 82.2778, 80.281,  78.2842, 74.0027, 69.7213,
    70.6652, 71.6091, 72.979,  74.349,  67.9765, 61.604,  65.7448, 69.8856, 72.4863,
    75.087,  69.3398, 63.5927, 55.0054, 46.4182, 56.6118, 66.8054, 65.0941, 63.3828,
};

Spectrum equal_energy() {
  Spectrum spectrum{};
  spectrum.fill(1.0);
  return spectrum;
}

// Light of one wavelength of the table.
Spectrum only(double wavelength_nm) {
  Spectrum spectrum{};
  spectrum.at(static_cast<std::size_t>((wavelength_nm - kSpectrumStart_nm) / kSpectrumStep_nm)) =
      1.0;
  return spectrum;
}

// McCamy 1992, Color Research and Application 17, 142: within 10 K of the true correlated colour
// temperature from 2850 to 6500 K (that bound from memory).
double colour_temperature_k(const Chromaticity& xy) {
  const double n = (xy.x - 0.3320) / (0.1858 - xy.y);
  return ((449.0 * n + 3525.0) * n + 6823.3) * n + 5520.33;
}

// CIE 015:2018: white point of D65 for the 2-degree observer.
TEST(Spectrum, DaylightSixtyFiveHasItsPublishedWhitePoint) {
  const Chromaticity white = chromaticity(tristimulus(kDaylight65));
  EXPECT_NEAR(white.x, 0.31272, 1e-4);
  EXPECT_NEAR(white.y, 0.32903, 1e-4);
  const Tristimulus xyz = tristimulus(kDaylight65);
  EXPECT_NEAR(100.0 * xyz.x / xyz.y, 95.043, 1e-2);
  EXPECT_NEAR(100.0 * xyz.z / xyz.y, 108.880, 1e-2);
}

// CIE 1931 observer: the three functions enclose equal areas; sums at 5 nm derived from the table.
TEST(Spectrum, EqualEnergyIsWhite) {
  const Tristimulus sums = tristimulus(equal_energy());
  EXPECT_NEAR(sums.x, 21.3715, 1e-4);
  EXPECT_NEAR(sums.y, 21.3713, 1e-4);
  EXPECT_NEAR(sums.z, 21.3715, 1e-4);
  EXPECT_NEAR(chromaticity(sums).x, 1.0 / 3.0, 1e-5);
  EXPECT_NEAR(chromaticity(sums).y, 1.0 / 3.0, 1e-5);
}

// V of CIE 1924 times the maximum luminous efficacy of radiation (CIE S 010); lumens per watt to
// the digits of the table.
TEST(Spectrum, OneWattGivesTheLumensOfTheStandardEye) {
  constexpr double kMaximumEfficacy_lm_per_w = 683.0;
  const struct {
    double wavelength_nm, lm_per_w;
  } known[] = {{465, 50.47}, {470, 62.14}, {520, 484.9}, {525, 541.8}, {555, 683.0},
               {590, 517.0}, {620, 260.2}, {625, 219.2}, {630, 181.0}};
  for (const auto& [wavelength, lm_per_w] : known) {
    const double seen = kMaximumEfficacy_lm_per_w * tristimulus(only(wavelength)).y;
    EXPECT_NEAR(seen, lm_per_w, 1e-3 * lm_per_w) << wavelength;
  }
}

// CIE 015:2018: chromaticities of LED-B1 to LED-B5, to the four digits published.
TEST(Spectrum, WhiteLedsHaveTheirPublishedChromaticities) {
  const struct {
    double colour_k, x, y;
  } published[] = {{2733, 0.4560, 0.4078},
                   {2998, 0.4357, 0.4012},
                   {4103, 0.3756, 0.3723},
                   {5109, 0.3422, 0.3502},
                   {6598, 0.3118, 0.3236}};
  for (const auto& led : published) {
    const Chromaticity xy = chromaticity(tristimulus(white_led(led.colour_k)));
    EXPECT_NEAR(xy.x, led.x, 1e-4) << led.colour_k;
    EXPECT_NEAR(xy.y, led.y, 1e-4) << led.colour_k;
  }
}

// Bounds derived: 1 % within the series, 6 % beyond it, where McCamy's formula itself drifts.
TEST(Spectrum, WhiteLedsHaveTheColourTemperatureAskedFor) {
  for (double colour_k = 2733.0; colour_k < 6598.0; colour_k += 43.0) {
    const Chromaticity xy = chromaticity(tristimulus(white_led(colour_k)));
    EXPECT_NEAR(colour_temperature_k(xy), colour_k, 0.01 * colour_k);
  }
  for (const double colour_k : {1800.0, 2200.0, 2700.0, 7000.0, 9000.0, 10000.0}) {
    const Chromaticity xy = chromaticity(tristimulus(white_led(colour_k)));
    EXPECT_NEAR(colour_temperature_k(xy), colour_k, 0.06 * colour_k);
  }
}

TEST(Spectrum, WhiteLedsChangeSmoothlyWithColourTemperature) {
  for (const double end_k : {2733.0, 2998.0, 4103.0, 5109.0, 6598.0}) {
    const Chromaticity below = chromaticity(tristimulus(white_led(end_k - 0.01)));
    const Chromaticity above = chromaticity(tristimulus(white_led(end_k + 0.01)));
    EXPECT_NEAR(below.x, above.x, 1e-5) << end_k;
    EXPECT_NEAR(below.y, above.y, 1e-5) << end_k;
  }
}

TEST(Spectrum, WhiteLedsHaveUnitFluxAndNoNegativePower) {
  for (const double colour_k : {1000.0, 2200.0, 2733.0, 3500.0, 6500.0, 6598.0, 20000.0}) {
    const Spectrum led = white_led(colour_k);
    EXPECT_NEAR(tristimulus(led).y, 1.0, 1e-12) << colour_k;
    for (const double power : led) EXPECT_GE(power, 0.0);
  }
}

// IEC 61966-2-1: the white of sRGB is D65, so it tints nothing (the printed matrix is rounded).
TEST(Spectrum, DaylightSixtyFiveTintsNothing) {
  const LinearRgb white = tint(tristimulus(kDaylight65));
  EXPECT_NEAR(white.red, 1.0, 1e-3);
  EXPECT_NEAR(white.green, 1.0, 1e-3);
  EXPECT_NEAR(white.blue, 1.0, 1e-3);
}

TEST(Spectrum, WarmLampsTintTowardRedAtUnchangedLuminance) {
  const LinearRgb warm = tint(tristimulus(white_led(2700.0)));
  EXPECT_GT(warm.red, 1.2);
  EXPECT_LT(warm.blue, 0.5);
  EXPECT_NEAR(0.2126 * warm.red + 0.7152 * warm.green + 0.0722 * warm.blue, 1.0, 1e-12);
}

TEST(Spectrum, ColoursOutsideTheScreensGamutStayDrawable) {
  Spectrum cyan{};
  cyan[(500 - 380) / 5] = 1.0;
  const LinearRgb rgb = tint(tristimulus(cyan));
  EXPECT_EQ(rgb.red, 0.0);
  EXPECT_NEAR(0.7152 * rgb.green + 0.0722 * rgb.blue, 1.0, 1e-12);
}

// Beadie and others 2015, Applied Optics 54, F139: the code against the formula's values.
TEST(Spectrum, AcrylicFollowsThePublishedDispersion) {
  const struct {
    double wavelength_nm, index;
  } published[] = {{450, 1.50159}, {470, 1.49970}, {486.133, 1.49836},
                   {525, 1.49568}, {550, 1.49428}, {587.562, 1.49253},
                   {625, 1.49109}, {650, 1.49026}, {656.273, 1.49007}};
  for (const auto& [wavelength, index] : published) {
    EXPECT_NEAR(acrylic_index(wavelength), index, 1e-5) << wavelength;
  }
}

// Acrylic as a class: fits of Sultanova 2009 (Acta Physica Polonica A 116, 585), of Szczurowski
// 2013 and of Bodurov 2016, from the refractiveindex.info database; samples differ by 0.003.
TEST(Spectrum, AcrylicAgreesWithOtherSamples) {
  const struct {
    double wavelength_nm;
    double index[3];
  } samples[] = {{486.133, {1.49710, 1.49654, 1.49735}},
                 {525.0, {1.49415, 1.49383, 1.49497}},
                 {587.562, {1.49062, 1.49060, 1.49211}},
                 {625.0, {1.48901, 1.48912, 1.49081}}};
  for (const auto& sample : samples) {
    for (const double index : sample.index) {
      EXPECT_NEAR(acrylic_index(sample.wavelength_nm), index, 0.003) << sample.wavelength_nm;
    }
  }
}

// Derived: V(lambda) holds the mean near 555-570 nm whatever the lamp, warmer means redder light
// and so a lower index, and one wavelength alone has its own index.
TEST(Spectrum, LampsMeetTheIndexWhereTheEyeIsKeen) {
  const double cool = luminous_index(white_led(6500.0));
  const double warm = luminous_index(white_led(2700.0));
  EXPECT_LT(warm, cool);
  EXPECT_GT(warm, acrylic_index(587.562));
  EXPECT_LT(cool, acrylic_index(550.0));
  EXPECT_NEAR(luminous_index(only(625.0)), acrylic_index(625.0), 1e-12);
}

// Between bulk acrylic in a calorimeter, 0.02 per metre, and the 2 that "92 % at 3 mm" would allow.
TEST(Spectrum, AbsorptionIsStatedWithItsThreefoldDoubt) {
  EXPECT_EQ(kCastAcrylicAbsorption.usual_per_m, 0.3);
  EXPECT_NEAR(kCastAcrylicAbsorption.usual_per_m / kCastAcrylicAbsorption.low_per_m, 3.0, 0.5);
  EXPECT_NEAR(kCastAcrylicAbsorption.high_per_m / kCastAcrylicAbsorption.usual_per_m, 3.0, 0.5);
}

}  // namespace
}  // namespace rimeglow::spectrum_test
