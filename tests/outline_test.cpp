// Laws of sim/outline: a rounded rectangle is closed, goes round counter-clockwise, and has the
// lengths and area of plane geometry (derived).
#include "outline.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "statistics.h"
#include "units.h"

namespace rimeglow::outline_test {
namespace {

struct Shape {
  double width_mm, height_mm, radius_mm;

  Outline outline() const { return rounded_rectangle(width_mm, height_mm, radius_mm); }
};

// Sharp, usual, a stadium and a disc.
constexpr Shape kShapes[] = {
    {300.0, 200.0, 0.0}, {140.0, 120.0, 4.0}, {80.0, 30.0, 15.0}, {50.0, 50.0, 25.0}};

// Direction of travel at a piece's start or end.
Vec2 heading(const OutlinePiece& piece, const Vec2& point) {
  if (!piece.round()) return (piece.end_mm - piece.start_mm).normalized();
  const Vec2 out = (point - piece.centre_mm).normalized();
  return {-out.y(), out.x()};
}

// Twice the area swept from the origin by a piece: its chord's triangle and its circular segment.
double swept_twice(const OutlinePiece& piece) {
  const Vec2& a = piece.start_mm;
  const Vec2& b = piece.end_mm;
  const double triangle = a.x() * b.y() - a.y() * b.x();
  if (!piece.round()) return triangle;
  const double angle = piece.length_mm / piece.radius_mm;
  return triangle + piece.radius_mm * piece.radius_mm * (angle - std::sin(angle));
}

TEST(Outline, EdgesHaveTheirLengthsWithHalfOfEachCorner) {
  for (const Shape& shape : kShapes) {
    const Outline outline = shape.outline();
    const double corners = kPi / 2.0 * shape.radius_mm - 2.0 * shape.radius_mm;
    ASSERT_EQ(outline.edges.size(), 4u);
    EXPECT_NEAR(outline.edges[0].length_mm, shape.width_mm + corners, 1e-9);
    EXPECT_NEAR(outline.edges[1].length_mm, shape.height_mm + corners, 1e-9);
    EXPECT_NEAR(outline.edges[2].length_mm, shape.width_mm + corners, 1e-9);
    EXPECT_NEAR(outline.edges[3].length_mm, shape.height_mm + corners, 1e-9);
    EXPECT_EQ(outline.size_mm, Vec2(shape.width_mm, shape.height_mm));
  }
}

TEST(Outline, PiecesJoinIntoAClosedCurveWithoutKinks) {
  for (const Shape& shape : kShapes) {
    const Outline outline = shape.outline();
    double along_mm = 0.0;
    for (std::size_t i = 0; i < outline.pieces.size(); ++i) {
      const OutlinePiece& piece = outline.pieces[i];
      const OutlinePiece& next = outline.pieces[(i + 1) % outline.pieces.size()];
      EXPECT_LT((piece.end_mm - next.start_mm).norm(), 1e-9);
      EXPECT_NEAR(piece.begin_mm, along_mm, 1e-9);
      along_mm += piece.length_mm;
      if (shape.radius_mm == 0.0 || piece.length_mm < 1e-9 || next.length_mm < 1e-9) continue;
      EXPECT_LT((heading(piece, piece.end_mm) - heading(next, next.start_mm)).norm(), 1e-9);
    }
    EXPECT_NEAR(along_mm,
                2.0 * (shape.width_mm + shape.height_mm) - (8.0 - 2.0 * kPi) * shape.radius_mm,
                1e-9);
  }
}

// Its area counted by the way round is positive: counter-clockwise.
TEST(Outline, GoesRoundItsAreaCounterClockwise) {
  for (const Shape& shape : kShapes) {
    double twice = 0.0;
    for (const OutlinePiece& piece : shape.outline().pieces) twice += swept_twice(piece);
    const double due =
        shape.width_mm * shape.height_mm - (4.0 - kPi) * shape.radius_mm * shape.radius_mm;
    EXPECT_NEAR(0.5 * twice, due, 1e-9 * due);
  }
}

TEST(Outline, EdgesAreFoundByName) {
  const Outline outline = rounded_rectangle(140.0, 120.0, 4.0);
  EXPECT_EQ(outline.edge_named("bottom"), 0);
  EXPECT_EQ(outline.edge_named("right"), 1);
  EXPECT_EQ(outline.edge_named("top"), 2);
  EXPECT_EQ(outline.edge_named("left"), 3);
  EXPECT_FALSE(outline.edge_named("front"));
}

TEST(Outline, TheStraightPieceOfAnEdgeLiesBetweenItsCorners) {
  const auto top = straight_piece(rounded_rectangle(140.0, 120.0, 4.0), 2);
  ASSERT_TRUE(top);
  EXPECT_LT((top->start_mm - Vec2(136.0, 120.0)).norm(), 1e-12);  // travelling left
  EXPECT_LT((top->end_mm - Vec2(4.0, 120.0)).norm(), 1e-12);
}

// Against the distance from the rectangle of the corners' centres, at 20000 random points.
TEST(Outline, ContainsWhatLiesWithinItsRadiusOfTheInnerRectangle) {
  for (const Shape& shape : kShapes) {
    const Outline outline = shape.outline();
    for (std::uint64_t k = 0; k < 20000; ++k) {
      const Uniforms u = statistics::uniforms(41, k);
      const Vec2 point((1.2 * u[0] - 0.1) * shape.width_mm, (1.2 * u[1] - 0.1) * shape.height_mm);
      const double r = shape.radius_mm;
      const Vec2 nearest(std::clamp(point.x(), r, shape.width_mm - r),
                         std::clamp(point.y(), r, shape.height_mm - r));
      const double beyond = (point - nearest).norm() - r;
      if (std::abs(beyond) < 1e-9) continue;
      ASSERT_EQ(contains(outline, point), beyond < 0.0) << point.transpose();
    }
  }
}

}  // namespace
}  // namespace rimeglow::outline_test
