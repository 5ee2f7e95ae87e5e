// Outlines to test with: hollow ones, with arcs both ways and with holes, each built from closed
// lines as a reader of files would.
#pragma once

#include <cmath>
#include <vector>

#include "outline_building.h"
#include "units.h"

namespace rimeglow::made_up {

inline Outline built(const std::vector<ClosedLine>& lines) {
  return std::get<Outline>(outline_of(lines));
}

inline OutlineFault fault(const std::vector<ClosedLine>& lines) {
  return std::get<OutlineFault>(outline_of(lines));
}

inline void add(ClosedLine& line, const ClosedLine& more) {
  line.insert(line.end(), more.begin(), more.end());
}

// A tag 80 x 60 mm with round upper corners of 10 mm, inner corners of 3 mm beside a tab 30 x 8 mm
// below it, and a hole of 6 mm across. Its box is 80 x 68 mm.
inline ClosedLine tag_rim() {
  ClosedLine rim = {straight({25.0, 0.0}, {55.0, 0.0}), straight({55.0, 0.0}, {55.0, 5.0})};
  add(rim, arcs({58.0, 5.0}, {55.0, 5.0}, {58.0, 8.0}, -0.5 * kPi));
  add(rim, {straight({58.0, 8.0}, {80.0, 8.0}), straight({80.0, 8.0}, {80.0, 58.0})});
  add(rim, arcs({70.0, 58.0}, {80.0, 58.0}, {70.0, 68.0}, 0.5 * kPi));
  add(rim, {straight({70.0, 68.0}, {10.0, 68.0})});
  add(rim, arcs({10.0, 58.0}, {10.0, 68.0}, {0.0, 58.0}, 0.5 * kPi));
  add(rim, {straight({0.0, 58.0}, {0.0, 8.0}), straight({0.0, 8.0}, {22.0, 8.0})});
  add(rim, arcs({22.0, 5.0}, {22.0, 8.0}, {25.0, 5.0}, -0.5 * kPi));
  add(rim, {straight({25.0, 5.0}, {25.0, 0.0})});
  return rim;
}

inline Outline tag() { return built({tag_rim(), circle({40.0, 62.0}, 3.0)}); }

inline constexpr double kTagArea_mm2 =
    80.0 * 60.0 - (2.0 - 0.5 * kPi) * 100.0 + 30.0 * 8.0 + (2.0 - 0.5 * kPi) * 9.0 - kPi * 9.0;

// A wavy star of many straight pieces about a middle, with three holes of as many.
inline Outline star(int rim_pieces, int hole_pieces) {
  const auto round = [](const Vec2& middle, double radius_mm, double wave_mm, int waves,
                        int pieces) {
    std::vector<Vec2> corners;
    for (int i = 0; i < pieces; ++i) {
      const double turn = 2.0 * kPi * i / pieces;
      const double r = radius_mm + wave_mm * std::sin(waves * turn);
      corners.push_back(middle + r * Vec2(std::cos(turn), std::sin(turn)));
    }
    return polygon(corners);
  };
  std::vector<ClosedLine> lines = {round({60.0, 60.0}, 50.0, 8.0, 7, rim_pieces)};
  if (hole_pieces > 0) {
    lines.push_back(round({50.0, 60.0}, 7.0, 2.0, 5, hole_pieces));
    lines.push_back(round({75.0, 70.0}, 5.0, 1.0, 3, hole_pieces));
    lines.push_back(round({70.0, 45.0}, 8.0, 3.0, 4, hole_pieces));
  }
  return built(lines);
}

inline Outline cut(Outline outline, const std::vector<Chamfer>& chamfers) {
  for (const Chamfer& chamfer : chamfers) add_chamfer(outline, chamfer);
  return outline;
}

// Of a rectangle 3 mm thick: deep beside flat at square corners, at both faces, one edge cut nearly
// through.
inline const std::vector<Chamfer> kUnlikeCuts = {{2, Side::front, 2.0, 1.5},
                                                 {2, Side::back, 1.0, 1.0},
                                                 {1, Side::front, 1.0, 0.5},
                                                 {3, Side::back, 1.2, 1.4},
                                                 {3, Side::front, 3.0, 1.4}};

// The same shape turned about the origin, then set back into its box.
inline std::vector<ClosedLine> turned(std::vector<ClosedLine> lines, double turn_rad) {
  const Eigen::Rotation2Dd turn(turn_rad);
  for (ClosedLine& line : lines) {
    for (OutlinePiece& piece : line) {
      piece.start_mm = turn * piece.start_mm;
      piece.end_mm = turn * piece.end_mm;
      piece.centre_mm = turn * piece.centre_mm;
    }
  }
  return lines;
}

}  // namespace rimeglow::made_up
