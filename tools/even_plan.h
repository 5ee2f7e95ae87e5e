// Makes a scene glow evenly: the search, the burnt bitmap as the laser will be given it, read back
// and traced with a fresh seed, and what else can be said of the plan. Takes a scene and returns
// values; writes nothing and asks nobody, so a page can call it as well as the command line.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "even_checks.h"
#include "laser_files.h"
#include "prediction.h"
#include "scene_files.h"

namespace rimeglow {

enum class Questions { asked, of_the_plan, left_out };  // of_the_plan: no other changes

// A piece of a set that is brought to one brightness.
struct InSet {
  std::string dimmest;  // the title of the piece whose brightness that is
  bool is_dimmest = false;
  std::optional<double> level_cd_m2{};  // the plan's, so that it comes to that; none: as it comes
};

struct EvenOptions {
  std::uint64_t seed = 1;
  int threads = 0;
  IsWanted is_wanted = always;  // once not, the work throws Unwanted, whatever was reached
  std::uint64_t round_photons = std::uint64_t{1} << 19;
  std::uint64_t check_photons = std::uint64_t{1} << 17;  // of each further question
  std::uint64_t final_photons = std::uint64_t{1} << 21;
  std::optional<InSet> in_set;           // what is said there holds
  Spans spans = Spans::shown;            // of what nobody has measured, before and after
  Questions further = Questions::asked;  // beside the plan: bench, density, advice
};

struct DensityPoint {
  double density = 1.0;
  EvenOutcome outcome;
};

struct PricedOutcome {
  EvenOutcome outcome;
  std::optional<double> laser_min;  // where the scene describes the machine
};

struct EvenResult {
  std::vector<EvenRound> rounds;
  Density plan;
  double level_cd_m2 = 0.0;           // that the plan was brought to
  std::vector<Engraving> engravings;  // of every mark, in the order of the layers
  Prediction before;                  // burnt in full, and by the plan: the same fresh seed
  Prediction after;
  std::size_t viewer = 0;
  double tone_error_before = 0.0;  // see tone_error
  double tone_error_after = 0.0;
  std::vector<EvenOutcome> bench;
  std::vector<DensityPoint> curve;  // from thin to full
  std::optional<std::size_t> knee;
  std::vector<PricedOutcome> advice;      // the panel as it is first, then from the best on
  std::optional<EvenOutcome> helps_most;  // of them, tried with as much care as the plan itself
  std::optional<double> laser_min;
  std::optional<InSet> in_set;
  bool interrupted = false;
  bool unfinished = false;  // interrupted before the plan itself was found

  const ViewerGlow& glow_before() const { return before.glow.viewers[viewer]; }
  const ViewerGlow& glow_after() const { return after.glow.viewers[viewer]; }
};

// What keeps a scene from being made even, beside what is wrong with it as a scene.
std::vector<Problem> even_problems(const LoadedScene& scene);

// Called before every step, which takes a second or so; false ends the work with what was reached,
// which the first rounds must have been. No scene with problems may be given.
using GoOn = std::function<bool(const std::string& doing)>;
EvenResult make_even(const LoadedScene& scene, const EvenOptions& options, const GoOn& go_on);

// The limits of the plan in words: where it stands at full density and what stands in its way.
std::string even_verdict(const EvenResult& result, const LoadedScene& scene);

}  // namespace rimeglow
