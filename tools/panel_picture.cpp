#include "panel_picture.h"

#include <algorithm>
#include <cmath>

#include "colour_map.h"
#include "pictures.h"
#include "prediction.h"
#include "report.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr double kSpotRadius_mm = 1.0;
constexpr double kCoarse_mm = 0.5;  // for choosing what is white

double pixel_for(const Run& run, double pixels) {
  return run.model->outline.size_mm.maxCoeff() / pixels;
}

LuminanceScale shared_scale(Runs runs, int viewer) {
  LuminanceScale shared{1e300, 0.0};
  for (const auto& run : runs) {
    const LuminanceScale own = scale_of(luminance_map(*run, viewer, kCoarse_mm));
    shared = {std::min(shared.low_cd_m2, own.low_cd_m2),
              std::max(shared.high_cd_m2, own.high_cd_m2)};
  }
  return shared;
}

// How well the patch of the art's box around a place is known; 0 beside the art.
double error_near(const Model& model, const Glow& glow, int viewer, const Vec2& at_mm) {
  const Vec2 box = model.art_upper_right_mm - model.art_lower_left_mm;
  const Vec2 in = (at_mm - model.art_lower_left_mm).cwiseQuotient(box) * kPatchesAcross;
  if (!(in.minCoeff() >= 0.0 && in.maxCoeff() < kPatchesAcross)) return 0.0;
  const auto patch =
      static_cast<std::size_t>(in.y()) * kPatchesAcross + static_cast<std::size_t>(in.x());
  const Estimate& known = glow.viewers[static_cast<std::size_t>(viewer)].patches[patch].cd_m2;
  return known.mean > 0.0 ? known.standard_error / known.mean : 0.0;
}

// "brighter in 30 of 52 squares, by up to 120 cd/m2"
std::string extent(const char* what, int count, int all, double most_cd_m2) {
  return what + std::string(" in ") + std::to_string(count) + " of " + std::to_string(all) +
         " squares" + (count > 0 ? ", by up to " + spoken(most_cd_m2) + " cd/m2" : "");
}

std::string squares_in_words(const DifferenceMap& differences) {
  int all = 0, brighter = 0, dimmer = 0;
  Estimate least, most;
  for (const auto& square : differences.cd_m2) {
    if (!square) continue;
    ++all;
    if (!is_telling(*square)) continue;
    ++(square->mean > 0.0 ? brighter : dimmer);
    if (square->mean < least.mean) least = *square;
    if (square->mean > most.mean) most = *square;
  }
  if (brighter + dimmer == 0)
    return "Map of the differences: in none of " + std::to_string(all) +
           " squares does the piece on the right glow otherwise than the one on the left, as far "
           "as can be told from noise.";
  return "Map of the differences: the piece on the right glows " +
         extent("brighter", brighter, all, most.mean) + ", and " +
         extent("dimmer", dimmer, all, -least.mean) + ".";
}

// Of the square in the middle of all, by their errors.
std::string noise_in_words(const DifferenceMap& differences) {
  std::vector<double> errors;
  for (const auto& square : differences.cd_m2)
    if (square) errors.push_back(square->standard_error);
  if (errors.empty()) return "no square is engraved on both";
  const auto middle = errors.begin() + static_cast<std::ptrdiff_t>(errors.size() / 2);
  std::nth_element(errors.begin(), middle, errors.end());
  if (*middle == 0.0) return "the same light in both, so that there is no noise";
  return "the noise of a square is about " + spoken(*middle) + " cd/m2 (one standard error)";
}

}  // namespace

PanelPicture eye_picture(const Run& run, int viewer, double pixels, double white_cd_m2) {
  const std::vector<ColouredMap> maps = seen_by_viewer(run, viewer, pixel_for(run, pixels));
  const LuminanceMap sum = together(maps);
  const Exposure exposure = white_cd_m2 > 0.0 ? Exposure{white_cd_m2} : exposure_of(sum);
  return {
      png_of(light_picture(sum, exposure, [&](std::size_t pixel) { return tint_at(maps, pixel); })),
      "white is " + spoken(exposure.white_cd_m2) + " cd/m2"};
}

double shared_white(Runs runs, int viewer) {
  double white = 0.0;
  for (const auto& run : runs)
    white = std::max(white, exposure_of(luminance_map(*run, viewer, kCoarse_mm)).white_cd_m2);
  return white;
}

PanelPicture measured_picture(Runs runs, std::size_t piece, int viewer, double pixels) {
  const LuminanceScale scale = shared_scale(runs, viewer);
  const Run& run = *runs[piece];
  return {png_of(false_light_picture(luminance_map(run, viewer, pixel_for(run, pixels)), scale)),
          "from " + spoken(scale.low_cd_m2) + " to " + spoken(scale.high_cd_m2) + " cd/m2"};
}

DifferencePicture difference_picture(const Run& run, const DifferenceMap& differences) {
  const double end_cd_m2 = end_of_differences(differences);
  const LuminanceMap seen = luminance_map(run, 0, pixel_for(run, kDifferencePicture), kEveryChannel,
                                          run.settings.is_wanted);
  const std::string seen_there = seen_by(run.model->viewers.front().name);
  return {png_of(difference_picture(seen, run.model->outline, differences, end_cd_m2)),
          squares_in_words(differences),
          "How much more or less the engraving glows on the right than on the left, " + seen_there +
              ", averaged over squares of " + spoken(kSquare_mm) + " mm: " + kDifferenceColours +
              ". The scale ends at " + spoken(end_cd_m2) + " cd/m2 more or less; " +
              noise_in_words(differences) + "."};
}

std::string false_colours_png() {
  constexpr int kWidth = 256;
  Canvas canvas(kWidth, 1, {0, 0, 0});
  for (int x = 0; x < kWidth; ++x) canvas.set(x, 0, false_colour(x / (kWidth - 1.0)));
  return png_of(canvas);
}

MeterReading read_meter(const LuminanceMap& map, const Vec2& at_mm) {
  const Vec2 size_mm = map.pixel_mm * Vec2(map.columns, map.rows);
  const bool is_near = (at_mm.array() >= -kSpotRadius_mm).all() &&
                       (at_mm.array() <= size_mm.array() + kSpotRadius_mm).all();
  if (!is_near) return {};
  const int reach = static_cast<int>(std::ceil(kSpotRadius_mm / map.pixel_mm));
  const int column = static_cast<int>(std::floor(at_mm.x() / map.pixel_mm));
  const int row = static_cast<int>(std::floor(at_mm.y() / map.pixel_mm));
  double sum = 0.0;
  int all = 0;
  int lit = 0;
  for (int y = row - reach; y <= row + reach; ++y) {
    for (int x = column - reach; x <= column + reach; ++x) {
      const Vec2 centre = map.pixel_mm * Vec2(x + 0.5, y + 0.5);
      if ((centre - at_mm).norm() > kSpotRadius_mm) continue;
      ++all;
      if (x < 0 || y < 0 || x >= map.columns || y >= map.rows) continue;
      const double cd_m2 = static_cast<double>(map.cd_m2[map.index(x, y)]);
      sum += cd_m2;
      if (cd_m2 > 0.0) ++lit;
    }
  }
  return {sum / all, lit > 0 ? sum / lit : 0.0};
}

std::string meter_words(const Run& run, const Glow& glow, int viewer, const Vec2& at_mm,
                        const MeterReading& reading) {
  const std::string where = fixed(at_mm.x(), 1) + " mm, " + fixed(at_mm.y(), 1) + " mm: ";
  if (!(reading.lit_cd_m2 > 0.0)) {
    return where + (contains(run.model->outline, at_mm) ? "clear sheet, no light of its own"
                                                        : "no sheet there");
  }
  const double error = error_near(*run.model, glow, viewer, at_mm);
  return where + spoken(reading.spot_cd_m2) + " cd/m2 over 2 mm, the engraving in it " +
         spoken(reading.lit_cd_m2) + " cd/m2" +
         (error > 0.0 ? " (good to " + percent(error) + ")" : "") + ", " +
         seen_by(run.model->viewers[static_cast<std::size_t>(viewer)].name);
}

}  // namespace rimeglow
