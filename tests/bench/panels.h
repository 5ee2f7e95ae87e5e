// Made-up panels to measure on: 127 x 127 x 3 mm of acrylic, six LEDs of 9 lm along the bottom,
// art on the back. The drawings are formulas, so that every raster resolution shows the same.
#pragma once

#include <functional>
#include <memory>

#include "model.h"

namespace rimeglow::bench {

// Whether the laser engraves a point, in panel coordinates.
using Art = std::function<bool(const Vec2& point_mm)>;

Art lines();               // rings 0.3 mm wide: 8.4 % of the art's box
Art discs();               // one solid disc in each of 25 patches: 34 %
Art squares(int strokes);  // that many separate squares: 8.4 % together, however many

// The art's box on a raster, 255 where engraved. No spot is moved over it: the engraved area is
// the same at every resolution.
Drawing drawn(const Art& art, double dots_per_inch);

// GGX slopes of alpha 0.5 with 30 % frost, and frost alone, which is Lambertian.
Finish standard_mark();
Finish frost();

std::shared_ptr<const Model> panel(const Drawing& drawing, const Finish& mark);

// The demo: the star map of the scenes folder.
std::shared_ptr<const Model> star_map();

// Which of 5 x 5 patches of the art's box a point lies in; none outside.
std::optional<std::size_t> patch_at(const Model& model, double x_mm, double y_mm);
inline constexpr int kPatches = 25;

}  // namespace rimeglow::bench
