// What is measured of a run: luminances of parts of the art and of edges, evenness, shares of the
// light; each with any one batch left out, so that errors, and errors of differences between runs
// by the same photons, can be told.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "run.h"

namespace rimeglow {

// An estimate whose light was told by a table of such noise, see Response.
Estimate with_noise(const Estimate& counted, double relative);

// A set of the art's blocks (see ScoreMap) and its engraved area.
struct Region {
  std::vector<int> blocks;
  double engraved_mm2 = 0.0;
};
// Of rastered marks, where there are any: lines scored beside them glow as thin lines do, which is
// no measure of the areas.
Region whole_art(const ScoreMap& map);
Region scored_beside(const ScoreMap& map);
Region strip_region(const ScoreMap& map, int strip);
// kPatchesAcross^2, row by row from the lower left.
std::vector<Region> patch_regions(const ScoreMap& map);

// Whether a patch is engraved over enough of it to count for evenness.
bool is_counted(const ScoreMap& map, const Region& patch);

// Sums of one kind over all batches, and with any one batch left out.
class BatchTotals {
 public:
  BatchTotals(const Run& run, const std::vector<std::int64_t> BatchSums::* sums);

  // Sum per photon, in the unit of the sums.
  double per_photon(std::size_t index, int omitted) const;

 private:
  double value(const BatchSums& batch, std::size_t index) const {
    return static_cast<double>((batch.*sums_)[index]);
  }

  const Run& run_;
  const std::vector<std::int64_t> BatchSums::* sums_;
  std::vector<double> total_;
  double photons_ = 0.0;
};

// What leaves the panel's back.
double back_lm(const Run& run);

// Luminances of the art as one viewer sees it.
class Eye {
 public:
  Eye(const Run& run, const BatchTotals& blocks, std::size_t viewer)
      : run_(run), blocks_(blocks), viewer_(viewer) {}

  // Mean over the region's engraved area, cd/m2.
  double luminance(const Region& region, int omitted) const;
  // With the noise of the photons alone, and of the tables too.
  Estimate counted(const Region& region) const;
  Estimate estimate(const Region& region) const;

 private:
  const Run& run_;
  const BatchTotals& blocks_;
  std::size_t viewer_;
};

// The darkest and the brightest counted patch, chosen from all batches; none where none
// counts.
struct Extremes {
  Region darkest, brightest;
};
std::optional<Extremes> extremes_of(const Run& run, const Eye& eye);

// Michelson contrast over the phases of the LED pitch, in the engraved band nearest the LEDs of an
// edge, as the first viewer sees it; of several rows there, of the one whose LEDs show most. Edges
// where too little lies before the LEDs to compare have none.
struct EdgeSpots {
  std::string edge;
  Replicates contrast;
};
std::vector<EdgeSpots> hot_spots(const Run& run);

// Mean luminance of an edge over its projected area, cd/m2, toward a viewer who sees anything of it
// worth naming: directly, or through a face where it is rough. By edge, then viewer.
struct EdgeLuminance {
  std::size_t edge = 0;
  std::size_t viewer = 0;
  Replicates cd_m2;
};
std::vector<EdgeLuminance> edge_luminances(const Run& run);

}  // namespace rimeglow
