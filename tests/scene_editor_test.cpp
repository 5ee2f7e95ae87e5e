// One value of a scene's text is changed; every other letter stays.
#include <gtest/gtest.h>

#include <filesystem>

#include "files.h"
#include "scene_editor.h"
#include "scene_reader.h"
#include "scene_writer.h"

namespace rimeglow::scene_editor_test {
namespace {

std::string set(const std::string& text, std::string_view path, std::string_view value) {
  const auto changed = with_value(text, path, value);
  const auto* problem = std::get_if<Problem>(&changed);
  return problem ? "problem: " + problem->what : std::get<std::string>(changed);
}

TEST(SceneEditor, ChangesAValueAndNothingElse) {
  EXPECT_EQ(set("# ä\n[panel] # b\nwidth = \"140 mm\"  # \"c\"\nheight=\"3 mm\"\n", "panel.width",
                "\"5 in\""),
            "# ä\n[panel] # b\nwidth = \"5 in\"  # \"c\"\nheight=\"3 mm\"\n");
  EXPECT_EQ(set("[[lamp]]\ncount = 6 # x\n[[lamp]]\ncount = 7\n", "lamp[1].count", "9"),
            "[[lamp]]\ncount = 6 # x\n[[lamp]]\ncount = 9\n");
  EXPECT_EQ(set("title = \"größe\" # ö\n", "title", "\"a\""), "title = \"a\" # ö\n");
  EXPECT_EQ(set("edges = { top = \"polished\", left = \"sawn\" }\n", "edges.top", "\"ground\""),
            "edges = { top = \"ground\", left = \"sawn\" }\n");
  EXPECT_EQ(set("a = [\n 1,\n 2 ]\r\nb = 3\r\n", "a", "[\"7 mm\", \"8 mm\"]"),
            "a = [\"7 mm\", \"8 mm\"]\r\nb = 3\r\n");
}

TEST(SceneEditor, AddsAKeyWhereItBelongs) {
  EXPECT_EQ(set("[a]\nx = 1 # one\n\n[b]\ny = 2\n", "a.z", "3"),
            "[a]\nx = 1 # one\nz = 3\n\n[b]\ny = 2\n");
  EXPECT_EQ(set("[a]\n[a.c]\ny = 2\n", "a.z", "3"), "[a]\nz = 3\n[a.c]\ny = 2\n");
  EXPECT_EQ(set("[a]\nx = 1", "b.z", "3"), "[a]\nx = 1\n\n[b]\nz = 3\n");
  EXPECT_EQ(set("[a]\nx = 1\n", "title", "\"t\""), "title = \"t\"\n[a]\nx = 1\n");
  EXPECT_EQ(set("[mark.\"a b\"]\nx = 1\n", "mark.c.z", "3"),
            "[mark.\"a b\"]\nx = 1\n\n[mark.c]\nz = 3\n");
}

std::string without(const std::string& text, std::string_view path) {
  const auto changed = without_table(text, path);
  const auto* problem = std::get_if<Problem>(&changed);
  return problem ? "problem: " + problem->what : std::get<std::string>(changed);
}

TEST(SceneEditor, AddsARowBehindTheOthersAndStrikesItOut) {
  Node top;
  top.value = "top";
  const auto with = [&](const std::string& text) {
    const auto changed = with_row(text, "lamp", {{"edge", top}});
    const auto* problem = std::get_if<Problem>(&changed);
    return problem ? "problem: " + problem->what : std::get<std::string>(changed);
  };
  const std::string two =
      "[[lamp]] # a\ncount = 6 # b\n\n[[lamp]]\nedge = \"top\"\n\n# c\n[z]\nd = 1\n";
  EXPECT_EQ(with("[[lamp]] # a\ncount = 6 # b\n\n# c\n[z]\nd = 1\n"), two);
  EXPECT_EQ(with("[lamp] # a\ncount = 6 # b\n\n# c\n[z]\nd = 1\n"), two) << "one alone too";
  EXPECT_EQ(without(two, "lamp[1]"), "[[lamp]] # a\ncount = 6 # b\n\n# c\n[z]\nd = 1\n");
  EXPECT_EQ(without(two, "lamp[0]"), "[[lamp]]\nedge = \"top\"\n\n# c\n[z]\nd = 1\n");
  EXPECT_EQ(without("[v.a]\nx = 1\n\n[v.b]\nx = 2\n", "v.a"), "[v.b]\nx = 2\n");
  EXPECT_EQ(without("y = 1\n\n[v.a]\nx = 1\n", "v.a"), "y = 1\n");
  EXPECT_EQ(with("lamp = { count = 6 }\n").substr(0, 8), "problem:");
  EXPECT_EQ(with("[z]\n"), "problem: is not in this scene");
  EXPECT_EQ(without(two, "lamp[2]"), "problem: is not in this scene");
  EXPECT_EQ(without("lamp = [{ a = 1 }, { a = 2 }]\n", "lamp[1]").substr(0, 8), "problem:");
}

TEST(SceneEditor, RefusesWhatItWouldDamage) {
  EXPECT_EQ(set("a = { x = 1 }\n", "a.z", "3"),
            "problem: cannot be set in the way this scene is written");
  EXPECT_EQ(set("a = 1\n", "a", "3 ] b = [ 4"),
            "problem: cannot be set in the way this scene is written");
  EXPECT_EQ(set("[lamp]\ncount = 6\n", "lamp[3].count", "3"),
            "problem: there is no such lamp: the scene has no [[lamp]] to count");
  EXPECT_EQ(set("[[lamp]]\ncount = 6\n", "lamp[3].count", "3"),
            "problem: there is no such lamp: the scene has lamp[0] only");
  EXPECT_EQ(set("[[lamp]]\n[[lamp]]\ncount = 6\n", "lamp[3].count", "3"),
            "problem: there is no such lamp: the scene has lamp[0] to lamp[1]");
  EXPECT_EQ(set("a = [", "a", "3").substr(0, 20), "problem: is not TOML");
}

// Text of a customer's can say nothing but itself.
TEST(SceneEditor, QuotesWhatItIsGiven) {
  for (const std::string text : {"a\"b", "a\\", "\"\n[x]\ny = 1 #", "\xC3\xA9\x7F"}) {
    const auto parsed = parse_scene("v = " + toml_text(text));
    ASSERT_TRUE(std::holds_alternative<Node>(parsed)) << text;
    ASSERT_EQ(std::get<Node>(parsed).table()->size(), 1U);
    EXPECT_EQ(*std::get<Node>(parsed).table()->front().second.text(), text);
  }
}

TEST(SceneEditor, SetsEveryValueOfTheExamples) {
  for (const auto& entry : std::filesystem::directory_iterator(RIMEGLOW_SCENES_DIR)) {
    if (entry.path().extension() != ".toml" || entry.path().stem() == "shop") continue;
    const std::string text = bytes_of(entry.path());
    for (const char* path : {"panel.width", "panel.corner_radius", "edges.top", "art.centre",
                             "base.slot_depth", "room.luminance", "room.backdrop", "title"}) {
      const std::string changed = set(text, path, "\"7 mm\"");
      EXPECT_NE(changed.substr(0, 8), "problem:") << entry.path() << path << changed;
      EXPECT_LT(changed.size(), text.size() + 40) << "nothing but this";
    }
  }
}

}  // namespace
}  // namespace rimeglow::scene_editor_test
