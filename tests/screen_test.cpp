// The blue-noise mask and what its dots burn. Expected values are derived from the geometry of the
// moving spot unless a test names a source; nothing here is left to chance.
#include "screen.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "units.h"

namespace rimeglow::screen_test {
namespace {

constexpr double kPixelMm = 0.0635;

const Mask& mask() {
  static const Mask made;
  return made;
}

DotGrowth growth(Pattern pattern, double spot_px, ScanAxis axis = ScanAxis::x) {
  return dot_growth(mask(), pattern, {spot_px * kPixelMm, axis}, kPixelMm);
}

TEST(Mask, EveryPixelHasARankOfItsOwn) {
  std::set<double> thresholds;
  for (int row = 0; row < kScreenSide; ++row)
    for (int column = 0; column < kScreenSide; ++column)
      thresholds.insert(mask().threshold(column, row));
  EXPECT_EQ(thresholds.size(), std::size_t{kScreenSide} * kScreenSide);
  EXPECT_GT(*thresholds.begin(), 0.0);
  EXPECT_LT(*thresholds.rbegin(), 1.0);
  EXPECT_EQ(mask().threshold(-1, 70), mask().threshold(kScreenSide - 1, 70 - kScreenSide));
}

// Blue noise: windows hold nearly equal numbers of dots. Of white noise the variance in windows of
// 8 x 8 would be 64 f (1 - f) (binomial); void and cluster leaves a tenth of it in the middle and a
// quarter at few dots (Ulichney 1993 shows its spectrum without low frequencies). A mask of chance
// ranks leaves all.
TEST(Mask, DotsKeepApartAtEveryShare) {
  constexpr int kWindow = 8;
  for (const double share : {0.05, 0.1, 0.25, 0.5, 0.75, 0.9}) {
    double squares = 0.0;
    for (int top = 0; top < kScreenSide; ++top)
      for (int left = 0; left < kScreenSide; ++left) {
        int dots = 0;
        for (int row = 0; row < kWindow; ++row)
          for (int column = 0; column < kWindow; ++column)
            dots += mask().threshold(left + column, top + row) < share ? 1 : 0;
        const double off = dots - share * kWindow * kWindow;
        squares += off * off;
      }
    const double variance = squares / (kScreenSide * kScreenSide);
    EXPECT_LT(variance, 0.3 * kWindow * kWindow * share * (1.0 - share)) << share;
  }
}

// A stroke of three pixels along y, every fourth of its lines fired: each burns a stadium three
// pixels longer than the spot. Of the tile's area; exact up to kCoverageError of the pixels at its
// rim.
TEST(DotGrowth, LinesAcrossAnUprightStrokeBurnAStadiumEach) {
  for (const double s : {0.6, 1.0, 1.9, 3.0, 3.9}) {
    const double stadium = 3.0 * s + 0.25 * kPi * s * s;
    EXPECT_NEAR(growth(Pattern::rows, s).burnt(0.25) * 256.0, stadium, 0.01 * stadium) << s;
  }
}

// The same along x: each fired column is a block of 1 x 3 pixels, with scalloped ends whose half
// chord over a pixel's height is h sqrt(r^2 - h^2) + r^2 asin(h / r) at h = 1/2.
TEST(DotGrowth, ColumnsAcrossALevelStrokeBurnABlockEach) {
  for (const double s : {1.0, 1.5, 1.9, 2.6}) {
    const double r = 0.5 * s;
    const double ends = 0.5 * std::sqrt(r * r - 0.25) + r * r * std::asin(0.5 / r);
    const double block = 2.0 + s + 4.0 * ends + 0.25 * kPi * s * s;
    EXPECT_NEAR(growth(Pattern::columns, s).burnt(0.25) * 256.0, block, 0.01 * block) << s;
  }
}

TEST(DotGrowth, AMachineThatScansUpGrowsRowsAsTheOtherDoesColumns) {
  const DotGrowth up = growth(Pattern::rows, 1.9, ScanAxis::y);
  const DotGrowth across = growth(Pattern::columns, 1.9, ScanAxis::x);
  for (double share = 0.0; share <= 1.0; share += 0.05)
    EXPECT_NEAR(up.burnt(share), across.burnt(share), 1e-12) << share;
}

// Few dots of blue noise never touch, so each burns its whole stadium: f (pi/4 s^2 + s). White
// noise would overlap and burn 6 % less at these shares.
TEST(DotGrowth, FewDotsBurnAStadiumEach) {
  for (const double s : {1.0, 1.5, 2.0}) {
    const double stadium = 0.25 * kPi * s * s + s;
    const double share = std::round(kScreenSide * 0.1 / stadium) / kScreenSide;
    EXPECT_NEAR(growth(Pattern::mask, s).burnt(share), share * stadium, 0.02 * share * stadium)
        << s;
  }
}

TEST(DotGrowth, TablesRiseAndTheirInverseGoesBack) {
  for (const double s : {0.5, 1.0, 1.9, 3.0}) {
    for (const Pattern pattern : {Pattern::mask, Pattern::columns, Pattern::rows}) {
      for (const ScanAxis axis : {ScanAxis::x, ScanAxis::y}) {
        const DotGrowth table = growth(pattern, s, axis);
        double before = 0.0;
        for (int i = 1; i <= 200; ++i) {
          const double fired = i / 200.0;
          const double burnt = table.burnt(fired);
          EXPECT_GE(burnt, before);
          before = burnt;
          // The fewest dots that burn so much, hence no more than these.
          if (burnt < table.most()) {
            EXPECT_LE(table.fired(burnt), fired + 1.0 / kScreenSide);
            EXPECT_NEAR(table.burnt(table.fired(burnt)), burnt, 1e-9);
          }
        }
        EXPECT_EQ(table.fired(table.most()), 1.0);
        EXPECT_EQ(table.fired(0.0), 0.0);
      }
    }
  }
}

TEST(Screen, AStrokeOfThreeDotsIsTooThin) {
  const Screen fine = screen_of({1.9 * kPixelMm, ScanAxis::x}, kPixelMm);
  const double apart_px = 1.0 / std::sqrt(fine.area.fired(0.5));
  EXPECT_GE(fine.thin_px, 3.0 * apart_px);
  EXPECT_LT(fine.thin_px, 3.0 * apart_px + 1.0);
}

}  // namespace
}  // namespace rimeglow::screen_test
