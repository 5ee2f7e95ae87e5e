// One photon's way, event by event, as the walk told it. Draws are addressed by photon and event,
// so the photon followed here is the very one that every run of this model and seed traced.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "model.h"
#include "run.h"

namespace rimeglow {

// Light met a surface, or haze (kWithin), and something became of it. Directions are the panel's,
// not the surface's.
struct Event {
  Hit hit;
  Vec3 before = Vec3::Zero();
  Vec3 after = Vec3::Zero();     // zero when absorbed
  double weight = 0.0;           // of the light that arrived
  std::optional<Finish> finish;  // met there; none under total reflection at a smooth surface
  Fate fate = Fate::reflected;
  int order = 0;           // see Outcome
  bool from_base = false;  // wandered in the base before: `before` is not known, and zero
  int faces_between = 0;   // total reflections since the last event that the walk folds away
};

// What the ledger was told, in order.
struct Deposit {
  LedgerEntry entry = kLost;
  double weight = 0.0;
};

// Total reflection at a smooth face.
bool is_bounce(const Event& event);
// Whether the light is outside the panel afterwards.
bool goes_outside(const Event& event);

struct History {
  std::size_t row = 0;                        // of its LED, an index into the lamps
  Ray departure{Vec3::Zero(), Vec3::Zero()};  // from there
  std::vector<Event> events;                  // the first is at the edge, from outside
  std::vector<Deposit> deposits;              // never empty; the last is where the light ended

  Deposit end() const { return deposits.back(); }
  double booked(LedgerEntry entry) const;
};

History follow(const Model& model, const Shape& shape, std::uint64_t seed, std::uint64_t photon);

// The corners of the way from the LED to the end, folded reflections included; where the light
// left the panel, it goes on for `beyond_mm`.
std::vector<Vec3> corners_of(const History& history, double thickness_mm, double beyond_mm);

}  // namespace rimeglow
