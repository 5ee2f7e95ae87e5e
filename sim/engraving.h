// From the art to the dots the laser fires, under a plan of how densely each place is engraved.
// Greys and areas become a screen of dots. A stroke too thin for that is never broken into dots:
// the spacing of the mark is widened along it, whole lines across the stroke left out.
#pragma once

#include <vector>

#include "artwork.h"
#include "screen.h"

namespace rimeglow {

// How much of what the art asks for is burnt, place by place: 1 = all that the mark can. Said in
// the middles of equal cells over a box and straight between them; beyond the outermost middles as
// there.
struct Density {
  Vec2 lower_left_mm = Vec2::Zero();
  Vec2 cell_mm = Vec2::Ones();
  int columns = 1;
  int rows = 1;
  std::vector<double> share = {1.0};  // row by row from the lower left

  std::size_t index(int column, int row) const { return row_by_row(columns, column, row); }
  double at(const Vec2& point_mm) const;
};

// Between which cells of a line a place lies, and how far from the first to the second.
struct BetweenCells {
  int first = 0;
  int second = 0;
  double part = 0.0;
};
BetweenCells between_cells(double place_mm, double lower_mm, double cell_mm, int cells);

// The dots that the laser fires for a drawing, 0 or 255.
Drawing engraved_in_full(const Drawing& line_art);
// Scored: the laser follows the outlines of line art, and what lies within them stays clear. A
// stroke no wider than three dots is its own outline.
Drawing outlined(const Drawing& line_art);
// ... once along the middle of each: lines one dot wide, ends and all.
Drawing thinned(const Drawing& strokes);
Drawing engraved(const Drawing& drawing, Tone tone, const Screen& screen,
                 const Density& density = {}, const IsWanted& is_wanted = always);

// What shall glow: line art burnt in full, or greys as far as the mark can burn them.
Coverage meant(const Drawing& drawing, Tone tone, const Screen& screen,
               const IsWanted& is_wanted = always);

}  // namespace rimeglow
