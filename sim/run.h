// A run is a value: all photons traced so far for one model. The caller decides how many more and
// may stop between any two calls; the sums are the same for every split and number of threads.
#pragma once

#include <cstdint>
#include <memory>
#include <stdexcept>

#include "arrivals.h"
#include "model.h"
#include "response.h"
#include "room.h"
#include "shape.h"
#include "tally.h"
#include "wanted.h"

namespace rimeglow {

// An eye nearer than this to an edge's own plane (as the cosine from its normal) is not said to see
// it: the counting cone of a polished edge would be cut by that plane.
inline constexpr double kGrazingEdge = 0.1;

struct RunSettings {
  std::uint64_t seed = 1;
  int threads = 0;  // 0: as many as the machine offers
  int response_walks = ResponseSettings{}.walks;
  int room_rays = 1 << 14;      // per viewer, for what the room adds
  bool arrivals = false;        // keep what cameras need
  IsWanted is_wanted = always;  // once not, whatever works on the run throws Unwanted
};

// For runs of so many photons that are only compared with each other: what is told to a per cent,
// or less well, needs fewer walks in its tables, and neither room nor cameras.
RunSettings coarse(RunSettings settings, std::uint64_t photons);

// Photons a run may hold: bounds every fixed-point sum.
inline constexpr std::uint64_t kPhotonCeiling = std::uint64_t{1} << 26;

struct Run {
  std::shared_ptr<const Model> model;
  RunSettings settings;
  Shape shape;
  Responses responses;
  ScoreMap map;
  std::vector<RoomView> room;  // by viewer
  Tally tally;
  ArrivalMap arrival_map;              // empty unless asked for
  std::vector<std::int64_t> arrivals;  // channels x cells x hats: arrived flux, of kScoreUnit
  std::uint64_t photons = 0;
};

Run start(std::shared_ptr<const Model> model, const RunSettings& settings);

// More than kMostCut of the light was still on its way after meeting kMaxHits surfaces: the panel
// as described hardly loses any.
inline constexpr double kMostCut = 1e-3;
struct EndlessLight : std::runtime_error {
  using std::runtime_error::runtime_error;
};

// Light for which no surface was found, at most; more is a fault of the geometry.
inline constexpr double kMostLost = 1e-4;

// The same panel with its art burnt otherwise: takes over what does not depend on that.
Run start_like(const Run& run, std::shared_ptr<const Model> model);

// Traces `photons` more. Throws std::length_error past kPhotonCeiling, EndlessLight, and
// std::logic_error when the ledger of a batch does not sum to its light within 1e-9, when a deposit
// was no amount of light (not finite, negative, more than a photon's) or too much light was lost.
void advance(Run& run, std::uint64_t photons);

}  // namespace rimeglow
