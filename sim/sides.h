// The sides of a panel as flat facets: its walls and the chamfers along its faces. Straight
// chamfers meet at corners as two planes do, round ones are concentric; where a rounded corner
// joins edges that are cut differently, setback and depth change evenly along it. Pure geometry;
// knows no light.
#pragma once

#include <array>
#include <vector>

#include "document.h"
#include "outline.h"

namespace rimeglow {

struct SideFacet {
  std::array<Vec3, 3> corners_mm;
  Vec3 normal = Vec3::Zero();  // out of the acrylic
  int edge = 0;                // index into Outline::edges
  int piece = 0;               // of the outline

  double area_mm2() const {
    return 0.5 * (corners_mm[1] - corners_mm[0]).cross(corners_mm[2] - corners_mm[0]).norm();
  }
};

// Of arcs, where areas are summed or it is asked what fits, and no light meets them.
inline constexpr double kCoarseSagitta_mm = 0.01;

// Neighbours share their corners to the last bit. Arcs are cut within `sagitta_mm`; at the faces
// the sides go on for `beyond_mm`.
std::vector<SideFacet> side_facets(const Outline& outline, double thickness_mm, double sagitta_mm,
                                   double beyond_mm);

// What chamfers leave of a face, arcs cut as above; without chamfers there, the outline itself.
Outline face_outline(const Outline& outline, Side side, double sagitta_mm);

// How far chamfers of the edges beside it reach into the straight piece where the LEDs of an edge
// stand, at its start and at its end.
std::array<double, 2> cut_from_seat_mm(const Outline& outline, int edge);

// Why the chamfers cannot be cut, each with the edge's keys where it was said.
std::vector<Problem> check_chamfers(const Outline& outline, double thickness_mm);

}  // namespace rimeglow
