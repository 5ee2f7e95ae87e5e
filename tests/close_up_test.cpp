// What an eye at reading distance makes of strokes that are thinned by lines left out.
#include "close_up.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace rimeglow::close_up_test {
namespace {

constexpr double kPixelMm = 0.0635;

// A hairline of two pixels along x or y, 12 mm long, burnt at this density.
Model hairline(ScanAxis along, double share) {
  Drawing drawing{200, 200, kPixelMm, Vec2::Zero(), {}};
  for (int row = 0; row < 200; ++row)
    for (int column = 0; column < 200; ++column) {
      const int across = along == ScanAxis::x ? row : column;
      drawing.tone.push_back(across == 100 || across == 101 ? 255 : 0);
    }
  const Screen screen = screen_of({0.12, ScanAxis::x}, kPixelMm);
  Density density;
  density.share = {share};
  Model model;
  model.layers.push_back(
      {Finish{}, burn(engraved(drawing, Tone::line_art, screen, density), screen.beam)});
  return model;
}

// Along the middle of the stroke as seen from 500 mm: darkest over brightest. The eye blurs by
// 0.145 mm, the lines of a stroke at 0.6 lie 0.25 mm apart (derived). A dotted stroke would fall to
// 0.
TEST(CloseUp, ThinnedStrokesKeepTogetherAtReadingDistance) {
  for (const ScanAxis along : {ScanAxis::x, ScanAxis::y}) {
    const std::pair<double, double> cases[] = {{0.6, 0.2}, {0.75, 0.45}, {0.9, 0.7}};
    for (const auto& [share, least] : cases) {
      const BurntField seen =
          seen_from(burnt_field(hairline(along, share), Vec2(2.0, 2.0), Vec2(8.0, 8.0), 0.02),
                    kReadingDistance_mm);
      std::vector<double> on_it;
      for (int k = 20; k < seen.columns - 20; ++k) {
        double brightest = 0.0;
        for (int m = 0; m < seen.rows; ++m)
          brightest = std::max(
              brightest, seen.share[static_cast<std::size_t>(
                             along == ScanAxis::x ? m * seen.columns + k : k * seen.columns + m)]);
        on_it.push_back(brightest);
      }
      const auto [dark, bright] = std::minmax_element(on_it.begin(), on_it.end());
      EXPECT_GT(*dark / *bright, least) << share;
    }
  }
}

TEST(CloseUp, BlurKeepsTheLight) {
  const BurntField field =
      burnt_field(hairline(ScanAxis::x, 1.0), Vec2(2.0, 2.0), Vec2(8.0, 8.0), 0.02);
  const BurntField seen = seen_from(field, kReadingDistance_mm);
  double before = 0.0, after = 0.0;
  for (const double share : field.share) before += share;
  for (const double share : seen.share) after += share;
  EXPECT_NEAR(after / before, 1.0, 1e-9);
  EXPECT_LT(*std::max_element(seen.share.begin(), seen.share.end()), 1.0);
}

}  // namespace
}  // namespace rimeglow::close_up_test
