// Laws of what the room adds: the furnace, and the shares a prototype of ours measured.
#include "room.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "glow.h"
#include "panels.h"

namespace rimeglow::room_test {
namespace {

Model engraved_sign(const Finish& mark, Side side) {
  Model model = panels::sign_blank();
  panels::engrave(model, side, mark, panels::squares());
  model.viewers = {panels::eye(0, 0, Side::front), panels::eye(30, 0, Side::front),
                   panels::eye(0, 40, Side::front), panels::eye(0, 0, Side::back)};
  return model;
}

std::vector<RoomView> views(const Model& model, int rays) {
  const Prism prism = panels::prism_of(model);
  return room_views(model, prism, score_map(model, 1), statistics::kSeed,
                    statistics::samples(rays));
}

double all(const Outlook& outlook) { return outlook.front + outlook.back + outlook.edges; }

// In a furnace, everything at one luminance, a lossless panel without a base cannot be seen,
// engraved or not: the shares of an eye's light sum to 1 in every ray (derived: second law). Sees a
// loss of 1e-9.
TEST(Room, AFurnaceShowsNothing) {
  Finish painted;
  painted.kind = Finish::Kind::painted;
  painted.paint_reflectance = 1.0;
  for (const Finish& mark :
       {panels::ground(0.5), panels::ground(0.3, 0.5), panels::ground(0.4, 1.0), painted}) {
    for (const Side side : {Side::back, Side::front}) {
      Model model = engraved_sign(mark, side);
      model.sheet.absorption_per_mm = 0.0;
      model.lamps.clear();
      for (const RoomView& view : views(model, 4000)) {
        EXPECT_NEAR(all(view.mark), 1.0, 1e-9);
        EXPECT_NEAR(all(view.clear), 1.0, 1e-9);
      }
    }
  }
}

// Black paint in hairlines on a faint grey beside white paint in solid squares, on the viewer's own
// side: of all that the viewer sees painted, the white's share by area comes back to the front
// (derived). Sees places drawn otherwise than by burnt area, by 0.005.
TEST(Room, HairlinesAndGreysAreSeenByTheirArea) {
  Finish white = panels::black_paint();
  white.paint_reflectance = 1.0;
  Model model = panels::sign_blank();
  const auto solid = [](double x, double y) { return x >= 63.5 ? panels::squares()(x, y) : 0.0; };
  panels::engrave(model, Side::front, panels::black_paint(), [](double x, double y) {
    return x < 63.5 ? std::max(panels::lines()(x, y), 0.1) : 0.0;
  });
  panels::engrave(model, Side::front, white,
                  [](double x, double) { return x >= 63.5 ? 1.0 : 0.0; });
  // Deep squares catch light about them as well; what is seen is burnt.
  model.layers[1].burnt = panels::burnt(solid, panels::kArtLowerLeft_mm, panels::kArtUpperRight_mm);
  model.viewers = {panels::eye(0, 0, Side::front)};
  const auto area_mm2 = [&](const Layer& layer) {
    return layer.engraved().burnt_area_mm2(model.art_lower_left_mm, model.art_upper_right_mm);
  };
  const double white_mm2 = area_mm2(model.layers[1]);
  const double share = white_mm2 / (area_mm2(model.layers[0]) + white_mm2);
  const int rays = statistics::samples(100000);
  EXPECT_NEAR(
      views(model, 100000).front().mark.front, share,
      statistics::z_limit(statistics::kFalseAlarm) * statistics::binomial_sigma(share, rays));
}

// A base of black walls is as dark as one of walls that return next to nothing: the same rays, told
// apart in no share (derived). Sees what leaves the lit edge, round its corners and all, taken for
// the room.
TEST(Room, ABlackBaseIsDark) {
  Model model = engraved_sign(panels::ground(0.5, 0.3), Side::back);
  model.outline = rounded_rectangle(127.0, 127.0, 10.0);
  model.base.slot_depth_mm = 8.0;
  const std::vector<RoomView> black = views(model, 4000);
  model.base.wall = 1e-12;
  const std::vector<RoomView> nearly = views(model, 4000);
  for (std::size_t v = 0; v < black.size(); ++v) {
    EXPECT_DOUBLE_EQ(black[v].mark.front, nearly[v].mark.front);
    EXPECT_DOUBLE_EQ(black[v].mark.back, nearly[v].mark.back);
    EXPECT_DOUBLE_EQ(black[v].mark.edges, nearly[v].mark.edges);
    EXPECT_GT(black[v].mark.edges, 0.02);
    EXPECT_LT(all(black[v].mark), 0.99);
  }
}

// Art that fills its box leaves clear sheet beside it all the same.
TEST(Room, ShowsTheSheetBesideSolidArt) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5), panels::everywhere());
  model.viewers = {panels::eye(0, 0, Side::front)};
  EXPECT_NEAR(all(views(model, 1000).front().clear), 1.0, 0.01);
}

// A clear sheet reflects 1 - 2n/(n^2+1) = 0.0746 at both faces together (derived; K14 of the plate)
// and passes the rest, less 0.1 % of absorption. Level 1e-4; sees 0.01.
TEST(Room, AClearSheetShowsWhatAPlateDoes) {
  const auto view = views(engraved_sign(panels::ground(0.5), Side::back), 100000).front().clear;
  const double reflected = 1.0 - 2.0 * 1.49 / (1.49 * 1.49 + 1.0);
  EXPECT_NEAR(view.front, reflected,
              statistics::z_limit(statistics::kFalseAlarm) * view.error + 1e-4);
  EXPECT_NEAR(view.front + view.back, 1.0, 0.002);
  // A ray comes back whole or not at all; of all rays so many as a coin's throws.
  const double error = statistics::binomial_sigma(view.front, statistics::samples(100000));
  EXPECT_NEAR(view.error, error, 0.01 * error);
}

// A mirror behind a sheet that absorbs 0.1 per mm, seen 60 degrees from straight on: R + (1 - R)^2
// t^2 / (1 - R t^2) comes back, R by Fresnel and t = exp(-0.1 d / cos) along the ray inside, each
// way and before any turn back (derived). Level 1e-4; sees 0.01.
TEST(Room, AMirrorBehindTheSheetIsDimmedByTheWholeWay) {
  Model model = panels::sign_blank();
  model.sheet.absorption_per_mm = 0.1;
  panels::engrave(model, Side::back, panels::backed({}, Backing::Kind::mirror, 1.0),
                  panels::everywhere());
  model.viewers = {panels::eye(60, 0, Side::front)};
  const RoomView view = views(model, 40000).front();
  const double reflected = fresnel(1.49, 0.5);
  const double cos_inside = std::sqrt(1.0 - 0.75 / (1.49 * 1.49));
  const double twice = std::exp(-2.0 * 0.1 * model.thickness_mm / cos_inside);
  const double expected =
      reflected + (1.0 - reflected) * (1.0 - reflected) * twice / (1.0 - reflected * twice);
  EXPECT_NEAR(view.mark.front, expected,
              statistics::z_limit(statistics::kFalseAlarm) * view.mark.error);
}

// Shares of a small lone mark on the back seen from the front, from our own prototype of this panel
// (its errors: 0.001): what is scattered into the guide leaves at the edges: frost 0, 0.3 and 1 at
// alpha 0.5. Level 1e-4; sees 0.015.
TEST(Room, MarksShowWhatThePrototypeFound) {
  struct Row {
    double frost, front, back;
  };
  constexpr Row kRows[] = {{0.0, 0.113, 0.746}, {0.3, 0.171, 0.623}, {1.0, 0.312, 0.326}};
  for (const Row& row : kRows) {
    Model model = panels::sign_blank();
    panels::engrave(model, Side::back, panels::ground(0.5, row.frost), panels::everywhere(),
                    {62.0, 62.0}, {64.0, 64.0});
    model.viewers = {panels::eye(0, 0, Side::front)};
    const auto view = views(model, 100000).front().mark;
    const double limit = statistics::z_limit(statistics::kFalseAlarm, 6) * view.error + 0.012;
    EXPECT_NEAR(view.front, row.front, limit) << row.frost;
    EXPECT_NEAR(view.back, row.back, limit) << row.frost;
  }
}

// An unlit mark is lighter than the clear sheet before a dark backdrop and darker before a bright
// one (derived from the shares: the two meet at about a third of the room's luminance).
TEST(Room, AMarkIsLighterThanClearSheetOnlyBeforeADarkBackdrop) {
  const RoomView view = views(engraved_sign(panels::ground(0.5, 0.3), Side::back), 40000).front();
  const auto lighter = [&](double backdrop) {
    return luminance_of(view.mark, 1.0, backdrop, 0.0) -
           luminance_of(view.clear, 1.0, backdrop, 0.0);
  };
  EXPECT_GT(lighter(0.05), 0.02);
  EXPECT_LT(lighter(0.8), -0.02);
}

// Back light on a wall close behind veils the art: rho (L + lumens / (pi A)) shows through the
// clear sheet (derived). Sees 2 %.
TEST(Room, ABackdropVeilsTheArtWithTheBacksOwnLight) {
  Model model = engraved_sign(panels::ground(0.5, 0.3), Side::back);
  model.room.backdrop = 0.8;
  const auto run = panels::traced(model, statistics::samples(200000));
  const Glow glow = glow_of(run);
  double back = 0.0;
  for (const Share& share : glow.ledger) {
    if (share.name.rfind("back.", 0) == 0) back += share.of_emitted.mean;
  }
  const double lux = back * glow.flux_lm / (0.127 * 0.127);
  EXPECT_NEAR(glow.viewers[0].beside_cd_m2.mean, run.room[0].clear.back * 0.8 * lux / kPi,
              0.02 * glow.viewers[0].beside_cd_m2.mean);
  EXPECT_GT(glow.viewers[0].beside_cd_m2.mean, 30.0);
}

}  // namespace
}  // namespace rimeglow::room_test
