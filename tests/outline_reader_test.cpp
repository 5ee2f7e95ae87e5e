// Laws of tools/outline_reader: the shapes of an SVG come out as plane geometry knows them, in mm,
// whichever way they are drawn; curves stay within their tolerance. What is refused is in
// reader_errors_test.cpp.
#include "outline_reader.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "art_source.h"
#include "drawn_lines.h"
#include "made_up_art.h"
#include "made_up_outlines.h"
#include "panel_shape.h"

namespace rimeglow::outline_reader_test {
namespace {

constexpr const char* kMillimetres = "width=\"100mm\" height=\"80mm\" viewBox=\"0 0 100 80\"";

DrawnOutline drawn(const std::string& body, const std::string& page = kMillimetres) {
  return read_outline(svg(page, body), OutlineSize::by_file);
}

Outline outline(const std::string& body, const std::string& page = kMillimetres) {
  return made_up::built(drawn(body, page).lines);
}

Outline of_path(const std::string& data) { return outline("<path d=\"" + data + "\"/>"); }

// The same pieces, from whichever one begins.
void expect_same(const Outline& a, const Outline& b) {
  ASSERT_EQ(a.pieces.size(), b.pieces.size());
  EXPECT_LT((a.size_mm - b.size_mm).norm(), 1e-9);
  EXPECT_NEAR(area_mm2(a), area_mm2(b), 1e-9);
  for (const OutlinePiece& piece : a.pieces) {
    EXPECT_TRUE(std::any_of(b.pieces.begin(), b.pieces.end(), [&](const OutlinePiece& other) {
      return (piece.start_mm - other.start_mm).norm() < 1e-9 &&
             (piece.end_mm - other.end_mm).norm() < 1e-9 &&
             (!piece.round() || (piece.centre_mm - other.centre_mm).norm() < 1e-9) &&
             piece.edge == other.edge && std::abs(piece.radius_mm - other.radius_mm) < 1e-9;
    })) << piece.start_mm.transpose();
  }
}

const std::string kTag =
    "M25 68 H55 V63 A3 3 0 0 1 58 60 H80 V10 A10 10 0 0 0 70 0 H10 A10 10 0 0 0 0 10 V60 H22 "
    "A3 3 0 0 1 25 63 V68 Z M43 6 A3 3 0 1 1 37 6 A3 3 0 1 1 43 6 Z";

TEST(OutlineReader, ReadsATagWithItsArcsAndItsHole) {
  const DrawnOutline tag = drawn("<path d=\"" + kTag + "\"/>");
  EXPECT_TRUE(tag.warnings.empty());
  const Outline built = made_up::built(tag.lines);
  EXPECT_NEAR(area_mm2(built), made_up::kTagArea_mm2, 1e-9);
  EXPECT_LT((built.size_mm - Vec2(80.0, 68.0)).norm(), 1e-12);
  EXPECT_EQ(built.holes, 1);
}

TEST(OutlineReader, ARoundedRectIsTheBuiltInOne) {
  expect_same(outline("<rect x=\"7\" y=\"5\" width=\"60\" height=\"40\" rx=\"4\"/>"),
              rounded_rectangle(60.0, 40.0, 4.0));
  expect_same(outline("<rect width=\"60\" height=\"40\"/>"), rounded_rectangle(60.0, 40.0, 0.0));
}

TEST(OutlineReader, TheSamePathIsReadInEveryWayOfWriting) {
  const Outline square = rounded_rectangle(20.0, 30.0, 0.0);
  for (const char* data : {"M0 0H20V30H0Z", "m5,5 20,0 0,30-20,0z", "M0,0L20,0,20,30,0,30,0,0",
                           " M 0 0 h2e1 v+30 H0 z ", "M0 0 20 0 20 30 0 30Z", "M0.0.0l20 0v30h-20z",
                           "M0 0C5 0 15 0 20 0V30H0Z"}) {
    expect_same(of_path(data), square);
  }
  const Outline moon = of_path("M0 20A20 20 0 0 1 40 20Z");
  for (const char* data :
       {"M0 20A20,20,0,0,1,40,20z", "m40 20a20 20 0 0 0-40 0z", "M0 20a20 20 0 01 40 0z",
        "M0 20a20 20 0 0140 0z", "M0 20a9-9 0 0140 0z"}) {
    expect_same(of_path(data), moon);  // the last one's radius is too small, and made to reach
  }
}

// Turned, mirrored and scaled by groups: arcs stay arcs.
TEST(OutlineReader, TransformsThatKeepCirclesKeepArcs) {
  const Outline plain = of_path(kTag);
  const std::string path = "<path d=\"" + kTag + "\"/>";
  expect_same(outline("<g transform=\"translate(9,3)\">" + path + "</g>"), plain);
  expect_same(outline("<g transform=\"scale(-1 1)\">" + path + "</g>"), plain);
  expect_same(
      outline("<g transform=\"rotate(90) scale(2)\"><g transform=\"scale(.5) rotate(-90 3 4)"
              "\">" +
              path + "</g></g>"),
      plain);
  expect_same(
      outline("<g transform=\"matrix(0 .5 -.5 0 7 8)\"><g transform=\"scale(2),rotate(-90)\">" +
              path + "</g></g>"),
      plain);
  EXPECT_TRUE(drawn("<g transform=\"rotate(30)\">" + path + "</g>").warnings.empty());
}

TEST(OutlineReader, TheSizeComesFromThePage) {
  const std::string square = "<rect width=\"100\" height=\"50\"/>";
  const auto size = [&](const std::string& page) { return outline(square, page).size_mm; };
  EXPECT_LT(
      (size("width=\"10cm\" height=\"5cm\" viewBox=\"0 0 100 50\"") - Vec2(100.0, 50.0)).norm(),
      1e-9);
  EXPECT_LT((size("width=\"2in\" viewBox=\"0 0 100 50\"") - Vec2(50.8, 25.4)).norm(), 1e-9);
  EXPECT_LT((size("height=\"72pt\" viewBox=\"0 0 100 50\"") - Vec2(50.8, 25.4)).norm(), 1e-9);
  EXPECT_LT(
      (size("width=\"80mm\" height=\"80mm\" viewBox=\"0 0 100 50\"") - Vec2(80.0, 40.0)).norm(),
      1e-9);
  EXPECT_LT(
      (size("width=\"80mm\" height=\"80mm\" viewBox=\"0 0 100 50\" preserveAspectRatio=\"none\"") -
       Vec2(80.0, 80.0))
          .norm(),
      1e-9);
  const Vec2 guessed = kMmPerCssPixel * Vec2(100.0, 50.0);
  EXPECT_LT((size("viewBox=\"0 0 100 50\"") - guessed).norm(), 1e-9);
  EXPECT_LT((size("width=\"50mm\"") - guessed).norm(), 1e-9);  // units of the drawing are px then
  EXPECT_EQ(drawn(square, "viewBox=\"0 0 100 50\"").warnings.size(), 1u);
  EXPECT_TRUE(
      read_outline(svg("viewBox=\"0 0 100 50\"", square), OutlineSize::by_scene).warnings.empty());
}

// An ellipse in straight pieces: their corners lie on it, so that the area falls short by at most
// the tolerance along its way round (derived), and no less than nothing.
TEST(OutlineReader, OtherCurvesAreFollowedWithinTheirTolerance) {
  const DrawnOutline ellipse = drawn("<ellipse cx=\"50\" cy=\"40\" rx=\"40\" ry=\"20\"/>");
  ASSERT_EQ(ellipse.warnings.size(), 1u);
  for (const char* words : {"(4) are followed by", "straight pieces, within 0.01 mm"})
    EXPECT_NE(ellipse.warnings[0].find(words), std::string::npos) << ellipse.warnings[0];
  const Outline built = made_up::built(ellipse.lines);
  const double missing = kPi * 800.0 - area_mm2(built);
  EXPECT_GT(missing, 0.0);
  EXPECT_LT(missing, kFlat_mm * 200.0);
  for (const OutlinePiece& piece : built.pieces) {
    EXPECT_TRUE(piece.of_curve);
    const Vec2 middle = 0.5 * (piece.start_mm + piece.end_mm) - Vec2(40.0, 20.0);
    // Distance to the ellipse, to first order.
    const double inside = 1.0 - Vec2(middle.x() / 40.0, middle.y() / 20.0).norm();
    EXPECT_LT(inside * 20.0, kFlat_mm);
    EXPECT_GE(inside, 0.0);
  }
  // A circle of cubics, as drawing programs write it: its error by itself is 0.03 % of the radius
  // (common practice, no source).
  const Outline circle =
      of_path("M0 20C0 8.9543 8.9543 0 20 0S40 8.9543 40 20 31.0457 40 20 40 0 31.0457 0 20Z");
  EXPECT_NEAR(area_mm2(circle), kPi * 400.0, 0.0005 * kPi * 400.0 + kFlat_mm * 126.0);
  const Outline bow = of_path("M0 0Q20 40 40 0T80 0V60H0Z");
  EXPECT_NEAR(area_mm2(bow), 80.0 * 60.0, 2.0 * kFlat_mm * 100.0);  // one bow in, one as large out
}

TEST(OutlineReader, HiddenThingsAndWhatIsKeptForLaterDoNotCount) {
  const Outline disc = outline(
      "<defs><path d=\"M0 0H9V9Z\"/></defs><title>x</title><metadata><a/></metadata>"
      "<g display=\"none\"><rect width=\"9\" height=\"9\"/></g>"
      "<rect style=\"fill:red; display: none\" width=\"9\" height=\"9\"/>"
      "<g><!-- one --><a><circle cx=\"50\" cy=\"40\" r=\"20\"/></a></g>");
  EXPECT_NEAR(area_mm2(disc), kPi * 400.0, 1e-9);
  EXPECT_EQ(disc.holes, 0);
}

TEST(OutlineReader, WidthOrHeightScaleADrawnOutline) {
  PanelSpec panel;
  panel.width_mm = 160.0;
  ASSERT_FALSE(shape_panel(panel, drawn("<path d=\"" + kTag + "\"/>").lines));
  EXPECT_NEAR(panel.height_mm, 136.0, 1e-9);
  EXPECT_NEAR(area_mm2(*panel.shape), 4.0 * made_up::kTagArea_mm2, 1e-6);
  PanelSpec high;
  high.width_mm = 80.0;
  high.height_mm = 70.0;
  const auto problem = shape_panel(high, drawn("<path d=\"" + kTag + "\"/>").lines);
  ASSERT_TRUE(problem);
  EXPECT_EQ(problem->key, "panel.height");
  EXPECT_NE(problem->what.find("68 mm high when it is 80 mm wide"), std::string::npos)
      << problem->what;
}

}  // namespace
}  // namespace rimeglow::outline_reader_test
