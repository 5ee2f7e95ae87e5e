// Laws of tools/pictures and what they are drawn with: canvas, digits, colour map. PNG files are
// read back by libpng, a reader that is not ours.
#include "pictures.h"

#include <gtest/gtest.h>
#include <png.h>

#include <bit>
#include <cmath>

#include "camera_picture.h"
#include "colour_map.h"
#include "digits.h"
#include "panel_picture.h"
#include "panels.h"
#include "photon_picture.h"

namespace rimeglow::pictures_test {
namespace {

constexpr LinearRgb kNeutral = {1.0, 1.0, 1.0};

auto all(const LinearRgb& tint) {
  return [tint](std::size_t) { return tint; };
}

// A 40 x 30 mm panel on half millimetres: dark but for one lit square, 4 mm wide, its lower left
// corner at (10, 5) mm.
LuminanceMap lit_square(float cd_m2) {
  LuminanceMap map{80, 60, 0.5, std::vector<float>(80 * 60, 0.0F)};
  for (std::size_t row = 10; row < 18; ++row) {
    for (std::size_t column = 20; column < 28; ++column) map.cd_m2[row * 80 + column] = cd_m2;
  }
  return map;
}

Outline panel() { return rounded_rectangle(40.0, 30.0, 3.0); }

struct Decoded {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> rgb;
};

Decoded decoded(const std::string& png) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (png_image_begin_read_from_memory(&image, png.data(), png.size()) == 0) {
    throw std::runtime_error(image.message);
  }
  image.format = PNG_FORMAT_RGB;
  Decoded picture{static_cast<int>(image.width), static_cast<int>(image.height), {}};
  picture.rgb.resize(PNG_IMAGE_SIZE(image));
  if (png_image_finish_read(&image, nullptr, picture.rgb.data(), 0, nullptr) == 0) {
    throw std::runtime_error(image.message);
  }
  return picture;
}

int pixels_of(const Canvas& canvas, Rgb8 colour) {
  int count = 0;
  for (int y = 0; y < canvas.height(); ++y) {
    for (int x = 0; x < canvas.width(); ++x) count += canvas.at(x, y) == colour ? 1 : 0;
  }
  return count;
}

// IEC 61966-2-1: the ends, the seam of its two pieces, and linear 0.2140 for the middle code 127
// (0.21223) to 128 (0.21586), all from the formula.
TEST(Pictures, ScreensGetTheEncodingOfSrgb) {
  EXPECT_EQ(srgb_encoded(0.0), 0);
  EXPECT_EQ(srgb_encoded(1.0), 255);
  EXPECT_EQ(srgb_encoded(0.0031308), 10);
  EXPECT_EQ(srgb_encoded(0.21223), 127);
  EXPECT_EQ(srgb_encoded(0.21586), 128);
  EXPECT_EQ(srgb_encoded(-3.0), 0);
  EXPECT_EQ(srgb_encoded(7.0), 255);
}

TEST(Pictures, PngsHoldEveryPixelOfTheirCanvas) {
  Canvas canvas(37, 19, {1, 2, 3});
  canvas.set(0, 0, {255, 0, 7});
  canvas.set(36, 18, {9, 200, 255});
  canvas.write(3, 4, 1, {250, 250, 250}, "716");
  const std::string png = png_of(canvas);
  EXPECT_EQ(png.substr(0, 8), "\x89PNG\r\n\x1a\n");  // ISO/IEC 15948
  const Decoded picture = decoded(png);
  EXPECT_EQ(picture.width, 37);
  EXPECT_EQ(picture.height, 19);
  EXPECT_EQ(picture.rgb, canvas.bytes());
}

TEST(Pictures, EqualLuminanceGivesEqualBytes) {
  const LuminanceMap map = lit_square(250.0F);
  const auto glow = [&] {
    return png_of(glow_picture(map, panel(), exposure_of(map), all(kNeutral)));
  };
  const auto colours = [&] { return png_of(luminance_picture(map, panel(), scale_of(map))); };
  EXPECT_EQ(glow(), glow());
  EXPECT_EQ(colours(), colours());
  EXPECT_EQ(pfm_of(map), pfm_of(map));
}

// A deep groove catches light from beside it; what is drawn is as wide as it is burnt.
TEST(Pictures, APhotonsPanelShowsWhatIsBurnt) {
  Model plain = panels::sign_blank();
  panels::engrave(plain, Side::back, panels::ground(0.5), panels::squares());
  Model deep = panels::sign_blank();
  panels::engrave(deep, Side::back, panels::ground(0.5), panels::everywhere());
  deep.layers.front().burnt = plain.layers.front().coverage;
  const History history = follow(plain, panels::prism_of(plain), 1, 0);
  EXPECT_EQ(png_of(photon_picture(deep, history, "")), png_of(photon_picture(plain, history, "")));
}

TEST(Pictures, DrawingBesideTheCanvasLeavesNothing) {
  Canvas canvas(4, 4, {});
  canvas.set(-1, 2, {9, 9, 9});
  canvas.fill(3, 3, 100, 100, {9, 9, 9});
  canvas.write(-200, 0, 3, {9, 9, 9}, "888");
  EXPECT_EQ(pixels_of(canvas, {9, 9, 9}), 1);
  EXPECT_THROW(Canvas(0, 4, {}), std::invalid_argument);
}

// Our own alphabet: digits differ in at least four dots, so that none is taken for another.
TEST(Digits, DigitsAreToldApart) {
  for (char a = '0'; a <= '9'; ++a) {
    for (char b = static_cast<char>(a + 1); b <= '9'; ++b) {
      int different = 0;
      for (std::size_t row = 0; row < kGlyphHeight; ++row) {
        const unsigned changed = glyph_of(a)[row] ^ glyph_of(b)[row];
        different += std::popcount(changed);
      }
      EXPECT_GE(different, 4) << a << b;
    }
  }
}

TEST(Digits, EveryLetterOfALegendIsInTheAlphabet) {
  for (const char letter : std::string("0123456789./=+-%abcdefghijklmnopqrstuvwxyz")) {
    EXPECT_NE(glyph_of(letter), Glyph{}) << letter;
  }
  EXPECT_EQ(glyph_of(' '), Glyph{});
  EXPECT_EQ(glyph_of('\xC3'), Glyph{});
}

TEST(Digits, ASevenIsDrawnWhereItIsAskedFor) {
  Canvas canvas(20, 20, {});
  canvas.write(3, 5, 2, {8, 8, 8}, "7");
  for (int x = 3; x < 13; ++x) EXPECT_EQ(canvas.at(x, 5), (Rgb8{8, 8, 8})) << x;  // its roof
  EXPECT_EQ(canvas.at(3, 8), Rgb8{});
  EXPECT_EQ(text_width("7", 2), 10);
  EXPECT_EQ(text_width("77", 2), 22);
  EXPECT_EQ(text_height(2), 14);
}

// Relative luminance of IEC 61966-2-1, linearised roughly: viridis grows lighter all the way, in
// steps that the rounding to 8 bits does not hide.
TEST(ColourMap, BrighterIsLighterAlsoInGrey) {
  double last = -1.0;
  for (int i = 0; i <= 255; i += 3) {
    const Rgb8 colour = false_colour(i / 255.0);
    const auto linear = [](std::uint8_t code) { return std::pow(code / 255.0, 2.2); };
    const double grey =
        0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
    EXPECT_GT(grey, last) << i;
    last = grey;
  }
}

// The ends and the middle of the published table.
TEST(ColourMap, IsThePublishedTable) {
  EXPECT_EQ(false_colour(0.0), (Rgb8{0x44, 0x01, 0x54}));
  EXPECT_EQ(false_colour(128.0 / 255.0), (Rgb8{0x21, 0x91, 0x8C}));
  EXPECT_EQ(false_colour(1.0), (Rgb8{0xFD, 0xE7, 0x25}));
  EXPECT_EQ(false_colour(-5.0), false_colour(0.0));
  EXPECT_EQ(false_colour(5.0), false_colour(1.0));
}

// Derived: one slope below the knee, no kink at it, level at white.
TEST(Pictures, ToneIsInProportionThenBendsToWhite) {
  EXPECT_NEAR(tone(0.4) / tone(0.1), 4.0, 1e-12);
  EXPECT_EQ(tone(0.0), 0.0);
  EXPECT_NEAR(tone(1.0), 1.0, 1e-12);
  EXPECT_EQ(tone(50.0), tone(1.0));
  EXPECT_NEAR(tone(0.5 + 1e-6) - tone(0.5 - 1e-6), 2e-6 * 4.0 / 3.0, 1e-10);
  for (double share = 0.01; share < 1.0; share += 0.01) EXPECT_GT(tone(share), tone(share - 0.01));
}

TEST(Pictures, ExposureFollowsTheBrightestPixels) {
  EXPECT_NEAR(exposure_of(lit_square(241.0F)).white_cd_m2, 250.0, 1e-9);
  EXPECT_NEAR(exposure_of(lit_square(0.031F)).white_cd_m2, 0.031, 1e-4);
  LuminanceMap one_spark = lit_square(100.0F);
  one_spark.cd_m2.assign(one_spark.cd_m2.size(), 100.0F);
  one_spark.cd_m2.front() = 1e6F;
  EXPECT_NEAR(exposure_of(one_spark).white_cd_m2, 100.0, 1e-9);
  EXPECT_GT(exposure_of(lit_square(0.0F)).white_cd_m2, 0.0);
}

// A bevel that shows the LEDs is some fifty times brighter than the engraving.
TEST(Pictures, ExposureOfACameraKeepsTheEngravingInRangeBesideManyGlints) {
  CameraPicture picture{10, 10, std::vector<Tristimulus>(100), std::vector<float>(100)};
  for (std::size_t k = 0; k < 60; ++k) picture.lamp[k] = {800.0, 800.0, 800.0};
  for (std::size_t k = 60; k < 70; ++k) picture.lamp[k].y = 40000.0;
  EXPECT_LE(exposure_of(picture).white_cd_m2, 4000.0);
  EXPECT_GE(exposure_of(picture).white_cd_m2, 800.0);
}

TEST(Pictures, ScalesEndAtRoundNumbersAndSpanOneToThreeDecades) {
  LuminanceMap map = lit_square(300.0F);
  EXPECT_NEAR(scale_of(map).high_cd_m2, 500.0, 1e-9);
  EXPECT_NEAR(scale_of(map).low_cd_m2, 50.0, 1e-9);
  for (std::size_t i = 0; i < map.cd_m2.size(); i += 2) map.cd_m2[i] = 1e-7F;
  EXPECT_NEAR(scale_of(map).high_cd_m2 / scale_of(map).low_cd_m2, 1000.0, 1e-6);
  const LuminanceScale scale{1.0, 100.0};
  EXPECT_NEAR(scale.place(1.0), 0.0, 1e-12);
  EXPECT_NEAR(scale.place(10.0), 0.5, 1e-12);
  EXPECT_NEAR(scale.place(100.0), 1.0, 1e-12);
  const LuminanceScale dark = scale_of(lit_square(0.0F));
  EXPECT_LT(dark.low_cd_m2, dark.high_cd_m2);
}

// 8 x 8 pixels at white, lamp neutral, are drawn full white, and only they.
TEST(Pictures, WhiteIsDrawnWhereTheLightIsAndNowhereElse) {
  const Canvas picture = glow_picture(lit_square(200.0F), panel(), {200.0}, all(kNeutral));
  EXPECT_EQ(pixels_of(picture, {255, 255, 255}), 64);
}

// The square stands left of and below the middle, as the viewer in front sees it.
TEST(Pictures, ThePanelStandsUpright) {
  const Canvas picture = glow_picture(lit_square(200.0F), panel(), {200.0}, all(kNeutral));
  double x_sum = 0.0;
  double y_sum = 0.0;
  for (int y = 0; y < picture.height(); ++y) {
    for (int x = 0; x < picture.width(); ++x) {
      if (picture.at(x, y) != Rgb8{255, 255, 255}) continue;
      x_sum += x / 64.0;
      y_sum += y / 64.0;
    }
  }
  const double left = 0.5 * (picture.width() - 80);
  const double top = 12.0;  // the least margin
  EXPECT_NEAR(x_sum, left + 20.0 + 3.5, 1.0);
  EXPECT_NEAR(y_sum, top + 60.0 - 10.0 - 4.5, 1.0);
}

TEST(Pictures, WarmLampsAreDrawnWarm) {
  const LinearRgb warm = tint(tristimulus(white_led(2700.0)));
  const Canvas picture = glow_picture(lit_square(200.0F), panel(), {200.0}, all(warm));
  const Rgb8 lit = picture.at((picture.width() - 80) / 2 + 24, 12 + 60 - 14);
  EXPECT_EQ(lit.red, 255);
  EXPECT_GT(lit.red, lit.green + 20);
  EXPECT_GT(lit.green, lit.blue + 20);
}

TEST(Pictures, FalseColoursMeanTheirLuminance) {
  const LuminanceScale scale{10.0, 1000.0};
  const Canvas picture = luminance_picture(lit_square(100.0F), panel(), scale);
  EXPECT_GE(pixels_of(picture, false_colour(0.5)), 64);
  const Rgb8 lit = picture.at((picture.width() - 80) / 2 + 24, 12 + 60 - 14);
  EXPECT_EQ(lit, false_colour(0.5));
  const Rgb8 unlit = picture.at((picture.width() - 80) / 2 + 60, 12 + 60 - 14);
  EXPECT_EQ(unlit, Rgb8{});
}

TEST(Pictures, NarrowPanelsStillHaveALegend) {
  const LuminanceMap map{4, 400, 0.5, std::vector<float>(1600, 30.0F)};
  const Outline strip = rounded_rectangle(2.0, 200.0, 0.0);
  const Canvas picture = luminance_picture(map, strip, scale_of(map));
  EXPECT_GT(picture.width(), text_width("cd/m2", 2));
  EXPECT_GT(pixels_of(picture, {235, 235, 235}), 100);
}

struct Colours {
  int grey = 0;
  int blue = 0;
  int orange = 0;
};

// Of the picture's upper half, where no legend is.
Colours upper_half(const std::string& png) {
  const Decoded picture = decoded(png);
  Colours colours;
  for (std::size_t i = 0; i < picture.rgb.size() / 2 / 3; ++i) {
    const int red = picture.rgb[3 * i], blue = picture.rgb[3 * i + 2];
    if (blue > red) ++colours.blue;
    if (blue < red) ++colours.orange;
    if (red == blue && red > 0) ++colours.grey;
  }
  return colours;
}

auto traced_under_paint(double reflectance) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::squares());
  model.edge_finish[panels::kTop].kind = Finish::Kind::painted;
  model.edge_finish[panels::kTop].paint_reflectance = reflectance;
  model.viewers = {panels::eye(0, 0, Side::front)};
  return panels::traced(model, statistics::samples(200000));
}

// White paint on the far edge for black: solid art gains a third (compare_test.cpp), which these
// photons tell in most squares at once. Sees swapped pieces, colours and noise taken for light.
TEST(Pictures, APieceBrighterOnTheRightIsBlueADimmerOneOrangeAndItselfGrey) {
  const auto dim = traced_under_paint(0.0);
  const auto bright = traced_under_paint(0.95);
  const auto between = [](const auto& left, const auto& right) {
    return difference_picture(right, *compare({left, right}, 0).maps[1]);
  };
  const DifferencePicture brighter = between(dim, bright);
  EXPECT_GT(upper_half(brighter.png).blue, 2000);
  EXPECT_EQ(upper_half(brighter.png).orange, 0);
  EXPECT_NE(brighter.words.find(", and dimmer in 0 of"), std::string::npos) << brighter.words;
  EXPECT_NE(brighter.caption.find("the noise of a square is about"), std::string::npos);
  const DifferencePicture dimmer = between(bright, dim);
  EXPECT_EQ(upper_half(dimmer.png).blue, 0);
  // Each is drawn where its right piece's own few photons light it.
  const int blue = upper_half(brighter.png).blue;
  EXPECT_NEAR(upper_half(dimmer.png).orange, blue, 0.1 * blue);
  const DifferencePicture alike = between(dim, dim);
  EXPECT_EQ(upper_half(alike.png).blue + upper_half(alike.png).orange, 0);
  EXPECT_GT(upper_half(alike.png).grey, 2000);
  EXPECT_NE(alike.words.find("in none of"), std::string::npos) << alike.words;
}

// The PFM format as netpbm documents it: "Pf", width and height, a negative scale for
// little-endian, then rows from the bottom.
TEST(Pictures, FloatMapsReadBack) {
  LuminanceMap map{3, 2, 0.5, {0.0F, 1.5F, -0.0F, 1e-30F, 716.25F, 3e30F}};
  const std::string pfm = pfm_of(map);
  const std::string header = "Pf\n3 2\n-1.0\n";
  ASSERT_EQ(pfm.substr(0, header.size()), header);
  ASSERT_EQ(pfm.size(), header.size() + 6 * sizeof(float));
  for (std::size_t i = 0; i < 6; ++i) {
    std::uint32_t bits = 0;
    for (std::size_t byte = 0; byte < 4; ++byte) {
      bits |=
          static_cast<std::uint32_t>(static_cast<unsigned char>(pfm[header.size() + 4 * i + byte]))
          << (8 * byte);
    }
    EXPECT_EQ(std::bit_cast<float>(bits), map.cd_m2[i]) << i;
  }
}

}  // namespace
}  // namespace rimeglow::pictures_test
