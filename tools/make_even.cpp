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

void add_remarks(EvenResult& result, const LoadedScene& scene, bool with_jig) {
  std::vector<std::string>& warnings = result.after.report.warnings;
  if (result.interrupted)
    warnings.insert(warnings.begin(), "Interrupted: this is what was reached by then.");
  const auto warning = with_jig ? jig_warning(scene) : std::nullopt;
  if (warning) warnings.push_back(*warning);
}

std::vector<std::string> without(std::vector<std::string> warnings,
                                 const std::vector<std::string>& others) {
  std::erase_if(warnings, [&](const std::string& warning) {
    return std::find(others.begin(), others.end(), warning) != others.end();
  });
  return warnings;
}

// Warnings that every piece of a set has; none where there is but one piece.
std::vector<std::string> shared_warnings(const std::vector<EvenResult>& pieces) {
  if (pieces.size() < 2) return {};
  std::vector<std::string> shared = pieces.front().after.report.warnings;
  for (const EvenResult& piece : pieces) {
    const std::vector<std::string> lacking = without(shared, piece.after.report.warnings);
    shared = without(shared, lacking);
  }
  return shared;
}

void tell(const LoadedScene& scene, const EvenResult& result, const std::filesystem::path& folder,
          const std::vector<std::string>& said, std::ostream& out) {
  out << printable(result.after.scene.title) << "\n  " << even_verdict(result, scene) << "\n";
  if (result.laser_min)
    out << "  About " << spoken(*result.laser_min) << " minutes of engraving.\n";
  tell_warnings(without(result.after.report.warnings, said), out);
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
  for (std::size_t i = 0; i < results.size(); ++i) add_remarks(results[i], scenes[i], options.jig);
  const std::vector<std::string> shared = shared_warnings(results);
  if (!options.json && !shared.empty()) {
    out << "All pieces\n";
    tell_warnings(shared, out);
  }
  for (std::size_t i = 0; i < results.size(); ++i) {
    const auto files = even_files(results[i], scenes[i], options.jig ? Jig::drawn : Jig::left_out);
    write_result(folders[i], files, is_engraving);
    if (options.json) {
      out << files.front().bytes;
    } else {
      tell(scenes[i], results[i], folders[i], shared, out);
    }
  }
  const bool interrupted = std::any_of(results.begin(), results.end(),
                                       [](const EvenResult& piece) { return piece.interrupted; });
  return interrupted ? kInterrupted : kDone;
}

}  // namespace rimeglow
