#include "make_even.h"

#include <algorithm>
#include <ostream>

#include "cli.h"
#include "even_files.h"
#include "even_set.h"
#include "interruption.h"
#include "own_folder.h"
#include "progress.h"
#include "vet.h"
#include "words.h"
#include "work_note.h"

namespace rimeglow {
namespace {

std::filesystem::path folder_for(const LoadedScene& scene, const EvenRunOptions& options,
                                 bool alone) {
  if (alone || options.folder.empty()) return options.folder_for(scene, "even");
  return std::filesystem::path(options.folder) / Writing{}.folder_for(scene, "even");
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

void tell(const LoadedScene& scene, const EvenResult& result, const std::filesystem::path& folder,
          std::ostream& out) {
  out << printable(result.after.scene.title) << "\n  " << even_verdict(result, scene) << "\n";
  if (result.laser_min)
    out << "  About " << spoken(*result.laser_min) << " minutes of engraving.\n";
  tell_warnings(result.after.report.warnings, out);
  out << "Report:  " << (folder / "report.html").string() << "\n"
      << "Laser:   " << (folder / "work-note.html").string() << "\n";
}

bool is_engraving(std::string_view name) {
  return name == engraving_name(0, 1) || is_numbered_picture(name, "engraving");
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
  std::string problems;
  for (const LoadedScene& scene : scenes) problems += problem_lines(scene);
  if (!problems.empty()) {
    err << problems;
    return kWrongScene;
  }
  std::vector<std::filesystem::path> folders;
  for (const LoadedScene& scene : scenes) {
    folders.push_back(folder_for(scene, options, scenes.size() == 1));
    const auto same = std::find(folders.begin(), folders.end() - 1, folders.back());
    if (same != folders.end() - 1) {
      const LoadedScene& other = scenes[static_cast<std::size_t>(same - folders.begin())];
      err << "rimeglow: " << printable(other.file.string()) << " and "
          << printable(scene.file.string()) << " would both be written into "
          << printable(folders.back().string()) << "; rename one or make them in two calls\n";
      return kWrongUsage;
    }
    if (!may_write_to(folders.back(), options.replace, err)) return kWrongUsage;
  }
  const EvenOptions plan = plan_options(options);
  std::vector<EvenResult> results;
  bool interrupted = false;
  {
    const InterruptGuard guard;
    Progress progress(err);
    const GoOn go_on = [&](const std::string& what) {
      progress.show(what);
      return !guard.interrupted();
    };
    results = make_even_set(scenes, plan, go_on);
  }
  for (std::size_t i = results.size(); i < scenes.size(); ++i)
    err << "rimeglow: interrupted before " << printable(scenes[i].file.string())
        << " was begun; nothing is written of it\n";
  for (std::size_t i = 0; i < results.size(); ++i) {
    EvenResult& result = results[i];
    if (result.interrupted) {
      interrupted = true;
      result.after.report.warnings.insert(result.after.report.warnings.begin(),
                                          "Interrupted: this is what was reached by then.");
    }
    const auto warning = options.jig ? jig_warning(scenes[i]) : std::nullopt;
    if (warning) result.after.report.warnings.push_back(*warning);
    const auto files = even_files(result, scenes[i], options.jig ? Jig::drawn : Jig::left_out);
    write_result(folders[i], files, is_engraving);
    if (options.json) {
      out << files.front().bytes;
    } else {
      tell(scenes[i], result, folders[i], out);
    }
  }
  return interrupted ? kInterrupted : kDone;
}

}  // namespace rimeglow
