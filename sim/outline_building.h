// From closed lines as somebody drew them to the outline of a panel: which one is the rim, which
// are holes, which piece belongs to which edge; or why no panel can have that outline.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "outline.h"

namespace rimeglow {

inline constexpr std::size_t kMostOutlinePieces = 20'000;
inline constexpr double kSmallestPanel_mm = 5.0;
inline constexpr double kLargestPanel_mm = 2000.0;
// Holes keep this far from the rim and from one another, and no piece is a tenth as long: what a
// laser cannot cut was not meant.
inline constexpr double kLeastClearance_mm = 0.01;

// Pieces one behind the other, the last one back to where the first began. Only their ends, centre,
// radius and `of_curve` are heeded; the way round may be either.
using ClosedLine = std::vector<OutlinePiece>;

OutlinePiece straight(const Vec2& from_mm, const Vec2& to_mm);
// At most a quarter of a circle each.
ClosedLine arcs(const Vec2& centre_mm, const Vec2& from_mm, const Vec2& to_mm, double turn_rad);
ClosedLine circle(const Vec2& centre_mm, double radius_mm);
// On a flat at its bottom of that length, less than twice the radius.
ClosedLine disc_on_flat(double radius_mm, double flat_mm);
ClosedLine polygon(const std::vector<Vec2>& corners_mm);

// Of the box around all lines.
Vec2 box_size_mm(const std::vector<ClosedLine>& lines);

struct OutlineFault {
  std::string what;
  std::string mend;
};

// The largest line is the rim, all others are holes in it; moved so that the box begins at the
// origin.
std::variant<Outline, OutlineFault> outline_of(std::vector<ClosedLine> lines);

// Where two pieces of one outline cross or come too near one another; none when they do not. Each
// line's pieces stand together, its first at an index of `begins`.
struct Touch {
  Vec2 place_mm = Vec2::Zero();
  bool of_two_lines = false;
};
std::optional<Touch> first_touch(const std::vector<OutlinePiece>& pieces,
                                 const std::vector<std::size_t>& begins);

}  // namespace rimeglow
