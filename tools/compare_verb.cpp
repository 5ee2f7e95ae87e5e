#include "compare_verb.h"

#include <algorithm>
#include <ostream>

#include "camera_picture.h"
#include "cli.h"
#include "compare_numbers.h"
#include "compare_page.h"
#include "folder_writer.h"
#include "interruption.h"
#include "own_folder.h"
#include "variants.h"
#include "vet.h"

namespace rimeglow {
namespace {

constexpr int kSeatedPixels = 600;

std::vector<VariantSpec> variants_for(const LoadedScene& scene, const CompareOptions& options) {
  if (options.key.empty()) return scene.variants;
  std::vector<VariantSpec> variants;
  for (const std::string& value : options.values) {
    variants.push_back({options.key + " = " + value, {{options.key, value}}});
  }
  return variants;
}

// Why these cannot be compared, or nothing.
std::string what_is_wrong_with(const std::vector<VariantSpec>& variants) {
  if (variants.empty()) {
    return "the scene has no [[variant]]; add some, or say --change KEY --to VALUE, as in "
           "--change edges.top --to \"sanded P320\"";
  }
  if (variants.size() > kMostVariants) {
    return "at most " + std::to_string(kMostVariants) +
           " variants can be set against the scene, not " + std::to_string(variants.size()) +
           "; leave some out, or compare in several calls";
  }
  return "";
}

void draw(Comparing& comparing, const std::vector<Run>& runs) {
  std::vector<CameraPicture> seated;
  for (const Run& run : runs) seated.push_back(seen_from_a_seat(run, kSeatedPixels));
  comparing.seated_exposure = exposure_of(seated);
  for (const Design& design : comparing.designs) {
    comparing.exposure.white_cd_m2 =
        std::max(comparing.exposure.white_cd_m2, exposure_of(design.prediction.seen).white_cd_m2);
  }
  for (const auto& map : comparing.comparison.maps) {
    if (!map) continue;
    comparing.end_of_differences_cd_m2 =
        std::max(comparing.end_of_differences_cd_m2, end_of_differences(*map));
  }
  for (std::size_t d = 0; d < comparing.designs.size(); ++d) {
    Design& design = comparing.designs[d];
    design.seated_png = png_of(developed(seated[d], comparing.seated_exposure, kDarkRoom_cd_m2));
    design.glow_png = glow_png(design.prediction, comparing.exposure);
    if (const auto& map = comparing.comparison.maps[d]) {
      design.difference_png =
          png_of(difference_picture(design.prediction.seen, design.prediction.model->outline, *map,
                                    comparing.end_of_differences_cd_m2));
    }
  }
}

Comparing comparing_of(const std::vector<LoadedScene>& scenes,
                       const std::vector<VariantSpec>& variants, const std::vector<Run>& runs,
                       bool interrupted) {
  Comparing comparing;
  comparing.title = scenes.front().scene.title;
  comparing.comparison =
      compare(runs, interrupted ? 0 : std::min(kSpanPhotons, runs.front().photons));
  for (std::size_t d = 0; d < runs.size(); ++d) {
    Design design;
    design.title = d == 0 ? "As it stands" : variants[d - 1].title;
    if (d > 0) {
      design.verdict =
          verdict_on(comparing.comparison, runs, d, deed_of(variants[d - 1], scenes[d].scene));
    }
    design.prediction = predicted(scenes[d], runs[d], Spans::left_out);
    comparing.designs.push_back(std::move(design));
  }
  comparing.warnings = comparing.designs.front().prediction.report.warnings;
  const std::vector<std::string> known = scene_warnings(scenes.front());
  for (std::size_t d = 1; d < scenes.size(); ++d)
    for (const std::string& warning : scene_warnings(scenes[d]))
      if (std::find(known.begin(), known.end(), warning) == known.end())
        comparing.warnings.push_back(comparing.designs[d].title + ": " + warning);
  if (interrupted) {
    comparing.warnings.insert(
        comparing.warnings.begin(),
        "Interrupted after " + std::to_string(runs.front().photons) + " photons for each design.");
  }
  draw(comparing, runs);
  return comparing;
}

bool is_of_a_design(std::string_view name) {
  return is_numbered_picture(name, "glow") || is_numbered_picture(name, "seated") ||
         is_numbered_picture(name, "difference");
}

std::vector<NamedFile> comparison_files(const Comparing& comparing) {
  std::vector<NamedFile> files = {{"comparison.json", comparison_json(comparing)},
                                  {"comparison.html", comparison_html(comparing)}};
  for (std::size_t d = 0; d < comparing.designs.size(); ++d) {
    const Design& design = comparing.designs[d];
    files.push_back({"glow-" + std::to_string(d) + ".png", design.glow_png});
    files.push_back({"seated-" + std::to_string(d) + ".png", design.seated_png});
    if (design.difference_png) {
      files.push_back({"difference-" + std::to_string(d) + ".png", *design.difference_png});
    }
  }
  return files;
}

}  // namespace

std::vector<LoadedScene> load_variants(const LoadedScene& scene,
                                       const std::vector<VariantSpec>& variants,
                                       const Changes& settings, std::ostream& err) {
  std::vector<LoadedScene> loaded;
  bool right = true;
  for (const VariantSpec& variant : variants) {
    Changes changes = settings;
    changes.insert(changes.end(), variant.changes.begin(), variant.changes.end());
    loaded.push_back(load_scene(scene.file, changes));
    if (loaded.back().problems.empty()) continue;
    right = false;
    err << "In the variant \"" << printable(variant.title) << "\":\n"
        << problems_text(loaded.back());
  }
  if (!right) loaded.clear();
  return loaded;
}

int compare_designs(const LoadedScene& scene, const CompareOptions& options, std::ostream& out,
                    std::ostream& err) {
  const std::vector<VariantSpec> variants = variants_for(scene, options);
  if (const std::string why = what_is_wrong_with(variants); !why.empty()) {
    err << "rimeglow: " << why << "\n";
    return kWrongUsage;
  }
  std::vector<LoadedScene> scenes = load_variants(scene, variants, options.settings, err);
  if (scenes.empty()) return kWrongScene;
  scenes.insert(scenes.begin(), scene);
  const std::filesystem::path folder = options.folder_for(scene, "comparison");
  if (!may_write_to(folder, options.replace, err)) return kWrongUsage;

  RunSettings settings = run_settings(options);
  settings.arrivals = true;
  std::vector<Run> runs;
  for (const LoadedScene& loaded : scenes) runs.push_back(start(loaded.model, settings));
  const InterruptGuard guard;
  const bool done = trace_as_asked(runs, options, guard, err);
  const Comparing comparing = comparing_of(scenes, variants, runs, !done);
  const std::vector<NamedFile> files = comparison_files(comparing);
  write_result(folder, files, is_of_a_design);
  if (options.json) {
    out << files.front().bytes;
  } else {
    out << printable(comparing.title) << "\n";
    for (const Design& design : comparing.designs) {
      if (!design.verdict.empty()) out << "  " << printable(design.verdict) << "\n";
    }
    tell_warnings(comparing.warnings, out);
    out << "Page: " << (folder / "comparison.html").string() << "\n";
  }
  return done ? kDone : kInterrupted;
}

}  // namespace rimeglow
