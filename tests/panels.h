// Panels to trace light through in tests: clear cuboids lit over a whole edge, and a small sign of
// six LEDs with made-up art. Models are built by hand, without a scene, so that a test shows every
// number it rests on.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <functional>

#include "glow.h"
#include "model.h"
#include "run.h"
#include "shape.h"
#include "statistics.h"
#include "walk.h"

namespace rimeglow::panels {

// Edges in the order of rounded_rectangle.
inline constexpr int kBottom = 0;
inline constexpr int kRight = 1;
inline constexpr int kTop = 2;
inline constexpr int kLeft = 3;

// A blank without lamps, absorption or art; all edges polished.
Model clear_panel(const Vec2& size_mm, double thickness_mm, double index,
                  double corner_radius_mm = 0.0);

// The same of any outline, with 0.3 per metre absorption.
Model panel_of(const Outline& outline, double thickness_mm, double index);

// Six LEDs of 9 lm along the seat of the bottom edge.
LedRow six_leds(const Outline& outline);

// One Lambertian emitter of 100 lm before the middle of the bottom edge.
LedRow strip_light(const Model& model, const Vec2& emitter_mm, double gap_mm);

// The same, covering the whole edge face and touching it.
LedRow whole_edge_light(const Model& model);

// A sign 127 x 127 x 3 mm of index 1.49 and 0.3 per metre absorption, guessed; six LEDs of 9 lm
// below it, 21.17 mm apart, 2.8 x 2.8 mm, 0.5 mm from the edge. No art yet, no viewers.
Model sign_blank();

// The box on its back where the art goes.
inline const Vec2 kArtLowerLeft_mm = {10.0, 16.0};
inline const Vec2 kArtUpperRight_mm = {117.0, 117.0};

// Tone 0..1 of the art at a point of the panel.
using Art = std::function<double(double x_mm, double y_mm)>;

Art lines();    // 0.3 mm wide, both ways: 8.4 % of the box
Art squares();  // solid, 34 %
Art mixed();    // lines in the left half, squares in the right: not its own mirror image
Art everywhere();

// A raster that covers a box, each pixel burnt as the tone at its middle says.
Coverage burnt(const Art& art, const Vec2& lower_left_mm, const Vec2& upper_right_mm,
               double pixel_mm = 0.1);

// Engraves the art into the box on one face.
void engrave(Model& model, Side side, const Finish& mark, const Art& art,
             const Vec2& lower_left_mm = kArtLowerLeft_mm,
             const Vec2& upper_right_mm = kArtUpperRight_mm);

Finish ground(double alpha, double frost_share = 0.0);
Finish black_paint();
Finish backed(const Finish& interface, Backing::Kind kind, double reflectance);

// An eye so many degrees above the normal of the face it looks at, and to the viewer's left in
// front.
Viewer eye(double up_deg, double left_deg, Side side);

// Reverse walks of the response tables in tests that may be thinned out, and how much further than
// with `full` walks their tables may be off then.
inline int table_walks(int full) { return std::max(1 << 11, full / RIMEGLOW_TEST_PHOTON_DIVISOR); }
inline double table_slack(int full) {
  return std::sqrt(static_cast<double>(full) / table_walks(full));
}
inline constexpr int kTableWalks = 1 << 19;

// For tests that ask for LED light only: what the room adds is followed for each viewer by itself.
inline constexpr int kFewRoomRays = 16;

// A finished run on one thread: tests run side by side.
Run traced(const Model& model, int photons, std::uint64_t seed = statistics::kSeed);

// Share of the emitted light that came to one end.
Estimate ledger_share(const Run& run, int entry);
Estimate edge_share(const Run& run, int edge);

// Scorer that heeds nothing; what a test wants to see it overrides.
struct Blind {
  void deposit(LedgerEntry, double) {}
  void arrive(const Hit&, const Vec3&, double) {}
  void scatter(const Hit&, const Finish&, const Vec3&, double, const Draws&) {}
  void leave(const Hit&, const Vec3&, double) {}
};

// Where light ended.
struct Ends : Blind {
  std::array<double, kFirstEdgeEntry + 5> weights{};

  void deposit(LedgerEntry entry, double weight) {
    weights[static_cast<std::size_t>(entry)] += weight;
  }
  double of(int entry) const { return weights[static_cast<std::size_t>(entry)]; }
  double faces() const { return of(kFrontMark) + of(kFrontOther) + of(kBackMark) + of(kBackOther); }
};

// The geometry of a model whose edges are square.
inline Prism prism_of(const Model& model) { return std::get<Prism>(shape_of(model)); }

}  // namespace rimeglow::panels
