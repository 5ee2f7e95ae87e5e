// Photons a second: the library with all its physics beside the plain zigzag, two threads beside
// one, and whether a photon costs more where the drawing is finer or has more strokes.
#include <benchmark/benchmark.h>

#include "panels.h"
#include "plain_zigzag.h"
#include "race.h"
#include "run.h"
#include "verdicts.h"

namespace rimeglow::bench::speed_bench {
namespace {

constexpr std::uint64_t kLap = 200'000;  // photons
constexpr int kRounds = 9;
constexpr double kDotsPerInch = 400.0;

// Laps of one run, each with photons of its own.
Contender tracing(const std::string& name, const std::shared_ptr<const Model>& model, int threads,
                  std::uint64_t photons = kLap) {
  auto run = std::make_shared<Run>(start(model, {1, threads}));
  return {name, static_cast<double>(photons), [run, photons] { advance(*run, photons); }};
}

Contender zigzag(const Model& model) {
  auto lap = std::make_shared<std::uint64_t>(0);
  return {"plain zigzag", static_cast<double>(kLap), [panel = plain_panel(model), lap] {
            benchmark::DoNotOptimize(plain_zigzag(panel, ++*lap, kLap).absorbed);
          }};
}

void against_plain(benchmark::State& state, const std::string& title,
                   const std::shared_ptr<const Model>& model) {
  auto frosted = std::make_shared<Model>(*model);
  frosted->layers.front().mark = frost();
  Race race({zigzag(*model), tracing("all physics", model, 1), tracing("frost", frosted, 1)});
  for ([[maybe_unused]] auto _ : state) race.round();
  const double plain_Mps = race.rate(0, Clock::cpu) * 1e-6;
  const double ours_Mps = race.rate(1, Clock::cpu) * 1e-6;
  const double ratio = race.ratio(1, 0, Clock::cpu);
  state.counters["plain_Mps"] = plain_Mps;
  state.counters["ours_Mps"] = ours_Mps;
  state.counters["ratio"] = ratio;
  note({"photons a second, one thread, plain zigzag, " + title, plain_Mps, Wanted::nothing, 0.0,
        "M/s"});
  note({"photons a second, one thread, all physics on, " + title, ours_Mps, Wanted::nothing, 0.0,
        "M/s"});
  note({"  times the plain zigzag's, " + title, ratio, Wanted::at_least, 1.2, "x"});
  note({"  times the plain zigzag's, with its own marks (frost), " + title,
        race.ratio(2, 0, Clock::cpu), Wanted::nothing, 0.0, "x"});
}

void speed_lines(benchmark::State& state) {
  against_plain(state, "line art", panel(drawn(lines(), kDotsPerInch), standard_mark()));
}
void speed_discs(benchmark::State& state) {
  against_plain(state, "solid art", panel(drawn(discs(), kDotsPerInch), standard_mark()));
}
void speed_star_map(benchmark::State& state) { against_plain(state, "star map", star_map()); }

void two_threads(benchmark::State& state) {
  constexpr std::uint64_t kLongLap = 1'000'000;
  const auto model = star_map();
  Race race({tracing("one", model, 1, kLongLap), tracing("two", model, 2, kLongLap)});
  for ([[maybe_unused]] auto _ : state) race.round();
  state.counters["ratio"] = race.ratio(1, 0, Clock::wall);
  note({"two threads against one, by the clock on the wall", race.ratio(1, 0, Clock::wall),
        Wanted::at_least, 1.8, "x"});
  note({"two threads against one, work done per CPU second", race.ratio(1, 0, Clock::cpu),
        Wanted::nothing, 0.0, "x"});
}

// A photon may cost this much more on the heaviest drawing: what memory beyond the cache costs. The
// work is the same.
constexpr double kFlat = 1.3;

void art_resolution(benchmark::State& state) {
  std::vector<Contender> contenders;
  for (const double dpi : {200.0, 400.0, 800.0, 1200.0}) {
    contenders.push_back(tracing("", panel(drawn(lines(), dpi), standard_mark()), 1));
  }
  Race race(std::move(contenders));
  for ([[maybe_unused]] auto _ : state) race.round();
  state.counters["400dpi"] = race.ratio(0, 1, Clock::cpu);
  state.counters["800dpi"] = race.ratio(0, 2, Clock::cpu);
  state.counters["1200dpi"] = race.ratio(0, 3, Clock::cpu);
  note({"cost of a photon at 1200 dpi against 200 dpi", race.ratio(0, 3, Clock::cpu),
        Wanted::at_most, kFlat, "x"});
}

void strokes(benchmark::State& state) {
  std::vector<Contender> contenders;
  for (const int count : {900, 10'000, 90'000}) {
    contenders.push_back(tracing("", panel(drawn(squares(count), 1000.0), standard_mark()), 1));
  }
  Race race(std::move(contenders));
  for ([[maybe_unused]] auto _ : state) race.round();
  state.counters["10000"] = race.ratio(0, 1, Clock::cpu);
  state.counters["90000"] = race.ratio(0, 2, Clock::cpu);
  note({"cost of a photon with 10 000 strokes (one in every cell) against 900 of the same area",
        race.ratio(0, 1, Clock::cpu), Wanted::nothing, 0.0, "x"});
  note({"cost of a photon with 90 000 strokes against 10 000 of the same area",
        race.ratio(1, 2, Clock::cpu), Wanted::at_most, kFlat, "x"});
}

void preparing(benchmark::State& state) {
  const auto model = star_map();
  const int threads = static_cast<int>(state.range(0));
  std::vector<double> walls;
  for ([[maybe_unused]] auto _ : state) {
    walls.push_back(
        effort_of([&] { benchmark::DoNotOptimize(start(model, {1, threads}).photons); }).wall_s);
  }
  note({"start of the demo (brightness tables of its mark), threads: " + std::to_string(threads),
        1e3 * median(walls), Wanted::nothing, 0.0, "ms"});
}

BENCHMARK(speed_lines)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(speed_discs)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(speed_star_map)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(two_threads)->Iterations(kRounds)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(art_resolution)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(strokes)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(preparing)->Arg(1)->Arg(2)->Iterations(3)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace rimeglow::bench::speed_bench
