#include "even_plan.h"

#include <algorithm>
#include <cmath>

#include "vet.h"
#include "words.h"

namespace rimeglow {
namespace {

// Whether a change makes the panel tellingly brighter and no less even than its plan, or than is
// wanted; or, where the plan is not even enough, tellingly more even.
bool is_help(const EvenOutcome& changed, const EvenResult& result, double wanted) {
  constexpr double kBrighter = 1.05;
  const ViewerGlow& after = result.glow_after();
  const double noise =
      kTelling * std::hypot(changed.evenness.standard_error, after.evenness.standard_error);
  if (after.evenness.mean < wanted && changed.evenness.mean > after.evenness.mean + noise) {
    return true;
  }
  return changed.evenness.mean >= std::min(wanted, after.evenness.mean) - noise &&
         changed.mean_cd_m2.mean > kBrighter * after.mean_cd_m2.mean;
}

class Maker {
 public:
  Maker(const LoadedScene& scene, const EvenOptions& options, const GoOn& go_on)
      : scene_(scene), options_(options), go_on_(go_on) {
    settings_.seed = options.seed;
    settings_.threads = options.threads;
    settings_.is_wanted = options.is_wanted;
    settings_.room_rays = 1;
    settings_.response_walks = kFewWalks;
    wish_.viewer = scene.model->viewer_named(scene.scene.even.viewer).value();
    wish_.evenness = scene.scene.even.evenness;
    if (options.in_set) wish_.level_cd_m2 = options.in_set->level_cd_m2;
    wish_.photons = options.round_photons;
    result_.viewer = wish_.viewer;
    result_.in_set = options.in_set;
  }

  EvenResult make() {
    // The scene as if it had no plan yet.
    const auto full = build_model(scene_.scene, scene_.drawings, {}, options_.is_wanted).model;
    EvenSearch search = begin_even(scene_.scene, scene_.drawings, *full, settings_, wish_);
    result_.laser_min = laser_minutes(scene_.scene, scene_.drawings, *full);
    fresh_ = fresh_run(search);
    trace(*fresh_, "the design as it is");
    result_.before = told(*fresh_);
    result_.tone_error_before = tone_error(*fresh_, wish_.viewer);
    for (int attempt = 0; attempt < kAttempts; ++attempt) {
      if (!search_plan(search) && result_.rounds.empty()) break;
      trace_plan(search, *fresh_);
      const double missing = scene_.scene.even.evenness - result_.glow_after().evenness.mean;
      if (missing <= 0.0 || stopped_ || wish_.level_cd_m2) break;
      // New photons find it less even than those it was made with: aim higher by as much.
      search.wish.evenness = std::min(0.99, search.wish.evenness + missing + 0.01);
      search.rounds.resize(1);
      search.settled = false;
    }
    result_.unfinished = stopped_;
    if (options_.further != Questions::left_out) answer(search);
    result_.interrupted = stopped_;
    return std::move(result_);
  }

 private:
  static constexpr int kAttempts = 3;
  static constexpr int kFewWalks = 1 << 17;   // for a search, which compares
  static constexpr std::size_t kCareful = 3;  // changes tried with care until one helps

  void answer(EvenSearch& search) {
    result_.bench = at_the_bench(search);
    if (!options_.in_set) prefer_what_survives(search);
    ask_of_density(search);
    if (options_.further == Questions::asked) advise();
  }

  bool goes_on(const std::string& doing) {
    stopped_ = stopped_ || !go_on_(doing);
    return !stopped_;
  }

  Run fresh_run(const EvenSearch& search) const {
    RunSettings settings;
    settings.seed = options_.seed + 1;
    settings.threads = options_.threads;
    settings.is_wanted = options_.is_wanted;
    if (options_.further == Questions::left_out) settings.response_walks = kFewWalks;
    return start(search.in_full.model, settings);
  }

  void trace(Run& run, const std::string& doing) {
    constexpr std::uint64_t kPart = std::uint64_t{1} << 17;
    do {
      advance(run, std::min(kPart, options_.final_photons - run.photons));
    } while (run.photons < options_.final_photons && goes_on(doing));
  }

  Prediction told(const Run& run) const {
    return predicted(scene_, run, stopped_ ? Spans::left_out : options_.spans);
  }

  bool search_plan(EvenSearch& search) {
    while (!is_done(search)) {
      const int round = static_cast<int>(search.rounds.size()) + 1;
      if (!search.rounds.empty() && !goes_on("round " + std::to_string(round))) break;
      advance(search);
    }
    result_.rounds = search.rounds;
    result_.plan = best_round(search).density;
    result_.level_cd_m2 = search.level_cd_m2;
    return !stopped_;
  }

  // What is burnt is what the bitmaps say, and what is scored as it is drawn.
  void trace_plan(const EvenSearch& search, const Run& before) {
    const Vec2 panel = before.model->outline.size_mm;
    const Side face = scene_.scene.art->face;
    result_.engravings.clear();
    dots_.clear();
    for (Drawing& dots : dots_of(search.art, result_.plan, options_.is_wanted)) {
      go_on_if(options_.is_wanted);
      if (search.art[dots_.size()].mark.scored()) {
        result_.engravings.push_back({"", scored_lines(dots, options_.is_wanted)});
        dots_.push_back(std::move(dots));
      } else {
        result_.engravings.push_back({engraving_png(dots, panel, face)});
        dots_.push_back(dots_in_png(result_.engravings.back().png, dots.pixel_mm, face));
      }
    }
    Run run = start_like(
        before, with_dots(search.blank, search.art, dots_, search.as_drawn, options_.is_wanted));
    trace(run, "the burnt bitmap, by fresh photons");
    result_.after = told(run);
    result_.tone_error_after = tone_error(run, wish_.viewer);
  }

  std::vector<EvenOutcome> at_the_bench(const EvenSearch& search) {
    // The worst of several is asked for, so each must be known well.
    const std::uint64_t photons = 4 * options_.check_photons;
    std::vector<EvenOutcome> outcomes;
    for (const Shake& shake : shakes(search.blank)) {
      if (!goes_on(shake.what)) break;
      outcomes.push_back(shaken(search, dots_, shake, photons));
    }
    return outcomes;
  }

  // A plan that aims higher by what the worst case lacks, if it holds in more cases and costs
  // little.
  void prefer_what_survives(EvenSearch& search) {
    const double wanted = scene_.scene.even.evenness;
    const auto worst = [](const std::vector<EvenOutcome>& bench) {
      double least = 1.0;
      for (const EvenOutcome& outcome : bench) least = std::min(least, outcome.evenness.mean);
      return least;
    };
    const auto survived = [&](const std::vector<EvenOutcome>& bench) {
      return std::count_if(bench.begin(), bench.end(), [&](const EvenOutcome& outcome) {
        return outcome.evenness.mean >= wanted;
      });
    };
    if (stopped_ || worst(result_.bench) >= wanted) return;
    const EvenResult before = result_;
    const std::vector<Drawing> dots = dots_;
    search.wish.evenness = std::min(0.95, search.wish.evenness + wanted - worst(result_.bench));
    search.rounds.resize(1);
    search.settled = false;
    search_plan(search);
    trace_plan(search, *fresh_);
    result_.bench = at_the_bench(search);
    constexpr double kCheap = 0.95;  // of the brightness
    const bool is_better =
        survived(result_.bench) > survived(before.bench) &&
        result_.glow_after().evenness.mean >= wanted &&
        result_.glow_after().mean_cd_m2.mean >= kCheap * before.glow_after().mean_cd_m2.mean;
    if (is_better && !stopped_) return;
    result_ = before;
    dots_ = dots;
  }

  void ask_of_density(const EvenSearch& search) {
    std::vector<double> densities, brightness;
    for (const double density : {0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0}) {
      if (!goes_on("density " + percent(density))) return;
      result_.curve.push_back({density, at_density(search, density, options_.check_photons)});
      densities.push_back(density);
      brightness.push_back(result_.curve.back().outcome.mean_cd_m2.mean);
    }
    result_.knee = knee(densities, brightness);
  }

  // What a change lacks of the evenness that it should have, beyond what noise may hide. All are
  // tried with little effort, the panel as it is among them: that is what they are held against.
  double lacking(const EvenOutcome& of, const EvenOutcome& as_it_is) const {
    const double wanted = scene_.scene.even.evenness;
    const bool is_reached = result_.glow_after().evenness.mean >= wanted;
    const double due = is_reached ? std::min(wanted, as_it_is.evenness.mean) : wanted;
    const double noise =
        kTelling * std::hypot(of.evenness.standard_error, as_it_is.evenness.standard_error);
    return std::max(0.0, due - of.evenness.mean - noise);
  }

  void advise() {
    EvenWish wish = wish_;
    wish.photons = options_.check_photons;
    wish.level_cd_m2.reset();
    std::vector<std::pair<Advice, PricedOutcome>> all;
    for (Advice& advice : advice_for(scene_.scene)) {
      if (!goes_on(advice.what)) break;
      auto outcome = tried(advice, scene_.drawings, settings_, wish, kFewEvenRounds);
      if (!outcome) continue;
      const auto minutes = laser_minutes(advice.scene, scene_.drawings, *scene_.model);
      all.push_back({std::move(advice), {std::move(*outcome), minutes}});
    }
    if (all.empty()) return;
    const EvenOutcome as_it_is = all.front().second.outcome;
    std::stable_sort(all.begin() + 1, all.end(), [&](const auto& one, const auto& other) {
      const double one_lacks = lacking(one.second.outcome, as_it_is);
      const double other_lacks = lacking(other.second.outcome, as_it_is);
      if (one_lacks != other_lacks) return one_lacks < other_lacks;
      return one.second.outcome.mean_cd_m2.mean > other.second.outcome.mean_cd_m2.mean;
    });
    for (const auto& [advice, priced] : all) result_.advice.push_back(priced);
    wish.photons = options_.round_photons;
    for (std::size_t i = 1; i < std::min(all.size(), 1 + kCareful); ++i) {
      if (!goes_on(all[i].first.what + ", with care")) return;
      const auto careful = tried(all[i].first, scene_.drawings, settings_, wish, kMostEvenRounds);
      if (!careful || !is_help(*careful, result_, scene_.scene.even.evenness)) continue;
      result_.helps_most = careful;
      return;
    }
  }

  const LoadedScene& scene_;
  const EvenOptions& options_;
  const GoOn& go_on_;
  RunSettings settings_;
  EvenWish wish_;
  std::optional<Run> fresh_;  // of the design burnt in full
  std::vector<Drawing> dots_;
  EvenResult result_;
  bool stopped_ = false;
};

std::string place_in_set(const InSet& place, double kept) {
  constexpr double kUndimmed = 0.995;
  if (place.is_dimmest)
    return " It is the dimmest of its set, whose other pieces are dimmed to match.";
  return (kept > kUndimmed ? " It needs no dimming to match " : " It is dimmed to match ") +
         printable(place.dimmest) + ", the dimmest of its set.";
}

// A plan that stopped early, or that is dimmed to match others, has not come to the mark's limit.
std::string why_not_reached(const EvenResult& result) {
  if (result.unfinished) return " by the plan so far";
  if (result.in_set && result.in_set->level_cd_m2) return " at the brightness of its set";
  return ": the darkest patch glows at " + spoken(result.glow_after().darkest_cd_m2.mean) +
         " cd/m2 engraved as densely as the mark can, and thinning the others changes too little";
}

bool leaves_all_in_full(const EvenResult& result) {
  const std::vector<double>& share = result.plan.share;
  return !result.unfinished &&
         std::all_of(share.begin(), share.end(), [](double part) { return part == 1.0; });
}

// What the plan does to the panel: its evenness and its brightness, before and after.
std::string done_by_plan(const EvenResult& result) {
  const ViewerGlow& before = result.glow_before();
  const ViewerGlow& after = result.glow_after();
  const std::string seen = capitalised(seen_by(after.name));
  const std::string even = percent(after.evenness.mean) + " of the brightest (" +
                           good_to(after.evenness) + "), the mean ";
  const std::string mean = spoken(after.mean_cd_m2.mean) + " cd/m2";
  if (leaves_all_in_full(result)) {
    std::string text = "The plan leaves everything burnt in full. " + seen +
                       ", the darkest patch has " + even + "is " + mean + ".";
    if (after.scored_cd_m2)
      text +=
          " That is without the scored lines, at " + spoken(after.scored_cd_m2->mean) + " cd/m2.";
    return text;
  }
  std::string text = seen + ", the darkest patch goes from " + percent(before.evenness.mean) +
                     " to " + even + "from " + spoken(before.mean_cd_m2.mean) + " to " + mean +
                     " (" + percent(after.mean_cd_m2.mean / before.mean_cd_m2.mean) + " of it).";
  if (before.scored_cd_m2 && after.scored_cd_m2)
    text += " That is without the scored lines, which stay as drawn and go from " +
            spoken(before.scored_cd_m2->mean) + " to " + spoken(after.scored_cd_m2->mean) +
            " cd/m2.";
  return text;
}

}  // namespace

std::vector<Problem> even_problems(const LoadedScene& scene) {
  std::vector<Problem> problems;
  if (!scene.scene.art) {
    problems.push_back({"art.file", 0, "is missing: there is nothing to make even",
                        "add a table [art] with the file of the art"});
    return problems;
  }
  const std::vector<const MarkSpec*> marks = layer_marks(scene.scene);
  bool has_raster = false;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const MarkSpec& mark = *marks[i];
    if (mark.scored()) continue;
    has_raster = true;
    const std::string name = mark_name(scene.scene, i);
    if (mark.spot_mm > 4.0 * mark.spacing_mm) {
      const double coarser_mm = mark.spot_mm / 3.0;
      problems.push_back({"mark." + name + ".spacing", 0,
                          "a spot of " + spoken(mark.spot_mm) + " mm burns so many of its " +
                              spoken(mark.spacing_mm) +
                              " mm pixels that the mark cannot be thinned out",
                          "choose a spacing of " + spoken(coarser_mm) + " mm (" +
                              fixed(kMmPerInch / coarser_mm, 0) + " dpi) or coarser"});
    }
  }
  if (!has_raster) {
    problems.push_back(
        {"mark." + mark_name(scene.scene, 0) + ".kind", 0,
         "all that is engraved is scored: single lines, which cannot be thinned out",
         "score the drawing as it is, and let rimeglow compare say which LEDs and edges light it "
         "more evenly; or give what shall be evened a mark of kind = \"raster\""});
  }
  const Vec2 art = scene.model->art_upper_right_mm - scene.model->art_lower_left_mm;
  if (scene.scene.machine && !fits_bed(art, *scene.scene.machine)) {
    problems.push_back({"art.width", 0, beyond_bed("the art", art, *scene.scene.machine),
                        "make art.width smaller, or check machine.bed"});
  }
  return problems;
}

EvenResult make_even(const LoadedScene& scene, const EvenOptions& options, const GoOn& go_on) {
  return Maker(scene, options, go_on).make();
}

std::string even_verdict(const EvenResult& result, const LoadedScene& scene) {
  const ViewerGlow& before = result.glow_before();
  const ViewerGlow& after = result.glow_after();
  const double wanted = scene.scene.even.evenness;
  if (!after.has_evenness()) {
    return "Too little is engraved to tell whether it glows evenly. " +
           capitalised(seen_by(after.name)) + ", the mean goes from " +
           spoken(before.mean_cd_m2.mean) + " to " + spoken(after.mean_cd_m2.mean) + " cd/m2.";
  }
  std::string text = done_by_plan(result);
  if (result.in_set)
    text += place_in_set(*result.in_set, after.mean_cd_m2.mean / before.mean_cd_m2.mean);
  if (after.evenness.mean < wanted) {
    text += " The wanted " + percent(wanted) + " are not reached" + why_not_reached(result) + ".";
  }
  if (result.helps_most) {
    const EvenOutcome& best = *result.helps_most;
    text += " What would help most: " + best.what + ", which a plan of its own brings to " +
            percent(best.mean_cd_m2.mean / after.mean_cd_m2.mean) +
            " of this brightness at an evenness of " + percent(best.evenness.mean) + ".";
  }
  return text;
}

}  // namespace rimeglow
