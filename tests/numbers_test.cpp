// Laws of tools/numbers: the keys scripts may rely on, exact values, equal bytes. The list of keys
// is the project's own promise about the outputs of `predict`.
#include "numbers.h"

#include <gtest/gtest.h>

#include <clocale>
#include <limits>
#include <set>

#include <nlohmann/json.hpp>

#include "fingerprint.h"
#include "made_up_prediction.h"
#include "own_folder.h"

namespace rimeglow::numbers_test {
namespace {

using Json = nlohmann::json;

Json numbers_of(const Glow& glow) { return Json::parse(numbers_json(made_up::prediction(glow))); }

std::set<std::string> keys(const Json& object) {
  std::set<std::string> names;
  for (const auto& [name, value] : object.items()) names.insert(name);
  return names;
}

using Names = std::set<std::string>;

TEST(Numbers, HaveExactlyThePromisedKeys) {
  const Json numbers = numbers_of(made_up::glow());
  EXPECT_EQ(keys(numbers), (Names{"schema", "scene", "inputs", "version", "seed", "photons", "lamp",
                                  "ledger", "viewers", "glow", "rows", "patches", "hot_spots",
                                  "edge_glow", "verdicts", "warnings"}));
  EXPECT_EQ(keys(numbers["lamp"]), (Names{"flux_lm"}));
  EXPECT_EQ(keys(numbers["ledger"]), (Names{"front", "back", "edges", "missed", "base", "finish",
                                            "sheet", "trapped", "lost", "entered"}));
  EXPECT_EQ(keys(numbers["ledger"]["front"]), (Names{"mark", "other"}));
  EXPECT_EQ(keys(numbers["ledger"]["back"]), (Names{"mark", "other"}));
  EXPECT_EQ(keys(numbers["ledger"]["edges"]), (Names{"top", "right", "bottom", "left"}));
  EXPECT_EQ(keys(numbers["viewers"]), (Names{"straight", "behind"}));
  const Names metrics = {"mean_cd_m2",      "scored_cd_m2", "darkest_cd_m2",
                         "brightest_cd_m2", "evenness",     "chromaticity",
                         "room_cd_m2",      "beside_cd_m2", "contrast"};
  EXPECT_EQ(keys(numbers["viewers"]["behind"]), metrics);
  EXPECT_EQ(keys(numbers["glow"]), metrics);
  EXPECT_EQ(keys(numbers["rows"][0]), (Names{"y_mm", "engraved_mm2", "cd_m2"}));
  EXPECT_EQ(keys(numbers["patches"][0]), (Names{"engraved_mm2", "counted", "cd_m2"}));
  EXPECT_EQ(keys(numbers["hot_spots"]), (Names{"value", "error"}));
  EXPECT_EQ(keys(numbers["edge_glow"]["top"]["behind"]), (Names{"mean_cd_m2"}));
  EXPECT_EQ(keys(numbers["verdicts"][0]), (Names{"topic", "level", "text"}));
}

TEST(Numbers, SpansStandBesideWhateverHasThem) {
  Glow glow = made_up::glow();
  const Span span{1.0, 3.0, 1.0, "the frost of the marks"};
  glow.viewers[0].contrast_span = glow.hot_spots[0].span = glow.edges[1].span = span;
  glow.viewers[0].mean_span = Span{5.0, 7.0};
  glow.viewers[0].evenness_span = Span{0.1, 0.3};
  const Json numbers = numbers_of(glow);
  const Json straight = numbers["viewers"]["straight"];
  EXPECT_EQ(straight["mean_cd_m2"]["low"].get<double>(), 5.0);
  EXPECT_EQ(straight["mean_cd_m2"]["high"].get<double>(), 7.0);
  EXPECT_EQ(straight["evenness"]["low"].get<double>(), 0.1);
  EXPECT_EQ(straight["evenness"]["high"].get<double>(), 0.3);
  for (const Json& spanned : {straight["contrast"], numbers["hot_spots"],
                              numbers["edge_glow"]["top"]["behind"]["mean_cd_m2"]}) {
    EXPECT_EQ(spanned["low"].get<double>(), 1.0);
    EXPECT_EQ(spanned["high"].get<double>(), 3.0);
  }
}

// The worst where it would stand alone, and every edge by its name.
TEST(Numbers, OfSeveralLitEdgesNameTheOneWhereTheLedsShowMost) {
  Glow glow = made_up::glow();
  glow.hot_spots.push_back({"top", {0.3, 0.02}, Span{0.2, 0.4}});
  const Json spots = numbers_of(glow)["hot_spots"];
  EXPECT_EQ(keys(spots), (Names{"value", "error", "low", "high", "edge", "edges"}));
  EXPECT_EQ(spots["value"].get<double>(), 0.3);
  EXPECT_EQ(spots["edge"].get<std::string>(), "top");
  EXPECT_EQ(keys(spots["edges"]), (Names{"bottom", "top"}));
  EXPECT_EQ(spots["edges"]["bottom"]["value"].get<double>(), 0.08);
  EXPECT_EQ(spots["edges"]["top"]["high"].get<double>(), 0.4);
}

TEST(Numbers, HoldTheValuesToTheLastBit) {
  Glow glow = made_up::glow();
  glow.viewers[0].mean_cd_m2 = {0.1 + 0.2, 1e-300};
  glow.viewers[0].room_cd_m2 = {12.0, 0.1};
  const Json numbers = numbers_of(glow);
  EXPECT_EQ(numbers["glow"]["mean_cd_m2"]["value"].get<double>(), 0.1 + 0.2);
  EXPECT_EQ(numbers["glow"]["mean_cd_m2"]["error"].get<double>(), 1e-300);
  EXPECT_EQ(numbers["viewers"]["straight"], numbers["glow"]);
  EXPECT_EQ(numbers["glow"]["darkest_cd_m2"]["value"].get<double>(), 40.0);
  EXPECT_EQ(numbers["glow"]["brightest_cd_m2"]["value"].get<double>(), 200.0);
  EXPECT_EQ(numbers["glow"]["room_cd_m2"]["value"].get<double>(), 12.0);
  EXPECT_EQ(numbers["glow"]["beside_cd_m2"]["value"].get<double>(), 30.0);
  EXPECT_EQ(numbers["ledger"]["missed"]["value"].get<double>(), 0.29);
  EXPECT_EQ(numbers["seed"].get<std::uint64_t>(), 7u);
  EXPECT_EQ(numbers["rows"].size(), static_cast<std::size_t>(made_up::kRows));
  EXPECT_EQ(numbers["patches"].size(), 25u);
  EXPECT_EQ(numbers["verdicts"].size(), 4u);
}

TEST(Numbers, LargestSeedSurvives) {
  Prediction prediction = made_up::prediction(made_up::glow());
  prediction.provenance.seed = std::numeric_limits<std::uint64_t>::max();
  EXPECT_EQ(Json::parse(numbers_json(prediction))["seed"].get<std::uint64_t>(),
            std::numeric_limits<std::uint64_t>::max());
}

TEST(Numbers, WhatIsNotToBeHadIsNull) {
  const Json blank = numbers_of(made_up::clear_blank());
  EXPECT_TRUE(blank["glow"].is_null());
  EXPECT_TRUE(blank["hot_spots"].is_null());
  EXPECT_EQ(blank["viewers"], Json::object());
  EXPECT_EQ(blank["rows"], Json::array());
  EXPECT_EQ(blank["patches"], Json::array());

  Glow sparse = made_up::glow();
  for (PatchGlow& patch : sparse.viewers[0].patches) patch.counted = false;
  sparse.viewers[0].rows[3].engraved_mm2 = 0.0;
  const Json numbers = numbers_of(sparse);
  EXPECT_TRUE(numbers["glow"]["evenness"].is_null());
  EXPECT_TRUE(numbers["glow"]["darkest_cd_m2"].is_null());
  EXPECT_TRUE(numbers["rows"][3]["cd_m2"].is_null());
  EXPECT_FALSE(numbers["rows"][4]["cd_m2"].is_null());

  sparse.viewers[0].patches[7].counted = true;
  const Json single = numbers_of(sparse);
  EXPECT_TRUE(single["glow"]["evenness"].is_null());
  EXPECT_FALSE(single["glow"]["darkest_cd_m2"].is_null());

  Glow dark = made_up::glow();
  for (ViewerGlow& viewer : dark.viewers) viewer.beside_cd_m2 = {};
  EXPECT_TRUE(numbers_of(dark)["glow"]["contrast"].is_null());
}

TEST(Numbers, EqualPredictionsGiveEqualBytes) {
  EXPECT_EQ(numbers_json(made_up::prediction(made_up::glow())),
            numbers_json(made_up::prediction(made_up::glow())));
}

// Under a comma locale, where the system has one: nothing here may ask the locale.
TEST(Numbers, CommaLocalesChangeNothing) {
  const std::string before = numbers_json(made_up::prediction(made_up::glow()));
  const std::string restore = std::setlocale(LC_ALL, nullptr);
  for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8", "nl_NL.UTF-8", "C"}) {
    if (std::setlocale(LC_ALL, name) == nullptr) continue;
    EXPECT_EQ(numbers_json(made_up::prediction(made_up::glow())), before) << name;
  }
  std::setlocale(LC_ALL, restore.c_str());
}

TEST(Numbers, TitlesInAnyScriptAreKept) {
  Prediction prediction = made_up::prediction(made_up::glow());
  prediction.scene.title = "Š\"\\ </script> \xF0\x9F\x8C\x99";
  EXPECT_EQ(Json::parse(numbers_json(prediction))["scene"], prediction.scene.title);
  prediction.scene.title = "broken \xFF text";
  EXPECT_NO_THROW((void)numbers_json(prediction));
}

TEST(Numbers, OurOwnFilesAreKnownAgain) {
  EXPECT_TRUE(has_schema(numbers_json(made_up::prediction(made_up::glow())), kNumbersSchema));
  for (const char* foreign : {"", "{}", "[]", "{\"schema\": 1}", "{\"schema\": \"other\"}", "{"}) {
    EXPECT_FALSE(has_schema(foreign, kNumbersSchema)) << foreign;
  }
}

// Test vectors published with the FNV functions (Fowler, Noll and Vo; also RFC 9923).
TEST(Fingerprint, IsFnv1a) {
  EXPECT_EQ(fnv1a(""), 0xcbf29ce484222325U);
  EXPECT_EQ(fnv1a("a"), 0xaf63dc4c8601ec8cU);
  EXPECT_EQ(fnv1a("foobar"), 0x85944171f73967e8U);
  EXPECT_EQ(fnv1a("bar", fnv1a("foo")), fnv1a("foobar"));
}

TEST(Fingerprint, TellsInputsApart) {
  const auto hash = [](const std::vector<std::string_view>& parts) { return inputs_hash(parts); };
  EXPECT_EQ(hash({}), "fnv1a64:cbf29ce484222325");
  EXPECT_EQ(hash({"scene", "art"}), hash({"scene", "art"}));
  EXPECT_NE(hash({"scene", "art"}), hash({"scenea", "rt"}));
  EXPECT_NE(hash({"scene", "art"}), hash({"scene", "arT"}));
  EXPECT_NE(hash({"scene", ""}), hash({"scene"}));
}

}  // namespace
}  // namespace rimeglow::numbers_test
