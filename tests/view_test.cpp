// Laws of sim/view: smooth surfaces show what geometry puts in them, and a ray keeps its radiance.
#include "view.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "cameras.h"
#include "made_up_outlines.h"
#include "optics.h"
#include "panels.h"

namespace rimeglow::view_test {
namespace {

using cameras::sign;
using cameras::traced_for_cameras;

Camera aimed(const Vec3& target, const Vec3& toward, double wide_mm, int pixels) {
  Camera camera;
  constexpr double kFar_mm = 5000.0;
  camera.target_mm = target;
  camera.eye_mm = target + kFar_mm * toward;
  camera.field_rad = 2.0 * std::atan(0.5 * wide_mm / kFar_mm);
  camera.columns = camera.rows = pixels;
  return camera;
}

// Panel and base stand whole in the picture, and fill its longer side up to a margin of 4 to 8 % on
// the tighter side; told apart by projecting them anew. A sheet cut by a hundredth shows.
TEST(Camera, HoldsPanelAndBaseWithAMargin) {
  const Model model = panels::sign_blank();
  std::vector<Vec3> shown = base_corners(model);
  ASSERT_EQ(shown.size(), 8U);
  for (const Vec3& corner :
       box_corners(Vec3::Zero(),
                   {model.outline.size_mm.x(), model.outline.size_mm.y(), model.thickness_mm}))
    shown.push_back(corner);
  for (const Standpoint& from :
       {Standpoint{500.0, 0.0, 0.0, Side::front}, Standpoint{500.0, 160.0, 0.0, Side::front},
        Standpoint{500.0, 0.0, 0.6, Side::front}, Standpoint{500.0, 0.0, 0.0, Side::back},
        Standpoint{200.0, 250.0, -0.7, Side::front}, Standpoint{150.0, -40.0, 1.2, Side::back}}) {
    const Camera camera = camera_at(model, from, 1000);
    EXPECT_EQ(std::max(camera.columns, camera.rows), 1000);
    const Vec3 ahead = (camera.target_mm - camera.eye_mm).normalized();
    const Vec3 right = Vec3(-ahead.z(), 0.0, ahead.x()).normalized();
    const Vec3 up = right.cross(ahead);
    const double pixel = std::tan(0.5 * camera.field_rad) / 500.0;
    double least = 1.0;
    for (const Vec3& point : shown) {
      const Vec3 there = point - camera.eye_mm;
      const double across = there.dot(right) / there.dot(ahead) / pixel;
      const double upward = there.dot(up) / there.dot(ahead) / pixel;
      least = std::min(
          {least, 0.5 - std::abs(across) / camera.columns, 0.5 - std::abs(upward) / camera.rows});
    }
    EXPECT_GT(least, 0.04);
    EXPECT_LT(least, 0.08);
  }
}

// An eye that looks up at the top edge through the front: a polished edge reflects totally whatever
// it sees there (derived: the angle within is at least 48 degrees), so a blank's is exactly dark,
// as the whole sheet is; a sanded one glows.
TEST(View, APolishedEdgeThroughTheFrontIsExactlyDark) {
  for (const bool sanded : {false, true}) {
    Model model = panels::sign_blank();
    if (sanded) model.edge_finish[panels::kTop] = panels::ground(0.3);
    model.viewers = {panels::eye(-20, 0, Side::front)};
    const auto run = traced_for_cameras(model, 50000);
    const Vec3 top(60.0, model.outline.size_mm.y() - 0.2, model.thickness_mm);
    const View view(run, aimed(top, model.viewers[0].toward, 3.0, 24));
    const PictureRows rows = view.rows(0, 24);
    double brightest = 0.0;
    for (int k = 0; k < 24 * 24; ++k) {
      brightest = std::max(brightest, static_cast<double>(rows.at(k % 24, k / 24, 0)));
    }
    if (sanded) {
      EXPECT_GT(brightest, 1000.0);
    } else {
      EXPECT_EQ(brightest, 0.0);
    }
  }
}

// The light that a polished top edge four pixels high shows is the same wherever the edge lies
// among the pixels' rows: within a fifth, for one row of samples of eight may be gained or lost.
// What is passed by when the picture is prepared is dark in it.
TEST(View, ANarrowEdgeIsNeverPassedBy) {
  Model model = sign(0.5);
  model.viewers = {panels::eye(30, 0, Side::front)};
  const auto run = traced_for_cameras(model, 50000);
  constexpr int kPixels = 40;
  constexpr double kPixel_mm = 0.375;
  std::vector<double> sums;
  for (int shift = 0; shift < 6; ++shift) {
    const Vec3 target(63.5, 124.0 + shift * kPixel_mm, model.thickness_mm);
    const View view(run, aimed(target, model.viewers[0].toward, kPixel_mm * kPixels, kPixels));
    const Vec3 edge(63.5, model.outline.size_mm.y(), model.thickness_mm);
    const double up = (edge - target).y() * std::cos(kPi / 6.0) / kPixel_mm;
    const int row = static_cast<int>(std::floor(0.5 * kPixels - up));  // of its front, the lower
    const PictureRows rows = view.rows(row - 5, 6);
    double sum = 0.0;
    for (int k = 0; k < 6 * kPixels; ++k)
      sum += static_cast<double>(rows.at(k % kPixels, row - 5 + k / kPixels, 0));
    sums.push_back(sum);
  }
  const auto [least, most] = std::minmax_element(sums.begin(), sums.end());
  EXPECT_GT(*least, 0.8 * *most);
  EXPECT_GT(*least, 0.0);
}

// A mark 4 mm below a polished top edge, 20 mm of sheet behind the front, seen 45 degrees from
// below: its mirror image stands where the ray unfolded at the edge says, within the blur of a
// pixel.
TEST(View, AMirrorImageOfTheArtIsWhereGeometryPutsIt) {
  Model model = panels::clear_panel({100.0, 100.0}, 20.0, 1.49);
  model.lamps = {panels::strip_light(model, {90.0, 18.0}, 0.5)};
  const Vec2 mark(40.0, 96.0);
  panels::engrave(model, Side::back, panels::ground(0.5), panels::everywhere(),
                  mark - Vec2(0.5, 0.5), mark + Vec2(0.5, 0.5));
  model.viewers = {panels::eye(-45, 0, Side::front)};
  const auto run = traced_for_cameras(model, 200000);
  const Vec3 toward = model.viewers[0].toward;
  const Vec3 within = *refract(-toward, Vec3::UnitZ(), 1.49);
  const double rise = 20.0 * within.y() / -within.z();
  const Vec3 expected(mark.x(), 2.0 * 100.0 - mark.y() - rise, 20.0);
  ASSERT_LT(expected.y(), 99.0);
  constexpr int kPixels = 61;
  constexpr double kWide_mm = 8.0;
  const View view(run, aimed(expected, toward, kWide_mm, kPixels));
  const PictureRows rows = view.rows(0, kPixels);
  double sum = 0.0;
  double x = 0.0;
  double y = 0.0;
  for (int row = 0; row < kPixels; ++row) {
    for (int column = 0; column < kPixels; ++column) {
      const double light = static_cast<double>(rows.at(column, row, 0));
      sum += light;
      x += light * (column - kPixels / 2);
      y += light * (row - kPixels / 2);
    }
  }
  ASSERT_GT(sum, 0.0);
  EXPECT_NEAR(x / sum, 0.0, 0.5);
  EXPECT_NEAR(y / sum, 0.0, 0.5);
}

// Looking straight down into the top edge of a clear sheet: an LED at the bottom has its own
// luminance, flux / (pi area), less two crossings and the absorption (derived; n^2 cancels).
TEST(View, AnLedKeepsItsLuminanceThroughTheSheet) {
  Model model = panels::sign_blank();
  model.viewers = {panels::eye(89.9, 0, Side::front)};
  const auto run = traced_for_cameras(model, 1000);
  const LedRow& row = model.lamps.front();
  const double first_mm = row.centre_mm.x() - 0.5 * (row.count - 1) * row.pitch_mm;
  const Vec3 target(first_mm, model.outline.size_mm.y(), 0.5 * model.thickness_mm);
  const Camera camera = aimed(target, model.viewers[0].toward, 1.0, 5);
  const PictureRows rows = View(run, camera).rows(0, 5);
  const double crossing = 1.0 - fresnel(model.sheet.index, 1.0);
  const double area_m2 = row.emitter_mm.x() * row.emitter_mm.y() * kM2PerMm2;
  const double expected = row.flux_each_lm / (kPi * area_m2) * crossing * crossing *
                          transmittance(model.sheet.absorption_per_mm, model.outline.size_mm.y());
  EXPECT_NEAR(static_cast<double>(rows.at(2, 2, 0)), expected, 0.005 * expected);
}

// The same through a chamfer of the edge that they light, in a slot: the way bends there, and comes
// to an LED still.
TEST(View, AnLedKeepsItsLuminanceThroughAChamferInTheSlot) {
  Model model = panels::sign_blank();
  add_chamfer(model.outline, {panels::kBottom, Side::front, 0.3, 1.2});
  model.edge_finish.emplace_back();
  model.base.slot_depth_mm = 8.0;
  model.viewers = {panels::eye(89.9, 0, Side::front)};
  const auto run = traced_for_cameras(model, 1000);
  const LedRow& row = model.lamps.front();
  const double first_mm = row.centre_mm.x() - 0.5 * (row.count - 1) * row.pitch_mm;
  const Vec3 target(first_mm, model.outline.size_mm.y(), model.thickness_mm - 0.6);
  const Camera camera = aimed(target, model.viewers[0].toward, 0.2, 5);
  const PictureRows rows = View(run, camera).rows(0, 5);
  const double crossing = 1.0 - fresnel(model.sheet.index, 1.0);
  const double bent =
      1.0 - boundary(1.0 / model.sheet.index, 1.2 / std::hypot(0.3, 1.2)).reflectance;
  const double area_m2 = row.emitter_mm.x() * row.emitter_mm.y() * kM2PerMm2;
  const double expected = row.flux_each_lm / (kPi * area_m2) * crossing * bent *
                          transmittance(model.sheet.absorption_per_mm, model.outline.size_mm.y());
  EXPECT_NEAR(static_cast<double>(rows.at(2, 2, 0)), expected, 0.005 * expected);
}

// Straight on, a polished 45 degree bevel at the back of the top edge is a mirror (its angle is
// beyond the critical one), in which an LED at the bottom has its own luminance again; where the
// edge is square, the eye looks through the sheet (derived).
TEST(View, ABevelShowsTheLedsStraightOn) {
  for (const bool bevelled : {true, false}) {
    Model model = panels::sign_blank();
    if (bevelled) {
      add_chamfer(model.outline, {panels::kTop, Side::back, 2.5, 2.5});
      model.edge_finish.emplace_back();
    }
    model.viewers = {panels::eye(0, 0, Side::front)};
    const auto run = traced_for_cameras(model, 1000);
    const LedRow& row = model.lamps.front();
    const double first_mm = row.centre_mm.x() - 0.5 * (row.count - 1) * row.pitch_mm;
    const Vec3 target(first_mm, model.outline.size_mm.y() - 1.0, model.thickness_mm);
    const PictureRows rows = View(run, aimed(target, model.viewers[0].toward, 0.5, 5)).rows(0, 5);
    if (!bevelled) {
      EXPECT_EQ(rows.at(2, 2, 0), 0.0F);
      continue;
    }
    const double crossing = 1.0 - fresnel(model.sheet.index, 1.0);
    const double area_m2 = row.emitter_mm.x() * row.emitter_mm.y() * kM2PerMm2;
    const double way_mm = model.thickness_mm - 1.5 + model.outline.size_mm.y() - 1.0;
    const double expected = row.flux_each_lm / (kPi * area_m2) * crossing * crossing *
                            transmittance(model.sheet.absorption_per_mm, way_mm);
    EXPECT_NEAR(static_cast<double>(rows.at(2, 2, 0)), expected, 0.005 * expected);
  }
}

// All at one luminance: a clear sheet seen from below, where no ray comes to the table, shows
// exactly that, but for what rays let go.
TEST(View, AClearSheetInAnEvenRoomIsNotSeen) {
  Model model = panels::sign_blank();
  model.sheet.absorption_per_mm = 0.0;
  model.room.cd_m2 = 50.0;
  model.viewers = {panels::eye(-10, 0, Side::front)};
  const auto run = traced_for_cameras(model, 1000);
  const Camera camera = aimed({60.0, 100.0, 3.0}, model.viewers[0].toward, 30.0, 16);
  const PictureRows rows = View(run, camera).rows(0, 16);
  double worst = 0.0;
  for (int k = 0; k < 16 * 16; ++k) {
    worst = std::max(worst, std::abs(static_cast<double>(rows.at(k % 16, k / 16, 1)) - 50.0));
  }
  EXPECT_LT(worst, 0.1);
}

// Nor is a mark, on the face toward the eye or on the far one, where all about a lossless sheet is
// of one luminance, the base as well (derived: second law).
TEST(View, AMarkInAnEvenRoomIsNotSeen) {
  for (const Side art : {Side::front, Side::back}) {
    for (const Side side : {Side::front, Side::back}) {
      for (const double up_deg : {-10.0, -50.0}) {
        Model model = panels::sign_blank();
        model.sheet.absorption_per_mm = 0.0;
        model.room.cd_m2 = 50.0;
        panels::engrave(model, art, panels::ground(0.5, 0.3), panels::everywhere());
        model.viewers = {panels::eye(up_deg, 0, side)};
        RunSettings settings{statistics::kSeed, 1, 1 << 11};
        settings.arrivals = true;
        auto run = start(std::make_shared<const Model>(model), settings);
        advance(run, 64);
        Model alone = model;
        alone.lamps.clear();
        run.room = room_views(alone, run.shape, run.map, statistics::kSeed, 64);
        const Camera camera = aimed({60.0, 60.0, 1.5}, model.viewers[0].toward, 30.0, 8);
        const PictureRows rows = View(run, camera, 1 << 12).rows(0, 8);
        double worst = 0.0;
        for (int k = 0; k < 8 * 8; ++k) {
          worst = std::max(worst, std::abs(static_cast<double>(rows.at(k % 8, k / 8, 1)) - 50.0));
        }
        EXPECT_LT(worst, 0.01) << model.viewers[0].name << ", art on the "
                               << (art == Side::front ? "front" : "back");
      }
    }
  }
}

// An eye 45 degrees below looks into a hole painted grey: across its far wall, 3 mm high, it sees
// the paint by the room's light, and nothing but the paint. Sees a wall that is not met.
TEST(View, TheFarWallOfAHoleIsSeenFromBeyondTheFaces) {
  Model model = panels::clear_panel({80.0, 68.0}, 3.0, 1.49);
  model.outline = made_up::tag();
  model.edge_finish.resize(model.outline.edges.size());
  model.edge_finish.back() = panels::black_paint();
  model.edge_finish.back().paint_reflectance = 0.4;
  model.lamps = {panels::strip_light(model, {20.0, 2.8}, 0.5)};
  model.room.cd_m2 = 50.0;
  for (const Side side : {Side::front, Side::back}) {
    model.viewers = {panels::eye(-45, 0, side)};
    const auto run = traced_for_cameras(model, 1000);
    const Vec3 wall(40.0, 65.0, 0.5 * model.thickness_mm);
    const PictureRows rows = View(run, aimed(wall, model.viewers[0].toward, 0.5, 6)).rows(0, 6);
    for (int k = 0; k < 6 * 6; ++k) {
      EXPECT_NEAR(static_cast<double>(rows.at(k % 6, k / 6, 1)), 0.4 * 50.0, 1e-4);
    }
  }
}

TEST(Arrivals, AreTheSameForAnyThreadsAndRounds) {
  Model model = sign(0.5);
  model.edge_finish[panels::kTop] = panels::ground(0.3);
  const auto one = traced_for_cameras(model, 20000);
  auto two = traced_for_cameras(model, 8000, 2);
  advance(two, static_cast<std::uint64_t>(statistics::samples(20000)) -
                   static_cast<std::uint64_t>(statistics::samples(8000)));
  EXPECT_EQ(one.arrivals, two.arrivals);
  EXPECT_GT(std::accumulate(one.arrivals.begin(), one.arrivals.end(), std::int64_t{0}), 0);
}

}  // namespace
}  // namespace rimeglow::view_test
