// Laws of sim/walls: it finds what a plain finder finds, which asks every piece of the outline in
// turn; and it lets nothing through, also where hundreds of pieces meet.
#include "walls.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "made_up_outlines.h"
#include "prism.h"
#include "sampling.h"
#include "statistics.h"

namespace rimeglow::walls_test {
namespace {

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

enum class Side { out, in };

// The plain finder: solves for the crossing with each piece's line or circle, and takes the
// nearest that lies on a piece and goes the wanted way.
struct Found {
  double distance = 1e300;
  int piece = -1;
  Vec2 normal = Vec2::Zero();
};

void consider(Found& nearest, const Outline& outline, std::size_t i, const Vec2& point,
              const Vec2& direction, double distance, Side side) {
  const OutlinePiece& piece = outline.pieces[i];
  if (distance < 1e-9 || distance >= nearest.distance) return;
  const Vec2 there = point + distance * direction;
  const Vec2 chord = piece.end_mm - piece.start_mm;
  const Vec2 right = Vec2(chord.y(), -chord.x()).normalized();
  Vec2 normal = right;
  if (piece.round()) {
    const double turn = piece.radius_mm > 0.0 ? 1.0 : -1.0;
    normal = (there - piece.centre_mm) / piece.radius_mm;
    // Arcs are shorter than half a circle: they lie beyond their chord.
    if (turn * (there - piece.start_mm).dot(right) < -1e-10) return;
  } else {
    const double along = (there - piece.start_mm).dot(chord) / chord.squaredNorm();
    if (along < 0.0 || along > 1.0) return;
  }
  if ((direction.dot(normal) > 0.0) != (side == Side::out)) return;
  nearest = {distance, static_cast<int>(i), normal};
}

Found plainly(const Outline& outline, const Vec2& point, const Vec2& direction, Side side) {
  Found nearest;
  for (std::size_t i = 0; i < outline.pieces.size(); ++i) {
    const OutlinePiece& piece = outline.pieces[i];
    if (!piece.round()) {
      const Vec2 chord = piece.end_mm - piece.start_mm;
      const double turn = cross(direction, chord);
      if (turn == 0.0) continue;
      const double distance = cross(piece.start_mm - point, chord) / turn;
      consider(nearest, outline, i, point, direction, distance, side);
      continue;
    }
    const Vec2 from = point - piece.centre_mm;
    const double half = from.dot(direction);
    const double rest = from.squaredNorm() - piece.radius_mm * piece.radius_mm;
    const double squared = half * half - direction.squaredNorm() * rest;
    if (squared < 0.0) continue;
    for (const double root : {-std::sqrt(squared), std::sqrt(squared)}) {
      const double distance = (root - half) / direction.squaredNorm();
      consider(nearest, outline, i, point, direction, distance, side);
    }
  }
  return nearest;
}

std::vector<Outline> shapes() {
  return {made_up::tag(),
          made_up::star(40, 0),
          made_up::star(150, 30),
          made_up::built({circle({0.0, 0.0}, 30.0), circle({5.0, 3.0}, 20.0)}),
          rounded_rectangle(60.0, 40.0, 20.0),
          rounded_rectangle(140.0, 120.0, 4.0)};
}

Vec2 inside(const Outline& outline, std::uint64_t k) {
  for (std::uint64_t attempt = 0;; ++attempt) {
    const Uniforms u = statistics::uniforms(81, k + (attempt << 32));
    const Vec2 point(u[0] * outline.size_mm.x(), u[1] * outline.size_mm.y());
    if (contains(outline, point)) return point;
  }
}

// Ends within this of another piece's are either's.
bool at_a_joint(const Outline& outline, const Vec2& point) {
  return std::any_of(outline.pieces.begin(), outline.pieces.end(), [&](const OutlinePiece& piece) {
    return (piece.start_mm - point).norm() < 1e-8;
  });
}

void expect_same(const Outline& outline, const Walls& walls, const Vec2& point,
                 const Vec2& direction, Side side) {
  const Found plain = plainly(outline, point, direction, side);
  const Walls::Ahead ahead =
      side == Side::out ? walls.way_out(point, direction) : walls.way_in(point, direction);
  ASSERT_EQ(ahead.piece < 0, plain.piece < 0)
      << point.transpose() << " along " << direction.transpose();
  if (ahead.piece < 0) return;
  const double slant = std::abs(plain.normal.dot(direction));
  ASSERT_NEAR(ahead.distance_mm, plain.distance, 1e-9 + 1e-11 / (slant * slant));
  const Vec2 there = point + ahead.distance_mm * direction;
  if (ahead.piece != plain.piece) {
    ASSERT_TRUE(at_a_joint(outline, there)) << there.transpose();
    return;
  }
  ASSERT_LT((walls.normal_at(ahead.piece, there) - plain.normal).norm(), 1e-9 + 1e-11 / slant);
}

// A point is in the acrylic after an odd number of crossings; but for those within 1e-9 mm of one.
TEST(Walls, CrossingsAtAHeightPartInsideFromOutside) {
  const int count = statistics::samples(20000);
  for (const Outline& outline : shapes()) {
    const Walls walls(outline);
    for (int n = 0; n < count; ++n) {
      const Uniforms u = statistics::uniforms(85, static_cast<std::uint64_t>(n));
      const Vec2 point(u[0] * outline.size_mm.x(), u[1] * outline.size_mm.y());
      const std::vector<double> crossings = walls.crossings_mm(point.y());
      ASSERT_EQ(crossings.size() % 2, 0U) << point.transpose();
      const auto next = std::upper_bound(crossings.begin(), crossings.end(), point.x());
      ASSERT_TRUE(std::is_sorted(crossings.begin(), crossings.end()));
      const auto near = [&](double x_mm) { return std::abs(x_mm - point.x()) < 1e-9; };
      if (std::any_of(crossings.begin(), crossings.end(), near)) continue;
      ASSERT_EQ((next - crossings.begin()) % 2 == 1, contains(outline, point)) << point.transpose();
    }
  }
}

// 510 000 lines from inside and as many from outside.
TEST(Walls, FindsWhatAPlainFinderFinds) {
  const int count = statistics::samples(85000);
  for (const Outline& outline : shapes()) {
    const Walls walls(outline);
    for (int n = 0; n < count; ++n) {
      const auto k = static_cast<std::uint64_t>(n);
      const Uniforms u = statistics::uniforms(82, k);
      const double turn = 2.0 * kPi * u[0];
      const Vec2 direction = (0.01 + u[1]) * Vec2(std::cos(turn), std::sin(turn));
      expect_same(outline, walls, inside(outline, k), direction, Side::out);
      if (HasFatalFailure()) return;
      const Vec2 middle = 0.5 * outline.size_mm;
      const double around = 2.0 * kPi * u[2];
      const Vec2 far = middle + 200.0 * Vec2(std::cos(around), std::sin(around));
      const Vec2 aim = middle + (u[3] - 0.5) * outline.size_mm;
      expect_same(outline, walls, far, (aim - far).normalized(), Side::in);
      if (HasFatalFailure()) return;
    }
  }
}

// Light that goes on from wall to wall, mirrored and scattered, in outlines of hundreds of pieces
// and holes: none is lost, and none gets out. Every tenth line aims at the joint of two pieces.
TEST(Walls, LetNothingThrough) {
  constexpr int kHits = 15;
  const int count = statistics::samples(30000);
  for (const Outline& outline :
       {made_up::star(400, 34), made_up::tag(), made_up::built({circle({0.0, 0.0}, 30.0)})}) {
    const Prism prism(outline, 3.0, 1.49, {true, true});
    const Walls walls(outline);
    for (int n = 0; n < count; ++n) {
      const auto k = static_cast<std::uint64_t>(n);
      const Vec2 start = inside(outline, k);
      const Uniforms u = statistics::uniforms(83, k);
      Vec3 direction = direction_at(0.9 * (2.0 * u[0] - 1.0), 2.0 * kPi * u[1]);
      if (n % 10 == 0) {
        const std::size_t piece = k / 10 % outline.pieces.size();
        const Vec2 aim = (outline.pieces[piece].start_mm - start).normalized();
        direction = {0.8 * aim.x(), 0.8 * aim.y(), 0.6};
      }
      Prism::Flight flight = prism.launch({{start.x(), start.y(), 1.5}, direction});
      for (int hits = 0; hits < kHits; ++hits) {
        const Hit hit = flight.next();
        if (hit.surface < kFirstEdge && hit.surface != kNoSurface) {
          flight.mirror(hit);
          continue;
        }
        ASSERT_NE(hit.surface, kNoSurface) << "line " << n << ", hit " << hits;
        // Where corners are sharp, so far inside one wall may be outside of the next.
        const Vec2 within = (hit.position_mm - 1e-6 * hit.normal).head<2>();
        if (!at_a_joint(outline, hit.position_mm.head<2>())) {
          ASSERT_TRUE(walls.contains(within)) << within.transpose();
        }
        ASSERT_GT(flight.direction().dot(hit.normal), -1e-9);
        if (hits % 4 == 3) {
          const Uniforms v = statistics::uniforms(84, 100 * k + static_cast<std::uint64_t>(hits));
          const Vec3 local = sample_lambertian(v[0], v[1]);
          const Vec3 side(-hit.normal.y(), hit.normal.x(), 0.0);
          flight =
              prism.launch({hit.position_mm, Vec3(local.x() * side + local.y() * Vec3::UnitZ() -
                                                  local.z() * hit.normal)});
        } else {
          flight.mirror(hit);
        }
      }
    }
  }
}

// In a circle light keeps its distance from the middle: r sin(angle) of every wall it meets is the
// same (derived: the normal is the radius), wall after wall.
TEST(Walls, LightInADiscKeepsItsDistanceFromTheMiddle) {
  const Outline disc = made_up::built({circle({0.0, 0.0}, 30.0)});
  const Walls walls(disc);
  const Vec2 middle(30.0, 30.0);
  for (int n = 0; n < 200; ++n) {
    const Uniforms u = statistics::uniforms(85, static_cast<std::uint64_t>(n));
    Vec2 point = middle + 29.0 * u[0] * Vec2(1.0, 0.0);
    const double turn = 2.0 * kPi * u[1];
    Vec2 direction(std::cos(turn), std::sin(turn));
    const double aside = cross(point - middle, direction);
    for (int hits = 0; hits < 100; ++hits) {
      const Walls::Ahead ahead = walls.way_out(point, direction);
      ASSERT_GE(ahead.piece, 0);
      point += ahead.distance_mm * direction;
      const Vec2 normal = walls.normal_at(ahead.piece, point);
      direction -= 2.0 * direction.dot(normal) * normal;
      ASSERT_NEAR((point - middle).norm(), 30.0, 1e-10);
      ASSERT_NEAR(cross(point - middle, direction), aside, 1e-10);
    }
  }
}

// Places along the outline grow with it on arcs both ways.
TEST(Walls, KnowPlacesAlongTheOutline) {
  const Outline tag = made_up::tag();
  const Walls walls(tag);
  for (std::size_t i = 0; i < tag.pieces.size(); ++i) {
    for (const double share : {0.0, 0.3, 1.0}) {
      EXPECT_NEAR(walls.along_mm(static_cast<int>(i), point_on(tag.pieces[i], share)),
                  tag.pieces[i].begin_mm + share * tag.pieces[i].length_mm, 1e-9);
    }
  }
}

}  // namespace
}  // namespace rimeglow::walls_test
