// From the dots of a scored mark to the lines that a laser follows: every dot is followed once, and
// nothing beside them.
#include "scored_lines.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "engraving.h"
#include "units.h"

namespace rimeglow::scored_lines_test {
namespace {

constexpr double kPixel_mm = 0.1;

// Of 40 x 40 mm, its corner at (5, 7); the shape in mm from there.
Drawing dots_of(const std::function<bool(const Vec2&)>& is_drawn) {
  Drawing dots{400, 400, kPixel_mm, Vec2(5.0, 7.0), {}};
  for (int row = 0; row < dots.rows; ++row)
    for (int column = 0; column < dots.columns; ++column)
      dots.tone.push_back(is_drawn(kPixel_mm * Vec2(column + 0.5, row + 0.5)) ? kOn : kOff);
  return dots;
}

std::vector<ScoredLine> lines_of(const Drawing& strokes) { return scored_lines(thinned(strokes)); }

double length_mm(const std::vector<ScoredLine>& lines) {
  double length = 0.0;
  for (const ScoredLine& line : lines)
    for (std::size_t i = 1; i < line.size(); ++i) length += (line[i] - line[i - 1]).norm();
  return length;
}

// Places a fifth of a dot apart along all lines.
std::vector<Vec2> places_on(const std::vector<ScoredLine>& lines) {
  std::vector<Vec2> places;
  for (const ScoredLine& line : lines) {
    for (std::size_t i = 1; i < line.size(); ++i) {
      const Vec2 way = line[i] - line[i - 1];
      const int steps = 1 + static_cast<int>(way.norm() / (0.2 * kPixel_mm));
      for (int k = 0; k <= steps; ++k) places.push_back(line[i - 1] + way * k / steps);
    }
  }
  return places;
}

// How far from all lines the dot lies that they miss most, and how far from all dots they stray.
struct Apart {
  double missed_mm = 0.0;
  double strayed_mm = 0.0;
};
Apart apart(const Drawing& dots, const std::vector<ScoredLine>& lines) {
  std::vector<Vec2> middles;
  for (int row = 0; row < dots.rows; ++row)
    for (int column = 0; column < dots.columns; ++column)
      if (dots.tone[dots.index(column, row)] == kOn)
        middles.push_back(dots.origin_mm + kPixel_mm * Vec2(column + 0.5, row + 0.5));
  const std::vector<Vec2> places = places_on(lines);
  const auto farthest = [](const std::vector<Vec2>& from, const std::vector<Vec2>& to) {
    double most = 0.0;
    for (const Vec2& point : from) {
      double least = 1e9;
      for (const Vec2& other : to) least = std::min(least, (point - other).squaredNorm());
      most = std::max(most, std::sqrt(least));
    }
    return most;
  };
  return {farthest(middles, places), farthest(places, middles)};
}

// Straightening may take a line a pixel away, thinning an end by one or two both ways.
void expect_followed(const Drawing& dots, const std::vector<ScoredLine>& lines) {
  const Apart found = apart(dots, lines);
  EXPECT_LE(found.missed_mm, 2.2 * kPixel_mm);
  EXPECT_LE(found.strayed_mm, kScoredOff_px * kPixel_mm);
}

// The sides of a square of 20 mm run through dots' middles; whether its corner is cut is a pixel.
TEST(ScoredLines, ASquareIsOneClosedLineOfFewPoints) {
  const Drawing dots = outlined(dots_of([](const Vec2& at) {
    return at.x() > 10.0 && at.x() < 30.0 && at.y() > 10.0 && at.y() < 30.0;
  }));
  const auto lines = lines_of(dots);
  expect_followed(dots, lines);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines.front().front(), lines.front().back());
  EXPECT_LE(lines.front().size(), 9U);
  EXPECT_NEAR(length_mm(lines), 4.0 * 19.9, 0.6);
}

// The sharpest turn on the way along a line.
double sharpest_deg(const ScoredLine& line) {
  double sharpest = 0.0;
  for (std::size_t i = 1; i + 1 < line.size(); ++i) {
    const Vec2 in = line[i] - line[i - 1];
    const Vec2 out = line[i + 1] - line[i];
    sharpest = std::max(sharpest, degrees(std::abs(std::atan2(cross(in, out), in.dot(out)))));
  }
  return sharpest;
}

// The laser draws rounds, not polygons: 12 to 24 degrees at a corner if chords were left straight.
TEST(ScoredLines, ARoundIsRound) {
  for (const double radius_mm : {4.0, 8.0, 15.0}) {
    const auto lines = lines_of(outlined(dots_of([&](const Vec2& at) {
      return std::abs((at - Vec2(20.0, 20.0)).norm() - radius_mm) < 0.06;
    })));
    ASSERT_EQ(lines.size(), 1U);
    EXPECT_LT(sharpest_deg(lines.front()), 7.0) << radius_mm;
    for (const Vec2& place : places_on(lines))
      EXPECT_NEAR((place - Vec2(25.0, 27.0)).norm(), radius_mm, 0.6 * kPixel_mm);
  }
}

// ... and corners, however blunt: a polygon of twelve keeps its sides straight.
TEST(ScoredLines, SidesBetweenCornersStayStraight) {
  const double apart_rad = 2.0 * kPi / 12.0;
  const Drawing dots = outlined(dots_of([&](const Vec2& at) {
    const Vec2 from_middle = at - Vec2(20.0, 20.0);
    const double turned = std::atan2(from_middle.y(), from_middle.x());
    const double off = turned - apart_rad * std::floor(turned / apart_rad + 0.5);
    return from_middle.norm() * std::cos(off) < 15.0;
  }));
  const auto lines = lines_of(dots);
  expect_followed(dots, lines);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_GT(sharpest_deg(lines.front()), 20.0);
}

// A disc has one round, a ring two. A polygon within a pixel is shorter by less than 1 %.
TEST(ScoredLines, RoundsAreFollowedOnEitherSideOfAWideStroke) {
  for (const double inner_mm : {0.0, 12.0}) {
    const Drawing dots = outlined(dots_of([&](const Vec2& at) {
      const double from_middle = (at - Vec2(20.0, 20.0)).norm();
      return from_middle < 15.0 && from_middle >= inner_mm;
    }));
    const auto lines = lines_of(dots);
    expect_followed(dots, lines);
    ASSERT_EQ(lines.size(), inner_mm > 0.0 ? 2U : 1U);
    for (const ScoredLine& line : lines) EXPECT_EQ(line.front(), line.back());
    EXPECT_NEAR(length_mm(lines), 2.0 * kPi * (15.0 + inner_mm), 0.02 * 2.0 * kPi * 27.0);
  }
}

// A round 2.2 to 3 dots wide is followed once, one of 3.5 and more on both sides: in no part of it
// the other way, whatever its slant there.
TEST(ScoredLines, AStrokeIsFollowedInOneWayThroughout) {
  for (const double width_mm : {0.22, 0.24, 0.26, 0.28, 0.35, 0.4, 0.45}) {
    const Drawing dots = outlined(dots_of([&](const Vec2& at) {
      return std::abs((at - Vec2(20.03, 19.98)).norm() - 15.0) < 0.5 * width_mm;
    }));
    EXPECT_EQ(lines_of(dots).size(), width_mm < 0.3 ? 1U : 2U) << width_mm;
  }
}

// Hairlines one and two dots wide and a little more, at any slope, from end to end; no thinning
// eats them up.
TEST(ScoredLines, AHairlineIsFollowedOnceOverAllItsLength) {
  for (const double width_mm : {0.12, 0.2, 0.22}) {
    for (const double turned_deg : {0.0, 3.0, 30.0, 45.0, 71.0, 90.0, 135.0}) {
      const Vec2 along(std::cos(radians(turned_deg)), std::sin(radians(turned_deg)));
      const Drawing dots = dots_of([&](const Vec2& at) {
        const Vec2 from_middle = at - Vec2(20.01, 20.02);
        return std::abs(from_middle.dot(along)) < 12.0 &&
               std::abs(cross(from_middle, along)) < 0.5 * width_mm;
      });
      const auto lines = lines_of(outlined(dots));
      SCOPED_TRACE(turned_deg);
      expect_followed(dots, lines);
      ASSERT_EQ(lines.size(), 1U);
      EXPECT_NEAR(length_mm(lines), 24.0, 0.6);
    }
  }
}

// A ring on a cross: branches meet, nothing is followed twice or left out.
TEST(ScoredLines, BranchesMeet) {
  const Drawing dots = dots_of([](const Vec2& at) {
    const Vec2 from_middle = at - Vec2(20.0, 20.0);
    return std::abs(from_middle.norm() - 8.0) < 0.07 ||
           (from_middle.cwiseAbs().maxCoeff() < 14.0 && from_middle.cwiseAbs().minCoeff() < 0.1);
  });
  const auto lines = lines_of(dots);
  expect_followed(dots, lines);
  EXPECT_NEAR(length_mm(lines), 2.0 * 28.0 + 2.0 * kPi * 8.0, 2.0);
}

// Turned to all sides, one and two dots wide: a line that crosses others is one all the same, where
// the crossings are near and where they are far.
TEST(ScoredLines, OfAGridEachLineIsOne) {
  for (const double turned_deg : {0.0, 17.0, 45.0}) {
    for (const double width_mm : {0.1, 0.15, 0.2}) {
      for (const double apart_mm : {0.7, 1.5}) {
        const Vec2 along(std::cos(radians(turned_deg)), std::sin(radians(turned_deg)));
        const double half_mm = 10.0 * apart_mm;
        const auto is_drawn = [&](double across_mm, double along_mm) {
          const double off_mm = across_mm - apart_mm * (std::floor(across_mm / apart_mm) + 0.5);
          return std::abs(across_mm) < half_mm && std::abs(along_mm) < half_mm + 1.0 &&
                 std::abs(off_mm) < 0.5 * width_mm;
        };
        const auto lines = lines_of(outlined(dots_of([&](const Vec2& at) {
          const Vec2 from_middle = at - Vec2(20.01, 20.02);
          const double x_mm = from_middle.dot(along);
          const double y_mm = cross(along, from_middle);
          return is_drawn(x_mm, y_mm) || is_drawn(y_mm, x_mm);
        })));
        SCOPED_TRACE(::testing::Message() << turned_deg << " " << width_mm << " " << apart_mm);
        EXPECT_EQ(lines.size(), 40U);
        EXPECT_NEAR(length_mm(lines), 40.0 * 2.0 * (half_mm + 1.0), 0.03 * 80.0 * half_mm);
      }
    }
  }
}

// An orbit and a line across it, and a line that ends at another.
TEST(ScoredLines, LinesAreWholeWhereOthersCrossOrEnd) {
  const auto crossed = lines_of(dots_of([](const Vec2& at) {
    const Vec2 from_middle = at - Vec2(20.0, 20.0);
    return std::abs(from_middle.norm() - 12.0) < 0.07 ||
           (std::abs(from_middle.x()) < 18.0 && std::abs(from_middle.y() - 3.0) < 0.06);
  }));
  ASSERT_EQ(crossed.size(), 2U);
  EXPECT_NEAR(length_mm(crossed), 36.0 + 2.0 * kPi * 12.0, 0.7);
  const auto met = lines_of(dots_of([](const Vec2& at) {
    return (std::abs(at.x() - 20.0) < 15.0 && std::abs(at.y() - 30.0) < 0.06) ||
           (std::abs(at.x() - 20.0) < 0.06 && at.y() > 10.0 && at.y() < 30.0);
  }));
  ASSERT_EQ(met.size(), 2U);
  EXPECT_NEAR(std::max(length_mm({met[0]}), length_mm({met[1]})), 30.0, 0.4);
}

TEST(ScoredLines, AHatchKeepsItsLines) {
  for (const int apart_px : {2, 3, 4}) {
    const Drawing dots = dots_of([&](const Vec2& at) {
      const int column = static_cast<int>(at.x() / kPixel_mm) - 100;
      return column >= 0 && column < 10 * apart_px && column % apart_px == 0 &&
             std::abs(at.y() - 20.0) < 5.0;
    });
    const auto lines = lines_of(outlined(dots));
    SCOPED_TRACE(apart_px);
    expect_followed(dots, lines);
    EXPECT_EQ(lines.size(), 10U);
    EXPECT_NEAR(length_mm(lines), 10.0 * 10.0, 0.3 * 10.0);
  }
}

TEST(ScoredLines, ASingleDotIsALineAsLongAsIt) {
  const auto lines =
      lines_of(dots_of([](const Vec2& at) { return (at - Vec2(0.05, 39.95)).norm() < 0.05; }));
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_NEAR(length_mm(lines), kPixel_mm, 1e-12);
  EXPECT_TRUE((0.5 * (lines[0].front() + lines[0].back())).isApprox(Vec2(5.05, 46.95), 1e-9));
  EXPECT_TRUE(lines_of(dots_of([](const Vec2&) { return false; })).empty());
}

}  // namespace
}  // namespace rimeglow::scored_lines_test
