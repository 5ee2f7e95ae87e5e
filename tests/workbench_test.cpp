// The engine of the page: a change ends whatever is being worked on. The change comes while work
// asks whether it is wanted; what asks after it is counted, and no time is measured.
#include "workbench.h"

#include <gtest/gtest.h>

#include <atomic>
#include <filesystem>
#include <future>
#include <thread>

#include "precision.h"

namespace rimeglow::workbench_test {
namespace {

std::shared_ptr<const Piece> small_piece(const std::string& frost) {
  const std::filesystem::path file = std::filesystem::path(RIMEGLOW_SCENES_DIR) / "small.toml";
  LoadedScene scene = load_scene_text(
      file,
      "[panel]\nwidth = \"40 mm\"\nheight = \"40 mm\"\nthickness = \"3 mm\"\n[art]\nfile = "
      "\"star-map.svg\"\nwidth = \"20 mm\"\ncentre = [\"20 mm\", \"22 mm\"]\n[mark.a]\nfrost = " +
          frost + "\n[lamp]\ncount = 3\npitch = \"10 mm\"\nflux_each = \"9 lm\"\n");
  EXPECT_TRUE(scene.problems.empty()) << problems_text(scene);
  return std::make_shared<const Piece>(Piece{"small", std::move(scene)});
}

// A bench that is cleared at the first question after `trap` was set.
class Cleared {
 public:
  using At = std::function<void(Cleared&, const Sighting&)>;

  // `at` is called with all that is seen. Only what is not all frost has walks in its tables.
  explicit Cleared(At at, const std::string& frost = "1.0")
      : piece(small_piece(frost)), at_(std::move(at)) {}

  // Until all work has ended.
  void run() {
    {
      Workbench bench({[this](const auto& sighting) {
                         is_known = is_known || sighting->phase == Sighting::Phase::known;
                         at_(*this, *sighting);
                       },
                       [this](const auto& evening) {
                         is_even = is_even || evening->is_done();
                         trap = true;
                       },
                       [this](const auto&) { is_compared = true; }, [](const auto&) {},
                       [](const std::string& words) { ADD_FAILURE() << words; },
                       [this] { hear_question(); }});
      bench_ = &bench;
      bench.put({piece});
      cleared_.get_future().wait();
    }
    EXPECT_LE(asked_since, 4 * static_cast<int>(std::thread::hardware_concurrency()))
        << "one of each thread of what went on at once";
  }

  Workbench& bench() { return *bench_; }

  const std::shared_ptr<const Piece> piece;
  std::atomic<bool> trap = false;
  std::atomic<bool> is_known = false;
  std::atomic<bool> is_compared = false;
  std::atomic<bool> is_even = false;
  std::atomic<int> asked_since = 0;

 private:
  void hear_question() {
    if (is_clear_) ++asked_since;
    if (is_clear_ || !trap || is_clear_.exchange(true)) return;
    bench_->put({});
    cleared_.set_value();
  }

  At at_;
  Workbench* bench_ = nullptr;
  std::atomic<bool> is_clear_ = false;
  std::promise<void> cleared_;
};

TEST(Workbench, AChangeEndsTheFirstTables) {
  Cleared cleared([](Cleared&, const Sighting&) { ADD_FAILURE() << "nothing can be seen yet"; },
                  "0.3");
  cleared.trap = true;
  cleared.run();
}

TEST(Workbench, AChangeEndsTheExactTablesAndTheTracing) {
  Cleared cleared([](Cleared& bench, const Sighting&) { bench.trap = true; }, "0.3");
  cleared.run();
  EXPECT_FALSE(cleared.is_known);
}

// Known well enough at its first look, the piece has its last photon: what asks next are spans.
TEST(Workbench, AChangeEndsTheSpans) {
  Cleared cleared([](Cleared& bench, const Sighting& sighting) {
    const bool is_traced = sighting.phase == Sighting::Phase::tracing &&
                           sighting.runs.front()->photons == Precision().next_look();
    if (!is_traced) return;
    EXPECT_LE(sighting.error, kUsualError) << "more would be traced";
    bench.trap = true;
  });
  cleared.run();
  EXPECT_FALSE(cleared.is_known);
}

// Being made even springs the trap, while a camera looks and the comparison waits its turn.
TEST(Workbench, AChangeEndsTheComparisonTheCameraAndTheEvening) {
  Cleared cleared([](Cleared& bench, const Sighting& sighting) {
    if (sighting.phase != Sighting::Phase::known) return;
    bench.bench().walk_to("straight");
    bench.bench().make_even(bench.piece);
  });
  cleared.run();
  EXPECT_TRUE(cleared.is_known);
  EXPECT_FALSE(cleared.is_compared);
  EXPECT_FALSE(cleared.is_even);
}

}  // namespace
}  // namespace rimeglow::workbench_test
