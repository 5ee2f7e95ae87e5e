// SVG art comes to lie where, as large as and turned as it was asked, and whatever cannot be used
// is refused with words that say why and how to mend it. Expected places are plain geometry
// (derived); sizes follow CSS Values and Units 4, 6.2 (1 in = 25.4 mm = 96 px = 72 pt).
#include "art_reader.h"

#include <gtest/gtest.h>

#include <clocale>
#include <fstream>

#include <glib.h>
#include <unistd.h>

#include "engraving.h"
#include "made_up_art.h"

namespace rimeglow::art_reader_test {
namespace {

constexpr double kPixelMm = 0.1;

ArtRequest request_at(const Vec2& centre_mm) {
  ArtRequest request;
  request.centre_mm = centre_mm;
  request.pixel_mm = kPixelMm;
  return request;
}

// A page of 40 x 20 mm with a square of 10 x 10 mm, 2 mm from its left and 3 mm from its top.
std::string square_page() {
  return svg("width=\"40mm\" height=\"20mm\" viewBox=\"0 0 40 20\"",
             "<rect x=\"2\" y=\"3\" width=\"10\" height=\"10\"/>");
}

void expect_box(const InkBox& box, const Vec2& lower_left_mm, const Vec2& upper_right_mm) {
  const double near = 1.001 * kPixelMm;
  EXPECT_LE((box.lower_left_mm - lower_left_mm).cwiseAbs().maxCoeff(), near);
  EXPECT_LE((box.upper_right_mm - upper_right_mm).cwiseAbs().maxCoeff(), near);
}

TEST(SvgArt, ASquareLandsWhereItWasDrawnWithYUp) {
  const Art art = read_art(square_page(), request_at({100.0, 50.0}));
  // The page spans x 80..120 and y 40..60; 3 mm below its top is y = 57.
  const InkBox box = ink_box(art.drawing);
  expect_box(box, {82.0, 47.0}, {92.0, 57.0});
  EXPECT_NEAR(box.area_mm2, 100.0, 0.5);
  EXPECT_EQ(art.drawing.columns, 400);
  EXPECT_EQ(art.drawing.rows, 200);
  EXPECT_TRUE(art.drawing.origin_mm.isApprox(Vec2(80.0, 40.0)));
  EXPECT_EQ(art.info.format, ArtFormat::svg);
  EXPECT_EQ(art.info.tone, Tone::line_art);
  EXPECT_NEAR(art.info.engraved_share, 100.0 / 800.0, 0.001);
  EXPECT_TRUE(art.info.warnings.empty());
}

// A quarter turn counter-clockwise takes (dx, dy) about the centre to (-dy, dx): the square at
// dx -18..-8, dy -3..7 goes to dx -7..3, dy -18..-8.
TEST(SvgArt, AQuarterTurnIsCounterClockwise) {
  ArtRequest request = request_at({100.0, 50.0});
  request.rotate_rad = radians(90.0);
  const Art art = read_art(square_page(), request);
  expect_box(ink_box(art.drawing), {93.0, 32.0}, {103.0, 42.0});
  EXPECT_EQ(art.drawing.columns, 200);
  EXPECT_EQ(art.drawing.rows, 400);
}

TEST(SvgArt, TurnedAskewItKeepsItsAreaAndItsMiddleTurns) {
  ArtRequest request = request_at({100.0, 50.0});
  request.rotate_rad = radians(30.0);
  const Art art = read_art(square_page(), request);
  const InkBox box = ink_box(art.drawing);
  EXPECT_NEAR(box.area_mm2, 100.0, 0.5);
  const Vec2 middle = Eigen::Rotation2Dd(radians(30.0)) * Vec2(-13.0, 2.0) + Vec2(100.0, 50.0);
  const double half_mm = 5.0 * (std::cos(radians(30.0)) + std::sin(radians(30.0)));
  expect_box(box, middle - Vec2::Constant(half_mm), middle + Vec2::Constant(half_mm));
}

// What is composed covers the same as what is drawn at once (derived). Tones may differ where an
// edge passes: 0.002 of the area is a quarter of a pixel all round.
TEST(SvgArt, WhatIsComposedTurnsWhole) {
  const auto grouped = [](const std::string& attribute) {
    return svg("width=\"60mm\" height=\"40mm\" viewBox=\"0 0 60 40\"",
               "<mask id=\"m\"><path d=\"M0 0H60V40H0\" fill=\"white\"/></mask>"
               "<filter id=\"f\"><feOffset dx=\"0\"/></filter>"
               "<g " +
                   attribute + "><path id=\"r\" d=\"M0 0H60V40H0\"/></g>");
  };
  for (const double degrees : {30.0, 45.0, 90.0, 180.0, -45.0}) {
    ArtRequest request = request_at({100.0, 50.0});
    request.rotate_rad = radians(degrees);
    const InkBox plain = ink_box(read_art(grouped(""), request).drawing);
    for (const std::string attribute : {"mask=\"url(#m)\"", "filter=\"url(#f)\"",
                                        "style=\"mix-blend-mode:multiply\"", "opacity=\"0.999\""}) {
      const InkBox box = ink_box(read_art(grouped(attribute), request).drawing);
      EXPECT_NEAR(box.area_mm2, plain.area_mm2, 0.002 * plain.area_mm2) << attribute << degrees;
      expect_box(box, plain.lower_left_mm, plain.upper_right_mm);
    }
    request.only_id = "r";
    EXPECT_NEAR(ink_box(read_art(grouped("opacity=\"0.999\""), request).drawing).area_mm2,
                plain.area_mm2, 0.002 * plain.area_mm2);
  }
}

// A masked hairline is as wide, and nowhere paler, turned as upright.
TEST(SvgArt, MaskedHairlinesStaySharpWhenTurned) {
  const std::string bytes = svg(
      "width=\"40mm\" height=\"20mm\" viewBox=\"0 0 40 20\"",
      "<mask id=\"m\"><path stroke=\"white\" stroke-width=\"0.2\" d=\"M1 5H39M1 15H39M10 1V19M30 "
      "1V19\"/></mask><path d=\"M0 0H40V20H0\" mask=\"url(#m)\"/>");
  for (const double degrees : {20.0, 90.0}) {
    ArtRequest request = request_at({0.0, 0.0});
    request.rotate_rad = radians(degrees);
    const Drawing fired = engraved_in_full(read_art(bytes, request).drawing);
    EXPECT_NEAR(ink_box(fired).area_mm2, 0.2 * (2 * 38 + 2 * 18), 0.5) << degrees;
  }
}

TEST(SvgArt, AGivenWidthScalesBothWays) {
  ArtRequest request = request_at({0.0, 0.0});
  request.width_mm = 80.0;
  const Art art = read_art(square_page(), request);
  expect_box(ink_box(art.drawing), {-36.0, -6.0}, {-16.0, 14.0});
  EXPECT_TRUE(art.info.used_mm.isApprox(Vec2(80.0, 40.0)));
  EXPECT_TRUE(art.info.natural.mm.isApprox(Vec2(40.0, 20.0)));
}

struct SizeCase {
  const char* attributes;
  Vec2 size_mm;
  const char* from;
  bool guessed;
};

TEST(SvgArt, ItsSizeIsReadFromWhateverTheFileGives) {
  const SizeCase cases[] = {
      {"width=\"40mm\" height=\"20mm\"", {40.0, 20.0}, "its width and height in mm", false},
      {"width=\"4cm\" height=\"2cm\"", {40.0, 20.0}, "its width and height in cm", false},
      {"width=\"2in\" height=\"1in\"", {50.8, 25.4}, "its width and height in inches", false},
      {"width=\"72pt\" height=\"36pt\"", {25.4, 12.7}, "its width and height in points", false},
      {"width=\"40mm\" viewBox=\"0 0 80 20\"", {40.0, 10.0}, "its width in mm", false},
      {"height=\"10mm\" viewBox=\"0 0 80 20\"", {40.0, 10.0}, "its height in mm", false},
      {"width=\"96\" height=\"192px\"", {25.4, 50.8}, "96 px per inch", true},
      {"viewBox=\"0 0 96 48\"", {25.4, 12.7}, "96 px per inch", true},
      {"width=\"100%\" height=\"100%\" viewBox=\"5 5 96 48\"",
       {25.4, 12.7},
       "96 px per inch",
       true},
  };
  for (const SizeCase& example : cases) {
    const std::string bytes =
        svg(example.attributes, "<rect x=\"6\" y=\"6\" width=\"10\" height=\"10\"/>");
    const Art art = read_art(bytes, request_at({0.0, 0.0}));
    EXPECT_TRUE(art.info.natural.mm.isApprox(example.size_mm, 1e-9))
        << example.attributes << ": " << art.info.natural.mm.transpose();
    EXPECT_EQ(art.info.natural.from, example.from);
    EXPECT_EQ(art.info.natural.guessed, example.guessed);
    EXPECT_EQ(art.info.warnings.size(), example.guessed ? 1U : 0U);
  }
}

TEST(SvgArt, WithoutAnySizeTheBoxOfWhatItDrawsCounts) {
  const Art art = read_art(svg("", "<rect x=\"500\" y=\"-70\" width=\"96\" height=\"48\"/>"),
                           request_at({0.0, 0.0}));
  EXPECT_TRUE(art.info.natural.mm.isApprox(Vec2(25.4, 12.7), 1e-6));
  EXPECT_TRUE(art.info.natural.guessed);
  expect_box(ink_box(art.drawing), {-12.7, -6.35}, {12.7, 6.35});
}

TEST(SvgArt, AGuessedSizeIsSaidUnlessAWidthIsGiven) {
  const std::string bytes = svg("viewBox=\"0 0 96 48\"", "<rect width=\"96\" height=\"48\"/>");
  const Art guessed = read_art(bytes, request_at({0.0, 0.0}));
  ASSERT_EQ(guessed.info.warnings.size(), 1U);
  EXPECT_EQ(guessed.info.warnings[0],
            "The file does not say how large the art is; 25.4 x 12.7 mm was guessed from 96 px "
            "per inch. Give the art's width.");
  ArtRequest request = request_at({0.0, 0.0});
  request.width_mm = 30.0;
  EXPECT_TRUE(read_art(bytes, request).info.warnings.empty());
}

// Luma of ITU-R BT.709-6, item 3.2; opacity multiplies what is engraved.
TEST(SvgArt, TonesAreDarknessTimesOpacity) {
  const std::string bytes =
      svg("width=\"60mm\" height=\"10mm\" viewBox=\"0 0 6 1\"",
          "<rect x=\"0\" width=\"1\" height=\"1\" fill=\"#f00\"/>"
          "<rect x=\"1\" width=\"1\" height=\"1\" fill=\"#0f0\"/>"
          "<rect x=\"2\" width=\"1\" height=\"1\" fill=\"#00f\"/>"
          "<rect x=\"3\" width=\"1\" height=\"1\" fill=\"#000\" fill-opacity=\"0.25\"/>"
          "<rect x=\"4\" width=\"1\" height=\"1\" fill=\"#fff\"/>");
  ArtRequest request = request_at({30.0, 5.0});
  const Drawing dark = read_art(bytes, request).drawing;
  request.engrave = Engrave::light;
  const Drawing light = read_art(bytes, request).drawing;
  const double expected_dark[] = {1.0 - 0.2126, 1.0 - 0.7152, 1.0 - 0.0722, 0.25, 0.0, 0.0};
  const double expected_light[] = {0.2126, 0.7152, 0.0722, 0.0, 1.0, 0.0};
  for (int i = 0; i < 6; ++i) {
    EXPECT_NEAR(tone_at(dark, 10.0 * i + 5.0, 5.0), expected_dark[i], 0.005) << i;
    EXPECT_NEAR(tone_at(light, 10.0 * i + 5.0, 5.0), expected_light[i], 0.005) << i;
  }
}

TEST(SvgArt, ShadesAreGreyAndHairlinesAreCountedAsLost) {
  const std::string shade =
      "<linearGradient id=\"g\"><stop offset=\"0\"/><stop offset=\"1\" stop-color=\"#fff\"/>"
      "</linearGradient><rect width=\"40\" height=\"20\" fill=\"url(#g)\"/>";
  const std::string page = "width=\"40mm\" height=\"20mm\" viewBox=\"0 0 40 20\"";
  EXPECT_EQ(read_art(svg(page, shade), request_at({0.0, 0.0})).info.tone, Tone::grey);

  // Half of the ink is a square, half are hairlines of 0.04 mm, under half of 0.1 mm.
  std::string lines = "<rect width=\"4\" height=\"4\"/>";
  for (int i = 0; i < 10; ++i)
    lines += "<rect y=\"" + std::to_string(6 + i) + "\" width=\"40\" height=\"0.04\"/>";
  const Art art = read_art(svg(page, lines), request_at({0.0, 0.0}));
  ASSERT_EQ(art.info.warnings.size(), 1U);
  EXPECT_EQ(art.info.warnings[0],
            "50 % of the drawn area is lost: strokes thinner than half a raster spacing (0.05 mm) "
            "or paler than half tone do not fire.");
}

TEST(SvgArt, ElementsAreDrawnAloneOrLeftOut) {
  const std::string bytes =
      svg("width=\"30mm\" height=\"10mm\" viewBox=\"0 0 30 10\"",
          "<defs><clipPath id=\"c\"><rect x=\"2\" width=\"4\" height=\"10\"/></clipPath></defs>"
          "<rect id=\"frame\" x=\"20\" width=\"10\" height=\"10\"/>"
          "<g transform=\"translate(1 0)\"><rect id=\"moon\" style=\"display:inline\" "
          "width=\"8\" height=\"10\" clip-path=\"url(#c)\"/></g>"
          "<rect id=\"a&quot;b]\" x=\"12\" width=\"5\" height=\"10\"/>");
  ArtRequest request = request_at({15.0, 5.0});
  request.only_id = "moon";
  expect_box(ink_box(read_art(bytes, request).drawing), {3.0, 0.0}, {7.0, 10.0});
  request.only_id.reset();
  request.without_ids = {"moon"};
  expect_box(ink_box(read_art(bytes, request).drawing), {12.0, 0.0}, {30.0, 10.0});
  request.without_ids = {"moon", "a\"b]"};
  expect_box(ink_box(read_art(bytes, request).drawing), {20.0, 0.0}, {30.0, 10.0});
  request.without_ids = {"frame", "moon"};
  request.only_id = "frame";
  EXPECT_NE(complaint(bytes, request).find("nothing would be engraved"), std::string::npos);
}

TEST(SvgArt, TheSelectedAndTheRestMakeTheWhole) {
  ArtRequest request = request_at({0.0, 0.0});
  const std::string bytes = svg("width=\"20mm\" height=\"10mm\" viewBox=\"0 0 20 10\"",
                                "<circle id=\"sun\" cx=\"5\" cy=\"5\" r=\"3.3\"/>"
                                "<circle cx=\"15\" cy=\"5\" r=\"4.2\"/>");
  const Drawing whole = read_art(bytes, request).drawing;
  request.only_id = "sun";
  const Drawing sun = read_art(bytes, request).drawing;
  request.only_id.reset();
  request.without_ids = {"sun"};
  const Drawing rest = read_art(bytes, request).drawing;
  for (std::size_t i = 0; i < whole.tone.size(); ++i)
    ASSERT_EQ(whole.tone[i], sun.tone[i] + rest.tone[i]);
}

TEST(SvgArt, TextAndLinkedPicturesAreWarnedOf) {
  const std::string page = "width=\"20mm\" height=\"10mm\" viewBox=\"0 0 20 10\"";
  const std::string square = "<rect width=\"9\" height=\"9\"/>";
  // Not shown, so that the test needs no fonts.
  const std::string words = "<g display=\"none\"><text x=\"1\" y=\"5\">Vega</text></g>";
  const Art text = read_art(svg(page, square + words), request_at({0.0, 0.0}));
  ASSERT_EQ(text.info.warnings.size(), 1U);
  EXPECT_NE(text.info.warnings[0].find("turn text into paths"), std::string::npos);
  const Art none =
      read_art(svg(page, square + "<title>context: text</title>"), request_at({0.0, 0.0}));
  EXPECT_TRUE(none.info.warnings.empty());
}

std::string svg_with_picture(const std::string& address) {
  return svg("width=\"20mm\" height=\"10mm\" viewBox=\"0 0 20 10\"",
             "<rect width=\"5\" height=\"10\"/><image x=\"10\" width=\"10\" height=\"10\" "
             "xlink:href=\"" +
                 address + "\"/>");
}

// The file exists and is readable, and the same picture embedded is drawn.
TEST(SvgArt, NoOtherFileIsRead) {
  const std::string picture = png(made_picture(8, 8, {0}), {});
  const std::filesystem::path path = std::filesystem::temp_directory_path() /
                                     ("art_reader_test_" + std::to_string(::getpid()) + ".png");
  std::ofstream(path, std::ios::binary) << picture;
  const Art linked = read_art(svg_with_picture("file://" + path.string()), request_at({10.0, 5.0}));
  std::filesystem::remove(path);
  expect_box(ink_box(linked.drawing), {0.0, 0.0}, {5.0, 10.0});
  ASSERT_EQ(linked.info.warnings.size(), 1U);
  EXPECT_NE(linked.info.warnings[0].find("embed it"), std::string::npos);

  char* const text =
      g_base64_encode(reinterpret_cast<const guchar*>(picture.data()), picture.size());
  const std::string address = std::string("data:image/png;base64,") + text;
  g_free(text);
  const Art embedded = read_art(svg_with_picture(address), request_at({10.0, 5.0}));
  expect_box(ink_box(embedded.drawing), {0.0, 0.0}, {20.0, 10.0});
  EXPECT_TRUE(embedded.info.warnings.empty());
}

TEST(SvgArt, ADecimalCommaLocaleChangesNothing) {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  const char* const found = std::setlocale(LC_ALL, "de_DE.UTF-8");
  if (found == nullptr) GTEST_SKIP() << "no locale with a decimal comma is installed";
  const std::string bytes = svg("width=\"12.5mm\" height=\"7.5mm\" viewBox=\"0 0 12.5 7.5\"",
                                "<rect x=\"2.5\" y=\"2.5\" width=\"5.5\" height=\"2.5\"/>");
  const Art art = read_art(bytes, request_at({6.25, 3.75}));
  std::setlocale(LC_ALL, before.c_str());
  expect_box(ink_box(art.drawing), {2.5, 2.5}, {8.0, 5.0});
}

TEST(ArtErrors, SayWhatIsWrongWithTheFileAndHowToMendIt) {
  const ArtRequest request = request_at({0.0, 0.0});
  EXPECT_EQ(complaint("", request), "the file is empty; save or copy it again");
  EXPECT_EQ(complaint("%PDF-1.7 ...", request),
            "the file is no SVG, PNG or JPEG: it begins with \"%PDF-1.7\", which looks like a PDF; "
            "export it as plain SVG (drawings) or as PNG or JPEG (pictures)");
  EXPECT_EQ(complaint("\x1F\x8B\x08\x01", request),
            "the file is no SVG, PNG or JPEG: it begins with the bytes 1F 8B 08 01, which looks "
            "like a compressed file (SVGZ); export it as plain SVG (drawings) or as PNG or JPEG "
            "(pictures)");
  using namespace std::string_literals;
  EXPECT_NE(complaint("MM\0*\0\0\0\b"s, request).find("a TIFF"), std::string::npos);
  EXPECT_EQ(complaint("MMXXVI, in Roman figures", request).find("a TIFF"), std::string::npos);
  EXPECT_EQ(complaint("<!DOCTYPE html><html></html>", request),
            "the file is marked-up text (XML or HTML) without an <svg> element; export the drawing "
            "as plain SVG");
  EXPECT_NE(complaint(" \n ", request).find("is no SVG"), std::string::npos);
  const std::string cut = square_page().substr(0, square_page().size() - 20);
  EXPECT_EQ(complaint(cut, request).find("the SVG cannot be read ("), 0U)
      << complaint(cut, request);
  EXPECT_NE(complaint(cut, request).find("save it again as plain SVG"), std::string::npos);
  EXPECT_EQ(complaint(square_page() + std::string(kMostSvgBytes, ' '), request),
            "the SVG has 25.0 million bytes; at most 25 million are read; take out embedded "
            "pictures or simplify its paths");
}

TEST(ArtErrors, SayWhatIsWrongWithTheArt) {
  const ArtRequest request = request_at({0.0, 0.0});
  const std::string page = "width=\"20mm\" height=\"10mm\" viewBox=\"0 0 20 10\"";
  EXPECT_EQ(complaint(svg(page, ""), request),
            "nothing would be engraved: the art is white or clear throughout; draw it in black, "
            "engrave its light parts instead, or look whether it was saved empty");
  EXPECT_EQ(complaint(svg("", ""), request),
            "the art has no size: 0.0 x 0.0 mm by the box of what it draws, 96 px per inch; set "
            "its width, height and viewBox (SVG) in the drawing program");
  EXPECT_EQ(
      complaint(svg("width=\"0\" height=\"10mm\"", "<rect width=\"9\" height=\"9\"/>"), request)
          .find("the art has no size: 0.0 x 10.0 mm"),
      0U);
  EXPECT_EQ(complaint(svg(page, "<rect width=\"20\" height=\"0.03\"/>"), request),
            "nothing would be engraved: there are only strokes thinner than half a raster spacing "
            "(0.05 mm) or paler than half tone; draw the strokes thicker and darker, or make the "
            "art larger or the raster finer");
  ArtRequest selecting = request;
  selecting.only_id = "moon";
  EXPECT_EQ(complaint(square_page(), selecting),
            "the SVG has no element with the id \"moon\"; give the element that id in the drawing "
            "program's object properties");
  ArtRequest light = request;
  light.engrave = Engrave::light;
  EXPECT_EQ(complaint(square_page(), light),
            "nothing would be engraved: the art is black or clear throughout; engrave its dark "
            "parts instead, or look whether it was saved empty");
}

TEST(ArtErrors, SayWhichNumberIsOverItsLimit) {
  ArtRequest request = request_at({0.0, 0.0});
  request.width_mm = 2000.0;
  EXPECT_EQ(complaint(square_page(), request),
            "at a raster spacing of 0.1 mm the art of 2000.0 x 1000.0 mm takes 20000 x 10000 laser "
            "pixels; at most 64 million and 32767 a side are worked on; make the art 1.8 times "
            "smaller or the spacing 1.8 times coarser");
  request.width_mm = 0.0;
  EXPECT_EQ(complaint(square_page(), request),
            "the art's width is 0 mm; give a width above 0, or none for the file's own size");
  request.width_mm = 1e12;
  EXPECT_NE(complaint(square_page(), request).find("give it a width that fits a panel"),
            std::string::npos);
  request = request_at({0.0, 0.0});
  request.pixel_mm = 0.0;
  EXPECT_EQ(complaint(square_page(), request),
            "the raster spacing is 0 mm; give a spacing above 0");
  request = request_at({std::nan(""), 0.0});
  EXPECT_NE(complaint(square_page(), request).find("is not a number"), std::string::npos);
}

TEST(ArtFile, IsReadWholeOrRefused) {
  const std::filesystem::path folder = std::filesystem::temp_directory_path();
  const std::filesystem::path path = folder / ("art_file_" + std::to_string(::getpid()) + ".svg");
  std::ofstream(path, std::ios::binary) << square_page();
  EXPECT_EQ(read_art_file(path), square_page());
  std::filesystem::resize_file(path, kMostFileBytes + 1);
  EXPECT_THROW(read_art_file(path), ArtError);
  std::filesystem::resize_file(path, 0);
  EXPECT_EQ(read_art_file(path), "");
  std::filesystem::remove(path);
  EXPECT_THROW(read_art_file(path), ArtError);
  EXPECT_THROW(read_art_file(folder), ArtError);
  EXPECT_THROW(read_art_file("/dev/zero"), ArtError);
}

}  // namespace
}  // namespace rimeglow::art_reader_test
