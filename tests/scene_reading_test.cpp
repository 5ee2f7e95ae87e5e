// From the text of a scene to what it says or what is wrong with it: reader, schema and model check
// together, because that is what a user meets.
#include "scene_reading.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "files.h"
#include "model.h"
#include "scene_reader.h"
#include "schema.h"

namespace rimeglow::scene_reading_test {
namespace {

constexpr const char* kBlank = R"([panel]
width = "140 mm"
height = "120 mm"
thickness = "3 mm"
[lamp]
count = 6
flux_each = "9 lm"
)";

ReadScene read(const std::string& text) {
  const auto parsed = parse_scene(text);
  if (const auto* problem = std::get_if<Problem>(&parsed)) {
    ReadScene out;
    out.problems.push_back(*problem);
    return out;
  }
  ReadScene out = read_scene(std::get<Node>(parsed), "untitled");
  if (!out.problems.empty()) return out;
  for (Problem& problem : check_scene(out.scene)) out.problems.push_back(std::move(problem));
  return out;
}

TEST(SceneReading, TheLeastSceneIsAClearBlankWithDefaults) {
  const ReadScene out = read(kBlank);
  ASSERT_TRUE(out.problems.empty()) << out.problems.front().what;
  EXPECT_EQ(out.scene.title, "untitled");
  EXPECT_FALSE(out.scene.art.has_value());
  ASSERT_EQ(out.scene.lamps.size(), 1u);
  EXPECT_EQ(out.scene.lamps[0].edge, "bottom");
  EXPECT_DOUBLE_EQ(out.scene.lamps[0].pitch_mm, 140.0 / 6.0);
  EXPECT_EQ(out.scene.panel.sheet, "cast acrylic");
}

TEST(SceneReading, EveryKeyReachesItsPlace) {
  const ReadScene out = read(R"(format = 1
title = "Winter sky"
[panel]
width = "5 in"
height = "120 mm"
thickness = "1/8 in"
corner_radius = "4 mm"
sheet = "cast acrylic"
index = 1.49
absorption = "0.5 /m"
[art]
file = "sky.svg"
width = "110 mm"
centre = ["63 mm", "66 mm"]
rotate = "90 deg"
face = "front"
mark = "frost"
engrave = "light"
[mark.frost]
kind = "raster"
spacing = "254 dpi"
direction = "90 deg"
spot = "0.15 mm"
slope = "ggx"
alpha = [0.3, 0.6]
frost = 0.2
frost_reflectance = 0.4
[edges]
top = "white card"
left = { kind = "ground", alpha = 0.4 }
[edges.right]
kind = "painted"
reflectance = 0.8
chamfer_front = "1 mm"
chamfer_back = "2 mm"
chamfer_angle = "40 deg"
chamfer_finish = "sanded P320"
[[lamp]]
edge = "bottom"
count = 5
pitch = "20 mm"
centre = "60 mm"
emitter = ["3 mm", "2 mm"]
flux_each = "7 lm"
colour = "4000 K"
beam_angle = "90 deg"
gap = "1 mm"
[[lamp]]
edge = "left"
count = 2
flux_each = "8 lm"
[base]
slot_depth = "10 mm"
[room]
luminance = "100 cd/m2"
[machine]
bed = ["600 mm", "400 mm"]
speed = "400 mm/s"
acceleration = "20 m/s2"
two_way = false
[viewer.child]
above = "-20 deg"
left = "10 deg"
side = "back"
[expect]
"glow.evenness" = { value = 0.7, tolerance = 0.05, source = "frozen" }
)");
  ASSERT_TRUE(out.problems.empty()) << out.problems.front().key << " " << out.problems.front().what;
  const Scene& scene = out.scene;
  EXPECT_EQ(scene.title, "Winter sky");
  EXPECT_DOUBLE_EQ(scene.panel.width_mm, 127.0);
  EXPECT_DOUBLE_EQ(scene.panel.thickness_mm, 3.175);
  EXPECT_EQ(scene.panel.index, 1.49);
  EXPECT_EQ(scene.panel.absorption_per_m, 0.5);
  EXPECT_EQ(scene.art->face, Side::front);
  EXPECT_TRUE(scene.art->light_is_engraved);
  EXPECT_DOUBLE_EQ(scene.art->centre_mm->y(), 66.0);
  const MarkSpec& mark = scene.marks.at("frost");
  EXPECT_DOUBLE_EQ(mark.spacing_mm, 0.1);
  EXPECT_EQ(mark.law, SlopeLaw::ggx);
  EXPECT_EQ(mark.alpha_x, 0.3);
  EXPECT_EQ(mark.alpha_y, 0.6);
  EXPECT_EQ(scene.edges.at("top").kind, EdgeSpec::Kind::white_card);
  EXPECT_EQ(scene.edges.at("left").alpha, Vec2(0.4, 0.4));
  EXPECT_EQ(scene.edges.at("right").reflectance, 0.8);
  EXPECT_DOUBLE_EQ(scene.edges.at("right").chamfer_front_mm, 1.0);
  EXPECT_DOUBLE_EQ(scene.edges.at("right").chamfer_back_mm, 2.0);
  EXPECT_DOUBLE_EQ(scene.edges.at("right").chamfer_angle_rad, radians(40.0));
  EXPECT_EQ(scene.edges.at("right").chamfer_kind, EdgeSpec::Kind::sanded);
  EXPECT_EQ(scene.edges.at("right").chamfer_grit, "P320");
  ASSERT_EQ(scene.lamps.size(), 2u);
  EXPECT_EQ(scene.lamps[0].count, 5);
  EXPECT_EQ(scene.lamps[1].edge, "left");
  EXPECT_DOUBLE_EQ(scene.lamps[1].pitch_mm, 60.0);
  EXPECT_EQ(scene.slot_depth_mm, 10.0);
  EXPECT_FALSE(scene.machine->two_way);
  EXPECT_EQ(scene.viewers.at("child").side, Side::back);
  ASSERT_EQ(scene.expect.size(), 1u);
  EXPECT_EQ(scene.expect[0].key, "glow.evenness");
}

struct Mistake {
  std::string text;
  int line;
  std::string key, what, mend;
};

std::string with(const std::string& more) { return kBlank + more; }

// Every mistake a scene can hold: where, what and how to mend it.
TEST(SceneReading, EachMistakeSaysWhereWhatAndHowToMendIt) {
  const std::vector<Mistake> mistakes = {
      {"[panel]\nwidth = 140\n", 2, "panel.width", "140 needs a unit", "\"3 mm\" or \"1/8 in\""},
      {"[panel]\nwidth = \"1,40 mm\"\n", 2, "panel.width", "has a comma", "\"3 mm\""},
      {"[panel]\nwidth = true\n", 2, "panel.width", "is true or false where", "\"3 mm\""},
      {"[panel]\nwidth = \"3 m\"\n", 2, "panel.width", "3000 mm is out of range",
       "between 5 mm and 2000 mm"},
      {"[panel]\nwidht = \"140 mm\"\n", 2, "panel.widht", "is no key", "do you mean \"width\"?"},
      {"[panle]\nwidth = \"140 mm\"\n", 1, "panle", "is no key", "do you mean \"panel\"?"},
      {"panel = 3\n", 1, "panel", "is a number where a table belongs", "[panel]"},
      {"mark.frost = 3\n", 1, "mark.frost", "is a number where a table belongs", "[mark.frost]"},
      {with("pitch = \"20mm\"\ncount_ = 3\n"), 9, "lamp.count_", "is no key",
       "do you mean \"count\"?"},
      {with("[base]\nwall = 1.2\n"), 9, "base.wall", "1.2 is out of range", "between 0 and 0.98"},
      {with("[edges]\ntop = \"sanded 320\"\n"), 9, "edges.top", "grit 320 is two things",
       "\"sanded P320\" or \"sanded 320 US\""},
      {with("[edges]\ntop = \"sanded P330\"\n"), 9, "edges.top", "no grade of abrasive",
       "sanded P30"},
      {with("[edges]\ntop = \"sanded\"\n"), 9, "edges.top", "with which grit", "sanded P320"},
      {with("[edges]\ntop = \"polisht\"\n"), 9, "edges.top", "is none of",
       "do you mean \"polished\"?"},
      {with("[edges]\nupper = \"polished\"\n"), 9, "edges.upper", "has no edge",
       "top, right, bottom and left"},
      {with("[edges]\ntop = { alpha = 0.3 }\n"), 9, "edges.top.kind", "is missing",
       "add it, as in \"polished\""},
      {with("[edges]\nbottom = \"white tape\"\n"), 0, "edges.bottom", "keeps its light out",
       "leave the lit edge polished"},
      {with("[edges]\nbottom = { kind = \"polished\", chamfer_back = \"1 mm\" }\n[base]\nwall = "
            "0.5\n"),
       0, "edges.bottom", "a chamfer on the lit edge", "leave the lit edge square"},
      {with("[edges]\ntop = { kind = \"polished\", chamfer_front = \"2 mm\", chamfer_back = \"2 "
            "mm\" }\n"),
       0, "edges.top", "cut 4 mm deep into 3 mm", "no more than the thickness"},
      {"[panel]\nwidth = \"140 mm\"\nheight = \"120 mm\"\nthickness = \"3 mm\"\ncorner_radius "
       "= \"2 mm\"\n[lamp]\ncount = 6\nflux_each = \"9 lm\"\n[edges]\ntop = { kind = "
       "\"polished\", chamfer_front = \"2.5 mm\" }\n",
       0, "edges.top", "set back by 2.5 mm does not fit the outline", "less than corner radii"},
      {with("[mark.a]\nalpha = 3\n"), 9, "mark.a.alpha", "3 is out of range",
       "between 0.02 and 1.5"},
      {with("[mark.a]\nalpha = [0.1, 0.2, 0.3]\n"), 9, "mark.a.alpha",
       "is a list of 3 where a list of two numbers", "two numbers"},
      {with("[art]\nfile = \"a.svg\"\n"), 0, "art.mark", "no mark to engrave with", "[mark.NAME]"},
      {with("[mark.a]\n[mark.b]\n[art]\nfile = \"a.svg\"\n"), 0, "art.mark", "which mark is meant",
       "name one of them"},
      {with("[base]\nprice = \"9 USD\"\n[bench]\nrate = \"38 EUR/h\"\n"), 0, "bench.rate",
       "is in EUR, other prices in USD", "in one currency"},
      {with("[mark.deep]\n[art]\nfile = \"a.svg\"\nmark = \"depe\"\n"), 0, "art.mark",
       "no mark \"depe\"", "\"deep\"?"},
      {with("[mark.a]\n[art]\nwidth = \"9 mm\"\n"), 0, "art.file", "is missing", "star-map.svg"},
      {with("[mark.a]\ndirection = \"30 deg\"\n[art]\nfile = \"a.svg\"\n"), 0, "mark.a.direction",
       "no way a raster runs", "90 deg"},
      {with("[mark.a]\ndepth = \"3 mm\"\n[art]\nfile = \"a.svg\"\n"), 0, "mark.a.spacing",
       "more than 64 lines across a groove", "check spacing, spot and depth"},
      {with("beam_angle = \"nan deg\"\n"), 8, "lamp.beam_angle", "is no number", "\"30 deg\""},
      {with("gap = \"-1 mm\"\n"), 8, "lamp.gap", "-1 mm is out of range", "between 0 mm"},
      {with("pitch = \"2 mm\"\n"), 0, "lamp.pitch", "overlap", "at least the emitter"},
      {with("pitch = \"30 mm\"\n"), 0, "lamp.count", "a row of 6 LEDs is 153.5 mm long",
       "smaller pitch"},
      {with("pitch = \"20 mm\"\ncentre = \"20 mm\"\n"), 0, "lamp.centre", "reaches beyond",
       "toward the middle"},
      {with("[base]\nslot_depth = \"130 mm\"\n"), 0, "base.slot_depth", "bottom edge swallows",
       "height, 120 mm"},
      {with("edge = \"left\"\n[base]\nslot_depth = \"140 mm\"\n"), 0, "base.slot_depth",
       "left edge swallows", "width, 140 mm"},
      {"[panel]\nwidth = \"140 mm\"\nheight = \"120 mm\"\nthickness = \"3 mm\"\ncorner_radius = "
       "\"70 mm\"\n[lamp]\ncount = 1\nflux_each = \"9 lm\"\n",
       0, "panel.corner_radius", "no straight edge", "60 mm"},
      {"[lamp]\ncount = 1.5\nflux_each = \"9 lm\"\n", 2, "lamp.count", "1.5 is not whole",
       "whole number"},
      {"[lamp]\nflux_each = \"9 lm\"\n", 1, "lamp.count", "is missing", "add it, a whole number"},
      {"[[lamp]]\ncount = 1\n", 1, "lamp[0].flux_each", "is missing", "\"9 lm\""},
      {"lamp = 3\n", 1, "lamp", "is a number where a table belongs", "[lamp]"},
      {"title = \"x\"\n", 0, "lamp", "no light", "add [[lamp]]"},
      {"title = \"x\"\n", 0, "panel.width", "is missing", "\"3 mm\""},
      {"format = 2\n", 1, "format", "2 is out of range", "it must be 1"},
      {"[panel\n", 1, "", "is not TOML", "quotes"},
      {"title = 3\n", 1, "title", "is a number where text", "text in quotes"},
      {with("[viewer.seated]\nabove = \"20 deg\"\n"), 0, "viewer.seated", "already",
       "another name"},
      {with("[machine]\ntwo_way = 1\n"), 9, "machine.two_way", "is a number where true or false",
       "true or false"},
  };
  for (const Mistake& mistake : mistakes) {
    const ReadScene out = read(mistake.text);
    const auto found =
        std::find_if(out.problems.begin(), out.problems.end(), [&](const Problem& problem) {
          return problem.key == mistake.key && problem.what.find(mistake.what) != std::string::npos;
        });
    ASSERT_NE(found, out.problems.end())
        << mistake.text << "\nfirst: "
        << (out.problems.empty() ? "none" : out.problems[0].key + ": " + out.problems[0].what);
    EXPECT_EQ(found->line.number, mistake.line) << mistake.text;
    EXPECT_NE(found->mend.find(mistake.mend), std::string::npos) << found->mend;
  }
}

TEST(SceneReading, LampsMayStandBeforeThePanelThatTheyAreSpreadAlong) {
  const ReadScene out = read(
      "[lamp]\ncount = 7\nflux_each = \"9 lm\"\n"
      "[panel]\nwidth = \"140 mm\"\nheight = \"120 mm\"\nthickness = \"3 mm\"\n");
  ASSERT_TRUE(out.problems.empty()) << out.problems.front().what;
  EXPECT_DOUBLE_EQ(out.scene.lamps.at(0).pitch_mm, 20.0);
}

TEST(SceneReading, AllMistakesAreReportedAtOnceInTheOrderOfTheFile) {
  const ReadScene out =
      read("[panel]\nwidth = 140\nheigth = \"1 mm\"\n[room]\nluminance = \"30 lm\"\n");
  std::vector<std::string> keys;
  for (const Problem& problem : out.problems) keys.push_back(problem.key);
  const std::vector<std::string> expected = {"panel.height", "panel.thickness", "lamp",
                                             "panel.width",  "panel.heigth",    "room.luminance"};
  EXPECT_EQ(keys, expected);
}

TEST(SceneReading, NestingThatWouldOverflowTheParserIsRefusedFirst) {
  std::string dots = "a";
  for (int i = 0; i < 100000; ++i) dots += ".a";
  const std::vector<std::string> bombs = {dots + " = 1\n", "a = " + std::string(100000, '['),
                                          "a = " + std::string(100000, '{'),
                                          std::string(2'000'000, '#')};
  for (const std::string& bomb : bombs) EXPECT_EQ(read(bomb).problems.size(), 1u);
}

// TOML 1.0: two quotes may stand before the three that close long text; what follows is code again.
TEST(SceneReading, NoQuoteHidesNestingAndNoneIsMadeUp) {
  const std::string bomb(100000, '[');
  for (const std::string before :
       {"a = ['x', ", "a = [\"\\\"\", ", "a = [\"\"\"\nx\"\"\"\"\", ", "a = ['''\nx''''', ",
        "a = [\"\"\"\\\"\"\"\"\"\", ", "a = [ # \"\n"}) {
    const ReadScene out = read(before + bomb);
    ASSERT_EQ(out.problems.size(), 1u) << before;
    EXPECT_EQ(out.problems[0].what, "is nested deeper than any scene") << before;
  }
  std::string numbers = "a = [0.5";
  for (int i = 0; i < 1000; ++i) numbers += ", 0.5";
  for (const std::string& harmless :
       {numbers + "]", "a = \"" + bomb + "\"", "a = '" + bomb + "'", "# " + bomb,
        "a = \"\"\"\n" + bomb + "\n\"\"\"", "a = \"" + std::string(1000, '.') + "\""}) {
    EXPECT_TRUE(std::holds_alternative<Node>(parse_scene(harmless)))
        << harmless.substr(0, 20) << std::get<Problem>(parse_scene(harmless)).what;
  }
}

TEST(SceneReading, OneKeyCanBeSetFromOutside) {
  const auto parsed = parse_scene(std::string(kBlank) + "[mark.a]\n");
  Node document = std::get<Node>(parsed);
  for (const auto& [key, value] :
       std::vector<std::pair<std::string, std::string>>{{"panel.thickness", "5mm"},
                                                        {"lamp.count", "8"},
                                                        {"edges.top", "white card"},
                                                        {"mark.a.alpha", "[0.2, 0.4]"},
                                                        {"lamp.gap", "\"1 mm\""}}) {
    EXPECT_FALSE(set_key(document, key, value).has_value()) << key;
  }
  const ReadScene out = read_scene(document, "");
  ASSERT_TRUE(out.problems.empty()) << out.problems.front().what;
  EXPECT_EQ(out.scene.panel.thickness_mm, 5.0);
  EXPECT_EQ(out.scene.lamps.at(0).count, 8);
  EXPECT_EQ(out.scene.lamps.at(0).gap_mm, 1.0);
  EXPECT_EQ(out.scene.edges.at("top").kind, EdgeSpec::Kind::white_card);
  EXPECT_EQ(out.scene.marks.at("a").alpha_y, 0.4);
  // An edge's word becomes its table.
  EXPECT_FALSE(set_key(document, "edges.top", "sanded P320").has_value());
  EXPECT_FALSE(set_key(document, "edges.top.chamfer_back", "1mm").has_value());
  const Node* const top = document.child("edges")->child("top");
  EXPECT_EQ(*top->child("kind")->text(), "sanded P320");
  EXPECT_EQ(*top->child("chamfer_back")->text(), "1mm");
  EXPECT_TRUE(set_key(document, "lamp[3].gap", "1mm").has_value());
  EXPECT_TRUE(set_key(document, "..", "1").has_value());
}

TEST(Schema, EveryKeyIsExplainedAndFoundByItsPath) {
  for (const Key& key : schema()) {
    EXPECT_FALSE(key.help.empty()) << key.path;
    EXPECT_EQ(find_key(key.path), &key);
  }
}

// Each key once: every entry of the reference begins with "* `" and holds the key's own help.
TEST(Schema, TheKeyReferenceHoldsEveryKeyOnce) {
  const std::string reference = key_reference();
  std::size_t entries = 0;
  for (std::size_t at = reference.find("\n* `"); at != std::string::npos;
       at = reference.find("\n* `", at + 1)) {
    ++entries;
  }
  EXPECT_EQ(entries, schema().size());
  for (const Key& key : schema()) {
    EXPECT_NE(reference.find("`: " + std::string(key.help) + "."), std::string::npos) << key.path;
  }
}

TEST(Schema, TheCommittedKeyReferenceIsCurrent) {
  EXPECT_TRUE(bytes_of(RIMEGLOW_SCENES_DIR "/README.md") == key_reference())
      << "renew it: build/rimeglow keys > scenes/README.md";
}

}  // namespace
}  // namespace rimeglow::scene_reading_test
