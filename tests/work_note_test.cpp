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
  EXPECT_TRUE(
      says(note({}, Jig::left_out),
           "Engrave first, cut last. A blank that has this shape already is not cut.</li>"));
}

TEST(WorkNote, SaysInputsAsTheyWereGiven) {
  const std::string said = note(
      {{"panel.thickness", "\"2.95 mm\""}, {"machine.speed", "\"127.5 mm/s\""}}, Jig::left_out);
  EXPECT_TRUE(says(said, "\u00d7 2.95 mm"));
  EXPECT_TRUE(says(said, "Speed 127.5 mm/s"));
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
