// Parts of the art with marks of their own, from the scene file to the model's layers.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <string>

#include "compare.h"
#include "panels.h"
#include "scene_files.h"

namespace rimeglow::regions_test {
namespace {

namespace fs = std::filesystem;

constexpr const char* kArt =
    R"(<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
<rect id="sky" x="0" y="0" width="20" height="20"/><rect id="moon" x="25" y="5" width="10" height="10"/>
</svg>)";

constexpr const char* kScene = R"([panel]
width = "100 mm"
height = "80 mm"
thickness = "3 mm"
[art]
file = "art.svg"
mark = "light"
[mark.light]
alpha = 0.3
spot = "0.07 mm"
[mark.deep]
alpha = 0.6
spacing = "200 dpi"
spot = "0.13 mm"
[[lamp]]
count = 4
flux_each = "9 lm"
)";

LoadedScene loaded(const std::string& regions) {
  const fs::path folder =
      fs::path(testing::TempDir()) / testing::UnitTest::GetInstance()->current_test_info()->name();
  fs::create_directories(folder);
  std::ofstream(folder / "art.svg") << kArt;
  std::ofstream(folder / "scene.toml") << kScene << regions;
  return load_scene(folder / "scene.toml", {});
}

constexpr const char* kMoon = "[[art.region]]\nselect = \"#moon\"\nmark = \"deep\"\n";

double burnt_mm2(const Layer& layer) {
  return layer.coverage.burnt_area_mm2(layer.coverage.lower_left_mm(),
                                       layer.coverage.upper_right_mm());
}

// Areas from the drawing; a stroke grows by less than a spot at its rim.
TEST(Regions, EachIsALayerWithItsOwnMarkAndRaster) {
  const LoadedScene scene = loaded(kMoon);
  ASSERT_TRUE(scene.model) << problems_text(scene);
  ASSERT_EQ(scene.model->layers.size(), 2u);
  EXPECT_EQ(scene.model->layers[0].mark.rough.slopes.alpha_x, 0.3);
  EXPECT_EQ(scene.model->layers[1].mark.rough.slopes.alpha_x, 0.6);
  EXPECT_NEAR(burnt_mm2(scene.model->layers[0]), 400.0, 8.0);
  EXPECT_NEAR(burnt_mm2(scene.model->layers[1]), 100.0, 6.0);
  EXPECT_DOUBLE_EQ(scene.model->layers[1].coverage.pixel_mm(), 25.4 / 200.0);
}

TEST(Regions, LightMeetsTheMarkOfThePlace) {
  const LoadedScene scene = loaded(kMoon);
  ASSERT_TRUE(scene.model) << problems_text(scene);
  const auto alpha_at = [&](double x_mm, double y_mm) {
    const Hit hit{0.0, kBackFace, -1, {x_mm, y_mm, 0.0}, -Vec3::UnitZ()};
    const Finish& finish = finish_at(*scene.model, hit, Draws(1, 1));
    return finish.scatters() ? finish.rough.slopes.alpha_x : 0.0;
  };
  EXPECT_EQ(alpha_at(40.0, 40.0), 0.3);
  EXPECT_EQ(alpha_at(60.0, 40.0), 0.6);
  EXPECT_EQ(alpha_at(52.0, 40.0), 0.0);
}

// Half the blank's light at most reaches the art; both layers glow, and their ledger closes
// (checked by every run).
TEST(Regions, BothGlow) {
  const LoadedScene scene = loaded(kMoon);
  ASSERT_TRUE(scene.model) << problems_text(scene);
  const auto run = panels::traced(*scene.model, statistics::samples(100000));
  const LuminanceMap map = luminance_map(run, 0, 1.0);
  const auto at = [&](int x, int y) {
    return map.cd_m2[static_cast<std::size_t>(y * map.columns + x)];
  };
  EXPECT_GT(at(40, 40), 10.0f);
  EXPECT_GT(at(60, 40), 10.0f);
  EXPECT_EQ(at(52, 40), 0.0f);
}

TEST(Regions, MistakesSayWhereAndHowToMend) {
  struct Mistake {
    const char* region;
    const char* key;
    const char* what;
  };
  constexpr Mistake kMistakes[] = {
      {"[[art.region]]\nselect = \"#moon\"\nmark = \"depe\"\n", "art.region[0].mark", "no mark"},
      {"[[art.region]]\nselect = \"moon\"\nmark = \"deep\"\n", "art.region[0].select",
       "names no element"},
      {"[[art.region]]\nselect = \"#moom\"\nmark = \"deep\"\n", "art.file", "moom"},
      {"[[art.region]]\nmark = \"deep\"\n", "art.region[0].select", "is missing"}};
  for (const Mistake& mistake : kMistakes) {
    const LoadedScene scene = loaded(mistake.region);
    ASSERT_FALSE(scene.model) << mistake.region;
    ASSERT_EQ(scene.problems.size(), 1u) << problems_text(scene);
    EXPECT_EQ(scene.problems[0].key, mistake.key);
    EXPECT_NE(scene.problems[0].what.find(mistake.what), std::string::npos)
        << scene.problems[0].what;
    EXPECT_FALSE(scene.problems[0].mend.empty());
    EXPECT_GT(scene.problems[0].line, 0);
  }
}

// Of scored lines beside rastered areas the areas are compared, and lines are no measure of areas.
TEST(Regions, ComparedLinesAreToldFromAreas) {
  Model areas = panels::sign_blank();
  panels::engrave(areas, Side::back, panels::ground(0.5, 0.3), panels::everywhere());
  areas.viewers = {panels::eye(0, 0, Side::front)};
  Model lines = areas;
  lines.layers.front().scored = true;
  Model mixed = areas;
  mixed.layers.push_back(lines.layers.front());
  std::vector<rimeglow::Run> runs;
  for (const Model& model : {mixed, areas, lines}) runs.push_back(panels::traced(model, 2000));
  const Comparison comparison = compare(runs, 0);
  const std::string alike = verdict_on(comparison, runs, 1, "it");
  EXPECT_NE(alike.find("the rastered part"), alike.npos) << alike;
  EXPECT_EQ(alike.find("the art"), alike.npos) << alike;
  const std::string unlike = verdict_on(comparison, runs, 2, "it");
  EXPECT_NE(unlike.find("sets scored lines against rastered areas"), unlike.npos) << unlike;
  EXPECT_EQ(unlike.find("the art"), unlike.npos) << unlike;
}

}  // namespace
}  // namespace rimeglow::regions_test
