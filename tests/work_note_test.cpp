// What the note for the bench says of cutting, jigs and the laser's speed.
#include "work_note.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "scene_files.h"

namespace rimeglow::work_note_test {
namespace {

// Of the star map, so changed; its words without the page's markup about them.
std::string note(const Changes& changes, Jig jig) {
  const LoadedScene scene =
      load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml", changes);
  EXPECT_TRUE(scene.model) << problems_text(scene);
  if (!scene.model) return "";
  return work_note(scene.scene, scene.model->outline, std::nullopt, PlanState::finished, jig);
}

bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST(WorkNote, AReadyBlankInAJigIsNotCut) {
  const std::string free = note({{"machine.kerf", "\"0.2 mm\""}}, Jig::left_out);
  EXPECT_TRUE(says(free, "Engrave first, cut last. The outline is drawn"));
  EXPECT_FALSE(says(free, "jig"));
  const std::string laid = note({{"machine.kerf", "\"0.2 mm\""}}, Jig::drawn);
  EXPECT_TRUE(says(laid, "The part named outline is not cut."));
  EXPECT_FALSE(says(laid, "cut last"));
  EXPECT_TRUE(says(note({}, Jig::left_out), "comes out smaller by the kerf"));
}

TEST(WorkNote, SaysInputsAsTheyWereGiven) {
  const std::string said = note(
      {{"panel.thickness", "\"2.95 mm\""}, {"machine.speed", "\"127.5 mm/s\""}}, Jig::left_out);
  EXPECT_TRUE(says(said, "\u00d7 2.95 mm"));
  EXPECT_TRUE(says(said, "Speed 127.5 mm/s"));
}

// From 300 mm/s at 3 m/s2 a head stops within v^2 / 2a = 15 mm.
TEST(WorkNote, ReckonsFromWhatWasGiven) {
  const Changes machine = {{"machine.kerf", "\"0.2 mm\""},
                           {"machine.speed", "\"300 mm/s\""},
                           {"machine.acceleration", "\"3 m/s2\""}};
  const std::string said = note(machine, Jig::left_out);
  EXPECT_TRUE(says(said, "The outline is drawn 0.1 mm larger all round, half the kerf."));
  EXPECT_TRUE(says(said, "it needs 15 mm beside the art to turn."));
}

TEST(WorkNote, EachMarkBurnsAFileOfItsOwn) {
  LoadedScene scene = load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml", {});
  ASSERT_TRUE(scene.model) << problems_text(scene);
  scene.scene.marks["deep"].spacing_mm = kMmPerInch / 200.0;
  scene.scene.art->regions.push_back({"#moon", "deep"});
  const std::string said = work_note(scene.scene, scene.model->outline, std::nullopt,
                                     PlanState::finished, Jig::left_out);
  EXPECT_TRUE(says(said, "engraving-1.png: mark frost-400, 400 dpi"));
  EXPECT_TRUE(says(said, "engraving-2.png: mark deep, 200 dpi"));
}

TEST(WorkNote, SaysWhatIsScoredFromWhichFileAndHow) {
  LoadedScene scene = load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml",
                                 {{"machine.speed", "250 mm/s"}});
  ASSERT_TRUE(scene.model) << problems_text(scene);
  MarkSpec& rim = scene.scene.marks["rim"];
  rim.kind = MarkSpec::Kind::scored;
  rim.spot_mm = 0.2;
  rim.depth_mm = 0.3;
  rim.spacing_mm = 0.05;
  scene.scene.art->regions.push_back({"#moon", "rim"});
  const std::string said =
      work_note(scene.scene, scene.model->outline, 3.0, PlanState::finished, Jig::left_out);
  EXPECT_TRUE(says(said, "engraving-1.png: mark frost-400, 400 dpi"));
  EXPECT_TRUE(says(said,
                   "The part named scored-2 in panel.svg: mark rim, scored: the beam follows each "
                   "line once, spot 0.2 mm, 0.3 mm deep. The lines are in no other file"));
  EXPECT_TRUE(
      says(said, "keep to the art within about 0.075 mm, the nearer the finer the spacing"));
  EXPECT_TRUE(says(said, "and the turns; of scored lines their length over speed."));
  EXPECT_FALSE(says(said, "engraving-2.png"));
  EXPECT_FALSE(says(note({{"machine.speed", "250 mm/s"}}, Jig::left_out), "scored"));
}

TEST(WorkNote, SaysWhichWayTheLinesRun) {
  const std::string level = note({{"mark.frost-400.direction", "\"0 deg\""}}, Jig::left_out);
  EXPECT_TRUE(says(level, "running across the panel"));
  const std::string upright = note({{"mark.frost-400.direction", "\"90 deg\""}}, Jig::left_out);
  EXPECT_TRUE(says(upright, "running up and down the panel"));
}

TEST(WorkNote, OrdersNoSpeedThatNobodyGave) {
  EXPECT_TRUE(says(note({{"machine.speed", "\"250 mm/s\""}}, Jig::left_out),
                   "Speed 250 mm/s, both ways; it needs"));
  const std::string supposed = note({{"machine.kerf", "\"0.2 mm\""}}, Jig::left_out);
  EXPECT_TRUE(says(supposed, "minutes are reckoned with 300 mm/s, both ways."));
  EXPECT_FALSE(says(supposed, "Speed 300"));
}

}  // namespace
}  // namespace rimeglow::work_note_test
