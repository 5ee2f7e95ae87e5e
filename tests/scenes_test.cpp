// The example scenes are acceptance tests: each is vetted, predicted, and held to its [expect].
#include <gtest/gtest.h>

#include <filesystem>

#include <nlohmann/json.hpp>

#include "numbers.h"
#include "prediction.h"
#include "scene_files.h"
#include "vet.h"

namespace rimeglow {
namespace {

// The number at a dotted path of numbers.json, with or without noise.
double number_at(const nlohmann::json& numbers, const std::string& path) {
  nlohmann::json::json_pointer pointer;
  std::string rest = path;
  while (!rest.empty()) {
    const std::size_t dot = rest.find('.');
    pointer /= rest.substr(0, dot);
    rest = dot == std::string::npos ? "" : rest.substr(dot + 1);
  }
  const nlohmann::json& found = numbers.at(pointer);
  return found.is_object() ? found.at("value").get<double>() : found.get<double>();
}

class ExampleScene : public testing::TestWithParam<const char*> {};

TEST_P(ExampleScene, HoldsItsExpectations) {
  const LoadedScene loaded =
      load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / GetParam(), {});
  ASSERT_TRUE(loaded.problems.empty()) << problems_text(loaded);
  EXPECT_TRUE(second_looks(loaded).empty()) << facts_text(loaded);
  ASSERT_FALSE(loaded.scene.expect.empty());
  rimeglow::Run run = start(loaded.model, {});
  advance(run, (std::uint64_t{1} << 20) / RIMEGLOW_TEST_PHOTON_DIVISOR);
  const auto numbers =
      nlohmann::json::parse(numbers_json(predicted(loaded.scene, run, "test", loaded.inputs)));
  for (const Expectation& expected : loaded.scene.expect) {
    EXPECT_NEAR(number_at(numbers, expected.key), expected.value, expected.tolerance)
        << expected.key << ", " << expected.source;
  }
}

INSTANTIATE_TEST_SUITE_P(Scenes, ExampleScene, testing::Values("star-map.toml", "plaque.toml"));

}  // namespace
}  // namespace rimeglow
