#include "prediction.h"

#include <cmath>

#include "html_report.h"
#include "numbers.h"
#include "pictures.h"
#include "spectrum.h"
#include "writers.h"

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

LuminanceMap seen_by_the_first_viewer(const Run& run) {
  return luminance_map(run, 0, pixel_mm(run.model->outline));
}

// All lamps together, weighted by their flux.
LinearRgb lamp_tint(const Scene& scene) {
  Tristimulus sum;
  for (const LampSpec& lamp : scene.lamps) {
    const Tristimulus colour = tristimulus(white_led(lamp.colour_k));
    const double flux_lm = lamp.count * lamp.flux_each_lm;
    sum = {sum.x + flux_lm * colour.x, sum.y + flux_lm * colour.y, sum.z + flux_lm * colour.z};
  }
  return sum.y > 0.0 ? tint(sum) : LinearRgb{1.0, 1.0, 1.0};
}

ReportPictures pictures_of(const Prediction& prediction) {
  const LuminanceMap& map = prediction.seen;
  const Outline& outline = prediction.model->outline;
  const Exposure exposure = exposure_of(map);
  const LuminanceScale scale = scale_of(map);
  return {png_of(glow_picture(map, outline, exposure, lamp_tint(prediction.scene))), exposure,
          png_of(luminance_picture(map, outline, scale)), scale};
}

}  // namespace

Prediction predicted(const Scene& scene, const Run& run, const std::string& version,
                     const std::string& inputs, std::span<const std::string> remarks) {
  Prediction prediction;
  prediction.scene = scene;
  prediction.model = run.model;
  prediction.glow = glow_of(run);
  prediction.report = report_on(prediction.glow, *run.model);
  auto& warnings = prediction.report.warnings;
  warnings.insert(warnings.begin(), remarks.begin(), remarks.end());
  prediction.provenance = {version, inputs, run.settings.seed, run.photons};
  prediction.seen = seen_by_the_first_viewer(run);
  return prediction;
}

void write_prediction(const std::filesystem::path& folder, const Prediction& prediction) {
  const ReportPictures pictures = pictures_of(prediction);
  const struct {
    const char* name;
    std::string bytes;
  } files[] = {{"glow.png", pictures.glow_png},
               {"luminance.png", pictures.luminance_png},
               {"glow.pfm", pfm_of(prediction.seen)},
               {"report.html", html_report(prediction, pictures)},
               {"numbers.json", numbers_json(prediction)}};
  std::filesystem::create_directories(folder);
  for (const auto& file : files) write_whole(folder / file.name, file.bytes);
}

}  // namespace rimeglow
