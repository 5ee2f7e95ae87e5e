// What finding a wall costs by the number of pieces of the outline: stars of straight pieces, asked
// from within.
#include <benchmark/benchmark.h>

#include <memory>
#include <vector>

#include "../made_up_outlines.h"
#include "../statistics.h"
#include "race.h"
#include "verdicts.h"
#include "walls.h"

namespace rimeglow::bench::walls_bench {
namespace {

constexpr int kLines = 100'000;
constexpr int kRounds = 7;

struct Asked {
  Walls walls;
  std::vector<std::pair<Vec2, Vec2>> lines;  // from where and whither
};

std::shared_ptr<Asked> asked(int pieces) {
  const Outline star = made_up::star(pieces, 0);
  auto asked = std::make_shared<Asked>(Asked{Walls(star), {}});
  for (std::uint64_t k = 0; asked->lines.size() < kLines; ++k) {
    const Uniforms u = statistics::uniforms(17, k);
    const Vec2 point(u[0] * star.size_mm.x(), u[1] * star.size_mm.y());
    const double turn = 2.0 * kPi * u[2];
    if (!asked->walls.contains(point)) continue;
    asked->lines.push_back({point, Vec2(std::cos(turn), std::sin(turn))});
  }
  return asked;
}

Contender asking(int pieces) {
  return {std::to_string(pieces) + " pieces", static_cast<double>(kLines), [asked = asked(pieces)] {
            double sum_mm = 0.0;
            for (const auto& [point, direction] : asked->lines) {
              sum_mm += asked->walls.way_out(point, direction).distance_mm;
            }
            benchmark::DoNotOptimize(sum_mm);
          }};
}

void walls(benchmark::State& state) {
  Race race({asking(4), asking(64), asking(1024)});
  for ([[maybe_unused]] auto _ : state) race.round();
  note({"walls found a second, 4 pieces", race.rate(0, Clock::cpu) * 1e-6, Wanted::nothing, 0.0,
        "M/s"});
  note({"cost of a wall found at 64 pieces against 4", race.ratio(0, 1, Clock::cpu),
        Wanted::at_most, 5.0, "x"});
  note({"cost of a wall found at 1024 pieces against 64", race.ratio(1, 2, Clock::cpu),
        Wanted::at_most, 3.0, "x"});
}

BENCHMARK(walls)->Iterations(kRounds)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace rimeglow::bench::walls_bench
