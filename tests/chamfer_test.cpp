// What rays meet in panels with chamfered edges: a plain tracer that knows the body as half spaces,
// the law of even light, and cuts drawn by chance.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "made_up_outlines.h"
#include "panels.h"
#include "sampling.h"
#include "sides.h"

namespace rimeglow::chamfer_test {
namespace {

using made_up::cut;
using panels::kBottom;
using panels::kLeft;
using panels::kRight;
using panels::kTop;

constexpr double kIndex = 1.49;
constexpr double kThickness_mm = 3.0;
const Vec2 kSize_mm = {60.0, 40.0};

const Outline kRectangle = rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0);
const std::vector<Chamfer>& kCuts = made_up::kUnlikeCuts;

// The body as the half spaces it is in common: written down here, edge by edge.
struct HalfSpace {
  SurfaceId surface;
  Vec3 normal;
  double offset_mm;
};

std::vector<HalfSpace> half_spaces() {
  std::vector<HalfSpace> spaces = {{kBackFace, {0.0, 0.0, -1.0}, 0.0},
                                   {kFrontFace, {0.0, 0.0, 1.0}, kThickness_mm}};
  const std::array<Vec3, 4> outward = {Vec3(0.0, -1.0, 0.0), Vec3(1.0, 0.0, 0.0),
                                       Vec3(0.0, 1.0, 0.0), Vec3(-1.0, 0.0, 0.0)};
  const std::array<double, 4> at = {0.0, kSize_mm.x(), kSize_mm.y(), 0.0};
  for (int edge = 0; edge < 4; ++edge) {
    const auto e = static_cast<std::size_t>(edge);
    spaces.push_back({kFirstEdge + edge, outward[e], at[e]});
  }
  for (std::size_t k = 0; k < kCuts.size(); ++k) {
    const Chamfer& chamfer = kCuts[k];
    const auto e = static_cast<std::size_t>(chamfer.of);
    const bool front = chamfer.face == Side::front;
    // Through the line where the cut begins on the wall, and the one where it ends on the face.
    const double width = std::hypot(chamfer.setback_mm, chamfer.depth_mm);
    const Vec3 normal = (chamfer.depth_mm * outward[e] +
                         Vec3(0.0, 0.0, front ? chamfer.setback_mm : -chamfer.setback_mm)) /
                        width;
    const double z = front ? kThickness_mm : 0.0;
    spaces.push_back({kFirstEdge + 4 + static_cast<int>(k), normal,
                      (chamfer.depth_mm * (at[e] - chamfer.setback_mm) +
                       (front ? chamfer.setback_mm * z : 0.0)) /
                          width});
  }
  return spaces;
}

struct Found {
  SurfaceId surface = kNoSurface;
  double distance_mm = 1e300;
  double second_mm = 1e300;  // the next that would stop it
  Vec3 normal;
};

Found way_out(const std::vector<HalfSpace>& spaces, const Ray& ray) {
  Found found;
  for (const HalfSpace& space : spaces) {
    const double speed = space.normal.dot(ray.direction);
    if (speed <= 0.0) continue;
    const double distance = (space.offset_mm - space.normal.dot(ray.origin_mm)) / speed;
    if (distance < found.distance_mm) {
      found = {space.surface, distance, found.distance_mm, space.normal};
    } else {
      found.second_mm = std::min(found.second_mm, distance);
    }
  }
  return found;
}

Vec3 anywhere(std::uint64_t stream, std::uint64_t k) {
  const Uniforms u = statistics::uniforms(stream, k);
  return direction_at(2.0 * u[0] - 1.0, 2.0 * kPi * u[1]);
}

Vec3 inside(const std::vector<HalfSpace>& spaces, std::uint64_t k) {
  for (std::uint64_t attempt = 0;; ++attempt) {
    const Uniforms u = statistics::uniforms(131, k + (attempt << 32));
    const Vec3 point(u[0] * kSize_mm.x(), u[1] * kSize_mm.y(), u[2] * kThickness_mm);
    const bool within = std::all_of(spaces.begin(), spaces.end(), [&](const HalfSpace& space) {
      return space.normal.dot(point) < space.offset_mm;
    });
    if (within) return point;
  }
}

// 600 000 surfaces met from inside. Within 1e-4 mm of an edge two answers are right.
TEST(Chamfer, LightInsideMeetsTheNearestHalfSpace) {
  constexpr double kEither_mm = 1e-4;
  const std::vector<HalfSpace> spaces = half_spaces();
  const Mesh mesh(cut(kRectangle, kCuts), kThickness_mm, kIndex, {});
  std::array<int, 11> met{};
  const int rays = statistics::samples(50000);
  for (int n = 0; n < rays; ++n) {
    const auto k = static_cast<std::uint64_t>(n);
    Ray ray{inside(spaces, k), anywhere(132, k)};
    auto flight = mesh.launch(ray);
    for (int hits = 0; hits < 12; ++hits) {
      const Found due = way_out(spaces, ray);
      const Hit hit = flight.next();
      ASSERT_NE(hit.surface, kNoSurface);
      if (due.second_mm - due.distance_mm < kEither_mm) break;
      ASSERT_EQ(hit.surface, due.surface) << "ray " << n << ", hit " << hits;
      ASSERT_NEAR(hit.distance_mm, due.distance_mm, 1e-9);
      ASSERT_LT((hit.normal - due.normal).norm(), 1e-12);
      ++met[static_cast<std::size_t>(hit.surface)];
      flight.mirror(hit);
      ray = {hit.position_mm, flight.direction()};
    }
  }
  for (const int count : met) EXPECT_GT(count, rays / 1000);
}

// From outside, where light that comes by a face is the face's and no edge's.
TEST(Chamfer, LightFromOutsideMeetsWhatBoundsTheHalfSpaces) {
  const std::vector<HalfSpace> spaces = half_spaces();
  const Mesh mesh(cut(kRectangle, kCuts), kThickness_mm, kIndex, {});
  int met = 0;
  const int rays = statistics::samples(100000);
  for (int n = 0; n < rays; ++n) {
    const auto k = static_cast<std::uint64_t>(n);
    const Vec3 aim = inside(spaces, k);
    const Ray ray{aim + 90.0 * anywhere(133, k), Vec3::Zero()};
    const Vec3 direction = (aim - ray.origin_mm).normalized();
    // The last plane that it comes in through.
    const HalfSpace* last = nullptr;
    double latest = -1e300, before = -1e300;
    for (const HalfSpace& space : spaces) {
      const double speed = space.normal.dot(direction);
      if (speed >= 0.0) continue;
      const double distance = (space.offset_mm - space.normal.dot(ray.origin_mm)) / speed;
      before = std::max(before, std::min(latest, distance));
      if (distance > latest) {
        latest = distance;
        last = &space;
      }
    }
    if (latest - before < 1e-3) continue;
    const auto hit = mesh.meet_from_outside({ray.origin_mm, direction});
    ASSERT_EQ(hit.has_value(), last->surface >= kFirstEdge) << "ray " << n;
    if (!hit) continue;
    ASSERT_EQ(hit->surface, last->surface) << "ray " << n;
    ASSERT_NEAR(hit->distance_mm, latest, 1e-9);
    ++met;
  }
  EXPECT_GT(met, rays / 20);
}

// Light even in place and direction that enters a convex body by Lambert's law leaves by each part
// of its surface in proportion to its area (Santalo, Integral Geometry and Geometric Probability,
// 2nd ed. 2004, 12.7: lines are met by area; reversed, they leave so). Areas by the ruler. Level
// 1e-4; sees 2 % of a chamfer's area.
TEST(Chamfer, EvenLightLeavesByArea) {
  const double w = kSize_mm.x(), h = kSize_mm.y(), s = 1.0;
  const Outline outline = cut(rounded_rectangle(w, h, 0.0), {{kBottom, Side::front, s, s},
                                                             {kRight, Side::front, s, s},
                                                             {kTop, Side::front, s, s},
                                                             {kLeft, Side::front, s, s}});
  const Mesh mesh(outline, kThickness_mm, 1.0, {});
  const double slant = std::sqrt(2.0) * s, wall = kThickness_mm - s;
  const std::array<double, 10> areas = {
      w * h,    (w - 2 * s) * (h - 2 * s), w * wall,        h * wall,        w * wall,
      h * wall, (w - s) * slant,           (h - s) * slant, (w - s) * slant, (h - s) * slant};
  const std::vector<SideFacet> facets = side_facets(outline, kThickness_mm, 1e-3, 0.0);
  double all = areas[0] + areas[1];
  for (const SideFacet& facet : facets) all += facet.area_mm2();

  const int rays = statistics::samples(400000);
  std::vector<double> seen(areas.size(), 0.0), due(areas.size(), 0.0);
  for (int n = 0; n < rays; ++n) {
    const auto k = static_cast<std::uint64_t>(n);
    const Uniforms u = statistics::uniforms(134, k);
    const Uniforms v = statistics::uniforms(135, k);
    double place = u[0] * all;
    Vec3 point, normal;
    if (place < areas[0] + areas[1]) {
      const bool back = place < areas[0];
      normal = Vec3(0.0, 0.0, back ? -1.0 : 1.0);
      point = back ? Vec3(u[1] * w, u[2] * h, 0.0)
                   : Vec3(s + u[1] * (w - 2 * s), s + u[2] * (h - 2 * s), kThickness_mm);
    } else {
      place -= areas[0] + areas[1];
      auto facet = facets.begin();
      for (; facet + 1 != facets.end() && place > facet->area_mm2(); ++facet) {
        place -= facet->area_mm2();
      }
      const double root = std::sqrt(u[1]);
      normal = facet->normal;
      point = (1.0 - root) * facet->corners_mm[0] + root * (1.0 - u[2]) * facet->corners_mm[1] +
              root * u[2] * facet->corners_mm[2];
    }
    const Vec3 direction = frame_about(-normal).to_world(sample_lambertian(v[0], v[1]));
    const Hit hit = mesh.launch({point, direction}).next();
    ASSERT_NE(hit.surface, kNoSurface);
    seen[static_cast<std::size_t>(hit.surface)] += 1.0;
  }
  double sum = 0.0;
  for (const double area : areas) sum += area;
  for (std::size_t i = 0; i < areas.size(); ++i) due[i] = rays * areas[i] / sum;
  EXPECT_GT(statistics::chi_square(seen, due).tail, statistics::kFalseAlarm);
}

// Cuts drawn by chance, on all faces of all kinds of outlines: those that are not refused lose no
// light. Sees one ray in a thousand.
TEST(Chamfer, WhatIsNotRefusedLosesNothing) {
  const std::vector<Outline> outlines = {
      rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0),
      rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 6.0),
      made_up::tag(),
      made_up::star(40, 10),
      made_up::built({circle({0.0, 0.0}, 15.0)}),
      made_up::built(
          {polygon({{0.0, 0.0}, {60.0, 0.0}, {50.0, 30.0}, {30.0, 10.0}, {5.0, 35.0}})})};
  int built = 0;
  for (int n = 0; n < 120; ++n) {
    const auto k = static_cast<std::uint64_t>(n);
    Outline outline = outlines[k % outlines.size()];
    const int edges = static_cast<int>(outline.edges.size());
    for (int edge = 0; edge < edges; ++edge) {
      for (const Side face : {Side::back, Side::front}) {
        const Uniforms u = statistics::uniforms(
            136 + k, static_cast<std::uint64_t>(2 * edge + (face == Side::front)));
        if (u[0] < 0.6) continue;
        add_chamfer(outline, {edge, face, 0.05 + 2.0 * u[1] * u[1], 0.05 + 1.4 * u[2]});
      }
    }
    if (!outline.chamfered() || !check_chamfers(outline, kThickness_mm).empty()) continue;
    ++built;
    Model model;
    model.outline = outline;
    model.thickness_mm = kThickness_mm;
    model.sheet = {kIndex, 3e-4};
    model.edge_finish.resize(outline.edges.size());
    const Mesh mesh(outline, kThickness_mm, kIndex, {true, true});
    struct : panels::Blind {
      double lost = 0.0;
      void deposit(LedgerEntry entry, double weight) { lost += entry == kLost ? weight : 0.0; }
    } ends;
    const int rays = statistics::samples(500);
    for (int ray = 0; ray < rays; ++ray) {
      const auto number = static_cast<std::uint64_t>(ray);
      Vec2 point;
      for (std::uint64_t attempt = 0;; ++attempt) {
        const Uniforms u = statistics::uniforms(137, number + (attempt << 32));
        point = Vec2(u[0], u[1]).cwiseProduct(outline.size_mm);
        if (mesh.has_face(kBackFace, point) && mesh.has_face(kFrontFace, point)) break;
      }
      const Ray from{{point.x(), point.y(), 0.5 * kThickness_mm}, anywhere(138, number)};
      travel(model, mesh, from, Draws(statistics::kSeed, number), ends);
    }
    EXPECT_LT(ends.lost, 1e-3 * rays) << n;
  }
  EXPECT_GT(built, 30);
}

}  // namespace
}  // namespace rimeglow::chamfer_test
