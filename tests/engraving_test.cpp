// From drawing and density plan to dots. Expected values are derived here; nothing is left to
// chance. Spot and pixel are those of the star map: 0.12 mm at 400 dots per inch.
#include "engraving.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "engraving_strokes.h"
#include "made_up_drawings.h"

namespace rimeglow::engraving_test {
namespace {

using made_up::blank;
using made_up::filled;
using made_up::kPixelMm;
using made_up::pixel;

const Screen& screen() {
  static const Screen made = screen_of({0.12, ScanAxis::x}, kPixelMm);
  return made;
}

Density everywhere(double share) {
  Density density;
  density.share = {share};
  return density;
}

double burnt_mm2(const Drawing& dots) {
  const Coverage coverage = burn(dots, screen().beam);
  return coverage.burnt_area_mm2(coverage.lower_left_mm(), coverage.upper_right_mm());
}

TEST(Density, IsSaidInTheMiddlesAndStraightBetween) {
  const Density density{Vec2(10.0, 20.0), Vec2(4.0, 5.0), 2, 2, {0.2, 0.6, 0.4, 1.0}};
  EXPECT_DOUBLE_EQ(density.at({12.0, 22.5}), 0.2);
  EXPECT_DOUBLE_EQ(density.at({16.0, 22.5}), 0.6);
  EXPECT_DOUBLE_EQ(density.at({14.0, 22.5}), 0.4);
  EXPECT_DOUBLE_EQ(density.at({14.0, 25.0}), 0.55);
  EXPECT_DOUBLE_EQ(density.at({-50.0, 0.0}), 0.2);
  EXPECT_DOUBLE_EQ(density.at({50.0, 90.0}), 1.0);
  EXPECT_DOUBLE_EQ(Density{}.at({3.0, 4.0}), 1.0);
}

// A block of 6 x 5 keeps its rim, a stroke two dots wide all of itself.
TEST(Outlined, OnlyTheRimOfWhatIsDrawnFires) {
  const Drawing block = filled(blank(12, 9), 0, 1, 6, 5, 200);
  EXPECT_EQ(outlined(filled(block, 8, 0, 2, 9, 130)).tone,
            filled(filled(filled(blank(12, 9), 0, 1, 6, 5), 1, 2, 4, 3, 0), 8, 0, 2, 9).tone);
}

// Where strokes two dots wide cross, and where one is three wide in places, no hole is left.
TEST(Outlined, NarrowStrokesFireThroughout) {
  const Drawing crossing = filled(filled(blank(12, 12), 0, 5, 12, 2), 5, 0, 2, 12);
  EXPECT_EQ(outlined(crossing).tone, crossing.tone);
  const Drawing stroke = filled(filled(blank(30, 8), 1, 2, 20, 3), 21, 2, 8, 2);
  EXPECT_EQ(outlined(stroke).tone, stroke.tone);
}

// Of a stroke three dots wide the middle is left, and a dot alone is; thin lines stay as they are.
TEST(Thinned, StrokesAreOneDotWide) {
  const Drawing strokes = filled(filled(blank(20, 9), 1, 2, 14, 3), 18, 6, 1, 1);
  const Drawing lines = thinned(strokes);
  for (int column = 3; column < 13; ++column)
    for (int row = 1; row < 6; ++row)
      EXPECT_EQ(lines.tone[lines.index(column, row)], row == 3 ? kOn : kOff)
          << column << " " << row;
  EXPECT_EQ(lines.tone[lines.index(18, 6)], kOn);
  EXPECT_EQ(thinned(lines).tone, lines.tone);
}

TEST(Engraved, LineArtWithoutAPlanIsItsDarkerHalf) {
  Drawing drawing = filled(blank(8, 8), 2, 2, 4, 4);
  pixel(drawing, 1, 2) = 127;
  pixel(drawing, 6, 2) = 128;
  Drawing expected = filled(blank(8, 8), 2, 2, 4, 4);
  pixel(expected, 6, 2) = 255;
  EXPECT_EQ(engraved_in_full(drawing).tone, expected.tone);
  EXPECT_EQ(engraved(drawing, Tone::line_art, screen()).tone, expected.tone);
  EXPECT_TRUE(engraved_in_full(drawing).origin_mm.isApprox(drawing.origin_mm));
}

// A spot narrower than the lines' spacing never burns all: of what it can, a grey is meant to burn
// its tone, to a step of 255.
TEST(Engraved, AGreyIsMeantToBurnItsToneOfWhatCanBeBurnt) {
  const Screen narrow = screen_of({0.05, ScanAxis::x}, kPixelMm);
  ASSERT_LT(narrow.area.most(), 0.9);
  const Drawing grey = filled(blank(60, 60), 10, 10, 40, 40, 128);
  const Coverage wanted = meant(grey, Tone::grey, narrow);
  const double area_mm2 = 40.0 * 40.0 * kPixelMm * kPixelMm;
  EXPECT_NEAR(wanted.burnt_area_mm2(wanted.lower_left_mm(), wanted.upper_right_mm()) / area_mm2,
              128.0 / 255.0 * narrow.area.most(), 0.51 / 255.0);
}

// The inverse of dot growth at work: the burnt share, not the fired one, is the tone. Without it a
// tone of 0.25 would burn 0.88.
TEST(Engraved, AGreyBurnsItsTone) {
  for (const int tone : {3, 13, 40, 64, 128, 191, 230, 250}) {
    const int side = 3 * kScreenSide;
    const Drawing grey =
        filled(blank(side, side), 0, 0, side, side, static_cast<std::uint8_t>(tone));
    const Coverage coverage = burn(engraved(grey, Tone::grey, screen()), screen().beam);
    // One tile in the middle: no rim, every rank once.
    const Vec2 from = grey.origin_mm + Vec2::Constant(kScreenSide * kPixelMm);
    const Vec2 to = from + Vec2::Constant(kScreenSide * kPixelMm);
    EXPECT_NEAR(coverage.burnt_area_mm2(from, to) / (to - from).prod(), tone / 255.0, 0.003)
        << tone;
  }
}

TEST(Engraved, WhatIsBlankNeverFiresAndWhatIsFullAlwaysDoes) {
  Drawing drawing = blank(256, 100);
  for (int row = 0; row < 100; ++row)
    for (int column = 0; column < 256; ++column)
      pixel(drawing, column, row) = static_cast<std::uint8_t>(column);
  const Drawing dots = engraved(drawing, Tone::grey, screen());
  for (std::size_t i = 0; i < drawing.tone.size(); ++i) {
    ASSERT_TRUE(dots.tone[i] == 0 || dots.tone[i] == 255);
    const bool is_settled = drawing.tone[i] == 0 || drawing.tone[i] == 255;
    ASSERT_TRUE(!is_settled || dots.tone[i] == drawing.tone[i]);
  }
}

// A plan from 0.15 to 1 across a solid of 30 mm: in every cell of 4 mm what is burnt is within 1 %
// of the cell of what was planned.
TEST(Engraved, EveryCellOfASolidBurnsWhatThePlanSays) {
  const int side = 480;
  const Drawing solid = filled(blank(side, side), 0, 0, side, side);
  Density plan{solid.origin_mm, Vec2(5.0, 7.0), 6, 4, {}};
  for (int i = 0; i < plan.columns * plan.rows; ++i)
    plan.share.push_back(0.15 + 0.85 * (i % plan.columns) / 5.0 * (1 + i / plan.columns) / 4.0);
  const Coverage coverage = burn(engraved(solid, Tone::line_art, screen(), plan), screen().beam);
  constexpr double kCellMm = 4.0;
  for (double y = 1.0; y < 25.0; y += kCellMm)
    for (double x = 1.0; x < 25.0; x += kCellMm) {
      const Vec2 from = solid.origin_mm + Vec2(x, y);
      double planned = 0.0;
      for (int j = 0; j < 20; ++j)
        for (int i = 0; i < 20; ++i)
          planned += plan.at(from + kCellMm / 20.0 * Vec2(i + 0.5, j + 0.5)) / 400.0;
      const double burnt =
          coverage.burnt_area_mm2(from, from + Vec2::Constant(kCellMm)) / (kCellMm * kCellMm);
      EXPECT_NEAR(burnt, planned, 0.01) << x << " " << y;
    }
}

TEST(Engraved, AFullPlanChangesNothingAndAnEmptyOneBurnsNothing) {
  Drawing drawing = filled(filled(blank(200, 200), 20, 20, 60, 60), 0, 120, 200, 2);
  drawing = filled(drawing, 120, 20, 3, 3);
  EXPECT_EQ(engraved(drawing, Tone::line_art, screen(), everywhere(1.0)).tone, drawing.tone);
  EXPECT_EQ(burnt_mm2(engraved(drawing, Tone::line_art, screen(), everywhere(0.0))), 0.0);
}

// ---- thin strokes

// Strokes two pixels wide, level, upright and slanting.
Drawing stroke(double degrees) {
  Drawing drawing = blank(600, 600);
  const Vec2 along(std::cos(degrees * 3.141592653589793 / 180.0),
                   std::sin(degrees * 3.141592653589793 / 180.0));
  for (int row = 0; row < 600; ++row)
    for (int column = 0; column < 600; ++column) {
      const Vec2 from = Vec2(column + 0.5, row + 0.5) - Vec2(300.0, 300.0);
      const double away = std::abs(from.x() * along.y() - from.y() * along.x());
      if (away < 1.01 && from.norm() < 250.0) pixel(drawing, column, row) = 255;
    }
  return drawing;
}

// The longest way along a slanting stroke without a dot, in pixels.
double longest_gap(const Drawing& dots, double degrees) {
  const Vec2 along(std::cos(degrees * 3.141592653589793 / 180.0),
                   std::sin(degrees * 3.141592653589793 / 180.0));
  std::vector<double> places = {-250.0, 250.0};
  for (int row = 0; row < dots.rows; ++row)
    for (int column = 0; column < dots.columns; ++column)
      if (dots.tone[static_cast<std::size_t>(row * dots.columns + column)])
        places.push_back((Vec2(column + 0.5, row + 0.5) - Vec2(300.0, 300.0)).dot(along));
  std::sort(places.begin(), places.end());
  double longest = 0.0;
  for (std::size_t i = 1; i < places.size(); ++i)
    longest = std::max(longest, places[i] - places[i - 1]);
  return longest;
}

class ThinStroke : public testing::TestWithParam<double> {};

// Burnt area against the whole stroke's, as planned whatever its course: lines of one pixel would
// burn a quarter too little of a slanting one, at 0.7 a fifth of the whole. Gaps against the even
// distance of the lines: no longer than that by more than a pixel's rounding each way. A mask
// leaves gaps of 20 pixels here.
TEST_P(ThinStroke, IsDimmedByLinesAtEvenDistances) {
  const double degrees = GetParam();
  const Drawing whole = stroke(degrees);
  for (const double share : {0.1, 0.3, 0.5, 0.7, 0.9}) {
    const Drawing dots = engraved(whole, Tone::line_art, screen(), everywhere(share));
    const double burnt = burnt_mm2(dots) / burnt_mm2(whole);
    EXPECT_NEAR(burnt, share, 0.05) << degrees << " " << share;
    const double distance_px =
        1.0 / std::min(screen().columns.fired(share * screen().columns.most()),
                       screen().rows.fired(share * screen().rows.most()));
    EXPECT_LT(longest_gap(dots, degrees), 1.5 * distance_px + 2.0) << degrees << " " << share;
  }
}

INSTANTIATE_TEST_SUITE_P(Directions, ThinStroke,
                         testing::Values(0.0, 10.0, 30.0, 45.0, 60.0, 85.0, 90.0, 135.0, 160.0));

TEST(ThinStrokes, DotsOfAnySizeKeepAtLeastOneLine) {
  for (int side = 1; side < screen().thin_px; ++side) {
    for (const double share : {0.05, 0.3, 0.6}) {
      double burnt = 0.0;
      for (int shift = 0; shift < 7; ++shift) {
        const Drawing dot = filled(blank(40, 40), 10 + shift, 12, side, side);
        const Drawing dots = engraved(dot, Tone::line_art, screen(), everywhere(share));
        EXPECT_GT(burnt_mm2(dots), 0.0) << side << " " << share;
        burnt += burnt_mm2(dots) / burnt_mm2(dot) / 7.0;
      }
      // One line is the least, and lines are whole.
      if (side > 3 && share > 0.3) {
        EXPECT_NEAR(burnt, share, 0.15) << side;
      }
    }
  }
}

// A line is as long as the speck is narrow: what is left of a level one are whole columns, of an
// upright one whole rows.
TEST(ThinStrokes, SpecksAreDimmedByLinesAcrossThem) {
  const int length = screen().thin_px - 1;
  const Drawing level = filled(blank(40, 40), 10, 12, length, 3);
  const Drawing upright = filled(blank(40, 40), 12, 10, 3, length);
  const Drawing level_dots = engraved(level, Tone::line_art, screen(), everywhere(0.5));
  const Drawing upright_dots = engraved(upright, Tone::line_art, screen(), everywhere(0.5));
  int columns_left_out = 0;
  int rows_left_out = 0;
  for (int k = 0; k < length; ++k) {
    const auto in_level = [&](int row) { return level_dots.tone[level.index(10 + k, row)]; };
    const auto in_upright = [&](int column) {
      return upright_dots.tone[upright.index(column, 10 + k)];
    };
    columns_left_out += in_level(12) == 0 ? 1 : 0;
    rows_left_out += in_upright(12) == 0 ? 1 : 0;
    for (const int across : {13, 14}) {
      EXPECT_EQ(in_level(across), in_level(12)) << k;
      EXPECT_EQ(in_upright(across), in_upright(12)) << k;
    }
  }
  EXPECT_GT(columns_left_out, 0);
  EXPECT_LT(columns_left_out, length);
  EXPECT_GT(rows_left_out, 0);
  EXPECT_LT(rows_left_out, length);
}

TEST(StrokeMap, TellsAreasFromStrokesAndTheirDirection) {
  const int thin = 10;
  Drawing drawing = filled(blank(100, 100), 10, 10, 30, 30);
  drawing = filled(drawing, 40, 20, 50, 3);
  drawing = filled(drawing, 70, 40, 9, 50);
  const StrokeMap map(drawing, thin);
  EXPECT_EQ(map.at(5, 5), StrokeMap::nothing);
  EXPECT_EQ(map.at(10, 10), StrokeMap::area);
  EXPECT_EQ(map.at(39, 39), StrokeMap::area);
  EXPECT_EQ(map.at(60, 21), StrokeMap::along_x);
  EXPECT_EQ(map.at(74, 60), StrokeMap::along_y);
  EXPECT_EQ(StrokeMap(filled(blank(100, 100), 5, 5, thin, 60), thin).at(6, 6), StrokeMap::area);
}

}  // namespace
}  // namespace rimeglow::engraving_test
