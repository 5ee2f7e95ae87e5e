// The beam's way beside outlines: every point of it half a kerf from the part, no nearer and no
// farther, and its pieces joined.
#include "beam_way.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "made_up_outlines.h"

namespace rimeglow::beam_way_test {
namespace {

using namespace made_up;

// Ends nearer than what the laser's files can say count as one.
constexpr double kRounding_mm = 2e-4;

double apart_mm(const Outline& outline, const Vec2& point) {
  double least = 1e9;
  for (const OutlinePiece& piece : outline.pieces)
    least = std::min(least, (nearest_on(piece, point) - point).norm());
  return least;
}

// The way round everything; every point of it is looked at.
std::vector<OutlinePiece> checked_way(const Outline& outline, double outward_mm) {
  std::vector<OutlinePiece> all;
  for (const std::vector<OutlinePiece>& way : beam_ways(outline, outward_mm)) {
    for (std::size_t i = 0; i < way.size(); ++i) {
      const Vec2 next = way[(i + 1) % way.size()].start_mm;
      EXPECT_LT((next - way[i].end_mm).norm(), kRounding_mm) << i;
      for (int k = 0; k <= 20; ++k) {
        const Vec2 point = point_on(way[i], k / 20.0);
        EXPECT_NEAR(apart_mm(outline, point), std::abs(outward_mm), kRounding_mm)
            << "piece " << i << " at " << point.transpose();
        EXPECT_EQ(contains(outline, point), outward_mm < 0.0) << point.transpose();
      }
    }
    all.insert(all.end(), way.begin(), way.end());
  }
  return all;
}

// A disc of 80 mm on a foot 30 mm wide: inner corners between lines and arcs.
Outline disc_on_foot() {
  const double half = 15.0;
  const Vec2 centre(40.0, 45.0);
  const double down = std::sqrt(1600.0 - half * half);
  const Vec2 right = centre + Vec2(half, -down);
  const Vec2 left = centre + Vec2(-half, -down);
  ClosedLine rim = {straight({25.0, 0.0}, {55.0, 0.0}), straight({55.0, 0.0}, right)};
  add(rim, arcs(centre, right, left, 2.0 * kPi - 2.0 * std::asin(half / 40.0)));
  rim.push_back(straight(left, {25.0, 0.0}));
  return built({rim});
}

// Two discs that overlap: inner corners between arcs.
Outline two_discs() {
  const Vec2 one(20.0, 20.0), other(48.0, 20.0), low(34.0, 20.0 - std::sqrt(204.0)),
      high(34.0, 20.0 + std::sqrt(204.0));
  const double open = 2.0 * std::asin(std::sqrt(204.0) / 20.0);
  ClosedLine rim = arcs(one, high, low, 2.0 * kPi - open);
  add(rim, arcs(other, low, high, 2.0 * kPi - open));
  return built({rim});
}

TEST(BeamWay, KeepsHalfAKerfFromEveryPartOfTheOutline) {
  const Outline outlines[] = {disc_on_foot(), two_discs(), tag(),
                              star(300, 60),  star(9, 0),  built({turned({tag_rim()}, 0.7)})};
  for (const Outline& outline : outlines) {
    for (const double outward : {0.05, 0.5, 1.0, -0.5, -1.0}) {
      SCOPED_TRACE(std::to_string(outline.pieces.size()) + " pieces, " + std::to_string(outward));
      const std::vector<OutlinePiece> way = checked_way(outline, outward);
      EXPECT_GE(way.size(), 3U);
      // A band of this width all round, but for what turns round at corners.
      const double band = area_mm2(way) - area_mm2(outline);
      double length = 0.0;
      for (const OutlinePiece& piece : outline.pieces) length += piece.length_mm;
      EXPECT_NEAR(band, length * outward, 0.15 * length * std::abs(outward));
    }
  }
}

// What is too fine for the beam goes from its way: an inner corner rounded less than the beam, as
// one arc or as many lines, a step lower than the beam, a slot and a hole narrower than it.
TEST(BeamWay, LeavesOutWhatIsFinerThanTheBeam) {
  const auto bracket = [](const ClosedLine& inner) {
    ClosedLine rim = {straight({0.0, 0.0}, {40.0, 0.0}), straight({40.0, 0.0}, {40.0, 12.0}),
                      straight({40.0, 12.0}, {12.3, 12.0})};
    add(rim, inner);
    add(rim, {straight({12.0, 12.3}, {12.0, 40.0}), straight({12.0, 40.0}, {0.0, 40.0}),
              straight({0.0, 40.0}, {0.0, 0.0})});
    return built({rim});
  };
  const ClosedLine fillet = arcs({12.3, 12.3}, {12.3, 12.0}, {12.0, 12.3}, -0.5 * kPi);
  ClosedLine facets;
  Vec2 from(12.3, 12.0);
  for (int i = 1; i <= 12; ++i) {
    const double turn = i * kPi / 24.0;
    const Vec2 to =
        i == 12 ? Vec2(12.0, 12.3) : Vec2(12.3 - 0.3 * std::sin(turn), 12.3 - 0.3 * std::cos(turn));
    facets.push_back(straight(from, to));
    from = to;
  }
  const std::size_t square_corner = 6 + 5;  // lines, and arcs about outer corners
  EXPECT_EQ(checked_way(bracket(fillet), 0.5).size(), square_corner);
  EXPECT_EQ(checked_way(bracket(facets), 0.5).size(), square_corner);
  EXPECT_EQ(checked_way(bracket(fillet), 0.2).size(), square_corner + 2) << "one half an edge's";

  const Outline step = built(
      {polygon({{0.0, 0.0}, {40.0, 0.0}, {40.0, 20.0}, {20.0, 20.0}, {20.0, 20.3}, {0.0, 20.3}})});
  checked_way(step, 0.5);
  checked_way(step, 0.2);
  const Outline slot = built({polygon({{0.0, 0.0},
                                       {40.0, 0.0},
                                       {40.0, 20.0},
                                       {20.6, 20.0},
                                       {20.6, 10.0},
                                       {20.0, 10.0},
                                       {20.0, 20.0},
                                       {0.0, 20.0}})});
  checked_way(slot, 0.5);
  checked_way(slot, 0.25);
  const Outline pierced = built({polygon({{0.0, 0.0}, {40.0, 0.0}, {40.0, 20.0}, {0.0, 20.0}}),
                                 circle({10.0, 10.0}, 0.45),
                                 polygon({{20.0, 9.0}, {20.9, 9.0}, {20.9, 12.0}, {20.0, 12.0}})});
  EXPECT_EQ(checked_way(pierced, 0.5).size(), 8U) << "holes narrower than the kerf are left out";
  EXPECT_EQ(checked_way(pierced, 0.4).size(), 16U);
}

}  // namespace
}  // namespace rimeglow::beam_way_test
