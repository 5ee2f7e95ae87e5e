#include "prediction.h"

#include <algorithm>
#include <cmath>

#include "html_report.h"
#include "numbers.h"
#include "pictures.h"
#include "spans.h"
#include "vet.h"

namespace rimeglow {

namespace {

// Pictures have about this many pixels along the panel's longer side.
constexpr double kPicturePixels = 1600.0;

// The finest of these with no more pixels than that; panels beyond a metre get coarser ones.
double pixel_mm(const Outline& outline) {
  const double wanted_mm = outline.size_mm.maxCoeff() / kPicturePixels;
  for (const double pixel : {0.02, 0.05, 0.1, 0.2, 0.25, 0.5}) {
    if (pixel >= wanted_mm) return pixel;
  }
  return std::ceil(wanted_mm);
}

}  // namespace

std::vector<ColouredMap> seen_by_viewer(const Run& run, int viewer, double pixel_mm,
                                        const IsWanted& is_wanted) {
  std::vector<ColouredMap> maps;
  const auto& channels = run.model->channels;
  for (std::size_t c = 0; c < channels.size(); ++c) {
    maps.push_back(
        {luminance_map(run, viewer, pixel_mm, static_cast<int>(c), is_wanted), channels[c].colour});
  }
  return maps;
}

LuminanceMap together(std::span<const ColouredMap> maps) {
  LuminanceMap sum = maps.front().map;
  for (std::size_t k = 1; k < maps.size(); ++k) {
    for (std::size_t i = 0; i < sum.cd_m2.size(); ++i) sum.cd_m2[i] += maps[k].map.cd_m2[i];
  }
  return sum;
}

LinearRgb tint_at(std::span<const ColouredMap> maps, std::size_t pixel) {
  Tristimulus sum;
  for (const auto& [map, colour] : maps) {
    const double light = static_cast<double>(map.cd_m2[pixel]);
    sum = {sum.x + light * colour.x, sum.y + light * colour.y, sum.z + light * colour.z};
  }
  return sum.y > 0.0 ? tint(sum) : LinearRgb{1.0, 1.0, 1.0};
}

Prediction predicted(const LoadedScene& scene, const Run& run, Spans spans,
                     std::span<const std::string> remarks) {
  Prediction prediction;
  prediction.scene = scene.scene;
  prediction.model = run.model;
  prediction.glow = glow_of(run);
  if (spans == Spans::shown) {
    add_spans(prediction.glow, run, std::min(kSpanPhotons, run.photons));
    prediction.views = standard_views(run);
  }
  prediction.report = report_on(prediction.glow, *run.model);
  auto& warnings = prediction.report.warnings;
  warnings.insert(warnings.begin(), remarks.begin(), remarks.end());
  const std::vector<std::string> minded = scene_warnings(scene);
  warnings.insert(warnings.end(), minded.begin(), minded.end());
  prediction.provenance = {RIMEGLOW_VERSION, scene.inputs, run.settings.seed, run.photons};
  prediction.coloured =
      seen_by_viewer(run, 0, pixel_mm(run.model->outline), run.settings.is_wanted);
  prediction.seen = together(prediction.coloured);
  return prediction;
}

std::string glow_png(const Prediction& prediction, const Exposure& exposure,
                     const IsWanted& is_wanted) {
  constexpr std::size_t kPixelsAtOnce = 1024;
  std::size_t pixels = 0;
  const Canvas picture =
      glow_picture(prediction.seen, prediction.model->outline, exposure, [&](std::size_t pixel) {
        if (pixels++ % kPixelsAtOnce == 0) go_on_if(is_wanted);
        return tint_at(prediction.coloured, pixel);
      });
  go_on_if(is_wanted);
  return png_of(picture);
}

PictureScales scales_of(const LuminanceMap& seen) { return {exposure_of(seen), scale_of(seen)}; }

ReportPictures pictures_of(const Prediction& prediction, const PictureScales& scales,
                           const IsWanted& is_wanted) {
  ReportPictures pictures{
      glow_png(prediction, scales.exposure, is_wanted), scales.exposure, {}, scales.luminance};
  go_on_if(is_wanted);
  const Canvas luminance =
      luminance_picture(prediction.seen, prediction.model->outline, scales.luminance);
  go_on_if(is_wanted);
  pictures.luminance_png = png_of(luminance);
  return pictures;
}

std::vector<NamedFile> files_of(const Prediction& prediction) {
  const ReportPictures pictures = pictures_of(prediction, scales_of(prediction.seen));
  return {{"glow.png", pictures.glow_png},
          {"luminance.png", pictures.luminance_png},
          {"glow.pfm", pfm_of(prediction.seen)},
          {"report.html", html_report(prediction, pictures)},
          {"numbers.json", numbers_json(prediction)}};
}

void write_prediction(const std::filesystem::path& folder, const Prediction& prediction) {
  write_folder(folder, files_of(prediction));
}

}  // namespace rimeglow
