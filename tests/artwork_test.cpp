// Laws of the engraved raster: dots from a drawing, and what the moving spot burns of it. Unless a
// test names a source, its expected value is derived here from the geometry: the spot is a disc of
// diameter s swept over one pixel length p. Seeds are fixed, so no test can raise a false alarm.
#include "artwork.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "made_up_drawings.h"
#include "units.h"

namespace rimeglow::artwork_test {
namespace {

using made_up::blank;
using made_up::filled;
using made_up::kPixelMm;
using made_up::pixel;

Drawing white_noise(int size, double share, unsigned seed) {
  std::mt19937 random(seed);
  const auto fires_below = static_cast<std::uint64_t>(share * 4294967296.0);
  Drawing drawing = blank(size, size);
  for (std::uint8_t& tone : drawing.tone) tone = random() < fires_below ? 255 : 0;
  return drawing;
}

Drawing ramp(int columns, int rows) {
  Drawing drawing = blank(columns, rows);
  for (int row = 0; row < rows; ++row)
    for (int column = 0; column < columns; ++column)
      pixel(drawing, column, row) = static_cast<std::uint8_t>(column * 255 / (columns - 1));
  return drawing;
}

Coverage burnt(const Drawing& dots, double spot_px, ScanAxis axis = ScanAxis::x) {
  return burn(dots, {spot_px * dots.pixel_mm, axis});
}

// Coverage of the pixel that holds the middle of the drawing's own pixel (column, row).
double at_pixel(const Coverage& coverage, const Drawing& dots, int column, int row) {
  const Vec2 middle = dots.origin_mm + Vec2(column + 0.5, row + 0.5) * dots.pixel_mm;
  return coverage.at(middle.x(), middle.y());
}

double total_area_px(const Coverage& coverage) {
  return coverage.burnt_area_mm2(coverage.lower_left_mm(), coverage.upper_right_mm()) /
         (coverage.pixel_mm() * coverage.pixel_mm());
}

// The area of so many pixels can be off by the stated error of those that are burnt in part.
double area_error_px(const Coverage& coverage) {
  int partly = 0;
  for (int row = 0; row < coverage.rows(); ++row) {
    for (int column = 0; column < coverage.columns(); ++column) {
      const Vec2 middle =
          coverage.lower_left_mm() + Vec2(column + 0.5, row + 0.5) * coverage.pixel_mm();
      const double share = coverage.at(middle.x(), middle.y());
      if (share > 0.0 && share < 1.0) ++partly;
    }
  }
  return partly * kCoverageError;
}

// Integral of sqrt(r^2 - y^2) from -h to h.
double disc_band(double radius, double half_height) {
  const double h = std::min(half_height, radius);
  return h * std::sqrt(radius * radius - h * h) + radius * radius * std::asin(h / radius);
}

TEST(Burn, OneDotBurnsAStadium) {
  for (const double s : {0.4, 1.0, 1.5, 1.9, 2.0, 2.7, 4.0, 12.0}) {
    const Coverage coverage = burnt(filled(blank(5, 5), 2, 2, 1, 1, 255), s);
    EXPECT_NEAR(total_area_px(coverage), kPi / 4.0 * s * s + s, area_error_px(coverage)) << s;
  }
}

TEST(Burn, DotsInARowAreOneLongerStadium) {
  const double s = 1.9;
  const Coverage coverage = burnt(filled(blank(20, 3), 3, 1, 12, 1, 255), s);
  EXPECT_NEAR(total_area_px(coverage), kPi / 4.0 * s * s + 12.0 * s, area_error_px(coverage));
}

TEST(Burn, ASolidBlockHasFlatSidesAndScallopedEnds) {
  const int columns = 30;
  const int rows = 20;
  for (const double s : {1.0, 1.5, 2.0, 3.3}) {
    const Coverage coverage = burnt(filled(blank(40, 40), 5, 5, columns, rows, 255), s);
    const double ends = 2.0 * (rows - 1) * disc_band(s / 2.0, 0.5) + kPi / 4.0 * s * s;
    const double area = columns * (rows - 1 + s) + ends;
    EXPECT_NEAR(total_area_px(coverage), area, area_error_px(coverage)) << s;
  }
}

// A line grows across by (s - p) / 2 on each side, so the rows outside it are burnt by what of
// that falls into them.
TEST(Burn, ALineGrowsAcrossByHalfOfSpotLessPitchOnEachSide) {
  const Drawing line = filled(blank(60, 12), 0, 4, 60, 4, 255);
  for (const double s : {1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5}) {
    const Coverage coverage = burnt(line, s);
    const double growth = (s - 1.0) / 2.0;
    for (int beyond = 0; beyond < 3; ++beyond) {
      const double expected = std::clamp(growth - beyond, 0.0, 1.0);
      EXPECT_NEAR(at_pixel(coverage, line, 30, 8 + beyond), expected, kCoverageError) << s;
      EXPECT_NEAR(at_pixel(coverage, line, 30, 3 - beyond), expected, kCoverageError) << s;
    }
  }
}

TEST(Burn, ALineReachesHalfASpotBeyondItsEnds) {
  const Drawing line = filled(blank(30, 7), 5, 3, 20, 1, 255);
  const Coverage coverage = burnt(line, 2.0);
  const double first =
      disc_band(1.0, 0.5);  // of the pixel next to the end, at most one spot radius
  EXPECT_NEAR(at_pixel(coverage, line, 25, 3), first, kCoverageError);
  EXPECT_NEAR(at_pixel(coverage, line, 4, 3), first, kCoverageError);
  EXPECT_EQ(at_pixel(coverage, line, 26, 3), 0.0);
  EXPECT_EQ(at_pixel(coverage, line, 3, 3), 0.0);
}

TEST(Burn, ASpotNarrowerThanThePitchLeavesTheLinesApart) {
  const Drawing block = filled(blank(20, 20), 2, 2, 16, 16, 255);
  EXPECT_NEAR(at_pixel(burnt(block, 0.6), block, 10, 10), 0.6, kCoverageError);
}

TEST(Burn, NoSpotBurnsNothing) {
  EXPECT_EQ(total_area_px(burnt(filled(blank(4, 4), 0, 0, 4, 4, 255), 0.0)), 0.0);
  EXPECT_EQ(total_area_px(burnt(blank(40, 40), 2.0)), 0.0);
  EXPECT_TRUE(burn(Drawing{}, {0.12, ScanAxis::x}).empty());
}

// A point u of a cell is burnt unless none of the N(u) dots whose stadium reaches it fires.
double white_noise_coverage(double share, double spot_px) {
  const int points = 150;
  const int reach = static_cast<int>(std::ceil(spot_px)) + 1;
  double sum = 0.0;
  for (int row = 0; row < points; ++row) {
    for (int column = 0; column < points; ++column) {
      const Vec2 u((column + 0.5) / points, (row + 0.5) / points);
      int reached_by = 0;
      for (int j = -reach; j <= reach; ++j)
        for (int i = -reach; i <= reach; ++i) {
          const Vec2 nearest(std::clamp(u.x(), static_cast<double>(i), i + 1.0), j + 0.5);
          if ((u - nearest).norm() <= 0.5 * spot_px) ++reached_by;
        }
      sum += 1.0 - std::pow(1.0 - share, reached_by);
    }
  }
  return sum / (points * points);
}

// Derived (Boolean model on a lattice). 640 000 pixels, neighbours within ten of one another:
// standard error below 0.002. Smallest visible defect 0.01 in coverage; the disc that does not
// move would be 0.18 lower at 25 % and a spot of two pixels.
TEST(Burn, WhiteNoiseFollowsTheLatticeLaw) {
  for (const double s : {1.0, 1.5, 2.0, 3.0}) {
    for (const double share : {0.1, 0.25, 0.5}) {
      const Drawing screen = white_noise(800, share, 7);
      const Coverage coverage = burnt(screen, s);
      const Vec2 inset = Vec2::Constant(5.0 * kPixelMm);
      const Vec2 upper = screen.origin_mm + Vec2::Constant(800.0 * kPixelMm) - inset;
      const double side_mm = 790.0 * kPixelMm;
      const double measured =
          coverage.burnt_area_mm2(screen.origin_mm + inset, upper) / (side_mm * side_mm);
      EXPECT_NEAR(measured, white_noise_coverage(share, s), 0.01) << s << " " << share;
    }
  }
}

// Share of a pixel burnt, by points in it; row by row shifted by the golden ratio, so that they
// lie as evenly across as along.
double burnt_by_points(const Drawing& dots, double spot_px, int column, int row) {
  const int heights = 1000;
  const int along = 8;
  int inside = 0;
  for (int k = 0; k < heights; ++k) {
    const double shift = k * 0.6180339887498949;
    for (int m = 0; m < along; ++m) {
      const Vec2 u(column + (m + shift - std::floor(shift)) / along, row + (k + 0.5) / heights);
      bool hit = false;
      for (int j = 0; j < dots.rows && !hit; ++j)
        for (int i = 0; i < dots.columns && !hit; ++i) {
          if (dots.tone[static_cast<std::size_t>(j * dots.columns + i)] == 0) continue;
          const Vec2 nearest(std::clamp(u.x(), static_cast<double>(i), i + 1.0), j + 0.5);
          hit = (u - nearest).squaredNorm() < 0.25 * spot_px * spot_px;
        }
      inside += hit ? 1 : 0;
    }
  }
  return static_cast<double>(inside) / (heights * along);
}

// Points against the stated error, plus 0.001 for the points themselves: a level edge can lie
// half a height off, and 8000 points are even to about 0.0005.
TEST(Burn, EveryPixelIsWithinTheStatedErrorOfACountOfPoints) {
  const Drawing screen = white_noise(5, 0.35, 3);
  for (const double s : {0.7, 1.5, 1.9, 2.37, 3.0}) {
    const Coverage coverage = burnt(screen, s);
    for (int row = -1; row <= 5; ++row)
      for (int column = -1; column <= 5; ++column)
        EXPECT_NEAR(at_pixel(coverage, screen, column, row),
                    burnt_by_points(screen, s, column, row), kCoverageError + 0.001)
            << s << " at " << column << ", " << row;
  }
}

TEST(Burn, MoreDotsNeverBurnLess) {
  std::mt19937 random(11);
  for (const double s : {0.8, 1.9, 3.0, 12.0}) {
    Drawing dots = white_noise(60, 0.1, 5);
    for (int round = 0; round < 8; ++round) {
      const Coverage before = burnt(dots, s);
      for (int added = 0; added < 40; ++added)
        pixel(dots, static_cast<int>(random() % 60), static_cast<int>(random() % 60)) = 255;
      const Coverage after = burnt(dots, s);
      for (int row = -1; row <= 60; ++row)
        for (int column = -1; column <= 60; ++column)
          ASSERT_GE(at_pixel(after, dots, column, row), at_pixel(before, dots, column, row)) << s;
    }
  }
}

TEST(Burn, ScanningUpIsScanningAcrossATurnedDrawing) {
  const Drawing noise = white_noise(40, 0.3, 2);
  Drawing turned = noise;
  for (int row = 0; row < 40; ++row)
    for (int column = 0; column < 40; ++column) {
      Drawing source = noise;
      pixel(turned, column, row) = pixel(source, row, column);
    }
  const Coverage across = burnt(noise, 1.9, ScanAxis::x);
  const Coverage up = burnt(turned, 1.9, ScanAxis::y);
  EXPECT_TRUE(up.lower_left_mm().isApprox(across.lower_left_mm()));
  for (int row = -1; row <= 40; ++row)
    for (int column = -1; column <= 40; ++column)
      ASSERT_EQ(at_pixel(up, noise, column, row), at_pixel(across, noise, row, column));
}

TEST(Burn, TheRasterIsWidenedByWhatTheSpotReaches) {
  const Drawing dots = filled(blank(9, 4), 0, 0, 9, 4, 255);
  const Coverage coverage = burnt(dots, 1.9);
  EXPECT_EQ(coverage.columns(), 11);
  EXPECT_EQ(coverage.rows(), 6);
  EXPECT_TRUE(coverage.lower_left_mm().isApprox(dots.origin_mm - Vec2::Constant(kPixelMm)));
  EXPECT_TRUE(coverage.upper_right_mm().isApprox(dots.origin_mm + Vec2(10.0, 5.0) * kPixelMm));
}

TEST(Coverage, RowsGoUpAndOutsideIsClear) {
  Drawing burnt = blank(3, 2);
  pixel(burnt, 2, 1) = 255;
  pixel(burnt, 0, 0) = 51;
  const Coverage coverage(burnt);
  EXPECT_DOUBLE_EQ(coverage.at(10.0 + 2.5 * kPixelMm, 20.0 + 1.5 * kPixelMm), 1.0);
  EXPECT_DOUBLE_EQ(coverage.at(10.0 + 0.5 * kPixelMm, 20.0 + 0.5 * kPixelMm), 0.2);
  EXPECT_EQ(coverage.at(9.99, 20.01), 0.0);
  EXPECT_EQ(coverage.at(10.01, 20.0 + 2.01 * kPixelMm), 0.0);
  EXPECT_EQ(coverage.at(std::nan(""), 20.0), 0.0);
  EXPECT_EQ(Coverage().at(0.0, 0.0), 0.0);
}

TEST(Coverage, AreaOfABoxIsTheSumOfWhatAtReads) {
  const Coverage coverage = burnt(white_noise(50, 0.2, 4), 1.9);
  std::mt19937 random(8);
  std::uniform_real_distribution<double> place(-0.2, 1.2);
  for (int round = 0; round < 50; ++round) {
    const Vec2 size = coverage.upper_right_mm() - coverage.lower_left_mm();
    const Vec2 a = coverage.lower_left_mm() + size.cwiseProduct(Vec2(place(random), place(random)));
    const Vec2 b = coverage.lower_left_mm() + size.cwiseProduct(Vec2(place(random), place(random)));
    double sum = 0.0;
    for (int row = 0; row < coverage.rows(); ++row) {
      for (int column = 0; column < coverage.columns(); ++column) {
        const Vec2 lower = coverage.lower_left_mm() + Vec2(column, row) * kPixelMm;
        const Vec2 inside = lower.cwiseMax(a);
        const Vec2 edge = (lower + Vec2::Constant(kPixelMm)).cwiseMin(b);
        const Vec2 part = (edge - inside).cwiseMax(Vec2::Zero());
        const Vec2 middle = lower + Vec2::Constant(0.5 * kPixelMm);
        sum += part.prod() * coverage.at(middle.x(), middle.y());
      }
    }
    EXPECT_NEAR(coverage.burnt_area_mm2(a, b), sum, 1e-9);
  }
}

// 20 million fully burnt pixels add up to more than 32 bits hold.
TEST(Coverage, AreaOfALargeSolidDoesNotOverflow) {
  const Coverage coverage(filled(blank(5000, 4000), 0, 0, 5000, 4000, 255));
  EXPECT_NEAR(total_area_px(coverage), 20e6, 1.0);
}

TEST(ToneOf, StrokesWithSoftEdgesAreLineArt) {
  // A slanting stroke three pixels wide with antialiased edges, and a hairline of half tone.
  Drawing drawing = blank(120, 120);
  for (int row = 0; row < 120; ++row)
    for (int column = 0; column < 120; ++column) {
      const double away = std::abs(0.8 * (column + 0.5) - 0.6 * (row + 0.5) - 10.0);
      const double share = std::clamp(2.0 - away, 0.0, 1.0);
      pixel(drawing, column, row) = static_cast<std::uint8_t>(255.0 * share);
    }
  drawing = filled(drawing, 0, 100, 120, 1, 120);
  EXPECT_EQ(tone_of(drawing), Tone::line_art);
  EXPECT_EQ(tone_of(filled(blank(30, 30), 0, 0, 30, 30, 255)), Tone::line_art);
  EXPECT_EQ(tone_of(blank(30, 30)), Tone::line_art);
}

TEST(ToneOf, ShadesAndGreyFillsAreGrey) {
  EXPECT_EQ(tone_of(ramp(100, 50)), Tone::grey);
  const Drawing solid = filled(blank(100, 100), 10, 10, 80, 80, 255);
  EXPECT_EQ(tone_of(filled(solid, 20, 20, 20, 20, 100)), Tone::grey);
}

}  // namespace
}  // namespace rimeglow::artwork_test
