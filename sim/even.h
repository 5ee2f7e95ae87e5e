// Chooses how densely each place of the art is engraved, so that it glows evenly and as bright as
// that allows. A round burns the plan into dots, traces them, and moves every cell of the plan
// toward one level. The rule itself knows no tracer.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "model.h"
#include "run.h"

namespace rimeglow {

// ---- the rule

// Of places, each with what it would glow at if engraved in full there and as it is elsewhere: the
// highest level to which all may be brought with the darkest at `evenness` of it.
double even_level(std::span<const double> in_full, double evenness);

struct DensityLimits {
  double least = 0.02;  // thinner, and the eye sees single dots
  double most = 1.0;
};

// One step of a cell that glows at `seen` toward the level: (level / seen) to a power below 1,
// because what one cell gives up lights those behind it.
double next_density(double density, double seen, double level, const DensityLimits& limits = {});

// ---- the search

struct EvenWish {
  std::size_t viewer = 0;  // index into Model::viewers
  double evenness = 0.8;
  std::optional<double> level_cd_m2;  // no brighter than this, for pieces that shall match
  std::uint64_t photons = std::uint64_t{1} << 19;  // a round
  DensityLimits limits{};
};

inline constexpr int kMostEvenRounds = 8;

// A plan and what it came out as, by the photons it was made with: a little flattered.
struct EvenRound {
  Density density;
  double mean_cd_m2 = 0.0;
  double evenness = 0.0;
};

// Layers that no plan changes, burnt already; none for the others. Empty: all are yet to be burnt.
using BurntLayers = std::vector<std::shared_ptr<const Layer>>;

struct EvenSearch {
  EvenWish wish;
  Model blank;                // the panel without its art
  std::vector<LayerArt> art;  // to be burnt by density
  BurntLayers as_drawn;       // of it
  Density next;               // to be tried
  Run in_full;                // the design as it is, once the first round is done
  std::vector<EvenRound> rounds{};
  double level_cd_m2 = 0.0;  // that the last round aimed at
  bool settled = false;
};

// `model` is the scene's, art and all; `drawings` must outlive the search.
EvenSearch begin_even(const Scene& scene, const std::vector<Drawing>& drawings, const Model& model,
                      const RunSettings& settings, const EvenWish& wish);

bool is_done(const EvenSearch& search);
void advance(EvenSearch& search);

// The brightest plan that is even enough, else the most even one.
const EvenRound& best_round(const EvenSearch& search);

// How truly the glow follows the art: over squares of about 3 mm that shall glow at a tenth of full
// or more, the root mean square of luminance over what it should be, less one; 0 where nothing
// glows.
double tone_error(const Run& run, std::size_t viewer);

// The art's dots under a plan, and the panel with them burnt.
std::vector<Drawing> dots_of(const std::vector<LayerArt>& art, const Density& density,
                             const IsWanted& is_wanted = always);
std::shared_ptr<const Model> with_dots(const Model& blank, const std::vector<LayerArt>& art,
                                       const std::vector<Drawing>& dots,
                                       const BurntLayers& as_drawn,
                                       const IsWanted& is_wanted = always);

// The run of a search's panel with its art burnt by a plan, no photon traced.
Run burnt_by(const EvenSearch& search, const Density& plan);

}  // namespace rimeglow
