// What vet says of a scene without tracing light.
#include "vet.h"

#include <gtest/gtest.h>

namespace rimeglow::vet_test {
namespace {

LoadedScene lit_by(const std::string& lamps) {
  LoadedScene scene = load_scene_text(
      "blank.toml",
      "[panel]\nwidth = \"80 mm\"\nheight = \"80 mm\"\nthickness = \"3 mm\"\n" + lamps);
  EXPECT_TRUE(scene.problems.empty()) << problems_text(scene);
  return scene;
}

std::string facts(const std::string& lamps) { return facts_text(lit_by(lamps)); }

// 0.35 lm/mA, see flux_each_lm.
TEST(Vet, SaysWhichLightIsGuessed) {
  const std::string known = "[[lamp]]\ncount = 4\nflux_each = \"9 lm\"\n";
  const std::string guessed = "[[lamp]]\ncount = 4\ncurrent_each = \"20 mA\"\n";
  const std::string guess = "guessed from current_each: it may be half or twice that\n";
  EXPECT_NE(facts(known).find("Light: 36 lm in all\n"), std::string::npos) << facts(known);
  EXPECT_NE(facts(guessed).find("Light: 28 lm in all, " + guess), std::string::npos)
      << facts(guessed);
  EXPECT_NE(facts(known + guessed).find("Light: 64 lm in all, 28 of them " + guess),
            std::string::npos)
      << facts(known + guessed);
}

TEST(Vet, WarnsOnceOfTheRowsOfOneEdge) {
  std::string rows;
  for (const char* colour : {"620 nm", "525 nm", "465 nm"})
    rows += "[[lamp]]\ncount = 4\ncurrent_each = \"20 mA\"\nwavelength = \"" + std::string(colour) +
            "\"\n";
  EXPECT_EQ(scene_warnings(lit_by(rows)).size(), 1U);
  EXPECT_EQ(scene_warnings(lit_by(rows + rows + "edge = \"top\"\n")).size(), 2U);
}

}  // namespace
}  // namespace rimeglow::vet_test
