// What the page can ask and change, without a browser: designs are edited by the scenes' own rules,
// saved whole, taken back; what the engine finds is what `predict` prints.
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <mutex>
#include <sstream>
#include <thread>

#include <nlohmann/json.hpp>

#include "cli.h"
#include "workshop_fixture.h"

namespace rimeglow::workshop_test {
namespace {

using namespace workshop_fixture;

namespace fs = std::filesystem;
using nlohmann::json;

TEST_F(WorkshopTest, EditsOneValueByTheScenesOwnRules) {
  EXPECT_EQ(edit("panel.width", "1 1/4 in", "30 mm").status, 200);
  EXPECT_EQ(scene(), std::string(kTiny).replace(kTiny.find("30 mm"), 5, "1 1/4 in"));
  EXPECT_EQ(edit("panel.width", "1.5", "1 1/4 in").status, 200) << "a bare number keeps the unit";
  EXPECT_NE(scene().find("width = \"1.5 in\""), std::string::npos);
  EXPECT_EQ(edit("mark.a.frost", "0.123456", "1.0").status, 200);
  EXPECT_NE(scene().find("frost = 0.123456\n"), std::string::npos) << "no digit is lost";
  const std::string before = scene();
  for (const auto& [key, value] :
       std::vector<std::pair<std::string, std::string>>{{"panel.width", "1,5 mm"},
                                                        {"panel.width", "4 mm"},
                                                        {"panel.width", ""},
                                                        {"panel.width", "3 m"},
                                                        {"lamp.count", "six"},
                                                        {"lamp.count", "2.5"},
                                                        {"mark.a.frost", "nan"},
                                                        {"edges.top", "polishd"},
                                                        {"art.centre", "7 mm"},
                                                        {"art.centre", "29 mm, 29 mm"},
                                                        {"art.file", "../tiny/square.svg"},
                                                        {"art.file", "/etc/passwd"},
                                                        {"use", "/etc/passwd"},
                                                        {"panel.outline", "../../secret.svg"},
                                                        {"lamp.distribution", "/etc/passwd"},
                                                        {"panel.nothing", "1"},
                                                        {"", "1"}}) {
    const HttpAnswer answer = edit(key, value, "30 mm");
    EXPECT_EQ(answer.status, 422) << key << " = " << value << answer.body;
    EXPECT_FALSE(json::parse(answer.body).at("problem").get<std::string>().empty());
    EXPECT_EQ(scene(), before) << key << " = " << value;
  }
}

TEST_F(WorkshopTest, ReadsWhatIsPastedAndSaysWhatADecimalCommaIs) {
  EXPECT_EQ(edit("panel.width", "31\u00a0mm", "30 mm").status, 200);
  EXPECT_NE(scene().find("width = \"31 mm\""), std::string::npos) << scene();
  EXPECT_EQ(edit("panel.width", "1.25\u201d", "30 mm").status, 200);
  EXPECT_NE(scene().find("width = \"1.25\\\"\""), std::string::npos) << scene();
  EXPECT_EQ(edit("room.luminance", "20 cd/m\u00b2", "30 cd/m2").status, 200);
  EXPECT_EQ(edit("title", "Tag 1\u00a0m\u00b2", "").status, 200);
  EXPECT_NE(scene().find("Tag 1\u00a0m\u00b2"), std::string::npos) << "words stay as they are";
  for (const char* key : {"lamp.count", "mark.a.frost", "panel.width"}) {
    const HttpAnswer answer = edit(key, "2,5", "30 mm");
    EXPECT_EQ(answer.status, 422) << key;
    EXPECT_NE(answer.body.find("has a comma"), std::string::npos) << answer.body;
  }
}

TEST_F(WorkshopTest, TriesWithoutChanging) {
  const HttpAnswer answer = change(
      "edit", R"({"key":"panel.thickness","value":"0.118\"","standing":"3 mm","only_try":true})");
  EXPECT_EQ(json::parse(answer.body).at("both"), "2.9972 mm = 0.118 in");
  EXPECT_EQ(scene(), kTiny);
}

TEST_F(WorkshopTest, TakesBackAndDoesAgain) {
  edit("panel.width", "31 mm", "");
  edit("panel.width", "32 mm", "");
  const std::string last = scene();
  EXPECT_EQ(change("undo", "{}").status, 200);
  EXPECT_EQ(change("undo", "{}").status, 200);
  EXPECT_EQ(scene(), kTiny);
  EXPECT_EQ(change("undo", "{}").status, 409);
  EXPECT_EQ(told("ticket").at("can_redo"), true);
  change("redo", "{}");
  change("redo", "{}");
  EXPECT_EQ(scene(), last);
}

TEST_F(WorkshopTest, ChangesNoDesignButTheOneThatWasMeant) {
  change("copy", "{}");
  const auto widen = [&](const std::string& of) {
    return workshop_
        ->change({"edit", {{"of", of}}, R"({"key":"panel.width","value":"31 mm","standing":""})"})
        .status;
  };
  EXPECT_EQ(change("select", R"({"design":"tiny-2"})").status, 200);
  EXPECT_EQ(widen("tiny"), 409) << "made while another design was being opened";
  EXPECT_EQ(DesignShelf(folder_).scene_text("tiny-2"), kTiny);
  EXPECT_EQ(scene(), kTiny);
  EXPECT_EQ(widen("tiny-2"), 200);
}

TEST_F(WorkshopTest, WritesOverNothingThatWasWrittenOutsideThePage) {
  edit("panel.width", "31 mm", "");
  const std::string by_page = scene();
  const std::string by_hand = by_page + "# by hand\n";
  DesignShelf(folder_).save("tiny", by_hand);
  const HttpAnswer answer = edit("panel.width", "32 mm", "");
  EXPECT_EQ(answer.status, 409);
  EXPECT_NE(answer.body.find("changed outside"), std::string::npos) << answer.body;
  EXPECT_EQ(scene(), by_hand);
  EXPECT_EQ(edit("panel.width", "32 mm", "").status, 200);
  EXPECT_NE(scene().find("# by hand"), std::string::npos);
  change("undo", "{}");
  change("undo", "{}");
  EXPECT_EQ(scene(), by_page) << "both can be taken back";
  DesignShelf(folder_).save("tiny", by_hand);
  EXPECT_EQ(change("redo", "{}").status, 409);
  DesignShelf(folder_).save("tiny", kTiny);
  EXPECT_EQ(change("select", R"({"design":"tiny"})").status, 200);
  EXPECT_EQ(scene(), kTiny);
  change("undo", "{}");
  EXPECT_EQ(scene(), by_hand);
}

// Of a mark with facets, whose first tables are not those of predict.
TEST_F(WorkshopTest, SaysTheNumbersOfPredict) {
  ASSERT_EQ(edit("mark.a.frost", "0.3", "1.0").status, 200);
  ASSERT_TRUE(round(Until::known).is_object());
  std::ostringstream out, err;
  const std::string file = (folder_ / "tiny" / "tiny.toml").string();
  const std::string glow = (folder_ / "glow").string();
  ASSERT_EQ(run_command_line({"predict", file, "--json", "--out", glow}, out, err), kDone)
      << err.str();
  EXPECT_EQ(ask("numbers.json").body, out.str());
  EXPECT_EQ(ask("report.html").body, read("glow/report.html"));
  EXPECT_EQ(ask("picture").body.substr(1, 3), "PNG");
  EXPECT_EQ(ask("picture", {{"piece", "1"}}).status, 404);
  EXPECT_EQ(ask("small-picture", {{"design", "../tiny"}}).status, 404);
  const json lit = json::parse(ask("meter", {{"x", "15"}, {"y", "15"}}).body);
  EXPECT_NE(lit.at("words").get<std::string>().find("cd/m2 over 2 mm"), std::string::npos);
  const json clear = json::parse(ask("meter", {{"x", "2"}, {"y", "28"}}).body);
  EXPECT_NE(clear.at("words").get<std::string>().find("clear sheet"), std::string::npos);
}

TEST_F(WorkshopTest, TellsTheLightThoughItsPictureCannotBeSaved) {
  workshop_.reset();
  fs::create_directory(folder_ / "tiny" / ".picture.png");
  workshop_ = std::make_unique<Workshop>(folder_, [](const auto&, const auto&) {});
  EXPECT_TRUE(round(Until::known).is_object());
  const std::string fault = told("fault").at("words");
  EXPECT_NE(fault.find("picture of tiny is not saved"), std::string::npos) << fault;
  EXPECT_EQ(edit("panel.width", "32 mm", "").status, 200);
  EXPECT_TRUE(told("fault").is_null()) << "it is no fault of what is there by now";
}

// However long a page takes to hear of other pieces, it hears no more of those before.
TEST_F(WorkshopTest, TellsNoLightOfWhatWasBefore) {
  std::mutex mutex;
  double width = 0.0;
  int stale = 0;
  workshop_.reset();
  workshop_ = std::make_unique<Workshop>(folder_, [&](const std::string& kind, const auto& data) {
    const json said = json::parse(data);
    {
      const std::lock_guard lock(mutex);
      if (kind == "ticket") width = said.at("panel").at("width");
      if (kind == "round" && said.at("pieces").at(0).at("panel").at("width") != width) ++stale;
    }
    if (kind == "ticket") std::this_thread::sleep_for(std::chrono::milliseconds(700));
  });
  ASSERT_TRUE(round(Until::seen).is_object());
  EXPECT_EQ(edit("panel.width", "31 mm", "").status, 200);
  EXPECT_TRUE(round(Until::seen).is_object());
  workshop_.reset();
  EXPECT_EQ(stale, 0);
}

TEST_F(WorkshopTest, StandsACopyBesideItAndTellsThemApart) {
  EXPECT_EQ(change("copy", "{}").status, 200);
  EXPECT_EQ(told("ticket").at("beside"), "tiny-2");
  const std::string alike = round(Until::seen).at("difference");
  EXPECT_NE(alike.find("glow alike"), std::string::npos) << alike;
  EXPECT_EQ(edit("edges.top", "white card", "polished").status, 200);
  const std::string brighter = round(Until::seen).at("difference");
  EXPECT_NE(brighter.find("brighter"), std::string::npos) << brighter;
  EXPECT_EQ(change("beside", R"({"design":"../x"})").status, 404);
  EXPECT_EQ(change("beside", R"({"design":""})").status, 200);
  EXPECT_EQ(round(Until::seen).at("pieces").size(), 1U);
}

TEST_F(WorkshopTest, ShowsWhereTwoPiecesDifferUntilOneChanges) {
  change("copy", "{}");
  edit("edges.top", "white card", "polished");
  EXPECT_EQ(ask("difference").status, 404);
  json compared;
  for (int i = 0; i < 6000 && compared.is_null(); ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
    compared = told("compared");
  }
  const std::string pictured = compared.at("pictured");
  EXPECT_NE(pictured.find("brighter in 0 of"), std::string::npos) << pictured;
  const HttpAnswer answer = ask("difference");
  EXPECT_EQ(answer.body.substr(1, 3), "PNG");
  EXPECT_NE(answer.caption.find("on the right than on the left, seen straight on"),
            std::string::npos)
      << answer.caption;
  edit("edges.top", "polished", "white card");
  EXPECT_EQ(ask("difference").status, 404);
}

TEST_F(WorkshopTest, LightsAnotherEdgeAndLooksFromElsewhereUntilThatIsStruckOut) {
  const auto with_key = [](const std::string& key) { return json{{"key", key}}.dump(); };
  EXPECT_EQ(change("strike", with_key("lamp")).status, 409) << "one row stays";
  EXPECT_EQ(change("add", with_key("lamp")).status, 200);
  EXPECT_NE(scene().find("[[lamp]]\nedge = \"top\"\ncount = 3\npitch = \"8 mm\""),
            std::string::npos)
      << scene();
  EXPECT_EQ(change("add", with_key("viewer")).status, 200);
  EXPECT_NE(scene().find("[viewer.standing]\nabove = \"35 deg\"\n"), std::string::npos);
  EXPECT_EQ(told("ticket").at("viewers").back().at("name"), "standing");
  const std::string added = scene();
  for (const std::string no :
       {"lamp", "lamp[2]", "lamp[x]", "panel", "viewer.seated", "mark.a", ""}) {
    EXPECT_EQ(change("strike", with_key(no)).status, 409) << no;
    EXPECT_EQ(change("add", with_key("mark")).status, 409);
  }
  EXPECT_EQ(change("strike", with_key("viewer.standing")).status, 200);
  EXPECT_EQ(change("strike", with_key("lamp[1]")).status, 200);
  EXPECT_EQ(scene(), std::string(kTiny).replace(kTiny.find("[lamp]"), 6, "[[lamp]]"));
  change("undo", "{}");
  change("undo", "{}");
  EXPECT_EQ(scene(), added);
}

TEST_F(WorkshopTest, ChamfersAnEdgeUntilThatIsStruckOut) {
  const std::string top = R"({"key":"edges.top"})";
  EXPECT_EQ(change("strike", top).status, 409) << "it is square";
  EXPECT_EQ(change("add", R"({"key":"edges.bottom"})").status, 409)
      << "none is offered where the LEDs are";
  EXPECT_EQ(change("add", top).status, 200);
  EXPECT_EQ(change("add", top).status, 409);
  EXPECT_EQ(edit("edges.top.chamfer_front", "1/16", "1 in").status, 200) << "in the unit it has";
  EXPECT_NE(scene().find("top = { kind = \"polished\", chamfer_front = \"1/16 in\" }"),
            std::string::npos)
      << scene();
  const std::string before = scene();
  for (const auto& [key, value] :
       std::vector<std::pair<std::string, std::string>>{{"chamfer_front", "4 mm"},
                                                        {"chamfer_back", "2 mm"},
                                                        {"chamfer_angle", "90 deg"},
                                                        {"chamfer_finish", "polishd"},
                                                        {"chamfer_side", "1 mm"}}) {
    const HttpAnswer answer = edit("edges.top." + key, value, "1 mm");
    EXPECT_EQ(answer.status, 422) << key << " = " << value;
    EXPECT_EQ(scene(), before) << key << " = " << value;
  }
  EXPECT_EQ(change("strike", top).status, 200);
  EXPECT_EQ(scene(), kTiny + "\n[edges]\ntop = \"polished\"\n");
  change("undo", "{}");
  EXPECT_EQ(scene(), before);
}

TEST_F(WorkshopTest, TakesADesignOffTheShelfAndPutsItBack) {
  const std::string tiny = R"({"design":"tiny"})";
  EXPECT_EQ(change("take-off", tiny).status, 409) << "it is the only one";
  EXPECT_EQ(change("put-back", "{}").status, 409);
  DesignShelf(folder_).add("other", kTiny, DesignShelf(folder_).other_files("tiny"));
  EXPECT_EQ(change("take-off", tiny).status, 200);
  EXPECT_EQ(told("ticket").at("design"), "other");
  EXPECT_EQ(told("ticket").at("taken_off"), "tiny");
  EXPECT_EQ(change("take-off", tiny).status, 404);
  EXPECT_EQ(change("put-back", "{}").status, 200);
  EXPECT_EQ(told("ticket").at("design"), "tiny");
  EXPECT_EQ(scene(), kTiny);
  change("take-off", tiny);
  workshop_.reset();
  EXPECT_EQ(DesignShelf(folder_).names(), std::vector<std::string>{"other"});
  const fs::directory_iterator left(folder_);
  EXPECT_EQ(std::distance(begin(left), end(left)), 1) << "nothing hidden is left";
}

TEST_F(WorkshopTest, AnswersForPiecesAndPlacesOnly) {
  ASSERT_TRUE(round(Until::seen).is_object());
  EXPECT_EQ(ask("picture").status, 200);
  for (const std::string piece : {"-1", "1", "0.5", "1e300", "nan", "0x", "99999999999999999999"}) {
    EXPECT_EQ(ask("picture", {{"piece", piece}}).status, 404) << piece;
    EXPECT_EQ(ask("meter", {{"piece", piece}}).status, 404) << piece;
  }
  for (const std::string place : {"1e300", "-1e300", "1e9", "31.5"}) {
    const HttpAnswer answer = ask("meter", {{"x", place}, {"y", "15"}});
    EXPECT_NE(answer.body.find("no sheet there"), std::string::npos) << answer.body;
  }
}

TEST_F(WorkshopTest, RefusesWhatIsNoChange) {
  for (const std::string body : {"", "[]", "{", "1", "{\"a\":{\"b\":{\"c\":{\"d\":1}}}}x"})
    EXPECT_EQ(change("edit", body).status, 400) << body;
  EXPECT_EQ(change("edit", "{\"key\":1,\"value\":[]}").status, 422);
  EXPECT_EQ(change("nothing", "{}").status, 404);
  EXPECT_EQ(change("plan", "{}").status, 409) << "nothing was made even";
  EXPECT_EQ(ask("even-file", {{"name", "plan.toml"}}).status, 404);
  EXPECT_EQ(change("select", R"({"design":"../../etc"})").status, 404);
  EXPECT_EQ(ask("nothing").status == 404 || ask("nothing").status == 409, true);
  EXPECT_EQ(scene(), kTiny);
}

}  // namespace
}  // namespace rimeglow::workshop_test
