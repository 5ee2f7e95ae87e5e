// All that `predict` found out about one scene, and the folder of files that tell it: glow.png,
// luminance.png, glow.pfm, report.html and numbers.json. Everything is packed before the first
// file is written, and they appear together (folder_writer.h).
// Does not decide whether a folder may be replaced.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "folder_writer.h"
#include "glow.h"
#include "model.h"
#include "pictures.h"
#include "report.h"
#include "run.h"
#include "scene_files.h"
#include "spectrum.h"
#include "standard_views.h"

namespace rimeglow {

// What must be known to get the same numbers again.
struct Provenance {
  std::string version;  // of the program
  std::string inputs;   // see fingerprint.h
  std::uint64_t seed = 0;
  std::uint64_t photons = 0;
};

// What one channel of the lamps adds.
struct ColouredMap {
  LuminanceMap map;
  Tristimulus colour;  // at luminance 1
};

struct Prediction {
  Scene scene;
  std::shared_ptr<const Model> model;
  Glow glow;
  Report report;
  Provenance provenance;
  LuminanceMap seen;                  // by the first viewer, over the panel's box
  std::vector<ColouredMap> coloured;  // the same, by channel
  StandardViews views;
};

// Whether the ends of uncalibrated inputs are tried as well, and the views taken that a report
// shows, which takes some seconds.
enum class Spans { left_out, shown };

// Spans are told to a few per cent: these photons a variant know more. A shorter run asks no more
// of them than of itself.
inline constexpr std::uint64_t kSpanPhotons = std::uint64_t{1} << 18;

// What a run has to tell. `remarks` of the tool (an interruption, say) and what is to be minded of
// the scene join the report's warnings.
Prediction predicted(const LoadedScene& scene, const Run& run, Spans spans,
                     std::span<const std::string> remarks = {});

// The picture of what the first viewer sees.
std::string glow_png(const Prediction& prediction, const Exposure& exposure,
                     const IsWanted& is_wanted = always);
// The pictures of a prediction, or of one on the scales of several.
struct ReportPictures;
struct PictureScales {
  Exposure exposure;
  LuminanceScale luminance;
};
PictureScales scales_of(const LuminanceMap& seen);
ReportPictures pictures_of(const Prediction& prediction, const PictureScales& scales,
                           const IsWanted& is_wanted = always);

// What a viewer sees of the panel's face, by channel, and all channels together.
std::vector<ColouredMap> seen_by_viewer(const Run& run, int viewer, double pixel_mm,
                                        const IsWanted& is_wanted = always);
LuminanceMap together(std::span<const ColouredMap> maps);

// The colour of a pixel's light, whatever its luminance.
LinearRgb tint_at(std::span<const ColouredMap> maps, std::size_t pixel);

// The five files, packed.
std::vector<NamedFile> files_of(const Prediction& prediction);

// Makes the folder if it is not there and writes them into it. Throws
// std::filesystem::filesystem_error when the system refuses.
void write_prediction(const std::filesystem::path& folder, const Prediction& prediction);

}  // namespace rimeglow
