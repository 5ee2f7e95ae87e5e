// The colour of the glow: that of the lamp, and of several lamps as CIE arithmetic mixes them.
#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <vector>

#include "glow.h"
#include "panels.h"
#include "spectrum.h"

namespace rimeglow::colour_test {
namespace {

Scene lit_by(const std::vector<LampSpec>& lamps) {
  Scene scene;
  scene.panel.width_mm = 100.0;
  scene.panel.height_mm = 80.0;
  scene.panel.thickness_mm = 3.0;
  scene.art.emplace();
  scene.art->file = "square.svg";
  scene.marks["a"] = MarkSpec{};
  scene.lamps = lamps;
  return scene;
}

LampSpec lamp(double flux_lm, double centre_mm = 50.0) {
  LampSpec lamp;
  lamp.count = 2;
  lamp.pitch_mm = 20.0;
  lamp.centre_mm = centre_mm;
  lamp.flux_each_lm = flux_lm;
  return lamp;
}

LampSpec coloured(double wavelength_nm, double flux_lm, double centre_mm = 50.0) {
  LampSpec row = lamp(flux_lm, centre_mm);
  row.wavelength_nm = wavelength_nm;
  return row;
}

auto run_of(const Scene& scene) {
  Drawing square;
  square.pixel_mm = 0.2;
  square.columns = square.rows = 250;
  square.origin_mm = {25.0, 20.0};
  square.tone.assign(250 * 250, 255);
  return panels::traced(*build_model(scene, {square}).model, statistics::samples(400000));
}

// CIE 015:2018, LED-B5 (6598 K) region: the lamp's own chromaticity, to the last digit, whatever
// the panel does, since acrylic is clear at every wavelength here.
TEST(Colour, TheGlowHasItsLampsChromaticity) {
  const auto run = run_of(lit_by({lamp(9.0)}));
  const Chromaticity expected = chromaticity(tristimulus(white_led(6500.0)));
  for (const ViewerGlow& viewer : glow_of(run).viewers) {
    EXPECT_NEAR(viewer.colour.x, expected.x, 1e-9) << viewer.name;
    EXPECT_NEAR(viewer.colour.y, expected.y, 1e-9) << viewer.name;
  }
}

// Rows in one place send their light the same ways, so the mix is that of their lumens (CIE
// 015:2018, 7.1: tristimulus values add). Three rows share the photons, each known to 1 %: 0.003 in
// x and y is over four errors. Sees a channel lost or counted twice.
TEST(Colour, RedGreenAndBlueMixAsTristimulusValuesAdd) {
  const auto run = run_of(lit_by({coloured(622, 2.5), coloured(523, 4.3), coloured(466, 1.2)}));
  Tristimulus sum;
  for (const auto& [wavelength, flux] :
       {std::pair{622.0, 2.5}, std::pair{523.0, 4.3}, std::pair{466.0, 1.2}}) {
    const Tristimulus part = tristimulus(coloured_led(wavelength));
    sum = {sum.x + flux * part.x, sum.y + flux * part.y, sum.z + flux * part.z};
  }
  const Chromaticity expected = chromaticity(sum);
  const double slack = std::sqrt(RIMEGLOW_TEST_PHOTON_DIVISOR);
  const Chromaticity got = glow_of(run).viewers.front().colour;
  EXPECT_NEAR(got.x, expected.x, 0.003 * slack);
  EXPECT_NEAR(got.y, expected.y, 0.003 * slack);
}

// Red at the left and blue at the right stay where they shine, and the channels sum to the whole.
TEST(Colour, EachChannelGlowsWhereItsLightArrives) {
  const auto run = run_of(lit_by({coloured(622, 4.0, 30.0), coloured(466, 4.0, 70.0)}));
  ASSERT_EQ(run.model->channels.size(), 2u);
  const LuminanceMap all = luminance_map(run, 0, 5.0);
  const LuminanceMap red = luminance_map(run, 0, 5.0, 0);
  const LuminanceMap blue = luminance_map(run, 0, 5.0, 1);
  for (std::size_t i = 0; i < all.cd_m2.size(); ++i) {
    EXPECT_NEAR(red.cd_m2[i] + blue.cd_m2[i], all.cd_m2[i], 1e-4f * all.cd_m2[i]);
  }
  const auto at = [&](const LuminanceMap& map, int x_mm, int y_mm) {
    return map.cd_m2[static_cast<std::size_t>(y_mm / 5 * map.columns + x_mm / 5)];
  };
  EXPECT_GT(at(red, 30, 25), 2.0f * at(red, 70, 25));
  EXPECT_GT(at(blue, 70, 25), 2.0f * at(blue, 30, 25));
}

// Rows of one colour are one channel.
TEST(Colour, EqualLampsShareAChannel) {
  EXPECT_EQ(build_model(lit_by({lamp(9.0), lamp(5.0)}), {}).model->channels.size(), 1u);
}

// A bell about the dominant wavelength: the line from equal-energy white through its chromaticity
// meets the spectral locus within 3 nm of it, here as the angle seen from white.
TEST(Colour, ColouredLedsHaveTheirDominantWavelength) {
  const auto angle = [](const Chromaticity& c) { return std::atan2(c.y - 1.0 / 3, c.x - 1.0 / 3); };
  const auto line = [](double wavelength) {
    Spectrum spectrum{};
    const auto sample =
        static_cast<std::size_t>((wavelength - kSpectrumStart_nm) / kSpectrumStep_nm + 0.5);
    spectrum[sample] = 1.0;
    return chromaticity(tristimulus(spectrum));
  };
  for (const double wavelength : {470.0, 525.0, 590.0, 620.0}) {
    const double got = angle(chromaticity(tristimulus(coloured_led(wavelength))));
    const double at = angle(line(wavelength));
    const double step = std::abs(angle(line(wavelength + 5.0)) - at);
    EXPECT_LT(std::abs(got - at), 0.7 * step + 0.01) << wavelength;
  }
}

// Parts as sold: 2835 of 0.5 W, 65 to 70 lm at 150 mA; a pixel LED's red 1.3, green 2.2 and blue
// 0.6 lm at 20 mA each. Within the factor of two that the guess claims.
TEST(Colour, LumensGuessedFromCurrentAreWithinTwoOfSoldParts) {
  const auto guessed = [](double wavelength_nm, double current_ma) {
    LampSpec row = wavelength_nm > 0.0 ? coloured(wavelength_nm, 0.0) : lamp(0.0);
    row.current_each_ma = current_ma;
    return flux_each_lm(row);
  };
  const auto within_two = [](double got, double sold) {
    return got > 0.5 * sold && got < 2.0 * sold;
  };
  EXPECT_TRUE(within_two(guessed(0.0, 150.0), 67.0));
  EXPECT_TRUE(within_two(guessed(622.0, 20.0), 1.3));
  EXPECT_TRUE(within_two(guessed(523.0, 20.0), 2.2));
  EXPECT_TRUE(within_two(guessed(466.0, 20.0), 0.6));
  EXPECT_EQ(guessed(590.0, 20.0), guessed(622.0, 20.0)) << "amber's crystal is red's";
}

// Neither lumens that are said nor those of a measured file are a guess.
TEST(Colour, OnlyLumensFromACurrentAreGuessed) {
  LampSpec row = lamp(0.0);
  row.current_each_ma = 20.0;
  EXPECT_TRUE(is_flux_guessed(row));
  row.flux_each_lm = 9.0;
  EXPECT_FALSE(is_flux_guessed(row));
  row.flux_each_lm = 0.0;
  row.far_field = std::make_shared<const FarField>(
      std::vector<double>{0.0, 1.0}, std::vector<double>{0.0, 6.28}, std::vector<double>(4, 1.0));
  EXPECT_FALSE(is_flux_guessed(row));
}

}  // namespace
}  // namespace rimeglow::colour_test
