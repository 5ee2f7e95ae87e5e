// Figure of merit, 1 / (relative variance x CPU seconds), of the luminance of the patches seen from
// straight in front: the library's scoring of arrivals beside counting the light that happens to
// leave toward the eye.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <vector>

#include "glow.h"
#include "panels.h"
#include "plain_zigzag.h"
#include "race.h"
#include "run.h"
#include "verdicts.h"
#include "walk.h"

namespace rimeglow::bench::merit_bench {
namespace {

constexpr std::uint64_t kLap = 400'000;  // photons
constexpr int kRounds = 8;
constexpr double kDotsPerInch = 400.0;

// Relative variance of one lap's value, per patch.
using Variances = std::array<double, kPatches>;

struct Merit {
  double worst = 0.0;
  double mean = 0.0;  // of the relative variances
};

// Over the patches that hold enough engraving to be judged.
Merit merit(const Variances& lap_variance, const std::vector<std::size_t>& judged,
            double lap_cpu_s) {
  double worst = 0.0;
  double sum = 0.0;
  for (const std::size_t patch : judged) {
    worst = std::max(worst, lap_variance[patch]);
    sum += lap_variance[patch];
  }
  return {1.0 / (worst * lap_cpu_s), static_cast<double>(judged.size()) / (sum * lap_cpu_s)};
}

// The library: every lap a run with a seed of its own, its variance that of its 64 batches.
class Scored {
 public:
  explicit Scored(const std::shared_ptr<const Model>& model) : blank_(start(model, {1, 1})) {}

  void lap() {
    run_ = blank_;
    run_.settings.seed = ++laps_;
    advance(run_, kLap);
  }

  // Outside the race: what the laps cost is tracing, not composing the glow.
  void gather() {
    const std::vector<PatchGlow> patches = glow_of(run_).viewers.front().patches;
    judged_.clear();
    for (std::size_t k = 0; k < kPatches; ++k) {
      if (!patches[k].counted) continue;
      judged_.push_back(k);
      const double relative = patches[k].cd_m2.standard_error / patches[k].cd_m2.mean;
      sum_[k] += relative * relative;
    }
    ++gathered_;
  }

  const std::vector<std::size_t>& judged() const { return judged_; }

  Variances variances() const {
    Variances variances = sum_;
    for (double& variance : variances) variance /= gathered_;
    return variances;
  }

 private:
  Run blank_;
  Run run_ = blank_;
  std::uint64_t laps_ = 0;
  int gathered_ = 0;
  std::vector<std::size_t> judged_;
  Variances sum_{};
};

// Counts what leaves the front within 10 deg of its normal, by patch.
class EyeCounter {
 public:
  explicit EyeCounter(const Model& model) : model_(model) {}

  void deposit(LedgerEntry, double) {}
  void arrive(const Hit&, const Vec3&, double) {}
  void scatter(const Hit&, const Finish&, const Vec3&, double, const Draws&) {}
  void leave(const Hit& hit, const Vec3& direction, double weight) {
    if (hit.surface != kFrontFace || direction.z() < kEyeConeCos) return;
    const auto patch = patch_at(model_, hit.position_mm.x(), hit.position_mm.y());
    if (!patch) return;
    sum_[*patch] += weight;
    squares_[*patch] += weight * weight;
  }

  Variances variances(double laps) const {
    Variances variances{};
    for (std::size_t k = 0; k < kPatches; ++k) {
      variances[k] = laps * squares_[k] / (sum_[k] * sum_[k]);
    }
    return variances;
  }

 private:
  const Model& model_;
  std::array<double, kPatches> sum_{};
  std::array<double, kPatches> squares_{};
};

// The library's own walk, counted.
class Counted {
 public:
  explicit Counted(std::shared_ptr<const Model> model)
      : model_(std::move(model)),
        prism_(model_->outline, model_->thickness_mm, model_->sheet.index, {false, true}),
        counter_(*model_) {}

  void lap() {
    for (std::uint64_t k = 0; k < kLap; ++k) trace(*model_, prism_, 1, next_++, counter_);
    ++laps_;
  }

  Variances variances() const { return counter_.variances(laps_); }

 private:
  std::shared_ptr<const Model> model_;
  Prism prism_;
  EyeCounter counter_;
  std::uint64_t next_ = 0;
  double laps_ = 0.0;
};

// The plain zigzag, counted.
class PlainCounted {
 public:
  explicit PlainCounted(const Model& model) : model_(model), panel_(plain_panel(model)) {}

  void lap() {
    for (const PlainExit& exit : plain_zigzag(panel_, ++laps_, kLap).toward_eye) {
      if (const auto patch = patch_at(model_, exit.x_mm, exit.y_mm)) sum_[*patch] += 1.0;
    }
  }

  Variances variances() const {
    Variances variances{};
    for (std::size_t k = 0; k < kPatches; ++k) variances[k] = static_cast<double>(laps_) / sum_[k];
    return variances;
  }

 private:
  const Model& model_;
  PlainPanel panel_;
  std::uint64_t laps_ = 0;
  std::array<double, kPatches> sum_{};
};

void compare(benchmark::State& state, const std::string& title,
             const std::shared_ptr<const Model>& model) {
  Scored scored(model);
  Counted counted(model);
  PlainCounted plain(*model);
  Race race({{"scored", kLap, [&] { scored.lap(); }},
             {"counted", kLap, [&] { counted.lap(); }},
             {"plain", kLap, [&] { plain.lap(); }}});
  for ([[maybe_unused]] auto _ : state) {
    race.round();
    scored.gather();
  }
  const auto lap_cpu_s = [&](std::size_t k) { return kLap / race.rate(k, Clock::cpu); };
  const Merit ours = merit(scored.variances(), scored.judged(), lap_cpu_s(0));
  const Merit walk = merit(counted.variances(), scored.judged(), lap_cpu_s(1));
  const Merit zigzag = merit(plain.variances(), scored.judged(), lap_cpu_s(2));
  state.counters["worst"] = ours.worst;
  state.counters["mean"] = ours.mean;
  state.counters["counted_worst"] = walk.worst;
  state.counters["plain_worst"] = zigzag.worst;
  note(
      {"figure of merit, worst of the patches, " + title, ours.worst, Wanted::nothing, 0.0, "1/s"});
  note({"figure of merit, mean of the patches, " + title, ours.mean, Wanted::nothing, 0.0, "1/s"});
  note({"figure of merit against counting exits of the same walk, " + title,
        ours.worst / walk.worst, Wanted::at_least, 10.0, "x"});
  note({"figure of merit against counting exits of the plain zigzag, " + title,
        ours.worst / zigzag.worst, Wanted::at_least, 10.0, "x"});
}

void merit_lines(benchmark::State& state) {
  compare(state, "line art", panel(drawn(lines(), kDotsPerInch), standard_mark()));
}
void merit_discs(benchmark::State& state) {
  compare(state, "solid art", panel(drawn(discs(), kDotsPerInch), standard_mark()));
}

void merit_star_map(benchmark::State& state) { compare(state, "star map", star_map()); }

BENCHMARK(merit_lines)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(merit_discs)->Iterations(kRounds)->Unit(benchmark::kMillisecond);
BENCHMARK(merit_star_map)->Iterations(kRounds)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace rimeglow::bench::merit_bench
