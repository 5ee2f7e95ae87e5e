// What the laser is given: the dots of rastered marks as 1-bit PNGs of exactly the panel's size,
// with its resolution, and the panel as an SVG in true millimetres. All are laid out as the face
// lies under the laser: mirrored for the back. In the SVG parts are told apart by their ids alone;
// everything is black.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "artwork.h"
#include "outline.h"
#include "scored_lines.h"

namespace rimeglow {

// Black fires. The panel's corner is the picture's; art is laid on the nearest whole pixels. Throws
// std::length_error when it does not fit the panel.
std::string engraving_png(const Drawing& dots, const Vec2& panel_mm, Side face);

// The dots that such a file holds, on the raster of the whole panel. Throws ArtError.
Drawing dots_in_png(std::string_view png, double pixel_mm, Side face);

enum class Jig { left_out, drawn };

// Of one mark.
struct Engraving {
  std::string png;                  // empty of a scored one
  std::vector<ScoredLine> lines{};  // of a scored one, to be followed
};

// The outline (larger all round by half the kerf, so that the piece comes out true), the bitmaps
// and the scored lines in place, and below the panel a bar to measure. The jig is a sheet with the
// panel's own outline cut out of it (smaller by half the kerf), to lay blanks into.
std::string laser_svg(const Outline& outline, Side face, double kerf_mm,
                      std::span<const Engraving> engravings, Jig jig);

// The id there of the scored lines of a layer, counted from 0.
std::string scored_name(std::size_t layer);

inline constexpr double kRuler_mm = 50.0;

// Of the jig's sheet, for a panel of this size.
Vec2 jig_size_mm(const Vec2& panel_mm);

}  // namespace rimeglow
