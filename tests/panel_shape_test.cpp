// What a scene says of its panel's outline: discs, polygons, what does not fit, where lamps stand,
// and where art ends.

#include "panel_shape.h"

#include <gtest/gtest.h>

#include <string>

#include "made_up_outlines.h"
#include "model.h"
#include "scene_reader.h"
#include "scene_reading.h"

namespace rimeglow::panel_shape_test {
namespace {

struct Said {
  Scene scene;
  std::vector<Problem> problems;
};

Said said(const std::string& panel, const std::string& rest = "") {
  const std::string text = "[panel]\nthickness = \"3 mm\"\n" + panel +
                           "[lamp]\ncount = 2\nflux_each = \"9 lm\"\n" + rest;
  ReadScene read = read_scene(std::get<Node>(parse_scene(text)), "made up");
  if (read.problems.empty()) read.problems = check_scene(read.scene);
  return {read.scene, read.problems};
}

const std::string kHouse =
    "outline = [[\"0 mm\", \"0 mm\"], [\"8 cm\", \"0 mm\"], [\"80 mm\", \"50 mm\"], [\"40 mm\", "
    "\"90 "
    "mm\"], [\"0 mm\", \"50 mm\"]]\n";

TEST(PanelShape, APolygonHasItsOwnSizeAndItsLampsAnEdgeToStandAt) {
  const Said house = said(kHouse);
  ASSERT_TRUE(house.problems.empty()) << house.problems[0].what;
  EXPECT_EQ(house.scene.panel.width_mm, 80.0);
  EXPECT_EQ(house.scene.panel.height_mm, 90.0);
  EXPECT_EQ(house.scene.lamps[0].pitch_mm, 40.0);
  const auto model = build_model(house.scene, {}).model;
  EXPECT_NEAR(area_mm2(model->outline), 80.0 * 50.0 + 0.5 * 80.0 * 40.0, 1e-9);
  EXPECT_EQ(model->lamps[0].centre_mm, Vec2(40.0, 0.0));
}

TEST(PanelShape, LampsStandAtTheLowestStraightPieceAlsoOffItsMiddle) {
  Said tag =
      said("width = \"80 mm\"\nheight = \"68 mm\"\n", "centre = \"45 mm\"\npitch = \"9 mm\"\n");
  ASSERT_TRUE(tag.problems.empty());
  tag.scene.panel.shape = made_up::tag();
  EXPECT_TRUE(check_scene(tag.scene).empty());
  EXPECT_EQ(build_model(tag.scene, {}).model->lamps[0].centre_mm, Vec2(45.0, 0.0));
  tag.scene.lamps[0].centre_mm = 20.0;
  EXPECT_NE(check_scene(tag.scene).at(0).what.find("beyond the bottom edge's straight part"),
            std::string::npos);
  tag.scene.lamps[0].count = 1;
  tag.scene.lamps[0].emitter_mm = {60.0, 1.0};
  const Problem alone = check_scene(tag.scene).at(0);
  EXPECT_EQ(alone.key, "lamp.emitter");
  EXPECT_EQ(alone.what.substr(0, 28), "one LED is 60 mm long, the b");
  tag.scene.lamps[0].emitter_mm = {2.8, 2.8};
  // On a slanted piece the place counts along the panel's x.
  tag.scene.panel.shape =
      made_up::built({polygon({{0.0, 10.0}, {60.0, 0.0}, {60.0, 50.0}, {0.0, 50.0}})});
  tag.scene.lamps[0].centre_mm = 45.0;
  EXPECT_LT((build_model(tag.scene, {}).model->lamps[0].centre_mm - Vec2(45.0, 2.5)).norm(), 1e-9);
}

// Of 60 mm across on 36 mm it is 54 mm high, a Pythagorean triangle; its area by the segment cut
// off.
TEST(PanelShape, ADiscStandsOnItsFlat) {
  const Said disc = said("outline = \"disc\"\nwidth = \"60 mm\"\nflat = \"36 mm\"\n");
  ASSERT_TRUE(disc.problems.empty()) << disc.problems[0].what;
  EXPECT_NEAR(disc.scene.panel.height_mm, 54.0, 1e-9);
  EXPECT_NEAR(disc.scene.lamps[0].pitch_mm, 18.0, 1e-9);
  const auto model = build_model(disc.scene, {}).model;
  EXPECT_LT((model->lamps[0].centre_mm - Vec2(30.0, 0.0)).norm(), 1e-9);
  const double half_turn = std::asin(0.6);
  const double segment_mm2 = 900.0 * (half_turn - 0.6 * 0.8);
  EXPECT_NEAR(area_mm2(model->outline), 900.0 * kPi - segment_mm2, 1e-6);
}

struct Refusal {
  std::string panel, rest, key, what;
};

TEST(PanelShape, WhatDoesNotFitIsSaidWithItsKey) {
  const std::string round = "outline = \"disc\"\nwidth = \"60 mm\"\n";
  const std::string disc = round + "flat = \"30 mm\"\n";
  const std::vector<Refusal> refusals = {
      {disc, "edge = \"top\"\n", "lamp.edge", "the top edge has no straight piece"},
      {"outline = \"disc\"\nflat = \"30 mm\"\n", "", "panel.width", "is missing"},
      {round, "", "panel.flat", "is missing"},
      {round + "flat = \"60 mm\"\n", "", "panel.flat", "as long as the disc is wide"},
      {kHouse + "flat = \"30 mm\"\n", "", "panel.flat", "into a disc only"},
      {disc + "height = \"50 mm\"\n", "", "panel.height", "55.98 mm high when it is 60 mm wide"},
      {disc + "corner_radius = \"5 mm\"\n", "", "panel.corner_radius", "of a rectangle only"},
      {kHouse + "width = \"4 mm\"\n", "", "panel.width", "out of range"},
      {kHouse + "height = \"3 m\"\n", "", "panel.height", "out of range"},
      {kHouse, "[edges]\nholes = \"ground\"\n", "edges.holes", "the panel has no holes"},
      {kHouse, "[edges]\nhole = \"ground\"\n", "edges.hole", "the panel has no edge"},
      {"outline = [[\"0 mm\", \"0 mm\"], [\"9 mm\", \"0 mm\"]]\n", "", "panel.outline",
       "a list of 2 where a list of three points"},
      {"outline = [[\"0 mm\", \"0 mm\"], [\"9 mm\"], [\"9 mm\", \"9 mm\"]]\n", "", "panel.outline",
       "a list of two"},
      {"outline = 3\n", "", "panel.outline", "text in quotes or a list of points"},
      {"outline = [[\"0 mm\", \"0 mm\"], [\"40 mm\", \"40 mm\"], [\"40 mm\", \"0 mm\"], [\"0 mm\", "
       "\"40 "
       "mm\"]]\n",
       "", "panel.outline", "crosses or touches itself at 20 mm, 20 mm"},
  };
  for (const Refusal& refusal : refusals) {
    const Said scene = said(refusal.panel, refusal.rest);
    ASSERT_FALSE(scene.problems.empty()) << refusal.what;
    EXPECT_EQ(scene.problems[0].key, refusal.key);
    EXPECT_NE(scene.problems[0].what.find(refusal.what), std::string::npos)
        << scene.problems[0].what;
    EXPECT_FALSE(scene.problems[0].mend.empty());
  }
}

// A square of dots over a round hole: those nearer to it than the beam reaches are gone, as many as
// its area holds but for 1 % at its border.
TEST(PanelShape, ArtEndsAtHolesAndAtTheRim) {
  const Outline outline = made_up::built(
      {polygon({{0.0, 0.0}, {40.0, 0.0}, {40.0, 40.0}, {0.0, 40.0}}), circle({20.0, 20.0}, 5.0)});
  Drawing square;
  square.columns = square.rows = 200;
  square.pixel_mm = 0.1;
  square.origin_mm = {10.0, 10.0};
  square.tone.assign(200 * 200, 255);
  const auto cut = cut_at_holes(square, outline, 0.06);
  ASSERT_TRUE(cut);
  const auto gone = std::count(cut->tone.begin(), cut->tone.end(), 0);
  EXPECT_NEAR(static_cast<double>(gone) * 0.01, kPi * 5.06 * 5.06, 0.01 * kPi * 25.0);
  EXPECT_TRUE(fits_rim(square, outline));
  Drawing beside = square;
  beside.columns = beside.rows = 40;
  beside.tone.assign(40 * 40, 255);
  EXPECT_FALSE(cut_at_holes(beside, outline, 0.06));
  beside.origin_mm = {38.0, 10.0};
  EXPECT_FALSE(fits_rim(beside, outline));
}

}  // namespace
}  // namespace rimeglow::panel_shape_test
