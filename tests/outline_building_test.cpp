// Laws of sim/outline_building: lengths, areas and edges of shapes whose plane geometry is known
// (derived), and what no panel can have.
#include "outline_building.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "made_up_outlines.h"
#include "statistics.h"
#include "walls.h"

namespace rimeglow::outline_building_test {
namespace {

double length_mm(const Outline& outline) {
  return outline.pieces.back().begin_mm + outline.pieces.back().length_mm;
}

TEST(OutlineBuilding, ADiscHasFourEqualEdgesAndNoSeat) {
  const Outline disc = made_up::built({circle({3.0, -8.0}, 25.0)});
  EXPECT_EQ(disc.pieces.size(), 4u);
  EXPECT_NEAR(area_mm2(disc), kPi * 625.0, 1e-9);
  EXPECT_LT((disc.size_mm - Vec2(50.0, 50.0)).norm(), 1e-12);
  for (int edge = 0; edge < kSides; ++edge) {
    EXPECT_NEAR(disc.edges[static_cast<std::size_t>(edge)].length_mm, 0.5 * kPi * 25.0, 1e-9);
    EXPECT_FALSE(straight_piece(disc, edge));
  }
}

TEST(OutlineBuilding, ATagHasItsTabItsHollowCornersAndItsHole) {
  const Outline tag = made_up::tag();
  EXPECT_NEAR(area_mm2(tag), made_up::kTagArea_mm2, 1e-9);
  EXPECT_LT((tag.size_mm - Vec2(80.0, 68.0)).norm(), 1e-12);
  EXPECT_EQ(tag.holes, 1);
  ASSERT_EQ(tag.edges.size(), 5u);
  EXPECT_NEAR(tag.edges[kSides].length_mm, 6.0 * kPi, 1e-9);
  // Bottom: tab, shoulders of 22 mm, and half of each hollow corner.
  EXPECT_NEAR(tag.edges[0].length_mm, 30.0 + 44.0 + 2.0 * 0.25 * kPi * 3.0, 1e-9);
  EXPECT_NEAR(tag.edges[1].length_mm, 5.0 + 50.0 + 0.25 * kPi * 13.0, 1e-9);
  EXPECT_NEAR(tag.edges[2].length_mm, 60.0 + 2.0 * 0.25 * kPi * 10.0, 1e-9);
  EXPECT_NEAR(length_mm(tag), 30.0 + 44.0 + 10.0 + 100.0 + 60.0 + kPi * 13.0 + 6.0 * kPi, 1e-9);
  const auto seat = straight_piece(tag, 0);
  ASSERT_TRUE(seat);
  EXPECT_LT((seat->start_mm - Vec2(25.0, 0.0)).norm() + (seat->end_mm - Vec2(55.0, 0.0)).norm(),
            1e-12);
}

TEST(OutlineBuilding, TheWayRoundAndTheOrderOfLinesDoNotMatter) {
  const Outline tag = made_up::tag();
  ClosedLine back = made_up::tag_rim();
  std::reverse(back.begin(), back.end());
  for (OutlinePiece& piece : back) {
    std::swap(piece.start_mm, piece.end_mm);
    piece.radius_mm = -piece.radius_mm;
  }
  const Outline other = made_up::built({circle({40.0, 62.0}, 3.0), back});
  EXPECT_NEAR(area_mm2(other), area_mm2(tag), 1e-9);
  EXPECT_NEAR(length_mm(other), length_mm(tag), 1e-9);
  EXPECT_EQ(other.pieces.size(), tag.pieces.size());
}

TEST(OutlineBuilding, StraightPiecesThatGoOnStraightAreOne) {
  const Outline square = made_up::built({polygon({{10.0, 0.0},
                                                  {20.0, 0.0},
                                                  {20.0, 20.0},
                                                  {20.0, 20.0},
                                                  {0.0, 20.0},
                                                  {0.0, 7.0},
                                                  {0.0, 0.0}})});
  EXPECT_EQ(square.pieces.size(), 4u);
  EXPECT_EQ(straight_piece(square, 0)->length_mm, 20.0);
}

TEST(OutlineBuilding, PiecesBelongToTheNearestSideAndTiesToBottomAndTop) {
  const Outline cut =
      made_up::built({polygon({{5.0, 0.0}, {20.0, 0.0}, {20.0, 30.0}, {0.0, 30.0}, {0.0, 5.0}})});
  EXPECT_EQ(cut.pieces.back().edge, 0);  // the corner cut off at 45 degrees
  EXPECT_EQ(straight_piece(cut, 0)->length_mm, 15.0);
}

// Turned by 30 degrees all pieces keep their edges; what is lowest is another piece.
TEST(OutlineBuilding, ATurnedTagKeepsItsEdges) {
  const Outline tag = made_up::tag();
  const Outline turned = made_up::built(
      made_up::turned({made_up::tag_rim(), circle({40.0, 62.0}, 3.0)}, radians(30.0)));
  EXPECT_NEAR(area_mm2(turned), area_mm2(tag), 1e-9);
  for (std::size_t edge = 0; edge < tag.edges.size(); ++edge) {
    const auto pieces = [&](const Outline& outline) {
      return std::count_if(outline.pieces.begin(), outline.pieces.end(),
                           [&](const OutlinePiece& piece) {
                             return !piece.round() && piece.edge == static_cast<int>(edge);
                           });
    };
    EXPECT_EQ(pieces(turned), pieces(tag)) << edge;
  }
  EXPECT_NEAR(straight_piece(turned, 0)->length_mm, 22.0, 1e-9);
}

// By the parity of chords, by walls, and by what is known of the shape.
TEST(OutlineBuilding, ContainsByPiecesAndByWallsAgree) {
  for (const Outline& outline : {made_up::tag(), made_up::star(500, 60)}) {
    const Walls walls(outline);
    double inside = 0.0;
    const int count = statistics::samples(40000);
    for (int k = 0; k < count; ++k) {
      const Uniforms u = statistics::uniforms(71, static_cast<std::uint64_t>(k));
      const Vec2 point(u[0] * outline.size_mm.x(), u[1] * outline.size_mm.y());
      ASSERT_EQ(contains(outline, point), walls.contains(point)) << point.transpose();
      inside += walls.contains(point) ? 1.0 : 0.0;
    }
    // The share of the box inside; false-alarm level 6e-5 each, sees 2 % of the area.
    const double due = area_mm2(outline) / outline.size_mm.prod();
    EXPECT_LT(std::abs(inside / count - due), 4.0 * std::sqrt(due * (1.0 - due) / count));
  }
}

struct Refusal {
  std::vector<ClosedLine> lines;
  std::string what;
};

TEST(OutlineBuilding, RefusesWhatNoPanelCanHave) {
  const ClosedLine square = polygon({{0.0, 0.0}, {40.0, 0.0}, {40.0, 40.0}, {0.0, 40.0}});
  std::vector<Vec2> many;
  for (std::size_t i = 0; i <= kMostOutlinePieces; ++i) {
    const double turn =
        2.0 * kPi * static_cast<double>(i) / static_cast<double>(kMostOutlinePieces + 1);
    many.push_back(500.0 * Vec2(std::cos(turn), std::sin(turn)));
  }
  ClosedLine half_moon = arcs({20.0, 20.0}, {40.0, 20.0}, {0.0, 20.0}, kPi);
  half_moon.push_back(straight({0.0, 20.0}, {40.0, 20.0}));
  ClosedLine crossed_arc = arcs({20.0, 20.0}, {40.0, 20.0}, {0.0, 20.0}, kPi);
  made_up::add(crossed_arc, polygon({{0.0, 20.0}, {20.0, 45.0}, {40.0, 20.0}}));
  crossed_arc.pop_back();
  const std::vector<Refusal> refusals = {
      {{}, "encloses nothing"},
      {{polygon({{0.0, 0.0}, {40.0, 0.0}})}, "is 40 mm x 0 mm"},
      {{polygon({{0.0, 0.0}, {4.0, 0.0}, {4.0, 40.0}})}, "is 4 mm x 40 mm"},
      {{polygon(many)}, "has 20001 pieces; at most 20000"},
      {{polygon({{0.0, 0.0}, {40.0, 40.0}, {40.0, 0.0}, {0.0, 30.0}})},
       "crosses or touches itself"},
      {{crossed_arc}, "crosses or touches itself"},
      // A waist that closes to a point.
      {{polygon({{0.0, 0.0}, {40.0, 0.0}, {20.0, 20.0}, {40.0, 40.0}, {0.0, 40.0}, {20.0, 20.0}})},
       "crosses or touches itself at 20 mm, 20 mm"},
      {{square, circle({20.0, 5.0}, 5.0)}, "a hole comes nearer than 0.01 mm"},
      {{square, circle({12.0, 20.0}, 5.0), circle({22.0, 20.0}, 5.0)}, "a hole comes nearer"},
      {{square, circle({12.0, 20.0}, 5.0), circle({21.0, 20.0}, 5.0)}, "a hole comes nearer"},
      {{square, polygon({{50.0, 0.0}, {60.0, 0.0}, {60.0, 10.0}})}, "a second shape lies outside"},
      {{square, circle({20.0, 20.0}, 10.0), circle({20.0, 20.0}, 3.0)}, "inside a hole"},
      {{polygon({{0.0, 0.0}, {40.0, 0.0}, {40.0, 40.0}, {39.9995, 40.0005}, {0.0, 40.0}})},
       "a piece is shorter than 0.001 mm at 40 mm, 40 mm"},
      {{polygon({{0.0, 0.0},
                 {40.0, 0.0},
                 {40.0, 40.0},
                 {20.0, 40.0},
                 {20.0, 60.0},
                 {20.001, 40.0},
                 {0.0, 40.0}})},
       "folds back on itself at 20 mm, 60 mm"},
  };
  for (const Refusal& refusal : refusals) {
    const auto built = outline_of(refusal.lines);
    const auto* fault = std::get_if<OutlineFault>(&built);
    ASSERT_NE(fault, nullptr) << refusal.what;
    EXPECT_NE(fault->what.find(refusal.what), std::string::npos) << fault->what;
    EXPECT_FALSE(fault->mend.empty());
  }
  EXPECT_NEAR(area_mm2(made_up::built({half_moon})), 200.0 * kPi, 1e-9);
}

// Pieces that rounding left, and holes as near as they may be.
TEST(OutlineBuilding, TakesWhatOnlyLooksWrong) {
  const ClosedLine square =
      polygon({{0.0, 0.0}, {40.0, 0.0}, {40.0, 40.0}, {39.999999, 40.0}, {0.0, 40.0}});
  EXPECT_EQ(made_up::built({square}).pieces.size(), 4u);
  const Outline near = made_up::built({square, circle({20.0, 5.0}, 4.98)});
  EXPECT_EQ(near.holes, 1);
}

}  // namespace
}  // namespace rimeglow::outline_building_test
