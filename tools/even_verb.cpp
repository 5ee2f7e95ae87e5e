#include "even_verb.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <iostream>

#include "cli.h"
#include "even_files.h"
#include "even_plan.h"
#include "interruption.h"
#include "own_folder.h"
#include "words.h"

namespace rimeglow {
namespace {

// One line that is written over, on a terminal only.
class Doing {
 public:
  explicit Doing(std::ostream& err)
      : err_(err), shown_(&err == &std::cerr && isatty(STDERR_FILENO) == 1) {}
  ~Doing() {
    if (shown_) err_ << "\r\x1b[K" << std::flush;
  }
  void show(const std::string& what) {
    if (shown_) err_ << "\r\x1b[K" << printable(what) << std::flush;
  }

 private:
  std::ostream& err_;
  bool shown_;
};

std::filesystem::path folder_for(const LoadedScene& scene, const EvenRunOptions& options,
                                 bool alone) {
  const std::string name = scene.file.stem().string() + "-even";
  if (!options.folder) return name;
  return alone ? *options.folder : *options.folder / name;
}

EvenOptions plan_options(const EvenRunOptions& options) {
  EvenOptions plan;
  plan.seed = options.seed;
  plan.threads = options.threads;
  if (options.photons) {
    constexpr std::uint64_t kFewest = 2048;
    plan.check_photons = std::clamp(*options.photons / 16, kFewest, plan.check_photons);
    plan.round_photons = std::max(kFewest, std::min(plan.round_photons, *options.photons));
    plan.final_photons = *options.photons;
  }
  return plan;
}

// A set is as bright as the piece that can be least bright: the others are brought down to it. The
// levels at which they are planned.
std::vector<double> matching_levels(const std::vector<LoadedScene>& scenes, EvenOptions options,
                                    const GoOn& go_on) {
  options.further = Questions::left_out;
  options.spans = Spans::left_out;
  std::vector<double> levels, means;
  const auto plan = [&](std::size_t i) {
    const EvenResult result = make_even(scenes[i], options, go_on);
    levels[i] = result.level_cd_m2;
    means[i] = result.glow_after().mean_cd_m2.mean;
    return !result.interrupted;
  };
  levels.resize(scenes.size());
  means.resize(scenes.size());
  for (std::size_t i = 0; i < scenes.size(); ++i)
    if (!plan(i)) return levels;
  const double wanted = *std::min_element(means.begin(), means.end());
  constexpr double kAlike = 0.005;
  constexpr int kTries = 3;
  for (std::size_t i = 0; i < scenes.size(); ++i) {
    for (int attempt = 0; attempt < kTries; ++attempt) {
      const double ratio = wanted / means[i];
      if (std::abs(ratio - 1.0) < kAlike) break;
      options.level_cd_m2 = levels[i] * ratio;
      if (!plan(i)) return levels;
    }
  }
  return levels;
}

void tell(const LoadedScene& scene, const EvenResult& result, const std::filesystem::path& folder,
          std::ostream& out) {
  out << printable(result.after.scene.title) << "\n  " << even_verdict(result, scene) << "\n";
  if (result.laser_min) out << "  About " << spoken(*result.laser_min) << " minutes of raster.\n";
  if (result.interrupted) out << "  Interrupted: this is what was reached by then.\n";
  out << "Report:  " << (folder / "report.html").string() << "\n"
      << "Laser:   " << (folder / "work-note.html").string() << "\n";
}

std::string problem_lines(const LoadedScene& scene) {
  LoadedScene said;
  said.file = scene.file;
  said.problems = even_problems(scene);
  return problems_text(said);
}

}  // namespace

int even(const std::vector<LoadedScene>& scenes, const EvenRunOptions& options, std::ostream& out,
         std::ostream& err) {
  const bool alone = scenes.size() == 1;
  std::string problems;
  for (const LoadedScene& scene : scenes) problems += problem_lines(scene);
  if (!problems.empty()) {
    err << problems;
    return kWrongScene;
  }
  for (const LoadedScene& scene : scenes)
    if (!may_write_to(folder_for(scene, options, alone), options.replace, err)) return kWrongUsage;
  const EvenOptions plan = plan_options(options);
  std::vector<EvenResult> results;
  bool interrupted = false;
  {
    const InterruptGuard guard;
    Doing doing(err);
    const GoOn go_on = [&](const std::string& what) {
      doing.show(what);
      return !guard.interrupted();
    };
    const std::vector<double> levels =
        alone ? std::vector<double>{} : matching_levels(scenes, plan, go_on);
    for (std::size_t i = 0; i < scenes.size(); ++i) {
      EvenOptions own = plan;
      if (!alone) own.level_cd_m2 = levels[i];
      results.push_back(make_even(scenes[i], own, go_on));
    }
  }
  for (std::size_t i = 0; i < scenes.size(); ++i) {
    EvenResult& result = results[i];
    if (result.interrupted) {
      interrupted = true;
      result.after.report.warnings.insert(result.after.report.warnings.begin(),
                                          "Interrupted: this is what was reached by then.");
    }
    const std::filesystem::path folder = folder_for(scenes[i], options, alone);
    write_folder(folder, even_files(result, scenes[i], options.jig ? Jig::drawn : Jig::left_out));
    if (options.json) {
      out << even_json(result, scenes[i]);
    } else {
      tell(scenes[i], result, folder, out);
    }
  }
  return interrupted ? kInterrupted : kDone;
}

}  // namespace rimeglow
