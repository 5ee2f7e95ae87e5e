// What vet says of a scene without tracing light.
#include "vet.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "files.h"
#include "laser_time.h"
#include "units.h"
#include "words.h"

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

// Emitters are 2.8 mm across where nothing else is said, and the sheet 3 mm thick.
TEST(Vet, MindsLedsWiderThanTheSheet) {
  const std::string row = "[[lamp]]\ncount = 4\nflux_each = \"9 lm\"\n";
  EXPECT_TRUE(second_looks(lit_by(row)).empty());
  const auto looks = second_looks(lit_by(row + "emitter = [\"3 mm\", \"3.5 mm\"]\n"));
  ASSERT_EQ(looks.size(), 1U);
  EXPECT_NE(looks[0].find("shine over 3.5 mm, the sheet is only 3 mm thick"), std::string::npos)
      << looks[0];
}

TEST(Vet, MindsRowsInOnePlaceOnce) {
  const std::string wide =
      "[[lamp]]\ncount = 4\nflux_each = \"9 lm\"\nemitter = [\"3 mm\", \"3.5 mm\"]\n";
  EXPECT_EQ(second_looks(lit_by(wide + wide + wide)).size(), 1U);
  LoadedScene tag = load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "visitor-tag.toml", {});
  ASSERT_TRUE(tag.problems.empty()) << problems_text(tag);
  tag.scene.lamps.push_back(tag.scene.lamps.front());
  tag.scene.lamps.back().flux_each_lm = 4.0;
  const std::string said = facts_text(tag);
  const std::size_t file = said.find("a far field of");
  EXPECT_NE(said.find("brought to 9 and 4 an LED", file), std::string::npos) << said;
  EXPECT_EQ(said.find("a far field of", file + 1), std::string::npos) << said;
  tag.scene.lamps.back().flux_each_lm = 0.0;
  const std::string its_own = spoken(tag.scene.lamps.back().far_field->flux_lm());
  EXPECT_NE(facts_text(tag).find("brought to 9 and " + its_own + " an LED"), std::string::npos);
}

// The tag's hole is 6 mm wide, 6 mm below its top.
TEST(Vet, SaysWhatOfTheArtLiesOverAHole) {
  const auto art_about_the_hole = [](const char* width) {
    return load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "visitor-tag.toml",
                      {{"art.centre", "[\"40 mm\", \"62 mm\"]"}, {"art.width", width}});
  };
  const LoadedScene part = art_about_the_hole("12 mm");
  ASSERT_TRUE(part.problems.empty()) << problems_text(part);
  EXPECT_EQ(second_looks(part).at(0), "art lies over a hole of the panel and is cut off there");
  EXPECT_NE(problems_text(art_about_the_hole("3 mm"))
                .find("art.centre: all of the art lies over a hole of the panel\n    move"),
            std::string::npos);
}

TEST(Bed, HoldsWhatFitsOneWayOrTheOther) {
  MachineSpec machine;
  machine.bed_mm = {300.0, 200.0};
  EXPECT_TRUE(fits_bed({300.0, 200.0}, machine));
  EXPECT_TRUE(fits_bed({190.0, 290.0}, machine));
  EXPECT_FALSE(fits_bed({210.0, 210.0}, machine));
  EXPECT_EQ(beyond_bed("the art", {205.0, 290.0}, machine),
            "the art, 205.0 x 290.0 mm, is larger than the machine's bed of 300.0 x 200.0 mm by 5 "
            "mm");
  EXPECT_EQ(beyond_bed("the art", {310.0, 290.0}, machine),
            "the art, 310.0 x 290.0 mm, is larger than the machine's bed of 300.0 x 200.0 mm by 10 "
            "mm and 90 mm");
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

// 200 x 100 mm at 254 dpi and 400 mm/s: 500 s along the lines, and 0.04 s a turn at 20 m/s2, 0.16 s
// at 5 (derived). Upright there are twice as many lines of half the length.
TEST(Laser, TakesItsLinesAndItsTurns) {
  MarkSpec mark;
  mark.spacing_mm = 0.1;
  MachineSpec machine;
  machine.speed_mm_per_s = 400.0;
  machine.acceleration_mm_per_s2 = 20000.0;
  const auto seconds = [&] { return 60.0 * raster_minutes({200.0, 100.0}, mark, machine); };
  EXPECT_NEAR(seconds(), 540.0, 1e-6);
  machine.two_way = false;
  EXPECT_NEAR(seconds(), 1080.0, 1e-6);
  machine.two_way = true;
  machine.acceleration_mm_per_s2 = 5000.0;
  EXPECT_NEAR(seconds(), 660.0, 1e-6);
  mark.direction_rad = 0.5 * kPi;
  EXPECT_NEAR(seconds(), 820.0, 1e-6);
}

TEST_F(VetOfArt, SaysWhichHolesAreNarrowerThanTheKerf) {
  write("pierced.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='24mm' viewBox='0 0 80 24'>"
        "<path d='M0 0H80V24H0ZM5 5v0.4h0.4v-0.4zM9 5v2h2v-2z'/></svg>");
  for (const char* kerf : {"0 mm", "0.3 mm", "0.5 mm"}) {
    const std::string said = facts_with("<path d='M2 2H12V12H2Z'/>",
                                        {{"panel.outline", "pierced.svg"}, {"machine.kerf", kerf}});
    EXPECT_EQ(said.find("Mind: 1 hole narrower than the kerf cannot be cut and is left out of "
                        "panel.svg; widen or drill it\n") != std::string::npos,
              kerf == std::string("0.5 mm"))
        << said;
  }
}

// A panel that fills the bed: what is cut round it, and its jig, 15 mm wider all round, do not fit.
TEST_F(VetOfArt, SaysWhatIsCutBeyondTheBed) {
  const std::string square = "<path d='M2 2H12V12H2Z'/>";
  const std::pair bed("machine.bed", "[\"80 mm\", \"24 mm\"]");
  EXPECT_EQ(facts_with(square, {bed}).find("bed"), std::string::npos);
  const std::string said = facts_with(square, {bed, {"machine.kerf", "0.2 mm"}});
  EXPECT_NE(said.find("Mind: the outline as it is cut, 80.2 x 24.2 mm, is larger than the "
                      "machine's bed of 80.0 x 24.0 mm by 0.2 mm and 0.2 mm; cut it on"),
            std::string::npos)
      << said;
  const auto warning = [&](const char* wide, const char* high) {
    const std::string sides = std::string("[\"") + wide + "\", \"" + high + "\"]";
    return jig_warning(load_scene(folder_ / "panel.toml", {{"machine.bed", sides}}));
  };
  EXPECT_FALSE(warning("110 mm", "54 mm"));
  EXPECT_EQ(
      warning("80 mm", "60 mm"),
      "The jig, 110.0 x 54.0 mm, is larger than the machine's bed of 80.0 x 60.0 mm by 30 mm; "
      "cut it on a larger machine, lay the blanks against two stops instead, or check "
      "machine.bed.");
}

// Of a square of 10 mm the outline: 40 mm long and one spot wide, or a little more where dots lie
// along it. A line up to three dots wide is followed once, whatever its tone, and no wider for
// that.
TEST_F(VetOfArt, OfScoredAreasTheOutlineIsBurnt) {
  const auto burnt_mm2 = [](const std::string& facts) {
    return std::stod(facts.substr(facts.find("burnt over ") + 11));
  };
  const std::string square = facts_with("<path d='M2 2H12V12H2Z' fill='#555'/>",
                                        {{"mark.a.kind", "scored"}, {"mark.a.spot", "0.1 mm"}});
  EXPECT_GT(burnt_mm2(square), 3.9) << square;
  EXPECT_LT(burnt_mm2(square), 6.6) << square;
  EXPECT_NE(square.find("the mark a is scored: only the outline"), std::string::npos) << square;
  std::vector<double> lines_mm2;
  for (const char* width : {"0.05", "0.12", "0.18"}) {
    const std::string line =
        facts_with("<path d='M2 2.03H12' stroke='#555' stroke-width='" + std::string(width) + "'/>",
                   {{"mark.a.kind", "scored"}});
    EXPECT_EQ(line.find("scored"), std::string::npos) << line;
    lines_mm2.push_back(burnt_mm2(line));
  }
  for (const double line_mm2 : lines_mm2) EXPECT_NEAR(line_mm2 / lines_mm2.front(), 1.0, 0.05);
}

TEST_F(VetOfArt, MindsAScoredMarkOnce) {
  more_ = "[[art.region]]\nselect = \"#b\"\nmark = \"a\"\n";
  const std::string said = facts_with("<path d='M1 1H5V9H1Z'/><path id='b' d='M6 1H12V9H6Z'/>",
                                      {{"mark.a.kind", "scored"}});
  const std::size_t first = said.find("a is scored");
  ASSERT_NE(first, std::string::npos) << said;
  EXPECT_EQ(said.find("a is scored", first + 1), std::string::npos) << said;
}

// It is the outline of the art, not of what a hole leaves of it.
TEST_F(VetOfArt, ScoredLinesDoNotGoRoundHoles) {
  write("holed.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='24mm' viewBox='0 0 80 24'>"
        "<path d='M0 0H80V24H0ZM38 10H42V14H38Z'/></svg>");
  const auto burnt = [&](const std::string& outline) {
    const std::string said =
        facts_with("<path d='M2 2H12V12H2Z'/>", {{"mark.a.kind", "scored"},
                                                 {"mark.a.spacing", "0.05 mm"},
                                                 {"machine.dpi", "[\"250 dpi\"]"},
                                                 {"panel.outline", outline}});
    return std::stod(said.substr(said.find("burnt over ") + 11));
  };
  EXPECT_EQ(burnt("holed.svg"), burnt("rectangle"));
}

TEST_F(VetOfArt, MindsWhatARegionLoses) {
  more_ = "[mark.b]\nspacing = \"0.2 mm\"\n[[art.region]]\nselect = \"#b\"\nmark = \"b\"\n";
  const std::string said = facts_with(
      "<path d='M1 1H13V9H1Z'/><g id='b'><path d='M1 10H13V11H1Z'/><path d='M1 "
      "12H13V12.05H1Z'/></g>",
      {});
  EXPECT_NE(said.find("half a raster spacing (0.1 mm)"), std::string::npos) << said;
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

TEST_F(VetOfArt, SaysThatASpotFillsInWhatItsLinesDraw) {
  const std::string square = "<path d='M1 1H13V13H1Z'/>";
  const std::string minded = "the spot of a is more than 2.5 times its raster spacing";
  for (const auto& [spot, is_minded] : {std::pair("0.24 mm", false), std::pair("0.26 mm", true)}) {
    const std::string said =
        facts_with(square, {{"mark.a.spacing", "0.1 mm"}, {"mark.a.spot", spot}});
    EXPECT_EQ(said.find(minded) != std::string::npos, is_minded) << said;
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
