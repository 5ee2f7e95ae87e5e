#include "model.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "camera_picture.h"
#include "spectrum.h"

namespace rimeglow::model_test {
namespace {

Scene scene() {
  Scene scene;
  scene.panel.width_mm = 100.0;
  scene.panel.height_mm = 80.0;
  scene.panel.thickness_mm = 3.0;
  LampSpec lamp;
  lamp.count = 4;
  lamp.pitch_mm = 20.0;
  lamp.flux_each_lm = 9.0;
  scene.lamps = {lamp};
  scene.art.emplace();
  scene.art->file = "square.svg";
  scene.marks["a"] = MarkSpec{};
  scene.slot_depth_mm = 10.0;
  return scene;
}

// A solid square of the given side about a point.
Drawing square(double x_mm, double y_mm, double side_mm) {
  Drawing drawing;
  drawing.pixel_mm = 0.1;
  drawing.columns = drawing.rows = static_cast<int>(side_mm / drawing.pixel_mm);
  drawing.origin_mm = {x_mm - 0.5 * side_mm, y_mm - 0.5 * side_mm};
  drawing.tone.assign(
      static_cast<std::size_t>(drawing.columns) * static_cast<std::size_t>(drawing.rows), 255);
  return drawing;
}

TEST(Model, ALampStandsInTheMiddleOfItsEdgeFacingIn) {
  for (const auto& [edge, x, y] :
       std::vector<std::tuple<std::string, double, double>>{{"bottom", 50.0, 0.0},
                                                            {"right", 100.0, 40.0},
                                                            {"top", 50.0, 80.0},
                                                            {"left", 0.0, 40.0}}) {
    Scene said = scene();
    said.lamps[0].edge = edge;
    const auto model = build_model(said, {}).model;
    const LedRow& row = model->lamps.at(0);
    EXPECT_EQ(row.centre_mm, Vec2(x, y)) << edge;
    EXPECT_TRUE(contains(model->outline, row.centre_mm + row.inward())) << edge;
  }
}

TEST(Model, ARowStandsWhereItIsSaidToAlongItsEdge) {
  for (const auto& [edge, x, y] :
       std::vector<std::tuple<std::string, double, double>>{{"bottom", 42.0, 0.0},
                                                            {"right", 100.0, 42.0},
                                                            {"top", 42.0, 80.0},
                                                            {"left", 0.0, 42.0}}) {
    Scene said = scene();
    said.lamps[0].edge = edge;
    said.lamps[0].centre_mm = 42.0;
    EXPECT_EQ(build_model(said, {}).model->lamps.at(0).centre_mm, Vec2(x, y)) << edge;
  }
}

// m = -ln 2 / ln cos(half angle); 120 degrees is Lambertian (derived).
TEST(Model, TheBeamAngleGivesTheCosinePower) {
  Scene said = scene();
  EXPECT_NEAR(build_model(said, {}).model->lamps[0].cosine_power, 1.0, 1e-12);
  said.lamps[0].beam_angle_rad = radians(60.0);
  EXPECT_NEAR(build_model(said, {}).model->lamps[0].cosine_power, 4.8188, 1e-4);
}

TEST(Model, TheSheetTakesItsIndexFromTheLampAndItsAbsorptionPerMillimetre) {
  Scene said = scene();
  const Sheet usual = build_model(said, {}).model->sheet;
  EXPECT_DOUBLE_EQ(usual.index, luminous_index(white_led(6500.0)));
  EXPECT_DOUBLE_EQ(usual.absorption_per_mm, kCastAcrylicAbsorption.usual_per_m / 1000.0);
  said.panel.index = 1.5;
  EXPECT_EQ(build_model(said, {}).model->sheet.index, 1.5);
}

TEST(Model, SeveralLampsMeetTheMeanOfTheirIndicesByTheirLight) {
  Scene said = scene();
  said.lamps.push_back(said.lamps.front());
  said.lamps.back().count = 2;
  said.lamps.back().flux_each_lm = 6.0;
  said.lamps.back().wavelength_nm = 466.0;
  const double white = luminous_index(white_led(6500.0));
  const double blue = luminous_index(coloured_led(466.0));
  ASSERT_GT(blue, white + 0.005);
  EXPECT_NEAR(build_model(said, {}).model->sheet.index, (36.0 * white + 12.0 * blue) / 48.0, 1e-12);
}

// Whatever its value: what is usual may also be measured.
TEST(Model, AbsorptionIsGuessedUnlessItIsSaid) {
  Scene said = scene();
  EXPECT_TRUE(build_model(said, {}).model->sheet.absorption_guessed);
  said.panel.absorption_per_m = kCastAcrylicAbsorption.usual_per_m;
  EXPECT_FALSE(build_model(said, {}).model->sheet.absorption_guessed);
}

TEST(Model, AnUprightRasterTurnsTheMarksSlopes) {
  Scene said = scene();
  said.marks["a"].alpha_x = 0.2;
  said.marks["a"].alpha_y = 0.6;
  const auto rough = [&] {
    return build_model(said, {square(50, 50, 10)}).model->layers[0].mark.rough;
  };
  const Rough level = rough();
  EXPECT_EQ(level.slopes.alpha_x, 0.2);
  EXPECT_EQ(level.along, Vec2::UnitX());
  said.marks["a"].direction_rad = radians(90.0);
  EXPECT_EQ(rough().slopes.alpha_x, 0.2);
  // On the back the frame has y down; on the front up.
  EXPECT_LT((rough().along - Vec2(0.0, -1.0)).norm(), 1e-12);
  said.art->face = Side::front;
  EXPECT_LT((rough().along - Vec2(0.0, 1.0)).norm(), 1e-12);
}

// A lone groove catches light over 1.5 times its depth more than its width; in a solid the catches
// merge and only the rim gains (derived). Sees a catch off by 5 %.
TEST(Model, ALoneDeepGrooveCatchesMoreThanASolidDoes) {
  Scene said = scene();
  said.marks["a"].spot_mm = 0.2;
  said.marks["a"].depth_mm = 0.1;
  const auto catch_per_area = [&](const Drawing& drawing) {
    const Layer layer = build_model(said, {drawing}).model->layers[0];
    const Vec2 low = layer.coverage.lower_left_mm();
    const Vec2 high = layer.coverage.upper_right_mm();
    return layer.coverage.burnt_area_mm2(low, high) / layer.engraved().burnt_area_mm2(low, high);
  };
  Drawing line = square(30, 50, 20);
  const auto row_length = static_cast<std::size_t>(line.columns);
  std::fill(line.tone.begin() + static_cast<std::ptrdiff_t>(row_length), line.tone.end(), 0);
  EXPECT_NEAR(catch_per_area(line), 1.0 + 1.5 * 0.1 / 0.2, 0.05);
  Drawing upright = square(30, 50, 20);
  for (std::size_t i = 0; i < upright.tone.size(); ++i)
    if (i % row_length > 0) upright.tone[i] = 0;
  said.marks["a"].direction_rad = radians(90.0);
  EXPECT_NEAR(catch_per_area(upright), 1.0 + 1.5 * 0.1 / 0.2, 0.05);
  said.marks["a"].direction_rad = 0.0;
  EXPECT_LT(catch_per_area(square(30, 50, 20)), 1.02);
  said.marks["a"].depth_mm = 0.0;
  EXPECT_EQ(catch_per_area(line), 1.0);
}

TEST(Model, ViewersStandWhereTheyAreSaidTo) {
  Scene said = scene();
  said.viewers["child"] = {radians(-20.0), radians(10.0), Side::front};
  const auto viewers = build_model(said, {}).model->viewers;
  ASSERT_EQ(viewers.size(), 5u);
  EXPECT_EQ(viewers[0].toward, Vec3(0, 0, 1));
  EXPECT_EQ(viewers[3].toward, Vec3(0, 0, -1));
  const auto expect_at = [&](std::size_t viewer, double above_deg, double left_deg) {
    const double level = std::cos(radians(above_deg));
    const Vec3 due(-level * std::sin(radians(left_deg)), std::sin(radians(above_deg)),
                   level * std::cos(radians(left_deg)));
    EXPECT_LT((viewers[viewer].toward - due).norm(), 1e-12) << viewers[viewer].name;
  };
  expect_at(1, 17.5, 0.0);
  expect_at(2, 0.0, 30.0);
  expect_at(4, -20.0, 10.0);
}

// Pictures are taken from where the viewers of their names look from.
TEST(Model, CamerasStandWhereTheUsualViewersDo) {
  const auto model = build_model(scene(), {}).model;
  const std::vector<NamedStandpoint> stands = usual_standpoints();
  ASSERT_EQ(stands.size(), kUsualViewers.size());
  for (const NamedStandpoint& stand : stands) {
    const Viewer& viewer = model->viewers.at(model->viewer_named(stand.name).value());
    const Viewer camera = viewer_of(usual_camera(*model, stand, 100), *model);
    EXPECT_LT((camera.toward - viewer.toward).norm(), 1e-9) << stand.name;
  }
}

TEST(Model, ArtThatLiesWrongIsRefusedWithTheDistance) {
  const struct {
    double x, y, side;
    const char* what;
  } cases[] = {{50, 50, 10, nullptr},
               {4, 50, 10, "1 mm beyond the panel's left edge"},
               {98, 50, 10, "3 mm beyond the panel's right edge"},
               {50, 78, 10, "3 mm beyond the panel's top edge"},
               {50, 13, 10, "2 mm into the slot at the bottom edge"},
               {50, 13.013, 10, "reaches 2 mm into the slot"},
               {95.001, 50, 10, "reaches 0.1 mm beyond"}};
  for (const auto& at : cases) {
    const BuiltModel built = build_model(scene(), {square(at.x, at.y, at.side)});
    if (!at.what) {
      EXPECT_TRUE(built.model && built.problems.empty());
      continue;
    }
    ASSERT_EQ(built.problems.size(), 1u) << at.what;
    EXPECT_NE(built.problems[0].what.find(at.what), std::string::npos) << built.problems[0].what;
    EXPECT_EQ(built.model, nullptr);
  }
  Scene round = scene();
  round.panel.corner_radius_mm = 20.0;
  round.lamps[0].count = 2;
  EXPECT_NE(build_model(round, {square(6, 74, 10)}).problems.at(0).what.find("rounded corner"),
            std::string::npos);
  Scene bevelled = scene();
  bevelled.edges["left"].chamfer_back_mm = 2.0;
  EXPECT_NE(build_model(bevelled, {square(6, 50, 10)}).problems.at(0).what.find("over a chamfer"),
            std::string::npos);
  EXPECT_TRUE(build_model(bevelled, {square(8, 50, 10)}).problems.empty());
  bevelled.art->face = Side::front;
  EXPECT_TRUE(build_model(bevelled, {square(6, 50, 10)}).problems.empty());
}

// A chamfer is an edge behind all others: with its edge's finish, or its own.
TEST(Model, ChamfersAreEdgesOfTheirOwn) {
  Scene bevelled = scene();
  EdgeSpec& top = bevelled.edges["top"];
  top.kind = EdgeSpec::Kind::sanded;
  top.grit = "P320";
  top.chamfer_front_mm = 1.0;
  top.chamfer_back_mm = 0.5;
  top.chamfer_angle_rad = std::atan(2.0);
  const auto rough = build_model(bevelled, {}).model;
  ASSERT_EQ(rough->outline.edges.size(), 6U);
  EXPECT_EQ(rough->outline.edges[4].name, "top front chamfer");
  EXPECT_EQ(rough->outline.edges[5].name, "top back chamfer");
  EXPECT_NEAR(rough->outline.edges[4].chamfer->depth_mm, 2.0, 1e-12);
  EXPECT_TRUE(rough->edge_finish[4].scatters());
  top.chamfer_kind = EdgeSpec::Kind::polished;
  const auto polished = build_model(bevelled, {}).model;
  EXPECT_TRUE(polished->edge_finish[2].scatters());
  EXPECT_FALSE(polished->edge_finish[4].scatters());
  EXPECT_FALSE(polished->edge_finish[5].scatters());
  // A finish of its own takes over neither the edge's grit nor what was measured of the edge.
  top.alpha = Vec2(0.6, 0.7);
  top.chamfer_kind = EdgeSpec::Kind::sanded;
  top.chamfer_grit = "P1000";
  const auto finer = build_model(bevelled, {}).model;
  EXPECT_EQ(finer->edge_finish[2].rough.slopes.alpha_x, 0.6);
  const Vec2 alpha = sanded(*grain_um("P1000"), top.stroke).alpha;
  EXPECT_EQ(finer->edge_finish[4].rough.slopes.alpha_x, alpha.x());
  EXPECT_EQ(finer->edge_finish[5].rough.slopes.alpha_y, alpha.y());
}

}  // namespace
}  // namespace rimeglow::model_test
