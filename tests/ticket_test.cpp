// The ticket's sentences: LEDs by their number, a sentence for each chamfered edge, and what is
// written there in the scene's text, whichever way it says its edges.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "scene_files.h"
#include "scene_reader.h"
#include "ticket.h"
#include "ticket_rows.h"

namespace rimeglow::ticket_test {
namespace {

const std::string kPlain =
    "[panel]\nwidth = \"60 mm\"\nheight = \"50 mm\"\nthickness = \"6 mm\"\n\n"
    "[lamp]\ncount = 3\npitch = \"9 mm\"\nflux_each = \"9 lm\"\n";

LoadedScene loaded(const std::string& text) {
  LoadedScene scene = load_scene_text(std::filesystem::path("plain.toml"), text);
  EXPECT_TRUE(scene.problems.empty()) << problems_text(scene);
  return scene;
}

std::string with(const std::string& text, const std::string& key, const std::string& toml) {
  const auto made = with_field(text, key, toml);
  const auto* problem = std::get_if<Problem>(&made);
  EXPECT_FALSE(problem) << problem->what;
  return problem ? "" : std::get<std::string>(made);
}

// The sentences of a topic, their deeds in brackets.
std::string said(const std::string& topic, const std::vector<TicketLine>& lines) {
  std::string words;
  for (const TicketLine& line : lines) {
    if (line.topic != topic) continue;
    for (const Segment& segment : line.segments)
      words += segment.does.empty() ? segment.words : "[" + segment.does + " " + segment.key + "]";
  }
  return words;
}

std::string said(const std::string& topic, const std::string& text) {
  const auto document = parse_scene(text);
  return said(topic, ticket_of(loaded(text).scene, std::get<Node>(document)));
}

TEST(Ticket, SpeaksOfOneLedAsOne) {
  EXPECT_EQ(said("light", kPlain),
            "Lit from below by 3 white LEDs of 6500 K, 9 mm apart, 9 lm each, 0.5 mm from the edge."
            "[add lamp]");
  const std::string one = with(kPlain, "lamp.count", "1");
  EXPECT_EQ(said("light", one),
            "Lit from below by 1 white LED of 6500 K, 9 lm, 0.5 mm from the edge.[add lamp]");
}

// A scene whose text says none of it, as where a shop file does.
TEST(Ticket, SaysWhatTheSceneHasWhereverItComesFrom) {
  Scene scene = loaded(kPlain).scene;
  scene.panel.width_mm = 76.2;
  scene.lamps.front().flux_each_lm = 0.0;
  scene.lamps.front().current_each_ma = 30.0;
  scene.art.emplace();
  scene.art->file = "owl.svg";
  scene.art->rotate_rad = radians(15.0);
  scene.marks["fine"] = MarkSpec{};
  scene.marks["fine"].alpha_x = 0.15;
  scene.marks["fine"].alpha_y = 0.85;
  scene.viewers["child"] = {radians(-20.0), radians(10.0), Side::back};
  scene.edges["top"].chamfer_front_mm = 1.0;
  scene.edges["top"].chamfer_back_mm = 0.5;
  const auto lines = ticket_of(scene, std::get<Node>(parse_scene("")));
  EXPECT_EQ(
      said("blank", lines),
      "A 76.2 mm wide, 50 mm high, 6 mm thick blank of cast acrylic, corners rounded by 0 mm.");
  EXPECT_EQ(lines.front().segments.at(1).both, "76.2 mm = 3 in");
  EXPECT_EQ(said("light", lines),
            "Lit from below by 3 white LEDs of 6500 K, 9 mm apart, 30 mA through each, 0.5 mm from "
            "the edge.[add lamp]");
  EXPECT_EQ(said("art", lines),
            "owl.svg, as wide as its file says, its middle at 38.1 mm, 25 mm from the lower left "
            "corner, turned by 15 deg, engraved on the back with fine. Its dark parts will glow.");
  EXPECT_EQ(said("mark", lines),
            "fine is raster, lines at 400 dpi, a spot of 0.12 mm; roughness 0.15, 0.85, 0.3 of it "
            "melted white.");
  EXPECT_EQ(said("chamfer", lines),
            "Top edge chamfered by 1 mm at the front and by 0.5 mm at the back, at 45 deg to the "
            "faces, finished as it is.");
  EXPECT_EQ(said("viewer", lines),
            "It is looked at as well, as child, from -20 deg above and 10 deg to the left, on its "
            "back.[add viewer]");
}

// A region's mark may be chosen, whichever way the scene says its regions.
TEST(Ticket, SaysWhichPartsOfTheArtHaveAMarkOfTheirOwn) {
  Scene scene = loaded(kPlain).scene;
  scene.art.emplace();
  scene.art->file = "owl.svg";
  scene.art->regions = {{"#head", "bold"}};
  scene.marks["bold"] = scene.marks["fine"] = MarkSpec{};
  scene.art->mark = "fine";
  scene.art->density = "density.png";
  const std::string table = "select = \"#head\"\nmark = \"bold\"\n";
  for (const auto& [header, key] : {std::pair("[[art.region]]\n", "art.region[0].mark"),
                                    std::pair("[art.region]\n", "art.region.mark")}) {
    const auto lines = ticket_of(scene, std::get<Node>(parse_scene(header + table)));
    EXPECT_NE(said("art", lines)
                  .find("on the back with fine, #head with bold, as densely as "
                        "density.png has it. Its dark parts"),
              std::string::npos)
        << said("art", lines);
    const auto line = std::find_if(lines.begin(), lines.end(),
                                   [](const TicketLine& one) { return one.topic == "art"; });
    ASSERT_NE(line, lines.end());
    const auto field = std::find_if(line->segments.begin(), line->segments.end(),
                                    [&](const Segment& one) { return one.key == key; });
    ASSERT_NE(field, line->segments.end()) << key;
    EXPECT_EQ(field->choices.size(), 2u);
    EXPECT_EQ(pattern_of(field->key), "art.region[].mark");
    EXPECT_NE(with(header + table, key, "\"fine\"").find("#head\"\nmark = \"fine\""),
              std::string::npos);
  }
}

// A bare number takes the unit that stands in its own field, millimetres where none does.
TEST(Ticket, ABareNumberTakesTheUnitThatStandsThere) {
  const auto toml = [](const std::string& key, const std::string& typed,
                       const std::string& standing) {
    return std::get<std::string>(toml_of(key, typed, standing));
  };
  EXPECT_EQ(toml("panel.width", "3.5", "3 in"), "\"3.5 in\"");
  EXPECT_EQ(toml("panel.width", "3.5", ""), "\"3.5 mm\"");
  EXPECT_EQ(toml("art.centre", "2, 30", "1 in, 25 mm"), "[\"2 in\", \"30 mm\"]");
}

TEST(TicketChamfer, ASquareEdgeAwayFromTheLampsCanBeChamfered) {
  EXPECT_EQ(said("edges", kPlain),
            "Top edge polished, left polished, right polished, bottom polished."
            "[add edges.top][add edges.left][add edges.right]");
  EXPECT_EQ(said("chamfer", kPlain), "");
  const auto tries = with_another("edges.top", kPlain, loaded(kPlain));
  ASSERT_EQ(tries.size(), 3U);
  const std::string cut = std::get<std::string>(tries.front());
  EXPECT_EQ(cut, kPlain + "\n[edges]\ntop = { kind = \"polished\", chamfer_front = \"1 mm\" }\n");
  EXPECT_EQ(said("edges", cut).find("[add edges.top]"), std::string::npos);
  EXPECT_EQ(said("chamfer", cut),
            "Top edge chamfered by 1 mm at the front and by 0 mm at the back, at 45 deg to the "
            "faces, finished as it is.[strike edges.top]");
  for (const std::string no : {"edges.bottom", "edges.holes", "edges.top.kind", "edges.", "edges"})
    EXPECT_TRUE(with_another(no, kPlain, loaded(kPlain)).empty()) << no;
}

TEST(TicketChamfer, FieldsAreWrittenIntoAnyWayOfSayingAnEdge) {
  const std::string word = kPlain + "\n[edges]\ntop = \"sanded P320\"  # kept\nleft = \"sawn\"\n";
  const std::string cut = with(word, "edges.top.chamfer_back", "\"1/16 in\"");
  EXPECT_NE(cut.find("top = { kind = \"sanded P320\", chamfer_back = \"1/16 in\" }  # kept\n"),
            std::string::npos)
      << cut;
  EXPECT_NE(said("chamfer", cut).find("by 1/16 in at the back"), std::string::npos) << "as written";
  const std::string white = with(cut, "edges.top", "\"white tape\"");
  EXPECT_NE(white.find("{ kind = \"white tape\", chamfer_back"), std::string::npos) << white;
  const std::string ground = with(white, "edges.top.chamfer_finish", "\"ground\"");
  EXPECT_NE(said("chamfer", ground).find("to the faces, ground."), std::string::npos);

  const std::string table =
      kPlain + "\n[edges.top]\nkind = \"sawn\"  # by hand\nchamfer_front = \"1 mm\"\n";
  const std::string deeper = with(table, "edges.top.chamfer_angle", "\"30 deg\"");
  EXPECT_EQ(deeper, table + "chamfer_angle = \"30 deg\"\n");
  EXPECT_EQ(with(table, "edges.top", "\"ground\"").find("kind = \"ground\"  # by hand"),
            table.find("kind = \"sawn\""));
}

TEST(TicketChamfer, AnotherFinishDoesNotTakeOverTheFiguresOfTheFirst) {
  const std::string measured =
      kPlain + "\n[edges]\ntop = { kind = \"sawn\", alpha = 0.4, chamfer_front = \"1 mm\" }\n";
  EXPECT_NE(with(measured, "edges.top", "\"ground\"")
                .find("top = { kind = \"ground\", chamfer_front = \"1 mm\" }"),
            std::string::npos);
  EXPECT_NE(with(measured, "edges.top.chamfer_front", "\"2 mm\"").find("alpha = 0.4"),
            std::string::npos);
  const auto refused = with_field(kPlain + "\n[edges.top]\nkind = \"sawn\"\nalpha = 0.4\n",
                                  "edges.top", "\"ground\"");
  EXPECT_TRUE(std::holds_alternative<Problem>(refused)) << "its lines are the writer's to change";
}

TEST(TicketChamfer, StruckOutTheEdgeIsWhatItWas) {
  const std::string word = kPlain + "\n[edges]\ntop = \"sanded P320\"  # kept\n";
  const std::string cut = with(word, "edges.top.chamfer_front", "\"1 mm\"");
  EXPECT_EQ(std::get<std::string>(struck_out(cut, "edges.top")), word);
  const std::string table = "\n[edges.left]\nkind = \"sawn\"  # kept\nchamfer_back = \"";
  const std::string square =
      std::get<std::string>(struck_out(kPlain + table + "1 mm\"\n", "edges.left"));
  EXPECT_EQ(square, kPlain + table + "0 mm\"\n");
  EXPECT_EQ(said("chamfer", square), "");
}

}  // namespace
}  // namespace rimeglow::ticket_test
