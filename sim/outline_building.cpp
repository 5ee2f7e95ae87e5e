#include "outline_building.h"

#include <algorithm>
#include <cmath>

#include "quantity.h"
#include "units.h"

namespace rimeglow {
namespace {

// What rounding in a drawing program leaves between pieces that are meant to meet.
constexpr double kJoined_mm = 1e-5;
constexpr double kShortest_mm = 0.1 * kLeastClearance_mm;
constexpr double kInLine = 1e-9;         // sine of the angle between pieces that go on straight
constexpr double kFoldedBack = -0.9999;  // cosine: an edge that turns back within a degree

std::string to_micron(double length_mm) {
  return length_text(std::round(1000.0 * length_mm) / 1000.0);
}

std::string place(const Vec2& point_mm) {
  return "at " + to_micron(point_mm.x()) + ", " + to_micron(point_mm.y()) +
         " from its lower left corner";
}

double chord_mm(const OutlinePiece& piece) { return (piece.end_mm - piece.start_mm).norm(); }

// An arc whose ends were moved a little keeps its radius.
void recentre(OutlinePiece& arc) {
  const Vec2 half = 0.5 * (arc.end_mm - arc.start_mm);
  const double radius = std::max(std::abs(arc.radius_mm), half.norm());
  const double aside = std::sqrt(std::max(0.0, radius * radius - half.squaredNorm()));
  const Vec2 left = Vec2(-half.y(), half.x()).normalized();
  const double turn = arc.radius_mm > 0.0 ? 1.0 : -1.0;
  arc.radius_mm = turn * radius;
  arc.centre_mm = arc.start_mm + half + turn * aside * left;
}

// Pieces that rounding left are dropped, ends that should meet do, and straight pieces that go on
// straight are one.
ClosedLine tidied(const ClosedLine& drawn) {
  ClosedLine line;
  for (const OutlinePiece& piece : drawn) {
    if (chord_mm(piece) > kJoined_mm) line.push_back(piece);
  }
  const auto goes_on = [](const OutlinePiece& a, const OutlinePiece& b) {
    if (a.round() || b.round() || a.of_curve || b.of_curve) return false;
    const Vec2 from = heading_at_end(a);
    const Vec2 to = heading_at_start(b);
    return std::abs(cross(from, to)) < kInLine && from.dot(to) > 0.0;
  };
  ClosedLine joined;
  for (const OutlinePiece& piece : line) {
    if (!joined.empty() && goes_on(joined.back(), piece)) {
      joined.back().end_mm = piece.end_mm;
    } else {
      joined.push_back(piece);
    }
  }
  if (joined.size() > 2 && goes_on(joined.back(), joined.front())) {
    joined.front().start_mm = joined.back().start_mm;
    joined.pop_back();
  }
  for (std::size_t i = 0; i < joined.size(); ++i) {
    joined[i].end_mm = joined[(i + 1) % joined.size()].start_mm;
    if (joined[i].round()) recentre(joined[i]);
  }
  for (OutlinePiece& piece : joined) piece.length_mm = length_of(piece);
  return joined;
}

void turn_round(ClosedLine& line) {
  std::reverse(line.begin(), line.end());
  for (OutlinePiece& piece : line) {
    std::swap(piece.start_mm, piece.end_mm);
    piece.radius_mm = -piece.radius_mm;
  }
}

using Box = Eigen::AlignedBox2d;

Box box_of(const ClosedLine& line) {
  Box box;
  for (const OutlinePiece& piece : line) {
    box.extend(piece.start_mm);
    if (!piece.round()) continue;
    for (int side = 0; side < kSides; ++side) {
      const Vec2 apex = piece.centre_mm + std::abs(piece.radius_mm) * side_normal(side);
      const double turn = piece.radius_mm > 0.0 ? 1.0 : -1.0;
      const Vec2 out = apex - piece.centre_mm;
      if (turn * cross(piece.start_mm - piece.centre_mm, out) > 0.0 &&
          turn * cross(out, piece.end_mm - piece.centre_mm) > 0.0) {
        box.extend(apex);
      }
    }
  }
  return box;
}

void move(ClosedLine& line, const Vec2& by_mm) {
  for (OutlinePiece& piece : line) {
    piece.start_mm += by_mm;
    piece.end_mm += by_mm;
    piece.centre_mm += by_mm;
  }
}

// An arc in parts that each face one of the four sides: parted where its normal is half between two
// of them.
std::vector<OutlinePiece> parted(const OutlinePiece& piece) {
  if (!piece.round()) return {piece};
  constexpr double kQuarter = 0.5 * kPi;
  const Vec2 first = piece.start_mm - piece.centre_mm;
  const double from = std::atan2(first.y(), first.x());
  const double turn = piece.length_mm / piece.radius_mm;
  const double sense = turn > 0.0 ? 1.0 : -1.0;
  std::vector<OutlinePiece> parts = {piece};
  double parting = (std::floor(from / kQuarter - 0.5) + 0.5) * kQuarter;  // at or before `from`
  for (int k = -4; k <= 4; ++k) {
    const double at = parting + (sense * k) * kQuarter;
    const double along = sense * (at - from);
    if (along < 1e-9 || along > std::abs(turn) - 1e-9) continue;
    const Vec2 there =
        piece.centre_mm + std::abs(piece.radius_mm) * Vec2(std::cos(at), std::sin(at));
    OutlinePiece rest = piece;
    rest.start_mm = there;
    parts.back().end_mm = there;
    parts.push_back(rest);
  }
  return parts;
}

Vec2 outward(const OutlinePiece& piece) {
  return right_of(piece.end_mm - piece.start_mm).normalized();
}

OutlineFault too_fine(const Vec2& where_mm) {
  return {"a piece is shorter than " + to_micron(kShortest_mm) + " " + place(where_mm),
          "merge the nodes there, or simplify the path in the drawing program"};
}

std::optional<OutlineFault> fault_of_line(const ClosedLine& line) {
  for (std::size_t i = 0; i < line.size(); ++i) {
    const OutlinePiece& next = line[(i + 1) % line.size()];
    if (line[i].length_mm < kShortest_mm) return too_fine(line[i].start_mm);
    if (heading_at_end(line[i]).dot(heading_at_start(next)) < kFoldedBack) {
      return OutlineFault{"the outline folds back on itself " + place(next.start_mm),
                          "round or cut off that spike"};
    }
  }
  return std::nullopt;
}

// Every hole lies in the rim and in no other hole.
std::optional<OutlineFault> fault_of_holes(const std::vector<ClosedLine>& lines) {
  for (std::size_t i = 1; i < lines.size(); ++i) {
    const Vec2 point = lines[i].front().start_mm;
    if (!contains(std::span(lines.front()), point)) {
      return OutlineFault{"a second shape lies outside the first " + place(point),
                          "a panel is one piece: keep one outline with its holes in it"};
    }
    for (std::size_t other = 1; other < lines.size(); ++other) {
      if (other == i || !contains(std::span(lines[other]), point)) continue;
      return OutlineFault{"a shape lies inside a hole " + place(point),
                          "it would fall out of the panel: leave it away"};
    }
  }
  return std::nullopt;
}

std::optional<OutlineFault> fault_of_touch(const std::vector<ClosedLine>& lines) {
  std::vector<OutlinePiece> pieces;
  std::vector<std::size_t> begins;
  for (const ClosedLine& line : lines) {
    begins.push_back(pieces.size());
    pieces.insert(pieces.end(), line.begin(), line.end());
  }
  const std::optional<Touch> touch = first_touch(pieces, begins);
  if (!touch) return std::nullopt;
  if (touch->of_two_lines) {
    return OutlineFault{"a hole comes nearer than " + to_micron(kLeastClearance_mm) +
                            " to the rim or another hole " + place(touch->place_mm),
                        "move it away, or unite both in the drawing program"};
  }
  return OutlineFault{"the outline crosses or touches itself " + place(touch->place_mm),
                      "draw nodes and lines apart there, or unite the shapes they belong to"};
}

std::optional<OutlineFault> fault_of_size(std::size_t pieces, const Vec2& size_mm) {
  if (pieces > kMostOutlinePieces) {
    return OutlineFault{"the outline has " + std::to_string(pieces) + " pieces; at most " +
                            std::to_string(kMostOutlinePieces) + " are followed",
                        "simplify the path in the drawing program"};
  }
  if (size_mm.minCoeff() < kSmallestPanel_mm || size_mm.maxCoeff() > kLargestPanel_mm) {
    return OutlineFault{"the outline is " + to_micron(size_mm.x()) + " x " + to_micron(size_mm.y()),
                        "a panel is " + to_micron(kSmallestPanel_mm) + " to " +
                            to_micron(kLargestPanel_mm) + " wide and high"};
  }
  return std::nullopt;
}

}  // namespace

OutlinePiece straight(const Vec2& from_mm, const Vec2& to_mm) {
  OutlinePiece piece;
  piece.start_mm = from_mm;
  piece.end_mm = to_mm;
  return piece;
}

ClosedLine arcs(const Vec2& centre_mm, const Vec2& from_mm, const Vec2& to_mm, double turn_rad) {
  const int count =
      std::max(1, static_cast<int>(std::ceil(std::abs(turn_rad) / (0.5 * kPi) - 1e-9)));
  ClosedLine line;
  for (int k = 0; k < count; ++k) {
    const auto at = [&](int i) {
      if (i == 0) return from_mm;
      if (i == count) return to_mm;
      return Vec2(centre_mm + Eigen::Rotation2Dd(turn_rad * i / count) * (from_mm - centre_mm));
    };
    OutlinePiece arc = straight(at(k), at(k + 1));
    arc.centre_mm = centre_mm;
    arc.radius_mm = (turn_rad > 0.0 ? 1.0 : -1.0) * (from_mm - centre_mm).norm();
    line.push_back(arc);
  }
  return line;
}

ClosedLine circle(const Vec2& centre_mm, double radius_mm) {
  const Vec2 from = centre_mm - radius_mm * Vec2(std::sqrt(0.5), std::sqrt(0.5));
  return arcs(centre_mm, from, from, 2.0 * kPi);
}

ClosedLine disc_on_flat(double radius_mm, double flat_mm) {
  const double half = 0.5 * flat_mm;
  const double down = std::sqrt(radius_mm * radius_mm - half * half);
  const Vec2 left(-half, -down);
  const Vec2 right(half, -down);
  ClosedLine line = arcs(Vec2::Zero(), right, left, 2.0 * (kPi - std::asin(half / radius_mm)));
  line.push_back(straight(left, right));
  return line;
}

ClosedLine polygon(const std::vector<Vec2>& corners_mm) {
  ClosedLine line;
  for (std::size_t i = 0; i < corners_mm.size(); ++i) {
    line.push_back(straight(corners_mm[i], corners_mm[(i + 1) % corners_mm.size()]));
  }
  return line;
}

Vec2 box_size_mm(const std::vector<ClosedLine>& lines) {
  Box box;
  for (const ClosedLine& line : lines) box.extend(box_of(line));
  return box.sizes();
}

std::variant<Outline, OutlineFault> outline_of(std::vector<ClosedLine> lines) {
  const OutlineFault nothing{"the outline encloses nothing", "draw one closed shape"};
  std::size_t pieces = 0;
  for (ClosedLine& line : lines) {
    line = tidied(line);
    pieces += line.size();
    if (line.size() < 2) return nothing;
  }
  if (lines.empty()) return nothing;

  // The rim first and counter-clockwise, holes clockwise, and the box at the origin.
  const auto size_of = [](const ClosedLine& line) { return std::abs(area_mm2(std::span(line))); };
  const auto rim = std::max_element(
      lines.begin(), lines.end(),
      [&](const ClosedLine& a, const ClosedLine& b) { return size_of(a) < size_of(b); });
  std::iter_swap(lines.begin(), rim);
  const Box box = box_of(lines.front());
  const Vec2 size_mm = box.sizes();
  if (const auto fault = fault_of_size(pieces, size_mm)) return *fault;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    move(lines[i], -box.min());
    if ((area_mm2(std::span(lines[i])) > 0.0) != (i == 0)) turn_round(lines[i]);
    if (const auto fault = fault_of_line(lines[i])) return *fault;
  }
  if (const auto fault = fault_of_touch(lines)) return *fault;
  if (const auto fault = fault_of_holes(lines)) return *fault;

  Outline outline = empty_outline(size_mm);
  outline.holes = static_cast<int>(lines.size()) - 1;
  if (outline.holes > 0) outline.edges.push_back({"holes", 0.0, {}});
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (const OutlinePiece& piece : lines[i]) {
      for (OutlinePiece part : parted(piece)) {
        part.edge = i == 0 ? side_facing(outward(part)) : kSides;
        append(outline, part);
      }
    }
  }
  return outline;
}

}  // namespace rimeglow
