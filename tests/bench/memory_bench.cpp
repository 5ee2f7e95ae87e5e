#include "memory.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>

#include "glow.h"
#include "panels.h"
#include "verdicts.h"

namespace rimeglow::bench {
namespace {

namespace fs = std::filesystem;

// Peak resident memory of a program that ends well, in MB; none when it does not. Never less than
// this process's own peak so far, which the system counts in: call it first.
std::optional<double> peak_memory_mb(std::vector<std::string> command) {
  std::vector<char*> arguments;
  for (std::string& word : command) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t quiet;
  posix_spawn_file_actions_init(&quiet);
  posix_spawn_file_actions_addopen(&quiet, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  pid_t child = 0;
  const int failure =
      posix_spawn(&child, arguments.front(), &quiet, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&quiet);
  if (failure != 0) return std::nullopt;
  int status = 0;
  rusage usage{};
  wait4(child, &status, 0, &usage);
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) return std::nullopt;
  return static_cast<double>(usage.ru_maxrss) * 1024.0 * 1e-6;
}

void measure(benchmark::State& state, const std::string& what,
             const std::vector<std::string>& command) {
  for ([[maybe_unused]] auto _ : state) {
    const std::optional<double> peak_mb = peak_memory_mb(command);
    if (!peak_mb) {
      state.SkipWithError("the program measured did not end well");
      return;
    }
    state.counters["peak_MB"] = *peak_mb;
    note({"peak memory of " + what, *peak_mb, Wanted::at_most, 300.0, "MB"});
  }
}

void memory_library(benchmark::State& state) {
  measure(state, "a prediction of the demo by the library alone",
          {fs::read_symlink("/proc/self/exe"), std::string(kPredictOption)});
}

// The demo itself, when the program has been built beside this one.
void memory_demo(benchmark::State& state) {
  const fs::path build = fs::read_symlink("/proc/self/exe").parent_path().parent_path();
  const fs::path scene = fs::path(RIMEGLOW_SCENES_DIR) / "star-map.toml";
  if (!fs::exists(build / "rimeglow") || !fs::exists(scene)) {
    state.SkipWithError("build the program and its scenes first");
    return;
  }
  const fs::path out = build / "tests" / "bench-demo";
  measure(state, "the demo", {build / "rimeglow", "predict", scene, "--out", out, "--replace"});
}

BENCHMARK(memory_library)->Iterations(1)->Unit(benchmark::kMillisecond);
BENCHMARK(memory_demo)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace

void predict_once() {
  const auto model = star_map();
  Run run = start(model, {1, 2});
  advance(run, 1'000'000);
  benchmark::DoNotOptimize(glow_of(run).viewers.size());
  benchmark::DoNotOptimize(luminance_map(run, 0, 0.1).cd_m2.size());
}

}  // namespace rimeglow::bench
