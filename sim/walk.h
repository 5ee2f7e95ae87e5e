// The walk of one photon, from its LED to its end. Everything it needs to know about the panel's
// shape comes from the geometry, about chance from its own numbered draws; what it does is told to
// the scorer, which may be any of
//   begin(row)                                    light left a lamp of this row
//   deposit(entry, weight)                        light that ended
//   arrive(hit, local direction, weight)          light met a surface, before it is decided how
//   scatter(hit, finish, local direction, weight, draws)   ... and it met this rough finish
//   leave(hit, direction, weight)                 light left the acrylic toward `direction`
// and, for those who want the whole story,
//   approach(ray, hit, draws)                     light set off to the edge, met there or missed it
//   wander(row, ray, inside, weight)              light in the base came in again along `inside`
//                                                 or was kept by its walls
//   cross(hit, direction, weight, draws)          light that had left met an edge across a hollow
//   stray(point, direction, onward, weight)       haze in the sheet sent the light onward
//   cut(weight)                                   light that met kMaxHits surfaces is given up
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

#include "base.h"
#include "lamp.h"
#include "optics.h"
#include "tally.h"

namespace rimeglow {

// Light still on its way after meeting this many surfaces is cut and counted as trapped.
inline constexpr int kMaxHits = 20000;
// Below this weight the light is played for: one in four survives, four times as heavy.
inline constexpr double kRouletteWeight = 0.01;
inline constexpr double kSurvival = 0.25;

// Faces without art are always bare: polished, and never drawn for under total reflection.
inline bool is_bare_face(const Model& model, SurfaceId surface) {
  return surface < kFirstEdge && (model.layers.empty() || surface != face_id(model.art_side));
}

inline const Finish kPolished{};

// The finish met at a point: an edge's own, on the art's face a mark where the draw falls within
// its coverage, else bare and polished.
inline const Finish& finish_at(const Model& model, const Hit& hit, const Draws& draws) {
  if (hit.surface >= kFirstEdge) {
    return model.edge_finish[static_cast<std::size_t>(hit.surface - kFirstEdge)];
  }
  if (is_bare_face(model, hit.surface)) return kPolished;
  double below = 0.0;
  double drawn = -1.0;  // only where a mark is possible, and only once
  for (const Layer& layer : model.layers) {
    const double coverage = layer.coverage.at(hit.position_mm.x(), hit.position_mm.y());
    if (coverage == 0.0) continue;
    below += coverage;
    if (below >= 1.0) return layer.mark;
    if (drawn < 0.0) drawn = draws.at(kChoiceDraws)[2];
    if (drawn < below) return layer.mark;
  }
  return kPolished;
}

inline bool is_blank(const Model& model, const Vec2& point_mm) {
  for (const Layer& layer : model.layers) {
    if (layer.coverage.at(point_mm.x(), point_mm.y()) > 0.0) return false;
  }
  return true;
}

// The ledger's entry for light that leaves through a surface.
inline LedgerEntry exit_entry(SurfaceId surface, bool straight_from_mark) {
  if (surface == kFrontFace) return straight_from_mark ? kFrontMark : kFrontOther;
  if (surface == kBackFace) return straight_from_mark ? kBackMark : kBackOther;
  return static_cast<LedgerEntry>(kFirstEdgeEntry + surface - kFirstEdge);
}

// The way that light goes until haze in the sheet scatters it, and its direction from there.
inline double clear_way_mm(const Sheet& sheet, const Draws& draws) {
  if (sheet.scattering_per_mm == 0.0) return std::numeric_limits<double>::infinity();
  return -std::log(draws.at(kHazeDraws)[0]) / sheet.scattering_per_mm;
}

inline Vec3 hazed(const Sheet& sheet, const Vec3& direction, const Draws& draws) {
  const Uniforms& u = draws.at(kHazeDraws);
  return deflected(direction, henyey_greenstein(sheet.asymmetry, u[1]), u[2]);
}

// From the LED to the inside of the edge; none when the light never enters.
template <Geometry Shape, class Scorer>
std::optional<Ray> enter(const Model& model, const Shape& geometry, Draws& draws, Scorer& scorer) {
  const Emitted emitted = emit(model.lamps, model.thickness_mm, draws);
  if constexpr (requires { scorer.begin(emitted.row); }) scorer.begin(emitted.row);
  const Ray& ray = emitted.ray;
  const LedRow& row = model.lamps[emitted.row];
  if (row.far_field && ray.direction.head<2>().dot(row.inward()) <= 0.0) {
    // A measured LED's light behind its board.
    if constexpr (requires { scorer.approach(ray, std::optional<Hit>(), draws); }) {
      scorer.approach(ray, std::optional<Hit>(), draws);
    }
    scorer.deposit(kMissed, 1.0);
    return std::nullopt;
  }
  if (reflects(model.base)) {
    const std::optional<Ray> inside = through_base(model, row, ray, draws);
    if constexpr (requires { scorer.wander(row, ray, inside, 1.0); }) {
      scorer.wander(row, ray, inside, 1.0);
    }
    if (inside) return inside;
    scorer.deposit(kMissed, 1.0);
    return std::nullopt;
  }
  const std::optional<Hit> hit = geometry.meet_from_outside(ray);
  if constexpr (requires { scorer.approach(ray, hit, draws); }) scorer.approach(ray, hit, draws);
  if (hit) {
    const Outcome entered = interact(finish_at(model, *hit, draws), model.sheet.index,
                                     to_local(*hit, ray.direction), draws);
    if (entered.fate == Fate::transmitted) {
      return Ray{hit->position_mm, to_world(*hit, entered.direction)};
    }
  }
  scorer.deposit(kMissed, 1.0);
  return std::nullopt;
}

// Light between walls of the panel that face one another across air lasts this long at most: each
// meeting lets most of it in.
inline constexpr int kMostCrossings = 100;

// What became of light that left by an edge into a hole or a hollow of the outline: it came in
// again, was swallowed, or went away from `last` along `direction`.
struct Crossed {
  std::optional<Ray> inside;
  bool absorbed = false;
  Hit last;
  Vec3 direction;
};

template <Geometry Shape, class Scorer>
Crossed cross_hollow(const Model& model, const Shape& geometry, const Hit& from,
                     const Vec3& direction, double weight, Draws& draws, Scorer& scorer) {
  Crossed crossed{std::nullopt, false, from, direction};
  for (int k = 0; k < kMostCrossings && geometry.hollow(); ++k) {
    const std::optional<Hit> hit =
        geometry.meet_from_outside({crossed.last.position_mm, crossed.direction});
    if (!hit) break;
    draws.next_event();
    const Vec3 before = crossed.direction;
    const Outcome outcome =
        interact(finish_at(model, *hit, draws), model.sheet.index, to_local(*hit, before), draws);
    if constexpr (requires { scorer.cross(*hit, before, weight, draws); }) {
      scorer.cross(*hit, before, weight, draws);
    }
    crossed.last = *hit;
    crossed.absorbed = outcome.fate == Fate::absorbed;
    if (crossed.absorbed) break;
    crossed.direction = to_world(*hit, outcome.direction);
    if (outcome.fate == Fate::transmitted) {
      crossed.inside = Ray{hit->position_mm, crossed.direction};
      break;
    }
  }
  return crossed;
}

// Light inside the panel, from `ray` to its end.
template <Geometry Shape, class Scorer>
class Journey {
 public:
  Journey(const Model& model, const Shape& geometry, const Ray& ray, const Draws& draws,
          Scorer& scorer)
      : model_(model),
        geometry_(geometry),
        scorer_(scorer),
        draws_(draws),
        flight_(geometry.launch(ray)),
        set_off_mm_(ray.origin_mm),
        clear_mm_(clear_way_mm(model.sheet, draws)) {}

  void follow() {
    for (; hits_ < kMaxHits; ++hits_) {
      skim_blank();
      const double rise = flight_.direction().z();
      const Hit hit = flight_.next(clear_mm_);
      if (hit.surface == kNoSurface) return end(kLost);
      lose_on_the_way(hit, rise);
      if (hit.surface == kWithin) {
        stray(hit);
        continue;
      }
      const std::optional<LedgerEntry> ended = meet(hit);
      if (ended) return end(*ended);
    }
    if constexpr (requires { scorer_.cut(weight_.left); }) scorer_.cut(weight_.left);
    end(kTrapped);
  }

 private:
  void end(LedgerEntry entry) {
    scorer_.deposit(kSheetLoss, weight_.absorbed);
    scorer_.deposit(entry, weight_.left);
  }

  // Over blank places of the art's face guided light goes on with nothing to decide: so it meets
  // most of its surfaces. Haze and touching slot walls ask for more at each.
  void skim_blank() {
    if constexpr (requires { flight_.skim([](const Hit&, const Vec3&) { return false; }); }) {
      if (model_.base.contact > 0.0 || model_.sheet.scattering_per_mm > 0.0) return;
      Weight weight = weight_;
      int passed = 0;
      const int most = kMaxHits - 1 - hits_;
      flight_.skim([&](const Hit& hit, const Vec3& arriving) {
        Weight there = weight;
        there.fade(model_.sheet.absorption_per_mm, hit.distance_mm);
        if (!is_blank(model_, hit.position_mm.head<2>()) || there.left < kRouletteWeight ||
            passed == most) {
          return false;
        }
        weight = there;
        ++passed;
        scorer_.arrive(hit, arriving, weight.left);
        return true;
      });
      if (passed == 0) return;
      weight_ = weight;
      hits_ += passed;
      draws_.next_event(static_cast<std::uint32_t>(passed));
      straight_from_mark_ = false;
    }
  }

  void set_off(const Ray& ray, bool from_mark) {
    flight_ = geometry_.launch(ray);
    set_off_mm_ = ray.origin_mm;
    straight_from_mark_ = from_mark;
  }

  void mirror(const Hit& hit) {
    flight_.mirror(hit);
    straight_from_mark_ = false;
  }

  // The sheet takes its share, and a base that touches the panel. `rise` as the light set off.
  void lose_on_the_way(const Hit& hit, double rise) {
    clear_mm_ -= hit.distance_mm;
    if (model_.base.contact == 0.0) return fade(hit.distance_mm);
    const double last_touch_mm = touch_slots(hit.distance_mm, rise);
    fade(hit.distance_mm - last_touch_mm);
    set_off_mm_ = hit.position_mm;
  }

  void fade(double way_mm) { weight_.fade(model_.sheet.absorption_per_mm, way_mm); }

  // Meets the faces on the way one by one, those that are folded away and the one at its end.
  // Returns how far the sheet has had its share: to the last of them in a slot.
  double touch_slots(double way_mm, double rise) {
    constexpr double kRounding_mm = 1e-9;
    const double gap_mm = rise > 0.0 ? model_.thickness_mm - set_off_mm_.z() : set_off_mm_.z();
    const Vec2 along = flight_.direction().template head<2>();
    double faded_mm = 0.0;
    double kept = 0.0;
    for (double at_mm = gap_mm / std::abs(rise); at_mm <= way_mm + kRounding_mm;
         at_mm += model_.thickness_mm / std::abs(rise)) {
      if (!in_slot(model_, set_off_mm_.head<2>() + at_mm * along)) continue;
      fade(at_mm - faded_mm);
      faded_mm = at_mm;
      const double touched = weight_.left * kept_by_contact(model_.base);
      kept += touched;
      weight_.left -= touched;
    }
    scorer_.deposit(kBaseLoss, kept);
    return std::min(faded_mm, way_mm);
  }

  void stray(const Hit& hit) {
    draws_.next_event();
    const Vec3 onward = hazed(model_.sheet, flight_.direction(), draws_);
    if constexpr (requires { scorer_.stray(Vec3(), Vec3(), Vec3(), 0.0); }) {
      scorer_.stray(hit.position_mm, flight_.direction(), onward, weight_.left);
    }
    set_off({hit.position_mm, onward}, false);
    clear_mm_ = clear_way_mm(model_.sheet, draws_);
  }

  // Plays for light of little weight.
  bool survives() {
    if (weight_.left >= kRouletteWeight) return true;
    if (draws_.at(kRouletteDraws)[0] >= kSurvival) return false;
    scorer_.deposit(kTrapped, weight_.left - weight_.left / kSurvival);
    weight_.left /= kSurvival;
    return true;
  }

  // What the light meets lets it go on or is its end: its entry in the ledger.
  std::optional<LedgerEntry> meet(const Hit& hit) {
    // A bare face beyond the critical angle leaves nothing to decide, and takes no draws.
    const Vec3 arriving = to_local(hit, flight_.direction());
    const bool total = totally_reflected(model_.sheet.index, arriving.z());
    if (total && is_bare_face(model_, hit.surface)) {
      mirror(hit);
      return std::nullopt;
    }
    draws_.next_event();
    if (!survives()) return kTrapped;

    // The surface decides what becomes of it.
    scorer_.arrive(hit, arriving, weight_.left);
    const Finish& finish = finish_at(model_, hit, draws_);
    if (total && !finish.scatters()) {
      mirror(hit);
      return std::nullopt;
    }
    scorer_.scatter(hit, finish, arriving, weight_.left, draws_);
    const Outcome outcome = interact(finish, model_.sheet.index, arriving, draws_);
    if (outcome.fate == Fate::absorbed) return kFinishLoss;
    const bool met_mark = hit.surface < kFirstEdge && finish.scatters();
    const Vec3 direction = to_world(hit, outcome.direction);
    if (outcome.fate == Fate::transmitted) return go_out(hit, direction, met_mark);
    set_off({hit.position_mm, direction}, met_mark);
    return std::nullopt;
  }

  std::optional<LedgerEntry> go_out(const Hit& hit, const Vec3& direction, bool met_mark) {
    const LedRow* const lit = reflects(model_.base) ? base_at(model_, hit) : nullptr;
    if (lit) return enter_base(*lit, {hit.position_mm, direction});
    if (hit.surface >= kFirstEdge) return cross(hit, direction);
    scorer_.leave(hit, direction, weight_.left);
    return exit_entry(hit.surface, straight_from_mark_ || met_mark);
  }

  std::optional<LedgerEntry> enter_base(const LedRow& row, const Ray& out) {
    const std::optional<Ray> back = through_base(model_, row, out, draws_);
    if constexpr (requires { scorer_.wander(row, out, back, weight_.left); }) {
      scorer_.wander(row, out, back, weight_.left);
    }
    if (!back) return kBaseLoss;
    set_off(*back, false);
    return std::nullopt;
  }

  std::optional<LedgerEntry> cross(const Hit& hit, const Vec3& direction) {
    const Crossed crossed =
        cross_hollow(model_, geometry_, hit, direction, weight_.left, draws_, scorer_);
    if (crossed.absorbed) return kFinishLoss;
    if (crossed.inside) {
      set_off(*crossed.inside, false);
      return std::nullopt;
    }
    scorer_.leave(crossed.last, crossed.direction, weight_.left);
    return exit_entry(crossed.last.surface, false);
  }

  const Model& model_;
  const Shape& geometry_;
  Scorer& scorer_;
  Draws draws_;
  decltype(geometry_.launch(std::declval<Ray>())) flight_;
  Vec3 set_off_mm_;  // where the way to the next surface began
  double clear_mm_;
  Weight weight_;
  int hits_ = 0;
  bool straight_from_mark_ = false;
};

template <Geometry Shape, class Scorer>
void travel(const Model& model, const Shape& geometry, const Ray& ray, const Draws& draws,
            Scorer& scorer) {
  Journey(model, geometry, ray, draws, scorer).follow();
}

// One photon's whole history; the same for every scorer, thread and order.
template <Geometry Shape, class Scorer>
void trace(const Model& model, const Shape& geometry, std::uint64_t seed, std::uint64_t photon,
           Scorer& scorer) {
  Draws draws(seed, photon);
  const std::optional<Ray> ray = enter(model, geometry, draws, scorer);
  if (ray) travel(model, geometry, *ray, draws, scorer);
}

}  // namespace rimeglow
