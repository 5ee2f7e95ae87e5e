#include "even_set.h"

#include <algorithm>
#include <cmath>

#include "words.h"

namespace rimeglow {
namespace {

// The level that brings the mean from these patches to the wanted one: those above it come down to
// it, the others stay as they are. Thinned places light those behind them, so that it is a little
// low.
double level_for(const ViewerGlow& glow, double wanted) {
  double low = 0.0;
  double high = glow.brightest_cd_m2.mean;
  for (int step = 0; step < 40; ++step) {
    const double level = 0.5 * (low + high);
    double light = 0.0;
    double area = 0.0;
    for (const PatchGlow& patch : glow.patches) {
      light += patch.engraved_mm2 * std::min(patch.cd_m2.mean, level);
      area += patch.engraved_mm2;
    }
    (light > wanted * area ? high : low) = level;
  }
  return low;
}

// Plans by which the pieces of a set come out alike; when it is stopped, of those begun by then the
// last ones found.
std::vector<EvenResult> matching_plans(const std::vector<LoadedScene>& scenes, EvenOptions options,
                                       const GoOn& go_on) {
  options.further = Questions::left_out;
  options.spans = Spans::left_out;
  std::vector<EvenResult> plans;
  const auto stopped = [&] {
    for (EvenResult& plan : plans) plan.interrupted = plan.unfinished = true;
    return std::move(plans);
  };
  for (const LoadedScene& scene : scenes) {
    plans.push_back(make_even(scene, options, go_on));
    if (plans.back().interrupted) return stopped();
  }
  const auto brightness = [](const EvenResult& plan) { return plan.glow_after().mean_cd_m2.mean; };
  const auto dimmest = std::min_element(
      plans.begin(), plans.end(),
      [&](const EvenResult& a, const EvenResult& b) { return brightness(a) < brightness(b); });
  const double wanted = brightness(*dimmest);
  InSet in_set{dimmest->after.scene.title};
  for (EvenResult& plan : plans) plan.in_set = in_set;
  dimmest->in_set->is_dimmest = true;
  constexpr double kSameBrightness = 0.005;
  constexpr int kTries = 4;
  for (std::size_t i = 0; i < scenes.size(); ++i) {
    for (int attempt = 0; attempt < kTries; ++attempt) {
      const double ratio = wanted / brightness(plans[i]);
      if (std::abs(ratio - 1.0) < kSameBrightness) break;
      in_set.level_cd_m2 =
          ratio < 1.0 ? level_for(plans[i].glow_after(), wanted) : plans[i].level_cd_m2 * ratio;
      options.in_set = in_set;
      EvenResult plan = make_even(scenes[i], options, go_on);
      if (plan.interrupted) return stopped();
      plans[i] = std::move(plan);
    }
  }
  return plans;
}

// Where the pieces of a set do not match after all.
std::vector<std::string> set_minds(const std::vector<EvenResult>& pieces,
                                   const std::vector<LoadedScene>& scenes) {
  constexpr double kApart = 1.1;
  std::vector<std::string> minds;
  std::vector<std::string> apart;
  const std::string matched = pieces.front().glow_after().name;
  for (const ViewerGlow& viewer : pieces.front().after.glow.viewers) {
    std::vector<double> means;
    for (const EvenResult& piece : pieces) {
      for (const ViewerGlow& other : piece.after.glow.viewers) {
        if (other.name == viewer.name) means.push_back(other.mean_cd_m2.mean);
      }
    }
    const auto [least, most] = std::minmax_element(means.begin(), means.end());
    if (viewer.name != matched && *most > kApart * *least)
      apart.push_back(seen_by(viewer.name) + " " + spoken(*least) + " to " + spoken(*most));
  }
  if (!apart.empty()) {
    minds.push_back(capitalised(seen_by(matched)) +
                    " the set matches; elsewhere its pieces differ, in cd/m2: " + listed(apart) +
                    ".");
  }
  const Side face = scenes.front().scene.art->face;
  if (std::any_of(scenes.begin(), scenes.end(),
                  [&](const LoadedScene& scene) { return scene.scene.art->face != face; })) {
    minds.push_back(
        "The set mixes engraving on the front and on the back, whose brightness leans "
        "differently on the roughness that nobody has measured: burn a test piece of "
        "each first.");
  }
  return minds;
}

}  // namespace

std::vector<EvenResult> make_even_set(const std::vector<LoadedScene>& scenes,
                                      const EvenOptions& options, const GoOn& go_on) {
  if (scenes.size() == 1) return {make_even(scenes.front(), options, go_on)};
  std::vector<EvenResult> results = matching_plans(scenes, options, go_on);
  bool stopped = results.front().interrupted;
  for (std::size_t i = 0; i < results.size(); ++i) {
    if (!stopped) {
      EvenOptions own = options;
      own.in_set = results[i].in_set;
      if (!own.in_set->is_dimmest) own.further = std::max(own.further, Questions::of_the_plan);
      EvenResult whole = make_even(scenes[i], own, go_on);
      stopped = whole.interrupted;
      if (!whole.unfinished) {
        results[i] = std::move(whole);
        continue;
      }
    }
    results[i].interrupted = true;  // its plan stands, without what was still to be asked
  }
  for (const std::string& mind : set_minds(results, scenes)) {
    for (EvenResult& result : results) result.after.report.warnings.push_back(mind);
  }
  return results;
}

}  // namespace rimeglow
