// `even` on a piece of both kinds of marks, areas rastered within a scored rim: the areas are
// planned, the lines are left as drawn and told beside, and the files tell one from the other.
#include <gtest/gtest.h>

#include <filesystem>
#include <sstream>

#include "cli.h"
#include "even_files.h"
#include "even_set.h"
#include "files.h"
#include "made_up_art.h"
#include "numbers.h"

namespace rimeglow::even_scored_test {
namespace {

const GoOn kToTheEnd = [](const std::string&) { return true; };

EvenOptions quick() {
  EvenOptions options;
  options.round_photons = options.final_photons = std::uint64_t{1} << 16;
  options.spans = Spans::left_out;
  options.further = Questions::left_out;
  return options;
}

class RimmedEven : public OwnFolder {
 protected:
  void SetUp() override {
    write("drawn.svg",
          "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='40mm' viewBox='0 0 40 "
          "40'><path d='M3 26H37V37H3Z'/><path d='M3 3H37V12H3Z'/><path id='rim' fill='none' "
          "stroke='black' stroke-width='0.02' d='M1 1H39V39H1Z'/></svg>");
    write("rimmed.toml", rimmed("3 mm"));
  }

  // Of frost alone, which needs no walks over facets.
  static std::string rimmed(const std::string& thickness) {
    return "[panel]\nwidth = \"60 mm\"\nheight = \"60 mm\"\nthickness = \"" + thickness +
           "\"\n[art]\nfile = \"drawn.svg\"\ncentre = [\"30 mm\", \"32 mm\"]\nmark = \"fill\"\n"
           "[[art.region]]\nselect = \"#rim\"\nmark = \"rim\"\n"
           "[mark.fill]\nfrost = 1.0\nspacing = \"250 dpi\"\nspot = \"0.15 mm\"\n"
           "[mark.rim]\nkind = \"scored\"\nfrost = 1.0\nspacing = \"250 dpi\"\n"
           "[lamp]\ncount = 3\npitch = \"18 mm\"\nflux_each = \"9 lm\"\n";
  }

  LoadedScene loaded(const std::string& name) const {
    LoadedScene scene = load_scene(folder_ / name, {});
    EXPECT_TRUE(scene.problems.empty()) << problems_text(scene);
    return scene;
  }
};

double burnt_all_mm2(const Layer& layer) {
  return layer.engraved().burnt_area_mm2(Vec2::Zero(), Vec2(60.0, 60.0));
}

// The art's box is 40 mm from (10, 12); areas keep 3 mm from its border, the rim 1 mm.
TEST_F(RimmedEven, AreasArePlannedAndScoredLinesLeftAsDrawn) {
  const LoadedScene scene = loaded("rimmed.toml");
  const EvenResult result = make_even(scene, quick(), kToTheEnd);
  EXPECT_GT(result.glow_after().evenness.mean, result.glow_before().evenness.mean + 0.05);
  const auto& before = result.before.model->layers;
  const auto& after = result.after.model->layers;
  EXPECT_LT(burnt_all_mm2(after[0]), 0.97 * burnt_all_mm2(before[0]));
  EXPECT_EQ(burnt_all_mm2(after[1]), burnt_all_mm2(before[1]));
  EXPECT_GT(result.plan.at(Vec2(12.5, 34.5)), 0.99) << "about the middle of a cell of lines alone";

  ASSERT_EQ(result.engravings.size(), 2u);
  const InkBox rastered =
      ink_box(dots_in_png(result.engravings[0].png, scene.drawings[0].pixel_mm, Side::back));
  EXPECT_NEAR(rastered.lower_left_mm.x(), 13.0, 0.3);
  EXPECT_NEAR(rastered.upper_right_mm.y(), 49.0, 0.3);
  EXPECT_TRUE(result.engravings[0].lines.empty() && result.engravings[1].png.empty());
  ASSERT_EQ(result.engravings[1].lines.size(), 1u);
  for (const Vec2& corner : result.engravings[1].lines[0]) {
    EXPECT_NEAR(std::abs(corner.x() - 30.0), 19.0, 0.2);
    EXPECT_NEAR(std::abs(corner.y() - 32.0), 19.0, 0.2);
  }

  const std::string verdict = even_verdict(result, scene);
  EXPECT_NE(verdict.find("without the scored lines, which stay as drawn and go from"),
            std::string::npos)
      << verdict;
}

// What `even` promises of areas and lines is what the plan is predicted to do by other photons.
// Frost has no noise of tables; four standard errors, false alarm below 2e-4.
TEST_F(RimmedEven, ThePlanIsPredictedToGlowAsPromised) {
  const LoadedScene scene = loaded("rimmed.toml");
  EvenOptions options = quick();
  options.final_photons = std::uint64_t{1} << 18;
  const EvenResult result = make_even(scene, options, kToTheEnd);
  write_folder(folder_ / "out", even_files(result, scene, Jig::left_out));
  const LoadedScene planned = loaded("out/plan.toml");
  RunSettings settings;
  settings.seed = 99;
  rimeglow::Run run = start(planned.model, settings);
  advance(run, options.final_photons);
  const ViewerGlow predicted = viewer_glow_of(run, result.viewer);
  const ViewerGlow& promised = result.glow_after();
  const auto expect_same = [](const Estimate& a, const Estimate& b) {
    EXPECT_NEAR(a.mean, b.mean, 4.0 * std::hypot(a.standard_error, b.standard_error));
    EXPECT_LT(a.standard_error, 0.03 * a.mean);
  };
  expect_same(predicted.mean_cd_m2, promised.mean_cd_m2);
  expect_same(predicted.evenness, promised.evenness);
  ASSERT_TRUE(predicted.scored_cd_m2 && promised.scored_cd_m2);
  expect_same(*predicted.scored_cd_m2, *promised.scored_cd_m2);
}

TEST_F(RimmedEven, WhatIsEvenAlreadyIsSaidOnce) {
  write("content.toml", rimmed("3 mm") + "[even]\nevenness = 0.3\n");
  const LoadedScene scene = loaded("content.toml");
  const std::string verdict = even_verdict(make_even(scene, quick(), kToTheEnd), scene);
  EXPECT_EQ(verdict.find("The plan leaves everything burnt in full. Seen straight on, the darkest "
                         "patch has "),
            0u)
      << verdict;
  EXPECT_NE(verdict.find(" That is without the scored lines, at "), std::string::npos) << verdict;
  EXPECT_EQ(verdict.find(" from "), std::string::npos) << verdict;
}

// Over engravings of a piece whose rim was rastered.
TEST_F(RimmedEven, FilesTellRasterFromScoredLines) {
  std::filesystem::create_directory(folder_ / "out");
  write("out/numbers.json", "{\"schema\": \"" + std::string(kNumbersSchema) + "\"}");
  for (const char* name : {"engraving.png", "engraving-2.png", "engraving-x.png"})
    write(std::string("out/") + name, "of another day");
  std::ostringstream out, err;
  ASSERT_EQ(run_command_line({"even", (folder_ / "rimmed.toml").string(), "--photons", "4096",
                              "--out", (folder_ / "out").string()},
                             out, err),
            kDone)
      << err.str();
  EXPECT_TRUE(std::filesystem::exists(folder_ / "out/engraving-x.png")) << "is nothing of ours";
  EXPECT_FALSE(std::filesystem::exists(folder_ / "out/engraving.png"));
  EXPECT_TRUE(std::filesystem::exists(folder_ / "out/engraving-1.png"));
  EXPECT_FALSE(std::filesystem::exists(folder_ / "out/engraving-2.png"));
  EXPECT_NE(read("out/panel.svg").find("<g id=\"scored-2\">\n<path d=\"M "), std::string::npos);
  EXPECT_NE(
      read("out/work-note.html").find("The part named scored-2 in panel.svg: mark rim, scored"),
      std::string::npos);
  EXPECT_NE(read("out/report.html").find(" Scored lines are no part of this."), std::string::npos);
  EXPECT_NE(read("out/report.html").find(", its scored lines at "), std::string::npos);
  EXPECT_NE(read("out/report.html").find("engraved area, scored lines apart"), std::string::npos);
}

// Whatever is kept of the lines from round to round. Exact.
TEST_F(RimmedEven, AnotherSpotBurnsTheLinesOtherwiseToo) {
  const LoadedScene scene = loaded("rimmed.toml");
  const EvenSearch search =
      begin_even(scene.scene, scene.drawings, *scene.model, RunSettings(), EvenWish());
  EvenSearch other = search;
  for (LayerArt& layer : other.art) layer.mark.spot_mm *= 1.2;
  const std::vector<Drawing> dots = dots_of(search.art, Density());
  constexpr std::uint64_t kPhotons = 1 << 12;
  EXPECT_EQ(shaken(search, dots, {"", 1.2}, kPhotons).mean_cd_m2.mean,
            shaken(other, dots, {}, kPhotons).mean_cd_m2.mean);
}

// Within 2 %, of which noise is 1 %: the areas, whatever the lines glow at.
TEST_F(RimmedEven, ASetMatchesByItsAreas) {
  write("thick.toml", rimmed("6 mm"));
  const std::vector<LoadedScene> scenes = {loaded("rimmed.toml"), loaded("thick.toml")};
  const auto results = make_even_set(scenes, quick(), kToTheEnd);
  ASSERT_EQ(results.size(), 2u);
  const auto mean = [](const ViewerGlow& glow) { return glow.mean_cd_m2.mean; };
  EXPECT_GT(mean(results[0].glow_before()), 1.1 * mean(results[1].glow_before()));
  EXPECT_NEAR(mean(results[0].glow_after()) / mean(results[1].glow_after()), 1.0, 0.02);
  EXPECT_GT(results[0].glow_after().scored_cd_m2->mean,
            1.1 * results[1].glow_after().scored_cd_m2->mean);
  for (const EvenResult& result : results) EXPECT_FALSE(result.engravings[1].lines.empty());
}

}  // namespace
}  // namespace rimeglow::even_scored_test
