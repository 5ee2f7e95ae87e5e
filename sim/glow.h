// From what arrived to what an eye sees: luminance in cd/m2 by place and viewer, with errors, and
// the share of the light that went everywhere else. Luminances are the lamp's alone; what the room
// adds is said beside them.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "estimate.h"
#include "model.h"
#include "run.h"

namespace rimeglow {

// One of the kPatchesAcross^2 patches of the art's box: mean luminance over its engraved area.
// Patches count for evenness when engraved over at least 1 % and 1 mm2 of them.
struct PatchGlow {
  double engraved_mm2 = 0.0;
  bool counted = false;
  Estimate cd_m2;
};

// A strip of the art across its whole width, from the bottom up, per engraved area.
struct RowGlow {
  double y_mm = 0.0;  // its middle
  double engraved_mm2 = 0.0;
  Estimate cd_m2;
};

// From the lowest to the highest that a value may be while some input is not measured, and the
// input that takes it farthest.
struct Span {
  double low = 0.0;
  double high = 0.0;
  double widest = 0.0;  // how far that input takes it
  std::string widest_input{};

  static Span about(double value) { return {value, value}; }
  // Takes in where an input takes the value.
  void widen(const std::string& input, double value, double changed) {
    low = std::min(low, changed);
    high = std::max(high, changed);
    if (std::abs(changed - value) <= widest) return;
    widest = std::abs(changed - value);
    widest_input = input;
  }
};

// Of the engraving; where lines are scored beside rastered marks, of these marks alone.
struct ViewerGlow {
  std::string name;
  Chromaticity colour;     // of all of it together, scored or not
  Estimate room_cd_m2;     // what the room adds to the engraving, on average
  Estimate beside_cd_m2;   // what is seen of the room, or a lit backdrop, beside it
  Estimate mean_cd_m2;     // over the whole engraved area
  Estimate darkest_cd_m2;  // of the counted patches
  Estimate brightest_cd_m2;
  Estimate evenness;              // darkest / brightest
  std::optional<Span> mean_span;  // see spans.h
  std::optional<Span> evenness_span;
  std::optional<Span> contrast_span;
  std::optional<Estimate> scored_cd_m2;  // of lines scored beside
  std::vector<PatchGlow> patches;        // kPatchesAcross^2, row by row from the lower left
  std::vector<RowGlow> rows;

  // Those that hold enough engraving to be judged.
  std::ptrdiff_t counted_patches() const {
    return std::count_if(patches.begin(), patches.end(),
                         [](const PatchGlow& patch) { return patch.counted; });
  }
  // A single patch is as even as itself.
  bool has_evenness() const { return counted_patches() >= 2; }
};

// Mean luminance of one edge as one viewer sees it, over its projected area: of the pieces that
// face as its seat does, not of round ones.
struct EdgeGlow {
  std::string edge;
  std::string viewer;
  Estimate cd_m2;
  std::optional<Span> span{};
};

// How far the LEDs of an edge show along the engraving nearest to them, see measures.h.
struct HotSpots {
  std::string edge;
  Estimate contrast;
  std::optional<Span> span{};
};

struct Share {
  std::string name;  // see ledger_names
  Estimate of_emitted;
};

struct Glow {
  double flux_lm = 0.0;
  std::uint64_t photons = 0;
  std::vector<Share> ledger;
  Estimate entered;                 // memo: 1 - missed
  std::vector<ViewerGlow> viewers;  // empty for a clear blank
  std::vector<EdgeGlow> edges;
  std::vector<HotSpots> hot_spots;

  // Where the LEDs show most; none where that cannot be told.
  const HotSpots* worst_spots() const {
    const auto worst = std::max_element(
        hot_spots.begin(), hot_spots.end(),
        [](const HotSpots& a, const HotSpots& b) { return a.contrast.mean < b.contrast.mean; });
    return worst == hot_spots.end() ? nullptr : &*worst;
  }
};

// Contrast of the engraving, its glow and what the room adds to it, with what is seen beside it.
// None where that is dark, and anything lit stands out.
std::optional<Estimate> contrast(const ViewerGlow& viewer);

Glow glow_of(const Run& run);

// Of one viewer alone (an index into Model::viewers).
ViewerGlow viewer_glow_of(const Run& run, std::size_t viewer);

// Relative standard error of the counted patch that is worst known, over all viewers, as far as
// more photons would mend it. 0 for a clear blank.
double worst_relative_error(const Run& run);

// Luminance over the panel's box on a square raster, row 0 the lowest, one value a pixel, in cd/m2:
// the mean over the pixel as `viewer` (an index into Model::viewers) sees the art's face, by the
// light of one channel or of all.
struct LuminanceMap {
  int columns = 0;
  int rows = 0;
  double pixel_mm = 0.0;
  std::vector<float> cd_m2;

  std::size_t index(int column, int row) const { return row_by_row(columns, column, row); }
};

inline constexpr int kEveryChannel = -1;
LuminanceMap luminance_map(const Run& run, int viewer, double pixel_mm, int channel = kEveryChannel,
                           const IsWanted& is_wanted = always);

}  // namespace rimeglow
