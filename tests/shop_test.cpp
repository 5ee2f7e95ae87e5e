// What a scene takes from its shop file, as a user meets it: two files in, a scene or mistakes with
// file and line out.
#include "shop.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "model.h"
#include "scene_reader.h"
#include "scene_reading.h"

namespace rimeglow::shop_test {
namespace {

constexpr const char* kShop = R"(title = "the shop"
[panel]
absorption = "0.5 /m"
[panel."A6 plaque"]
width = "148 mm"
height = "105 mm"
thickness = "5 mm"
price = "4.80 EUR"
[panel.small]
width = "80 mm"
height = "80 mm"
thickness = "3 mm"
[lamp."warm strip"]
flux_each = "9 lm"
colour = "3000 K"
[base.oak]
slot_depth = "10 mm"
price = "19.50 EUR"
[mark.frost-400]
spacing = "300 dpi"
alpha = 0.4
[mark.deep]
alpha = 0.8
frost = 0.6
[machine]
speed = "200 mm/s"
rate = "24 EUR/h"
[bench]
time = "0.5 h"
rate = "38 EUR/h"
)";

constexpr const char* kScene = R"(use = "shop.toml"
[panel]
use = "A6 plaque"
[[lamp]]
use = "warm strip"
count = 5
[base]
use = "oak"
)";

ReadScene read(const std::string& scene, const std::string& shop = kShop) {
  const auto scene_tree = parse_scene(scene);
  const auto shop_tree = parse_scene(shop);
  ReadScene out = read_scene(std::get<Node>(scene_tree), "untitled", &std::get<Node>(shop_tree));
  if (!out.problems.empty()) return out;
  for (Problem& problem : check_scene(out.scene)) out.problems.push_back(std::move(problem));
  return out;
}

std::string told(const ReadScene& out) {
  std::string text;
  for (const Problem& problem : out.problems) {
    text += (problem.line.file == Line::shop ? "shop:" : "scene:") +
            std::to_string(problem.line.number) + " " + problem.key + " " + problem.what + " | " +
            problem.mend + "\n";
  }
  return text;
}

TEST(Shop, ASceneTakesWhatItNames) {
  const ReadScene out = read(kScene);
  ASSERT_TRUE(out.problems.empty()) << told(out);
  const Scene& scene = out.scene;
  EXPECT_EQ(scene.title, "untitled");
  EXPECT_EQ(scene.panel.width_mm, 148.0);
  EXPECT_EQ(scene.panel.thickness_mm, 5.0);
  EXPECT_EQ(scene.slot_depth_mm, 10.0);
  ASSERT_EQ(scene.lamps.size(), 1u);
  EXPECT_EQ(scene.lamps[0].colour_k, 3000.0);
  EXPECT_DOUBLE_EQ(scene.lamps[0].pitch_mm, 148.0 / 5.0);
  EXPECT_EQ(scene.prices.blank->amount, 4.8);
  EXPECT_EQ(scene.prices.base->currency, "EUR");
}

TEST(Shop, PlainHeadersHoldForEveryScene) {
  const ReadScene out = read(kScene);
  EXPECT_EQ(out.scene.panel.absorption_per_m, 0.5);
  EXPECT_EQ(out.scene.marks.size(), 2u);
  EXPECT_EQ(out.scene.marks.at("deep").frost, 0.6);
  EXPECT_EQ(out.scene.machine->speed_mm_per_s, 200.0);
  EXPECT_EQ(out.scene.prices.bench_min, 30.0);
  EXPECT_EQ(out.scene.prices.bench_per_h->amount, 38.0);
}

TEST(Shop, TheScenesOwnKeysWin) {
  const ReadScene out = read(R"(use = "shop.toml"
[panel]
thickness = "4.8 mm"
absorption = "0.2 /m"
use = "A6 plaque"
[mark.frost-400]
alpha = 0.6
[mark.mine]
use = "deep"
frost = 0.1
[lamp]
use = "warm strip"
count = 3
colour = "2700 K"
[machine]
speed = "100 mm/s"
)");
  ASSERT_TRUE(out.problems.empty()) << told(out);
  EXPECT_EQ(out.scene.panel.thickness_mm, 4.8);
  EXPECT_EQ(out.scene.panel.height_mm, 105.0);
  EXPECT_EQ(out.scene.panel.absorption_per_m, 0.2);
  EXPECT_EQ(out.scene.marks.at("frost-400").alpha_x, 0.6);
  EXPECT_DOUBLE_EQ(out.scene.marks.at("frost-400").spacing_mm, kMmPerInch / 300.0);
  EXPECT_EQ(out.scene.marks.at("mine").alpha_x, 0.8);
  EXPECT_EQ(out.scene.marks.at("mine").frost, 0.1);
  EXPECT_EQ(out.scene.lamps.at(0).colour_k, 2700.0);
  EXPECT_EQ(out.scene.machine->speed_mm_per_s, 100.0);
  EXPECT_EQ(out.scene.prices.laser_per_h->amount, 24.0);
}

// The same panel said in one file and in two.
TEST(Shop, ASceneWithAShopFileIsTheSameAsOneWithoutThatSaysItAll) {
  const ReadScene two = read(kScene);
  const ReadScene one = read(R"([[lamp]]
flux_each = "9 lm"
colour = "3000 K"
count = 5
[panel]
width = "148 mm"
height = "105 mm"
thickness = "5 mm"
absorption = "0.5 /m"
[base]
slot_depth = "10 mm"
)",
                             "");
  ASSERT_TRUE(one.problems.empty()) << told(one);
  const auto model_one = build_model(one.scene, {}).model;
  const auto model_two = build_model(two.scene, {}).model;
  EXPECT_EQ(model_one->outline.size_mm, model_two->outline.size_mm);
  EXPECT_EQ(model_one->thickness_mm, model_two->thickness_mm);
  EXPECT_EQ(model_one->sheet.absorption_per_mm, model_two->sheet.absorption_per_mm);
  EXPECT_EQ(model_one->sheet.index, model_two->sheet.index);
  EXPECT_EQ(model_one->lamps.at(0).pitch_mm, model_two->lamps.at(0).pitch_mm);
}

struct Mistake {
  std::string scene, shop;
  Line line;
  std::string key, what, mend;
};

TEST(Shop, EachMistakeSaysInWhichFileAndLine) {
  const std::string scene = kScene;
  const std::string shop = kShop;
  const std::vector<Mistake> mistakes = {
      {"use = \"shop.toml\"\n[panel]\nuse = \"A6 plaqe\"\n", shop, 3, "panel.use",
       "no [panel.\"A6 plaqe\"]", "\"A6 plaque\"?"},
      {"use = \"shop.toml\"\n[panel]\nuse = \"wardrobe\"\n", shop, 3, "panel.use",
       "no [panel.\"wardrobe\"]", "[panel.\"A6 plaque\"] [panel.\"small\"]"},
      {"[[lamp]]\ncount = 1\n[[lamp]]\nuse = \"cold\"\n", shop, 4, "lamp[1].use",
       "no [lamp.\"cold\"]", "[lamp.\"warm strip\"]"},
      {"[room]\nuse = \"hall\"\n", shop, 2, "room.use", "no [room.\"hall\"]", "add one there"},
      {"[mark.a]\nuse = \"frost-40\"\n", shop, 2, "mark.a.use", "no [mark.\"frost-40\"]",
       "\"frost-400\"?"},
      {"[panel]\nuse = 3\n", shop, 2, "panel.use", "no name", "in quotes"},
      {scene, shop + "[panel.bad]\nwidth = 140\n", Line(Line::shop, 32), "panel.bad.width",
       "140 needs a unit", "\"3 mm\""},
      {scene, shop + "[lamp.bad]\ncolor = \"3000 K\"\n", Line(Line::shop, 32), "lamp.bad.color",
       "is no key", "\"colour\"?"},
      {scene, shop + "[edges]\ntop = { alpha = 0.3 }\n", Line(Line::shop, 32), "edges.top.kind",
       "is missing", "add it"},
      {scene, "use = \"x.toml\"\n" + shop, Line(Line::shop, 1), "use", "no place in a shop file",
       "scene"},
      {scene, shop + "[art]\nface = \"back\"\n", Line(Line::shop, 31), "art",
       "no place in a shop file", "scene"},
      {scene, shop + "[panel.b]\nuse = \"small\"\n", Line(Line::shop, 32), "panel.b.use",
       "no place in a shop file", "scene"},
      {scene, shop + "[base.b]\nprice = \"12,50 EUR\"\n", Line(Line::shop, 32), "base.b.price",
       "has a comma", "\"12.50 EUR\""},
      {scene, shop + "[base.b]\nprice = \"$12\"\n", Line(Line::shop, 32), "base.b.price",
       "does not begin with an amount", "\"12.50 EUR\""},
      {scene, shop + "[base.b]\nprice = \"12 EUR/h\"\n", Line(Line::shop, 32), "base.b.price",
       "is for an hour", "\"12.50 EUR\""},
      {scene, shop + "[base.b]\nprice = \"12 euros\"\n", Line(Line::shop, 32), "base.b.price",
       "names no currency", "\"12.50 EUR\""},
      {"bench.rate = \"30 CHF/h\"\n" + scene, shop, 0, "bench.rate", "is in CHF", "one currency"},
  };
  for (const Mistake& mistake : mistakes) {
    const ReadScene out = read(mistake.scene, mistake.shop);
    const auto found =
        std::find_if(out.problems.begin(), out.problems.end(), [&](const Problem& problem) {
          return problem.key == mistake.key && problem.what.find(mistake.what) != std::string::npos;
        });
    ASSERT_NE(found, out.problems.end()) << mistake.key << "\n" << told(out);
    EXPECT_TRUE(found->line == mistake.line) << told(out);
    EXPECT_NE(found->mend.find(mistake.mend), std::string::npos) << found->mend;
  }
}

TEST(Shop, MistakesOfTheShopFileAreToldOnceAlsoWhereTheSceneTakesThem) {
  std::string shop = kShop;
  shop.replace(shop.find("\"148 mm\""), 8, "148");
  const ReadScene out = read(kScene, shop);
  ASSERT_EQ(out.problems.size(), 1u) << told(out);
  EXPECT_TRUE(out.problems[0].line == Line(Line::shop, 5)) << told(out);
}

TEST(Shop, ANameOfTheShopFileNeedsAShopFile) {
  const auto scene = parse_scene("[panel]\nuse = \"A6 plaque\"\n");
  const ReadScene out = read_scene(std::get<Node>(scene), "untitled");
  ASSERT_FALSE(out.problems.empty());
  const auto found =
      std::find_if(out.problems.begin(), out.problems.end(),
                   [](const Problem& problem) { return problem.key == "panel.use"; });
  ASSERT_NE(found, out.problems.end()) << told(out);
  EXPECT_NE(found->mend.find("use = \"shop.toml\""), std::string::npos);
}

// Sees messages that list every name: these ten thousand would fill a gigabyte.
TEST(Shop, AShopFileIsToldFromAScene) {
  EXPECT_FALSE(not_a_scene(std::get<Node>(parse_scene(kScene))));
  EXPECT_FALSE(not_a_scene(std::get<Node>(parse_scene("[panel]\nwidth = \"80 mm\"\n"))));
  const auto problem = not_a_scene(std::get<Node>(parse_scene(kShop)));
  ASSERT_TRUE(problem);
  EXPECT_EQ(problem->key, "panel.A6 plaque");
  EXPECT_EQ(problem->line.number, 4);
}

TEST(Shop, TenThousandNamesAreNoTrouble) {
  std::string scene, shop;
  for (int i = 0; i < 10000; ++i) {
    const std::string number = std::to_string(i);
    scene += "[mark.m" + number + "]\nuse = \"none" + number + "\"\n";
    shop += "[mark.m" + number + "]\nfrost = 0.5\n";
  }
  const ReadScene out = read(scene, shop);
  EXPECT_GE(out.problems.size(), 10000u);
  std::size_t longest = 0;
  for (const Problem& problem : out.problems) longest = std::max(longest, problem.mend.size());
  EXPECT_LT(longest, 1000u);
}

TEST(Shop, PricesAreReadAsWritten) {
  const auto hourly = parse_money("38 EUR/h", MoneyPer::hour);
  EXPECT_EQ(std::get<Money>(hourly).amount, 38.0);
  EXPECT_EQ(money_text(std::get<Money>(parse_money(" 12.5 GBP ", MoneyPer::piece))), "12.50 GBP");
  for (const char* wrong : {"12.50", "EUR 12", "-3 EUR", "12 eur", "12 EURO", "1e9 EUR", ""}) {
    EXPECT_TRUE(std::holds_alternative<std::string>(parse_money(wrong, MoneyPer::piece))) << wrong;
  }
}

}  // namespace
}  // namespace rimeglow::shop_test
