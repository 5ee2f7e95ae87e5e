// PNG and JPEG pictures come to lie where, as large as and in the tones that they were made with;
// damaged and oversized ones are refused. The pictures are written by libpng and libjpeg. Luma is
// that of ITU-R BT.709-6, item 3.2; places are plain geometry (derived).
#include "raster_reader.h"

#include <gtest/gtest.h>

#include <random>

#include "made_up_art.h"

namespace rimeglow::raster_reader_test {
namespace {

constexpr double kPixelMm = 0.1;

ArtRequest request_at(const Vec2& centre_mm) {
  ArtRequest request;
  request.centre_mm = centre_mm;
  request.pixel_mm = kPixelMm;
  return request;
}

// White with a black block, rows counted from the top.
MadePicture block(int columns, int rows, int left, int top, int width, int height) {
  MadePicture picture = made_picture(columns, rows, {255});
  for (int row = top; row < top + height; ++row)
    for (int column = left; column < left + width; ++column)
      picture.samples[static_cast<std::size_t>(row * columns + column)] = 0;
  return picture;
}

MadePicture noise(int columns, int rows) {
  std::mt19937 random(5);
  MadePicture picture = made_picture(columns, rows, {0});
  for (std::uint8_t& sample : picture.samples) sample = static_cast<std::uint8_t>(random() >> 24);
  return picture;
}

void expect_box(const InkBox& box, const Vec2& lower_left_mm, const Vec2& upper_right_mm) {
  EXPECT_LE((box.lower_left_mm - lower_left_mm).cwiseAbs().maxCoeff(), kPixelMm)
      << box.lower_left_mm.transpose();
  EXPECT_LE((box.upper_right_mm - upper_right_mm).cwiseAbs().maxCoeff(), kPixelMm)
      << box.upper_right_mm.transpose();
}

double only_tone(const Picture& picture) { return picture.tones.tone.front() / 255.0; }

TEST(Picture, APngLandsWhereItWasDrawnWithYUp) {
  PngStyle style;
  style.dots_per_inch = 50.8;  // 0.5 mm a pixel
  const Art art = read_art(png(block(80, 40, 4, 6, 20, 20), style), request_at({100.0, 50.0}));
  expect_box(ink_box(art.drawing), {82.0, 47.0}, {92.0, 57.0});
  EXPECT_EQ(art.info.format, ArtFormat::png);
  EXPECT_LE((art.info.natural.mm - Vec2(40.0, 20.0)).norm(), 0.001);  // whole pixels a metre
  EXPECT_EQ(art.info.natural.from, "its 51 dpi tag");
  EXPECT_FALSE(art.info.natural.guessed);
  EXPECT_EQ(art.info.picture_columns, 80);
  EXPECT_EQ(art.info.picture_rows, 40);
  EXPECT_EQ(art.info.tone, Tone::line_art);
  EXPECT_TRUE(art.info.warnings.empty());
}

TEST(Picture, AJpegLandsTurnedAsAsked) {
  ArtRequest request = request_at({100.0, 50.0});
  request.width_mm = 40.0;
  request.rotate_rad = radians(90.0);
  JpegStyle style;
  style.dots_per_inch = 300;
  const Art art = read_art(jpeg(block(320, 160, 16, 24, 80, 80), style), request);
  expect_box(ink_box(art.drawing), {93.0, 32.0}, {103.0, 42.0});
  EXPECT_EQ(art.info.format, ArtFormat::jpeg);
  EXPECT_EQ(art.info.natural.from, "its 300 dpi tag");
  EXPECT_TRUE(art.info.natural.mm.isApprox(Vec2(320.0, 160.0) * kMmPerInch / 300.0, 1e-9));
}

TEST(Picture, WithoutAResolutionItsSizeIsGuessedAndSaid) {
  for (const std::string& bytes :
       {png(block(96, 48, 10, 10, 20, 20), {}), jpeg(block(96, 48, 10, 10, 20, 20), {})}) {
    const Art art = read_art(bytes, request_at({0.0, 0.0}));
    EXPECT_TRUE(art.info.natural.guessed);
    EXPECT_TRUE(art.info.natural.mm.isApprox(Vec2(25.4, 12.7), 1e-9));
    ASSERT_EQ(art.info.warnings.size(), 1U);
    EXPECT_NE(art.info.warnings[0].find("25.4 x 12.7 mm was guessed from 96 px per inch"),
              std::string::npos);
  }
}

// A shaded disc on paper of one tone, with the noise of a scanner.
MadePicture scanned_moon(int paper) {
  std::mt19937 random(7);
  MadePicture picture = made_picture(200, 200, {0});
  for (int i = 0; i < 200 * 200; ++i) {
    const Vec2 from_middle(i % 200 - 100, i / 200 - 100);
    const int tone = from_middle.norm() < 70.0 ? 100 + i % 200 / 2 : paper;
    picture.samples[static_cast<std::size_t>(i)] =
        static_cast<std::uint8_t>(std::min(255, tone + static_cast<int>(random() % 7) - 3));
  }
  return picture;
}

std::vector<std::string> warnings_of(const MadePicture& picture, const ArtRequest& request) {
  PngStyle style;
  style.dots_per_inch = 254.0;
  return read_art(png(picture, style), request).info.warnings;
}

TEST(Picture, GreyPaperIsSaid) {
  ArtRequest request = request_at({0.0, 0.0});
  const std::string said =
      "Hardly any of the art is left clear: its paper is grey (tone 215, white is 255) and burns "
      "as a veil of dots over 16 % of it. Lift the whites in a picture editor until it is white, "
      "or write tones = \"flat\" below [art] for line art.";
  EXPECT_EQ(warnings_of(scanned_moon(215), request), std::vector<std::string>{said});
  EXPECT_EQ(warnings_of(made_picture(200, 200, {235}), request).size(), 1U);
  request.rotate_rad = radians(20.0);
  EXPECT_EQ(warnings_of(scanned_moon(215), request), std::vector<std::string>{said});
  request.engrave = Engrave::light;
  const std::vector<std::string> of_light = warnings_of(scanned_moon(30), request);
  ASSERT_EQ(of_light.size(), 1U);
  EXPECT_NE(of_light[0].find("its ground is grey (tone 30, black is 0)"), std::string::npos);
}

// White paper, a picture up to its border, and a ground too dark to be paper.
TEST(Picture, GreysThatAreMeantAreNotMinded) {
  MadePicture shaded = made_picture(200, 200, {0});
  for (int i = 0; i < 200 * 200; ++i)
    shaded.samples[static_cast<std::size_t>(i)] = static_cast<std::uint8_t>(150 + i / 400);
  for (const MadePicture& picture : {scanned_moon(255), shaded, noise(200, 200), scanned_moon(140)})
    EXPECT_EQ(warnings_of(picture, request_at({0.0, 0.0})), std::vector<std::string>{});
}

TEST(Picture, FlatGreysAreLineArtThatLosesWhatIsPale) {
  ArtRequest request = request_at({0.0, 0.0});
  request.flat = true;
  PngStyle style;
  style.dots_per_inch = 254.0;
  const Art art = read_art(png(scanned_moon(215), style), request);
  EXPECT_EQ(art.info.tone, Tone::line_art);
  ASSERT_EQ(art.info.warnings.size(), 1U);
  EXPECT_NE(art.info.warnings[0].find("of the drawn area is lost"), std::string::npos);
}

// Grey paper is no stroke that is lost, and no part of what the laser goes over.
TEST(Picture, FlatLineArtOnGreyPaperLosesNothing) {
  ArtRequest request = request_at({0.0, 0.0});
  request.flat = true;
  PngStyle style;
  style.dots_per_inch = 254.0;
  MadePicture scan = scanned_moon(215);
  for (std::uint8_t& sample : scan.samples)
    if (sample < 205) sample = 20;
  const Art art = read_art(png(scan, style), request);
  EXPECT_EQ(art.info.warnings, std::vector<std::string>{});
  const auto [least, most] = std::minmax_element(art.drawing.tone.begin(), art.drawing.tone.end());
  EXPECT_EQ(*least, kOff);
  EXPECT_EQ(*most, kOn);
  EXPECT_EQ(art.drawing.tone.front(), kOff);
}

TEST(Picture, AnImpossibleResolutionIsNotBelieved) {
  EXPECT_TRUE(picture_size(96, 48, {1.0, 1.0}).guessed);
  EXPECT_TRUE(picture_size(96, 48, {1e9, 1e9}).guessed);
  EXPECT_TRUE(picture_size(96, 48, {2000.0, 100.0}).guessed);
  const ArtSize facsimile = picture_size(1728, 1145, {204.0, 98.0});
  EXPECT_FALSE(facsimile.guessed);
  EXPECT_EQ(facsimile.from, "its 204 x 98 dpi tag");
  EXPECT_NEAR(facsimile.mm.x() / facsimile.mm.y(), 1728.0 / 1145.0 * 98.0 / 204.0, 1e-9);
}

TEST(Picture, EveryKindOfPngGivesTheToneOfItsColour) {
  const std::uint8_t half = 128;
  const double grey = 1.0 - 128.0 / 255.0;
  const double orange = 1.0 - (0.2126 * 255.0 + 0.7152 * 128.0) / 255.0;
  PngStyle style;
  const auto tone = [&style](const MadePicture& picture) {
    return only_tone(read_png(png(picture, style), Engrave::dark));
  };
  EXPECT_NEAR(tone(made_picture(3, 3, {half})), grey, 0.004);
  style = {PNG_COLOR_TYPE_GRAY, 16, false, {}};
  EXPECT_NEAR(tone(made_picture(3, 3, {half, 200})), grey, 0.006);
  style = {PNG_COLOR_TYPE_GRAY_ALPHA, 8, false, {}};
  EXPECT_NEAR(tone(made_picture(3, 3, {half, 102})), 0.4 * grey, 0.004);
  style = {PNG_COLOR_TYPE_RGB, 8, true, {}};
  EXPECT_NEAR(tone(made_picture(9, 9, {255, 128, 0})), orange, 0.004);
  style = {PNG_COLOR_TYPE_RGB_ALPHA, 16, true, {}};
  EXPECT_NEAR(tone(made_picture(9, 9, {255, 255, 128, 0, 0, 0, 102, 0})), 0.4 * orange, 0.006);
  style = {PNG_COLOR_TYPE_GRAY, 1, false, {}};
  EXPECT_EQ(tone({8, 1, {0x00}}), 1.0);
  EXPECT_EQ(tone({8, 1, {0xFF}}), 0.0);
}

TEST(Picture, AColourJpegGivesTheToneOfItsColour) {
  JpegStyle style;
  style.colours = JCS_RGB;
  style.channels = 3;
  const std::string bytes = jpeg(made_picture(16, 16, {255, 128, 0}), style);
  const double orange = 1.0 - (0.2126 * 255.0 + 0.7152 * 128.0) / 255.0;
  EXPECT_NEAR(only_tone(read_jpeg(bytes, Engrave::dark)), orange, 0.015);
  EXPECT_NEAR(only_tone(read_jpeg(bytes, Engrave::light)), 1.0 - orange, 0.015);
}

TEST(Picture, LightPartsAreEngravedButNotClearOnes) {
  PngStyle style;
  style.colour_type = PNG_COLOR_TYPE_GRAY_ALPHA;
  const auto tone = [&style](std::uint8_t grey, std::uint8_t alpha) {
    return only_tone(read_png(png(made_picture(2, 2, {grey, alpha}), style), Engrave::light));
  };
  EXPECT_EQ(tone(255, 255), 1.0);
  EXPECT_EQ(tone(0, 255), 0.0);
  EXPECT_EQ(tone(255, 0), 0.0);
}

// Whatever the ratio of the pixels, their mean is kept: within the tone steps where whole pixels
// make up each laser pixel, within 1 % where they do not.
TEST(Picture, MadeCoarserItKeepsTheMeanOfItsTones) {
  const MadePicture picture = noise(240, 240);
  const Picture read = read_png(png(picture, {}), Engrave::dark);
  ArtRequest request = request_at({0.0, 0.0});
  request.width_mm = 24.0;
  for (const double pixel_mm : {0.2, 0.4, 0.16, 0.37}) {
    request.pixel_mm = pixel_mm;
    const Art art = read_art(png(picture, {}), request);
    EXPECT_NEAR(art.info.engraved_share, 0.5, 0.005) << pixel_mm;
  }
  request.pixel_mm = 0.4;
  const Drawing coarse = read_art(png(picture, {}), request).drawing;
  ASSERT_EQ(coarse.columns, 60);
  for (int row = 0; row < 60; ++row)
    for (int column = 0; column < 60; ++column) {
      double sum = 0.0;
      for (int j = 0; j < 4; ++j)
        for (int i = 0; i < 4; ++i)
          sum += read.tones.tone[static_cast<std::size_t>((4 * row + j) * 240 + 4 * column + i)];
      ASSERT_NEAR(coarse.tone[static_cast<std::size_t>(row * 60 + column)], sum / 16.0, 0.51);
    }
}

TEST(Picture, AsFineAsTheLaserItIsCopied) {
  const MadePicture picture = noise(50, 30);
  const Picture read = read_png(png(picture, {}), Engrave::dark);
  ArtRequest request = request_at({0.0, 0.0});
  request.width_mm = 5.0;
  EXPECT_EQ(read_art(png(picture, {}), request).drawing.tone, read.tones.tone);
}

TEST(Picture, PhotographsAreGreyAndEnlargedLineArtIsNot) {
  ArtRequest request = request_at({0.0, 0.0});
  request.width_mm = 40.0;
  EXPECT_EQ(read_art(png(noise(200, 200), {}), request).info.tone, Tone::grey);
  EXPECT_EQ(read_art(jpeg(block(40, 40, 8, 8, 12, 20), {}), request).info.tone, Tone::line_art);
  EXPECT_EQ(read_art(png(block(1600, 1600, 300, 300, 5, 900), {}), request).info.tone,
            Tone::line_art);
}

// Tag 0x0112 of a little- and a big-endian block (TIFF 6.0). The mark is stored at the left of the
// top row; where it is to be seen follows from the table of that specification.
TEST(Picture, AJpegIsTurnedUprightAsTheCameraSays) {
  const MadePicture picture = block(64, 32, 0, 0, 16, 8);
  const Vec2 seen_at[] = {{0, 1}, {1, 1}, {1, 0}, {0, 0}, {0, 1}, {1, 1}, {1, 0}, {0, 0}};
  for (int orientation = 1; orientation <= 8; ++orientation) {
    JpegStyle style;
    const char value = static_cast<char>(orientation);
    style.exif = std::string("Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0", 24) + value +
                 std::string(7, '\0');
    const Picture little = read_jpeg(jpeg(picture, style), Engrave::dark);
    style.exif = std::string("Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0", 25) +
                 value + std::string(6, '\0');
    const Picture big = read_jpeg(jpeg(picture, style), Engrave::dark);
    EXPECT_EQ(little.tones.tone, big.tones.tone);
    const bool stands = orientation >= 5;
    ASSERT_EQ(little.tones.columns, stands ? 32 : 64) << orientation;
    ASSERT_EQ(little.tones.rows, stands ? 64 : 32) << orientation;
    const Vec2 corner = seen_at[orientation - 1];
    const int column = corner.x() > 0 ? little.tones.columns - 1 : 0;
    const int row = corner.y() > 0 ? little.tones.rows - 1 : 0;
    const auto tone = [&](int x, int y) {
      return little.tones.tone[static_cast<std::size_t>(y * little.tones.columns + x)];
    };
    EXPECT_GT(tone(column, row), 200) << orientation;
    // 16 along the stored row and 8 across it: the mark stands when the picture does.
    EXPECT_GT(tone(std::abs(column - (stands ? 5 : 13)), std::abs(row - (stands ? 13 : 5))), 200)
        << orientation;
    EXPECT_LT(tone(std::abs(column - (stands ? 13 : 5)), std::abs(row - (stands ? 5 : 13))), 50)
        << orientation;
  }
}

TEST(Picture, ADamagedCameraTagIsLeftAlone) {
  for (const std::string& exif :
       {std::string("Exif\0\0II", 8), std::string("Exif\0\0II*\0\xFF\xFF\xFF\xFF", 14),
        std::string("Exif\0\0II*\0\x08\0\0\0\xFF\xFF", 16), std::string("Exif")}) {
    JpegStyle style;
    style.exif = exif;
    const Picture read = read_jpeg(jpeg(block(16, 8, 0, 0, 4, 4), style), Engrave::dark);
    EXPECT_EQ(read.tones.columns, 16);
  }
}

TEST(PictureErrors, SayThatAPngIsCutOffOrDamaged) {
  const std::string whole = png(noise(60, 60), {});
  const ArtRequest request = request_at({0.0, 0.0});
  ASSERT_EQ(complaint(whole, request), "");
  const std::string prefix = "the PNG is cut off or damaged (";
  for (const std::size_t kept : {9UL, 20UL, 40UL, whole.size() / 2, whole.size() - 20}) {
    const std::string text = complaint(whole.substr(0, kept), request);
    EXPECT_EQ(text.find(prefix), 0U) << kept << ": " << text;
    EXPECT_NE(text.find("; export or copy it again"), std::string::npos) << text;
  }
  std::string damaged = whole;
  damaged[whole.size() / 2] = static_cast<char>(damaged[whole.size() / 2] ^ 0x55);
  EXPECT_EQ(complaint(damaged, request).find(prefix), 0U);
}

TEST(PictureErrors, SayThatAJpegIsCutOffOrDamaged) {
  const std::string whole = jpeg(noise(60, 60), {});
  const ArtRequest request = request_at({0.0, 0.0});
  ASSERT_EQ(complaint(whole, request), "");
  const std::string prefix = "the JPEG is cut off or damaged (";
  for (const std::size_t kept : {4UL, 30UL, whole.size() / 2, whole.size() - 20}) {
    const std::string text = complaint(whole.substr(0, kept), request);
    EXPECT_EQ(text.find(prefix), 0U) << kept << ": " << text;
    EXPECT_NE(text.find("; save or copy it again"), std::string::npos) << text;
  }
}

TEST(PictureErrors, SayThatPrintingInksAreNotRead) {
  JpegStyle style;
  style.colours = JCS_CMYK;
  style.channels = 4;
  EXPECT_EQ(complaint(jpeg(made_picture(8, 8, {0, 0, 0, 0}), style), request_at({0.0, 0.0})),
            "the JPEG holds printing inks (CMYK); save it in RGB or in greys");
}

// The width and height in the header alone are enough to refuse; no such picture is decoded.
TEST(PictureErrors, RefuseTooManyPixelsByTheHeader) {
  PngStyle style;
  style.bit_depth = 1;
  MadePicture flat{8000, 6000, std::vector<std::uint8_t>(6000000, 0)};
  const std::string limit =
      "the picture has 8000 x 6000 pixels, 48 million; at most 40 million are read; scale it down; "
      "600 dpi at its size on the panel is more than the laser shows";
  const std::string bytes = png(flat, style);
  EXPECT_EQ(complaint(bytes, request_at({0.0, 0.0})), limit);
  EXPECT_EQ(complaint(bytes.substr(0, 100), request_at({0.0, 0.0})), limit);
  // A JPEG's frame header: FF C0, length, precision, height, width (ITU-T T.81, B.2.2).
  std::string claims = jpeg(made_picture(8, 8, {255}), {});
  const std::size_t frame = claims.find("\xFF\xC0");
  ASSERT_NE(frame, std::string::npos);
  claims.replace(frame + 5, 4, "\x17\x70\x1F\x40");
  EXPECT_EQ(complaint(claims, request_at({0.0, 0.0})), limit);
  EXPECT_THROW(check_picture_pixels(0.0, 5.0), ArtError);
}

TEST(PictureErrors, SayThatElementsNeedAnSvg) {
  ArtRequest request = request_at({0.0, 0.0});
  request.only_id = "moon";
  EXPECT_EQ(complaint(png(noise(8, 8), {}), request),
            "elements of a PNG or JPEG cannot be told apart; save the drawing as SVG, with an id "
            "on the element");
}

TEST(PictureErrors, SayThatAWhitePictureEngravesNothing) {
  EXPECT_EQ(complaint(png(made_picture(8, 8, {255}), {}), request_at({0.0, 0.0}))
                .find("nothing would be engraved: the art is white or clear throughout"),
            0U);
}

}  // namespace
}  // namespace rimeglow::raster_reader_test
