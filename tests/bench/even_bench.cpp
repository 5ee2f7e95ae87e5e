// A round of `even` (burn the plan, trace, step) against a prediction of the same photons by the
// library (start, trace, luminance map), turn by turn in one run.
#include <algorithm>
#include <chrono>
#include <filesystem>
#include <vector>

#include <benchmark/benchmark.h>

#include "even.h"
#include "glow.h"
#include "scene_files.h"
#include "verdicts.h"

namespace rimeglow::bench::even_bench {
namespace {

double seconds(const auto& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

void even_round(benchmark::State& state) {
  const LoadedScene scene =
      load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml", {});
  RunSettings settings;
  settings.threads = 1;
  const EvenWish wish;
  for ([[maybe_unused]] auto _ : state) {
    EvenSearch search = begin_even(scene.scene, scene.drawings, *scene.model, settings, wish);
    std::vector<double> ratios;
    for (int turn = 0; turn < 5; ++turn) {
      search.settled = false;
      const double round_s = seconds([&] { advance(search); });
      const double predict_s = seconds([&] {
        Run run = start(scene.model, settings);
        advance(run, wish.photons);
        benchmark::DoNotOptimize(glow_of(run).viewers.size());
        benchmark::DoNotOptimize(luminance_map(run, 0, 0.1).cd_m2.size());
      });
      ratios.push_back(round_s / predict_s);
    }
    std::sort(ratios.begin(), ratios.end());
    const double ratio = ratios[ratios.size() / 2];
    state.counters["ratio"] = ratio;
    note({"a round of even against a prediction of its photons", ratio, Wanted::at_most, 1.3, "x"});
  }
}

BENCHMARK(even_round)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace rimeglow::bench::even_bench
