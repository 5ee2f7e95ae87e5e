#include "predict.h"

#include <ostream>

#include "cli.h"
#include "glow.h"
#include "interruption.h"
#include "numbers.h"
#include "own_folder.h"
#include "precision.h"
#include "prediction.h"
#include "progress.h"
#include "run.h"
#include "vet.h"
#include "words.h"

namespace rimeglow {
namespace {

enum class Ending { reached, exhausted, stopped };

Ending trace(Run& run, const PredictOptions& options, const InterruptGuard& guard,
             std::ostream& err) {
  Progress progress(err);
  if (options.photons) {
    return trace_to(*options.photons, {&run, 1}, {}, guard, progress) ? Ending::reached
                                                                      : Ending::stopped;
  }
  Precision precision(options.error.value_or(kUsualError));
  for (;;) {
    const Goal goal{precision.goal(), precision.error()};
    if (!trace_to(precision.next_look(), {&run, 1}, goal, guard, progress)) return Ending::stopped;
    const Precision::Finding finding = precision.look(run);
    if (finding == Precision::Finding::reached) return Ending::reached;
    if (finding == Precision::Finding::exhausted) return Ending::exhausted;
  }
}

std::vector<std::string> remarks_on(Ending ending, const Run& run, const PredictOptions& options) {
  if (ending == Ending::stopped) return {interrupted_after(run.photons)};
  if (ending == Ending::exhausted) {
    return {"The worst known patch is good to " + percent(worst_relative_error(run)) +
            " only, not to " + percent(options.error.value_or(kUsualError)) + ": a run ends at " +
            std::to_string(kPhotonCeiling) + " photons."};
  }
  return {};
}

void tell(const LoadedScene& scene, const Prediction& prediction,
          const std::filesystem::path& folder, std::ostream& out) {
  out << printable(prediction.scene.title) << "\n";
  if (scene.art) out << "  " << printable(art_size_text(scene)) << "\n";
  for (const Verdict& verdict : prediction.report.verdicts)
    out << "  " << printable(verdict.text) << "\n";
  tell_warnings(prediction.report.warnings, out);
  out << "Report:  " << (folder / "report.html").string() << "\n"
      << "Picture: " << (folder / "glow.png").string() << "\n";
}

int exit_code(Ending ending, const PredictOptions& options) {
  if (ending == Ending::stopped) return kInterrupted;
  return ending == Ending::exhausted && options.error ? kErrorNotReached : kDone;
}

}  // namespace

int predict(const LoadedScene& scene, const PredictOptions& options, std::ostream& out,
            std::ostream& err) {
  const std::filesystem::path folder = options.folder_for(scene, "glow");
  if (!may_write_to(folder, options.replace, err)) return kWrongUsage;
  Run run = start(scene.model, run_settings(options));
  const InterruptGuard guard;
  const Ending ending = trace(run, options, guard, err);
  const Prediction prediction =
      predicted(scene, run, ending == Ending::stopped ? Spans::left_out : Spans::shown,
                remarks_on(ending, run, options));
  write_prediction(folder, prediction);
  if (options.json) {
    out << numbers_json(prediction);
  } else {
    tell(scene, prediction, folder, out);
  }
  return exit_code(ending, options);
}

}  // namespace rimeglow
