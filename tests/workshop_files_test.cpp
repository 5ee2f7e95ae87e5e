// Files that are put on the page: taken all or none, kept beside their design, never written over;
// and no scene reaches any other.
#include <gtest/gtest.h>

#include <filesystem>

#include <nlohmann/json.hpp>

#include "workshop_fixture.h"

namespace rimeglow::workshop_files_test {
namespace {

using namespace workshop_fixture;

namespace fs = std::filesystem;
using nlohmann::json;

// A scene of a shop: what it asks for lies beside it, or is named until it does.
class WorkshopFiles : public WorkshopTest {
 protected:
  const NamedFile scene_{"Door plate.toml",
                         "use = \"Shop.toml\"\n[panel]\nuse = \"small\"\n[art]\nfile = "
                         "\"../art/a b.svg\"\n[mark.a]\n[lamp]\ncount = 3\npitch = \"8 mm\"\n"
                         "flux_each = \"9 lm\"\n"};
  const NamedFile shop_{"Shop.toml", shop_text("30 mm")};
  const NamedFile art_{"a b.svg", kSquare};

  static std::string shop_text(const std::string& width) {
    return "[panel.small]\nwidth = \"" + width + "\"\nheight = \"30 mm\"\nthickness = \"3 mm\"\n";
  }
  json problems() const { return told("ticket").at("problems"); }
  std::string plate(const std::string& file) const { return read(fs::path("door-plate") / file); }
};

TEST_F(WorkshopFiles, TakesArtThatFitsAndRefusesTheRest) {
  const std::string large =
      "<svg xmlns='http://www.w3.org/2000/svg' width='900mm' height='900mm'>"
      "<path d='M0 0H90V90H0Z'/></svg>";
  EXPECT_EQ(drop({{"../../Big Crest.SVG", large}}).status, 200);
  EXPECT_NE(scene().find("file = \"big-crest.svg\""), std::string::npos);
  EXPECT_NE(scene().find("width = \"24 mm\""), std::string::npos) << scene();
  const std::string before = scene();
  EXPECT_EQ(drop({{"x.svg", "no art at all"}}).status, 422);
  EXPECT_EQ(drop({{"x.svg", ""}}).status, 422);
  EXPECT_EQ(scene(), before);
  EXPECT_FALSE(fs::exists(folder_ / "tiny" / "x.svg")) << "what was refused is not kept";
  EXPECT_EQ(change("undo", "{}").status, 200);
  EXPECT_EQ(scene(), kTiny);
}

TEST_F(WorkshopFiles, OpensScenesButNoFilesBesideTheirs) {
  EXPECT_EQ(drop({{"broken.toml", "[panel"}}).status, 422);
  EXPECT_EQ(drop({{"large.toml", std::string(2'000'000, '#')}}).status, 422);
  const std::string reaching =
      std::string(kTiny).replace(kTiny.find("square.svg"), 10, "/etc/passwd");
  EXPECT_EQ(drop({{"../etc/Reach out.toml", reaching}}).status, 200);
  const json ticket = told("ticket");
  EXPECT_EQ(ticket.at("design"), "reach-out");
  EXPECT_EQ(ticket.at("problems").at(0).at("words"), "/etc/passwd is not with this design");
  EXPECT_EQ(drop({{"square.svg", kSquare}}).status, 200) << "the art it lacks mends it";
  EXPECT_TRUE(told("ticket").at("problems").empty());
}

TEST_F(WorkshopFiles, TakesASceneWithAllItAsksFor) {
  const HttpAnswer answer = drop({art_, scene_, shop_});
  EXPECT_EQ(answer.status, 200) << answer.body;
  EXPECT_EQ(json::parse(answer.body).at("words"), "Door plate.toml is on the bench.");
  EXPECT_TRUE(problems().empty()) << problems();
  EXPECT_EQ(told("ticket").at("panel").at("width"), 30.0);
  EXPECT_EQ(plate("Shop.toml"), shop_.bytes);
  EXPECT_EQ(plate("a b.svg"), kSquare);
  EXPECT_NE(plate("door-plate.toml").find("file = \"a b.svg\""), std::string::npos)
      << "what lay in another folder is asked for where it lies";
  EXPECT_EQ(fs::exists(folder_ / "art"), false);
}

TEST_F(WorkshopFiles, NamesAllThatIsMissingAndTakesItAfterwards) {
  EXPECT_EQ(drop({scene_}).status, 200);
  ASSERT_EQ(problems().size(), 2U) << problems();
  EXPECT_EQ(problems()[0].at("words"), "Shop.toml is not with this design");
  EXPECT_EQ(problems()[0].at("mend"), "drop Shop.toml on the page");
  EXPECT_EQ(problems()[1].at("mend"), "drop a b.svg, or other art, on the page");
  EXPECT_EQ(drop({shop_}).status, 200);
  ASSERT_EQ(problems().size(), 1U) << problems();
  EXPECT_EQ(drop({art_}).status, 200);
  EXPECT_TRUE(problems().empty()) << problems();
  EXPECT_TRUE(round(Until::seen).is_object());
}

TEST_F(WorkshopFiles, MendsASceneThatWasRefusedAndKeepsWhatLiesBesideIt) {
  const NamedFile refused{scene_.name, scene_.bytes + "[art.gone]\n"};
  EXPECT_EQ(drop({refused, shop_, art_}).status, 200);
  EXPECT_FALSE(problems().empty());
  EXPECT_EQ(drop({scene_, {art_.name, kSquare + "\n"}}).status, 200);
  EXPECT_TRUE(problems().empty()) << problems();
  EXPECT_EQ(DesignShelf(folder_).names(), (std::vector<std::string>{"door-plate", "tiny"}));
  EXPECT_NE(plate("door-plate.toml").find("file = \"a b-2.svg\""), std::string::npos)
      << "other art under a name that is taken";
  EXPECT_EQ(plate("a b.svg"), kSquare);
  change("undo", "{}");
  EXPECT_NE(plate("door-plate.toml").find("[art.gone]"), std::string::npos);
  change("redo", "{}");
  EXPECT_EQ(drop({refused, shop_, art_}).status, 200) << "what is good is another design";
  EXPECT_EQ(told("ticket").at("design"), "door-plate-2");
  EXPECT_EQ(drop({scene_}).status, 200) << "mended, whatever its number";
  EXPECT_TRUE(problems().empty()) << problems();
  EXPECT_EQ(DesignShelf(folder_).names(),
            (std::vector<std::string>{"door-plate", "door-plate-2", "tiny"}));
}

TEST_F(WorkshopFiles, RefusesShopFilesAlikeAndKeepsNoneOfThem) {
  drop({scene_, art_});
  const HttpAnswer broken = drop({{"Shop.toml", "[panel.small"}});
  EXPECT_EQ(broken.status, 422);
  EXPECT_NE(broken.body.find("in Shop.toml: "), std::string::npos) << broken.body;
  EXPECT_EQ(drop({{"Shop.toml", shop_text("30 parsec")}}).status, 422);
  EXPECT_EQ(drop({{"Shop.toml", shop_text("30 mm") + "outline = \"/etc/passwd\"\n"}}).status, 200);
  EXPECT_EQ(problems()[0].at("words"), "/etc/passwd is not with this design")
      << "a shop file reaches no farther than a scene";
  EXPECT_EQ(problems()[0].at("line"), 0);
}

TEST_F(WorkshopFiles, WritesOverNoShopFile) {
  drop({scene_, art_, shop_});
  EXPECT_EQ(drop({{"Shop.toml", shop_text("40 mm")}}).status, 200);
  EXPECT_EQ(told("ticket").at("panel").at("width"), 40.0);
  EXPECT_EQ(plate("Shop.toml"), shop_.bytes);
  EXPECT_EQ(drop({{"Shop.toml", shop_text("1 mm")}}).status, 422);
  EXPECT_EQ(told("ticket").at("panel").at("width"), 40.0);
  EXPECT_EQ(change("undo", "{}").status, 200);
  EXPECT_EQ(told("ticket").at("panel").at("width"), 30.0);
  EXPECT_EQ(DesignShelf(folder_).other_files("door-plate").size(), 3U)
      << "what was refused is gone";
}

TEST_F(WorkshopFiles, TakesAllFilesOrNone) {
  const std::vector<std::vector<NamedFile>> refused = {
      {shop_},
      {scene_, shop_, art_, {"notes.txt", "none"}},
      {scene_, {"other.toml", kTiny}},
      {scene_, shop_, art_, art_},
      {{"one.svg", kSquare}, {"two.svg", kSquare}},
      {{"square.svg", kSquare}, {"two.svg", kSquare}},
      {{"x.toml", "use = \".Shop\"\n"}, {".Shop", shop_.bytes}}};
  for (const auto& files : refused) {
    const HttpAnswer answer = drop(files);
    EXPECT_EQ(answer.status, 422) << files.front().name << files.size();
    EXPECT_FALSE(json::parse(answer.body).at("mend").get<std::string>().empty());
    EXPECT_EQ(told("ticket").at("design"), "tiny");
    EXPECT_EQ(DesignShelf(folder_).names(), std::vector<std::string>{"tiny"});
    EXPECT_EQ(DesignShelf(folder_).other_files("tiny").size(), 1U);
  }
  for (const std::string body :
       {"", "[]", "[]\n", "{}\n", "[[\"a.svg\",2]]\na", "[[\"a.svg\",1]]\nab",
        "[[\"a.svg\",-1]]\na", "[[\"a.svg\",1e300]]\na", "[[1,1]]\na", "[[\"a.svg\",1,1]]\na",
        "[[\"a.svg\",[1]]]\na", "[[\"a.svg\",18446744073709551615]]\na", "[[\"\xFF.svg\",1]]\na"})
    EXPECT_EQ(change("files", body).status, 400) << body;
}

}  // namespace
}  // namespace rimeglow::workshop_files_test
