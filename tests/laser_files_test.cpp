// The laser's files: read back by other code than wrote them (libpng's reader, librsvg).
#include "laser_files.h"

#include <gtest/gtest.h>

#include <cmath>

#include "made_up_art.h"

namespace rimeglow::laser_files_test {
namespace {

Drawing some_dots() {
  Drawing dots{30, 20, kMmPerInch / 300.0, Vec2(4.0, 7.0), {}};
  for (int i = 0; i < 600; ++i) dots.tone.push_back(i % 7 == 0 || i < 40 ? 255 : 0);
  return dots;
}

TEST(EngravingPng, IsThePanelsSizeAtTheMachinesResolution) {
  const Vec2 panel(40.0, 30.0);
  const std::string png = engraving_png(some_dots(), panel, Side::front);
  EXPECT_EQ(png[24], 1) << "bit depth, in IHDR";
  ArtRequest request;
  request.pixel_mm = kMmPerInch / 300.0;
  request.centre_mm = 0.5 * panel;
  const Art art = read_art(png, request);
  EXPECT_NE(art.info.natural.from.find("300 dpi"), std::string::npos) << art.info.natural.from;
  EXPECT_NEAR(art.info.natural.mm.x(), panel.x(), 0.05);
  EXPECT_NEAR(art.info.natural.mm.y(), panel.y(), 0.05);
  EXPECT_EQ(art.info.picture_columns, std::lround(40.0 / request.pixel_mm));
  const InkBox box = ink_box(art.drawing);
  EXPECT_NEAR(box.lower_left_mm.x(), 4.0, 0.09);
  EXPECT_NEAR(box.lower_left_mm.y(), 7.0, 0.09);
}

TEST(EngravingPng, IsMirroredForTheBackAndComesBackDotByDot) {
  const Vec2 panel(40.0, 30.0);
  const Drawing dots = some_dots();
  const auto count = [](const Drawing& drawing) {
    return std::count(drawing.tone.begin(), drawing.tone.end(), 255);
  };
  for (const Side face : {Side::front, Side::back}) {
    const Drawing back = dots_in_png(engraving_png(dots, panel, face), dots.pixel_mm, face);
    ASSERT_EQ(count(back), count(dots));
    const auto left = static_cast<int>(std::lround(4.0 / dots.pixel_mm));
    const auto bottom = static_cast<int>(std::lround(7.0 / dots.pixel_mm));
    for (int row = 0; row < dots.rows; ++row)
      for (int column = 0; column < dots.columns; ++column)
        ASSERT_EQ(
            back.tone[static_cast<std::size_t>((bottom + row) * back.columns + left + column)],
            dots.tone[static_cast<std::size_t>(row * dots.columns + column)]);
  }
  const Drawing seen =
      dots_in_png(engraving_png(dots, panel, Side::back), dots.pixel_mm, Side::front);
  EXPECT_NEAR(ink_box(seen).upper_right_mm.x(), 40.0 - 4.0, 0.09);
}

TEST(EngravingPng, DotsBeyondThePanelAreRefused) {
  EXPECT_THROW(engraving_png(some_dots(), Vec2(5.0, 30.0), Side::back), std::length_error);
}

// Drawn by librsvg: where the outline's own line runs, in millimetres.
InkBox drawn_box(const std::string& svg) {
  ArtRequest request;
  request.pixel_mm = 0.02;
  request.only_id = "outline";
  const Art art = read_art(svg, request);
  InkBox box = ink_box(art.drawing);
  box.lower_left_mm -= art.drawing.origin_mm;
  box.upper_right_mm -= art.drawing.origin_mm;
  return box;
}

TEST(LaserSvg, TheOutlineIsTrueToSizeAndLargerByHalfTheKerfAllRound) {
  for (const double radius : {0.0, 4.0}) {
    const Outline outline = rounded_rectangle(60.0, 40.0, radius);
    for (const double kerf : {0.0, 0.3}) {
      const std::string svg = laser_svg(outline, Side::back, kerf, {}, Jig::left_out);
      const InkBox box = drawn_box(svg);
      const Vec2 size = box.upper_right_mm - box.lower_left_mm;
      EXPECT_NEAR(size.x(), 60.0 + kerf + 0.1, 0.05) << radius << " " << kerf;
      EXPECT_NEAR(size.y(), 40.0 + kerf + 0.1, 0.05) << radius << " " << kerf;
      EXPECT_NEAR(box.lower_left_mm.x(), 20.0 - 0.5 * kerf - 0.05, 0.05);
    }
  }
}

// Where a part's lines, 0.1 mm wide, cross a height or a column, from the rim's lower left corner.
std::vector<double> crossings(const std::string& svg, const std::string& part, bool along_x,
                              double at_mm) {
  ArtRequest request;
  request.pixel_mm = 0.04;
  request.only_id = part;
  const Art art = read_art(svg, request);
  const Coverage drawn(art.drawing);
  const double size_mm = art.drawing.pixel_mm * std::max(art.drawing.columns, art.drawing.rows);
  std::vector<double> places;
  bool inside = false;
  for (double mm = -20.0; mm < size_mm - 20.0; mm += 0.02) {
    const Vec2 point = along_x ? Vec2(mm, at_mm) : Vec2(at_mm, mm);
    const Vec2 page = art.drawing.origin_mm + Vec2(20.0, 20.0) + point;
    const bool on = drawn.at(page.x(), page.y()) > 0.5;
    if (on && !inside) places.push_back(mm + 0.05);
    inside = on;
  }
  return places;
}

void expect_near(const std::vector<double>& found, const std::vector<double>& expected) {
  ASSERT_EQ(found.size(), expected.size());
  for (std::size_t i = 0; i < found.size(); ++i) EXPECT_NEAR(found[i], expected[i], 0.1) << i;
}

// Round at the upper left alone. 2 mm below the top that corner is 10 - sqrt(10^2 - 8^2) = 4 mm in;
// bent the other way it would be 9.8 mm in, in a box of the same size. On the back it lies right.
TEST(LaserSvg, ARoundCornerBulgesOutwardOnEitherFaceAndIsMirroredOnTheBack) {
  Outline outline = empty_outline({60.0, 40.0});
  const Vec2 rim[] = {{0, 30}, {0, 0}, {60, 0}, {60, 40}, {10, 40}};
  for (std::size_t i = 0; i < 4; ++i) {
    OutlinePiece piece;
    piece.start_mm = rim[i];
    piece.end_mm = rim[i + 1];
    append(outline, piece);
  }
  OutlinePiece corner;
  corner.start_mm = rim[4];
  corner.end_mm = rim[0];
  corner.centre_mm = {10.0, 30.0};
  corner.radius_mm = 10.0;
  append(outline, corner);
  const std::string front = laser_svg(outline, Side::front, 0.0, {}, Jig::left_out);
  const std::string back = laser_svg(outline, Side::back, 0.0, {}, Jig::left_out);
  expect_near(crossings(front, "outline", true, 38.0), {4.0, 60.0});
  expect_near(crossings(back, "outline", true, 38.0), {0.0, 56.0});
  expect_near(crossings(back, "outline", true, 2.0), {0.0, 60.0});
}

// The beam runs half a kerf within the window's rim, so that the window is as large as the blank.
TEST(LaserSvg, TheJigsWindowIsAsLargeAsTheBlank) {
  const std::string svg =
      laser_svg(rounded_rectangle(60.0, 40.0, 0.0), Side::front, 1.0, {}, Jig::drawn);
  expect_near(crossings(svg, "jig", true, 20.0), {-15.0, 0.5, 59.5, 75.0});
  expect_near(crossings(svg, "jig", false, 30.0), {-15.0, 0.5, 39.5, 55.0});
}

// An angle bracket with a round hole: the kerf goes outward at the rim, its hollow corner and in
// the hole, so that arms stay as wide, plus the kerf, and the hole is smaller by it.
TEST(LaserSvg, HollowCornersAndHolesKeepTheirKerfToo) {
  Outline outline = empty_outline({40.0, 40.0});
  const Vec2 rim[] = {{0, 0}, {40, 0}, {40, 12}, {12, 12}, {12, 40}, {0, 40}};
  for (std::size_t i = 0; i < 6; ++i) {
    OutlinePiece piece;
    piece.start_mm = rim[i];
    piece.end_mm = rim[(i + 1) % 6];
    append(outline, piece);
  }
  for (int quarter = 0; quarter < 4; ++quarter) {  // clockwise
    OutlinePiece piece;
    piece.centre_mm = {6.0, 6.0};
    const double from = -0.5 * kPi * quarter;
    piece.start_mm = piece.centre_mm + 3.0 * Vec2(std::cos(from), std::sin(from));
    piece.end_mm =
        piece.centre_mm + 3.0 * Vec2(std::cos(from - 0.5 * kPi), std::sin(from - 0.5 * kPi));
    piece.radius_mm = -3.0;
    append(outline, piece);
  }
  const double kerf = 1.0;
  const std::string svg = laser_svg(outline, Side::front, kerf, {}, Jig::left_out);
  expect_near(crossings(svg, "outline", true, 30.0), {-0.5, 12.5});
  expect_near(crossings(svg, "outline", false, 30.0), {-0.5, 12.5});
  expect_near(crossings(svg, "outline", true, 6.0), {-0.5, 3.5, 8.5, 40.5});
}

// A line of the second mark from (4, 6) to (24, 36) on a panel 60 mm wide: where it crosses a
// height.
TEST(LaserSvg, ScoredLinesLieWhereTheyAreOnThePanelAndAreMirroredOnTheBack) {
  const std::vector<Engraving> engravings = {
      {engraving_png(some_dots(), Vec2(60.0, 40.0), Side::back)},
      {"", {{{4.0, 6.0}, {24.0, 36.0}}, {{50.0, 1.0}, {50.0, 39.0}, {55.0, 39.0}}}}};
  const Outline outline = rounded_rectangle(60.0, 40.0, 0.0);
  for (const Side face : {Side::front, Side::back}) {
    const std::string svg = laser_svg(outline, face, 0.2, engravings, Jig::left_out);
    EXPECT_EQ(svg.find("engraving-2"), std::string::npos);
    if (face == Side::front) {
      expect_near(crossings(svg, "scored-2", true, 11.0), {7.33, 50.0});
    } else {
      expect_near(crossings(svg, "scored-2", true, 11.0), {10.0, 52.67});
    }
  }
}

TEST(LaserSvg, PartsAreToldApartByTheirIdsAlone) {
  const std::string png = engraving_png(some_dots(), Vec2(60.0, 40.0), Side::back);
  const std::string svg =
      laser_svg(rounded_rectangle(60.0, 40.0, 3.0), Side::back, 0.2,
                std::vector<Engraving>{{png}, {"", {{{1.0, 2.0}, {3.0, 4.0}}}}, {png}}, Jig::drawn);
  for (const char* id : {"\"engraving\"", "\"engraving-3\"", "\"scored-2\"", "\"outline\"",
                         "\"ruler-50-mm\"", "\"jig\""})
    EXPECT_NE(svg.find(std::string("id=") + id), std::string::npos) << id;
  const auto count = [&](const std::string& word) {
    int found = 0;
    for (auto at = svg.find(word); at != std::string::npos; at = svg.find(word, at + 1)) ++found;
    return found;
  };
  EXPECT_EQ(count("stroke="), 1);
  EXPECT_EQ(count("stroke-width="), 1);
  EXPECT_EQ(count("fill="), 1);
  ArtRequest ruler;
  ruler.pixel_mm = 0.05;
  ruler.only_id = "ruler-50-mm";
  const InkBox bar = ink_box(read_art(svg, ruler).drawing);
  EXPECT_NEAR(bar.upper_right_mm.x() - bar.lower_left_mm.x(), kRuler_mm + 0.1, 0.1);
  const std::string narrow =
      laser_svg(rounded_rectangle(20.0, 40.0, 3.0), Side::front, 0.2, {}, Jig::left_out);
  EXPECT_NE(narrow.find("viewBox=\"0 0 90.0000 80.0000\""), std::string::npos)
      << "the ruler and 20 mm beside it";
}

}  // namespace
}  // namespace rimeglow::laser_files_test
