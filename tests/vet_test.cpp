// What vet says of a scene without tracing light.
#include "vet.h"

#include <gtest/gtest.h>

#include "files.h"

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

class VetOfArt : public OwnFolder {
 protected:
  // With these paths drawn on 14 x 14 mm.
  std::string facts_with(const std::string& paths, const Changes& changes) const {
    write(
        "art.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='14mm' height='14mm' viewBox='0 0 14 14'>" +
            paths + "</svg>");
    write("panel.toml",
          "[panel]\nwidth = \"80 mm\"\nheight = \"24 mm\"\nthickness = \"3 mm\"\n"
          "[art]\nfile = \"art.svg\"\nmark = \"a\"\n[mark.a]\n[lamp]\ncount = 4\n"
          "flux_each = \"9 lm\"\n" +
              more_);
    const LoadedScene scene = load_scene(folder_ / "panel.toml", changes);
    EXPECT_TRUE(scene.problems.empty()) << problems_text(scene);
    return facts_text(scene);
  }

  std::string more_;  // tables of the scene
};

// Of every mark: rows of the first, and a scored line of 12 mm that takes no time to speak of.
TEST_F(VetOfArt, CountsTheTimeOfEveryMark) {
  more_ =
      "[mark.line]\nspot = \"0.2 mm\"\n[[art.region]]\nselect = \"#line\"\nmark = \"line\"\n"
      "[machine]\nspeed = \"100 mm/s\"\nacceleration = \"1000 mm/s2\"\n";
  const auto minutes = [&](const std::string& kind) {
    const std::string said =
        facts_with("<path d='M1 1H13V9H1Z'/><path id='line' d='M1 11H13V11.2H1Z'/>",
                   {{"mark.line.kind", kind}});
    const std::size_t at = said.find("Laser: about ") + 13;
    return std::stod(said.substr(at, said.find(' ', at) - at));
  };
  const double rows = 8.0 * 400.0 / 25.4;  // 12 mm and a turn of 0.2 s each
  const double first = rows * (0.12 + 0.2) / 60.0;
  EXPECT_NEAR(minutes("scored"), first + 0.12 / 60.0, 0.02 * first);
  EXPECT_NEAR(minutes("raster"), first * (1.0 + 4.0 / rows), 0.02 * first);
}

TEST_F(VetOfArt, SaysThatFlatGreysAreLineArt) {
  const std::string said =
      facts_with("<path d='M1 1H13V13H1Z' fill='#666'/>", {{"art.tones", "flat"}});
  EXPECT_NE(said.find("treated as line art"), std::string::npos) << said;
}

// 12 x 12 mm and what the spot adds around, of any depth: a groove's flanks are not burnt twice.
TEST_F(VetOfArt, SaysHowMuchIsBurnt) {
  for (const char* depth : {"0 mm", "0.2 mm"}) {
    const std::string said = facts_with("<path d='M1 1H13V13H1Z'/>", {{"mark.a.depth", depth}});
    EXPECT_NE(said.find("146 mm2, 7.6 % of the panel\n"), std::string::npos) << said;
  }
}

// Rows of dots along x, 0.1 mm apart: a spot of 0.12 mm widens a bar of 0.2 mm by its mean chord
// within a row, 0.104 mm (derived).
TEST_F(VetOfArt, SaysHowMuchHeavierFineStrokesComeOut) {
  const std::string said =
      facts_with("<path d='M1 1h.2v12h-.2zM3 1h.2v12h-.2zM5 1h.2v12h-.2zM7 1h.2v12h-.2z'/>",
                 {{"mark.a.spacing", "0.1 mm"}, {"mark.a.spot", "0.12 mm"}});
  EXPECT_NE(said.find("; that is 1.5 times what is drawn"), std::string::npos) << said;
}

}  // namespace
}  // namespace rimeglow::vet_test
