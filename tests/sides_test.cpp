// Laws of sim/sides: facets close the body whose faces the chamfers leave, hold what a ruler says,
// and what cannot be cut is refused. All derived from plane geometry.
#include "sides.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "made_up_outlines.h"
#include "panels.h"

namespace rimeglow::sides_test {
namespace {

using made_up::cut;
using panels::kBottom;
using panels::kLeft;
using panels::kRight;
using panels::kTop;

constexpr double kThickness_mm = 3.0;
constexpr double kSagitta_mm = 1e-3;

std::vector<Chamfer> all_round(int edges, double setback_mm, double depth_mm) {
  std::vector<Chamfer> chamfers;
  for (int edge = 0; edge < edges; ++edge) {
    chamfers.push_back({edge, Side::front, setback_mm, depth_mm});
  }
  return chamfers;
}

// Square and round corners, alike and unlike beside one another; hollow corners and arcs, holes,
// curves all round; deep beside flat, and right through.
std::vector<Outline> bodies() {
  const Outline rectangle = rounded_rectangle(60.0, 40.0, 0.0);
  const Outline disc = made_up::built({circle({0.0, 0.0}, 15.0)});
  return {rectangle,
          cut(rectangle, all_round(4, 1.0, 1.0)),
          cut(rectangle, {{kTop, Side::front, 2.0, 1.0},
                          {kRight, Side::front, 1.0, 2.0},
                          {kLeft, Side::back, 0.5, 0.5}}),
          cut(rectangle, {{kTop, Side::front, 3.0, 3.0}}),
          cut(rounded_rectangle(60.0, 40.0, 6.0),
              {{kTop, Side::front, 2.0, 2.0}, {kLeft, Side::back, 1.0, 2.0}}),
          cut(made_up::tag(), all_round(5, 0.5, 0.8)),
          cut(disc, all_round(4, 1.0, 1.0)),
          cut(disc, {{kTop, Side::back, 2.0, 1.0}}),
          cut(made_up::star(40, 0), all_round(4, 0.3, 0.4)),
          cut(made_up::star(150, 30), {{kSides, Side::front, 0.05, 0.1}})};
}

// The surface vectors of a closed body sum to zero, with those of its faces; by the divergence
// theorem for constant fields.
TEST(Sides, CloseTheBodyTogetherWithItsFaces) {
  for (const Outline& outline : bodies()) {
    ASSERT_TRUE(check_chamfers(outline, kThickness_mm).empty());
    Vec3 sum = Vec3::Zero();
    for (const SideFacet& facet : side_facets(outline, kThickness_mm, kSagitta_mm, 0.0)) {
      ASSERT_NEAR(facet.normal.norm(), 1.0, 1e-12);
      sum += facet.area_mm2() * facet.normal;
    }
    const auto polygons = [&](Side side) {
      double area_mm2 = 0.0;
      const Outline face = face_outline(outline, side, kSagitta_mm);
      // Outlines that chamfers leave alone still have arcs; the facets have their chords.
      for (const OutlinePiece& piece : face.pieces) {
        const double radius = std::abs(piece.radius_mm);
        const double turn = 2.0 * std::acos(1.0 - kSagitta_mm / std::max(1.0, radius));
        const int count =
            piece.round()
                ? std::max(1, static_cast<int>(std::ceil(piece.length_mm / radius / turn)))
                : 1;
        for (int k = 0; k < count; ++k) {
          area_mm2 += 0.5 * cross(point_on(piece, static_cast<double>(k) / count),
                                  point_on(piece, (k + 1.0) / count));
        }
      }
      return area_mm2;
    };
    sum.z() += polygons(Side::front) - polygons(Side::back);
    EXPECT_LT(sum.norm(), 1e-7) << outline.pieces.size() << " pieces: " << sum.transpose();
  }
}

// Every edge of a triangle is another's as well, but along the faces.
TEST(Sides, ShareAllTheirCorners) {
  using Point = std::array<double, 3>;
  for (const Outline& outline : bodies()) {
    std::map<std::pair<Point, Point>, int> uses;
    for (const SideFacet& facet : side_facets(outline, kThickness_mm, kSagitta_mm, 0.0)) {
      for (std::size_t k = 0; k < 3; ++k) {
        const Vec3& a = facet.corners_mm[k];
        const Vec3& b = facet.corners_mm[(k + 1) % 3];
        const Point one = {a.x(), a.y(), a.z()};
        const Point other = {b.x(), b.y(), b.z()};
        if (one != other) ++uses[std::minmax(one, other)];
      }
    }
    int alone = 0;
    for (const auto& [ends, count] : uses) {
      const double z = ends.first[2];
      const bool at_face = z == ends.second[2] && (z == 0.0 || z == kThickness_mm);
      ASSERT_TRUE(count == 2 || (count == 1 && at_face)) << count << " at " << z;
      alone += count == 1;
    }
    EXPECT_GT(alone, 0);
  }
}

double volume_mm3(const Outline& outline) {
  double volume = kThickness_mm * area_mm2(face_outline(outline, Side::front, kSagitta_mm));
  for (const SideFacet& facet : side_facets(outline, kThickness_mm, kSagitta_mm, 0.0)) {
    volume += facet.area_mm2() * facet.normal.dot(facet.corners_mm[0]);
  }
  return volume / 3.0;
}

// A cut takes half of setback times depth along its edge; where two meet at a square corner, both
// take what their depths have in common: the integral of (1 - u/d1) s1 (1 - u/d2) s2.
TEST(Sides, HoldWhatARulerSays) {
  const Outline rectangle = rounded_rectangle(60.0, 40.0, 0.0);
  const double whole = 60.0 * 40.0 * kThickness_mm;
  EXPECT_NEAR(volume_mm3(rectangle), whole, 1e-8);
  EXPECT_NEAR(volume_mm3(cut(rectangle, {{kTop, Side::front, 3.0, 3.0}})), whole - 60.0 * 4.5,
              1e-8);
  EXPECT_NEAR(volume_mm3(cut(rectangle, all_round(4, 1.0, 1.0))), whole - 200.0 * 0.5 + 4.0 / 3.0,
              1e-8);
  const double common = 2.0 * 1.0 * (1.0 - 0.5 * (1.0 / 1.0 + 1.0 / 2.0) + 1.0 / 6.0);
  EXPECT_NEAR(
      volume_mm3(cut(rectangle, {{kTop, Side::front, 2.0, 1.0}, {kRight, Side::front, 1.0, 2.0}})),
      whole - 60.0 * 1.0 - 40.0 * 1.0 + common, 1e-8);
  EXPECT_NEAR(
      volume_mm3(cut(rectangle, {{kTop, Side::back, 2.0, 1.0}, {kTop, Side::front, 1.0, 1.0}})),
      whole - 60.0 * 1.0 - 60.0 * 0.5, 1e-8);
}

// On a disc cut alike all round the chamfer is a cone's mantle: pi (r1 + r2) times its width.
TEST(Sides, ACutDiscsChamferIsAConesMantle) {
  const Outline disc = cut(made_up::built({circle({0.0, 0.0}, 15.0)}), all_round(4, 2.0, 1.0));
  double area_mm2 = 0.0;
  for (const SideFacet& facet : side_facets(disc, kThickness_mm, 1e-5, 0.0)) {
    if (facet.edge >= kSides) area_mm2 += facet.area_mm2();
  }
  EXPECT_NEAR(area_mm2, kPi * (15.0 + 13.0) * std::sqrt(5.0), 1e-3);
}

// Where a rounded corner joins a cut and a square edge the cut tapers off along it, evenly.
TEST(Sides, TaperAlongARoundedCorner) {
  const Outline outline =
      cut(rounded_rectangle(60.0, 40.0, 8.0), {{kRight, Side::front, 2.0, 2.0}});
  const Outline face = face_outline(outline, Side::front, kSagitta_mm);
  const Vec2 centre(52.0, 8.0);
  int seen = 0;
  for (const OutlinePiece& piece : face.pieces) {
    const Vec2 from_centre = piece.start_mm - centre;
    if (from_centre.x() < 0.0 || from_centre.y() > 0.0) continue;
    const double share = 1.0 - std::atan2(-from_centre.y(), from_centre.x()) / (0.5 * kPi);
    EXPECT_NEAR(from_centre.norm(), 8.0 - 2.0 * share, 1e-9);
    ++seen;
  }
  EXPECT_GT(seen, 10);
}

std::string refusal(const Outline& outline, const std::vector<Chamfer>& chamfers) {
  const std::vector<Problem> problems = check_chamfers(cut(outline, chamfers), kThickness_mm);
  return problems.empty() ? "" : problems.front().key + ": " + problems.front().what;
}

// The bottom edge runs from left to right.
TEST(Sides, ASeatIsCutAtTheEndWhereItsNeighbourIs) {
  const Outline rectangle = rounded_rectangle(60.0, 40.0, 0.0);
  using Cuts = std::array<double, 2>;
  const Outline right = cut(rectangle, {{kRight, Side::front, 2.0, 1.0}});
  EXPECT_EQ(cut_from_seat_mm(right, kBottom), (Cuts{0.0, 2.0}));
  EXPECT_EQ(cut_from_seat_mm(right, kTop), (Cuts{2.0, 0.0}));
  const Outline both =
      cut(rectangle, {{kRight, Side::back, 2.0, 1.0}, {kLeft, Side::front, 3.0, 1.0}});
  EXPECT_EQ(cut_from_seat_mm(both, kBottom), (Cuts{3.0, 2.0}));
}

TEST(Sides, WhatCannotBeCutIsRefused) {
  const Outline rectangle = rounded_rectangle(60.0, 40.0, 0.0);
  EXPECT_EQ(refusal(rectangle, {{kTop, Side::front, 1.0, 2.0}, {kTop, Side::back, 1.0, 1.0}}), "");
  EXPECT_NE(refusal(rectangle, {{kTop, Side::front, 1.0, 2.0}, {kTop, Side::back, 1.0, 1.1}}), "");
  // At a square corner the deep cut of one edge meets the other's.
  EXPECT_NE(refusal(rectangle, {{kTop, Side::front, 1.0, 2.0}, {kLeft, Side::back, 1.0, 1.1}}), "");
  EXPECT_NE(refusal(rectangle, all_round(4, 20.5, 1.0)), "");
  EXPECT_EQ(refusal(rectangle, all_round(4, 19.5, 1.0)), "");
  EXPECT_NE(refusal(rounded_rectangle(60.0, 40.0, 4.0), all_round(4, 4.0, 1.0)), "");
  EXPECT_EQ(refusal(rounded_rectangle(60.0, 40.0, 4.0), all_round(4, 3.9, 1.0)), "");
  // The tag's hole is 3 mm from its top edge.
  EXPECT_NE(refusal(made_up::tag(), {{kSides, Side::front, 3.1, 1.0}}), "");
}

}  // namespace
}  // namespace rimeglow::sides_test
