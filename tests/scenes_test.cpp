// The example scenes are acceptance tests: each is vetted, predicted, and held to its [expect],
// with 4 standard errors of the run on top (false alarm below 1e-4 a number).
#include <gtest/gtest.h>

#include <filesystem>

#include <nlohmann/json.hpp>

#include "numbers.h"
#include "panels.h"
#include "prediction.h"
#include "scene_files.h"
#include "vet.h"

namespace rimeglow::scenes_test {
namespace {

// The number at a dotted path of numbers.json; one without noise has no error.
Estimate number_at(const nlohmann::json& numbers, const std::string& path) {
  nlohmann::json::json_pointer pointer;
  std::string rest = path;
  while (!rest.empty()) {
    const std::size_t dot = rest.find('.');
    pointer /= rest.substr(0, dot);
    rest = dot == std::string::npos ? "" : rest.substr(dot + 1);
  }
  const nlohmann::json& found = numbers.at(pointer);
  if (!found.is_object()) return {found.get<double>(), 0.0};
  return {found.at("value").get<double>(), found.at("error").get<double>()};
}

class ExampleScene : public testing::TestWithParam<const char*> {};

TEST_P(ExampleScene, HoldsItsExpectations) {
  const LoadedScene loaded =
      load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / GetParam(), {});
  ASSERT_TRUE(loaded.problems.empty()) << problems_text(loaded);
  EXPECT_TRUE(second_looks(loaded).empty()) << facts_text(loaded);
  ASSERT_FALSE(loaded.scene.expect.empty());
  RunSettings settings;
  settings.response_walks = panels::table_walks(settings.response_walks);
  rimeglow::Run run = start(loaded.model, settings);
  advance(run, (std::uint64_t{1} << 20) / RIMEGLOW_TEST_PHOTON_DIVISOR);
  const auto numbers = nlohmann::json::parse(numbers_json(predicted(loaded, run, Spans::left_out)));
  for (const Expectation& expected : loaded.scene.expect) {
    const Estimate found = number_at(numbers, expected.key);
    EXPECT_NEAR(found.mean, expected.value, expected.tolerance + 4.0 * found.standard_error)
        << expected.key << ", " << expected.source;
  }
}

INSTANTIATE_TEST_SUITE_P(Scenes, ExampleScene,
                         testing::Values("star-map.toml", "plaque.toml", "moon.toml",
                                         "visitor-tag.toml"));

}  // namespace
}  // namespace rimeglow::scenes_test
