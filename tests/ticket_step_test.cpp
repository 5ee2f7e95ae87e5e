// The step of finishing that is asked about first.
#include <gtest/gtest.h>

#include <filesystem>

#include "ticket_step.h"

namespace rimeglow::ticket_step_test {
namespace {

LoadedScene star_map(const Changes& changes = {}) {
  return load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml", changes);
}

std::string step_of(const Changes& changes) {
  const LoadedScene scene = star_map(changes);
  EXPECT_TRUE(scene.problems.empty()) << problems_text(scene);
  if (!scene.problems.empty()) return "problem";
  const auto step = likely_step(scene);
  return step ? step->key() + " = " + step->value + ", " + step->deed : "";
}

TEST(TicketStep, FinishesAnEdgeAwayFromTheLampsOtherwise) {
  EXPECT_EQ(step_of({}), "edges.top = sanded P320, sanding the top edge");
  EXPECT_EQ(step_of({{"edges.top", "\"sanded P120\""}}),
            "edges.top = polished, polishing the top edge");
  EXPECT_EQ(step_of({{"edges.top", "\"white card\""}}),
            "edges.left = sanded P320, sanding the left edge");
  EXPECT_EQ(step_of({{"edges.top", "{ kind = \"sawn\", chamfer_front = \"1 mm\" }"}}),
            "edges.left = sanded P320, sanding the left edge")
      << "a chamfer is not lost";
  EXPECT_EQ(step_of({{"edges.top", "\"white card\""},
                     {"edges.left", "\"white tape\""},
                     {"edges.right", "\"painted\""}}),
            "")
      << "no edge is left";
}

TEST(TicketStep, ChangesNothingButThatEdge) {
  const LoadedScene scene = star_map();
  const auto step = likely_step(scene);
  ASSERT_TRUE(step);
  const auto after = model_after(*step, scene);
  const LoadedScene sanded = star_map({{step->key(), "\"" + step->value + "\""}});
  ASSERT_TRUE(after && sanded.model);
  for (std::size_t e = 0; e < after->edge_finish.size(); ++e) {
    EXPECT_EQ(after->edge_finish[e].kind, sanded.model->edge_finish[e].kind);
    EXPECT_EQ(after->edge_finish[e].rough.slopes.alpha_x,
              sanded.model->edge_finish[e].rough.slopes.alpha_x);
  }
  EXPECT_EQ(after->layers.size(), scene.model->layers.size());
}

}  // namespace
}  // namespace rimeglow::ticket_step_test
