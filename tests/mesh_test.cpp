// Laws of sim/mesh: it finds what Prism finds, surface by surface and history by history, and loses
// no light. All derived: two geometries of one body must agree.
#include "mesh.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "made_up_outlines.h"
#include "panels.h"
#include "prism.h"
#include "sampling.h"

namespace rimeglow::mesh_test {
namespace {

constexpr double kIndex = 1.49;
constexpr double kThickness_mm = 3.0;
// Rounding of positions moves the place where a ray grazes a surface by 1 / cosine of it; twice
// over where the way before grazed one as well.
constexpr double kRounding_mm = 1e-9;

Outline rectangle() { return rounded_rectangle(127.0, 127.0, 0.0); }

// Convex, concave, and with holes; straight pieces only, so that Mesh is no approximation.
std::vector<Outline> polygons() {
  return {rectangle(), made_up::star(40, 0), made_up::star(150, 30),
          made_up::built({polygon({{0.0, 0.0}, {60.0, 0.0}, {60.0, 40.0}, {0.0, 40.0}}),
                          polygon({{10.0, 20.0}, {50.0, 20.0}, {50.0, 22.0}, {10.0, 22.0}})})};
}

Vec3 anywhere(std::uint64_t stream, std::uint64_t k) {
  const Uniforms u = statistics::uniforms(stream, k);
  return direction_at(2.0 * u[0] - 1.0, 2.0 * kPi * u[1]);
}

Vec3 inside(const Outline& outline, std::uint64_t k) {
  for (std::uint64_t attempt = 0;; ++attempt) {
    const Uniforms u = statistics::uniforms(121, k + (attempt << 32));
    const Vec2 point(u[0] * outline.size_mm.x(), u[1] * outline.size_mm.y());
    if (contains(outline, point)) return {point.x(), point.y(), u[2] * kThickness_mm};
  }
}

// So near to where two pieces meet that single precision may take one for the other.
bool at_a_joint(const Outline& outline, const Vec3& point) {
  return std::any_of(outline.pieces.begin(), outline.pieces.end(), [&](const OutlinePiece& piece) {
    return (piece.start_mm - point.head<2>()).norm() < 1e-4;
  });
}

bool same(const Hit& one, const Hit& other, const Vec3& direction) {
  const double close =
      kRounding_mm / std::pow(std::max(1e-6, std::abs(one.normal.dot(direction))), 2);
  return one.surface == other.surface && one.piece == other.piece &&
         std::abs(one.distance_mm - other.distance_mm) < close &&
         (one.position_mm - other.position_mm).norm() < close && one.normal == other.normal;
}

// A million rays: from anywhere inside, five surfaces each, mirrored by some and scattered by
// others. Every surface, piece and normal the same, every distance to rounding.
TEST(Mesh, FindsWhatPrismFindsFromInside) {
  constexpr int kHits = 5;
  const int rays = statistics::samples(50000);
  for (const Outline& outline : polygons()) {
    for (const BareFaces bare : {BareFaces{true, true}, BareFaces{false, true}}) {
      const Prism prism(outline, kThickness_mm, kIndex, bare);
      const Mesh mesh(outline, kThickness_mm, kIndex, bare);
      for (int n = 0; n < rays / 2; ++n) {
        const auto k = static_cast<std::uint64_t>(n);
        Ray ray{inside(outline, k), anywhere(122, k)};
        auto by_prism = prism.launch(ray);
        auto by_mesh = mesh.launch(ray);
        for (int hits = 0; hits < kHits; ++hits) {
          const double limit_mm = n % 8 == 0 ? 20.0 : 1e300;
          const Hit due = by_prism.next(limit_mm);
          const Hit hit = by_mesh.next(limit_mm);
          if (at_a_joint(outline, due.position_mm)) break;
          ASSERT_TRUE(same(due, hit, by_prism.direction()))
              << "ray " << n << ", hit " << hits << ": " << due.surface << " at "
              << due.position_mm.transpose() << " after " << due.distance_mm << ", found "
              << hit.surface << " at " << hit.position_mm.transpose() << " after "
              << hit.distance_mm;
          ASSERT_LT((by_prism.direction() - by_mesh.direction()).norm(), 1e-12);
          if (due.surface == kWithin || hits % 3 == 2) {
            Vec3 onward = anywhere(123, 8 * k + static_cast<std::uint64_t>(hits));
            if (onward.dot(due.normal) > 0.0) onward = -onward;
            by_prism = prism.launch({due.position_mm, onward});
            by_mesh = mesh.launch({due.position_mm, onward});
          } else {
            by_prism.mirror(due);
            by_mesh.mirror(due);
          }
        }
      }
    }
  }
}

// From before the edges, from beside the panel and from within its holes; by rays that meet it and
// rays that do not. Above the face planes only where the outline is convex: there Prism asks what
// is next in the plane, be the ray above it or not, and no light of ours comes that way.
TEST(Mesh, FindsWhatPrismFindsFromOutside) {
  const int rays = statistics::samples(50000);
  for (const Outline& outline : polygons()) {
    const Prism prism(outline, kThickness_mm, kIndex, {});
    const Mesh mesh(outline, kThickness_mm, kIndex, {});
    int met = 0;
    for (int n = 0; n < rays; ++n) {
      const auto k = static_cast<std::uint64_t>(n);
      const Uniforms u = statistics::uniforms(124, k);
      const Vec2 point = Vec2(1.4 * u[0] - 0.2, 1.4 * u[1] - 0.2).cwiseProduct(outline.size_mm);
      if (contains(outline, point)) continue;
      const double z = is_convex(outline) ? 1.2 * u[2] - 0.1 : u[2];
      const Ray ray{{point.x(), point.y(), z * kThickness_mm}, anywhere(125, k)};
      const auto due = prism.meet_from_outside(ray);
      const auto hit = mesh.meet_from_outside(ray);
      if (due && at_a_joint(outline, due->position_mm)) continue;
      ASSERT_EQ(due.has_value(), hit.has_value()) << "ray " << n;
      if (!due) continue;
      ASSERT_TRUE(same(*due, *hit, ray.direction)) << "ray " << n;
      ASSERT_NEAR(prism.along_mm(*due), mesh.along_mm(*hit), 1e-6);
      ++met;
    }
    EXPECT_GT(met, rays / 100);
  }
}

// Six LEDs before an engraved panel whose top edge is ground.
Model lit(const Outline& outline) {
  Model model = panels::panel_of(outline, kThickness_mm, kIndex);
  model.edge_finish[panels::kTop] = panels::ground(0.3);
  model.lamps = {panels::six_leds(outline)};
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::squares(),
                  0.3 * outline.size_mm, 0.7 * outline.size_mm);
  model.viewers = {panels::eye(0.0, 0.0, Side::front)};
  return model;
}

Mesh mesh_of(const Model& model) {
  return Mesh(model.outline, model.thickness_mm, model.sheet.index, {false, true});
}

// Every second photon sets out from an LED, the others anywhere inside, so that all pieces are met.
template <Geometry Shape, class Scorer>
void trace_one(const Model& model, const Shape& shape, std::uint64_t seed, int number,
               Scorer& scorer) {
  const auto photon = static_cast<std::uint64_t>(number);
  if (number % 2 == 0) return trace(model, shape, seed, photon, scorer);
  const Ray ray{inside(model.outline, photon), anywhere(126, photon)};
  travel(model, shape, ray, Draws(seed, photon), scorer);
}

// What a history met, in order.
struct Story : panels::Blind {
  struct Meeting {
    SurfaceId surface;
    Vec3 position_mm;
    double weight;
  };
  std::vector<Meeting> meetings;
  std::vector<LedgerEntry> ends;

  void arrive(const Hit& hit, const Vec3&, double weight) {
    meetings.push_back({hit.surface, hit.position_mm, weight});
  }
  void deposit(LedgerEntry entry, double) { ends.push_back(entry); }
};

bool same(const Story& one, const Story& other) {
  const auto alike = [](const Story::Meeting& a, const Story::Meeting& b) {
    return a.surface == b.surface && (a.position_mm - b.position_mm).norm() < 1e-6 &&
           std::abs(a.weight - b.weight) < 1e-9;
  };
  return one.ends == other.ends && std::equal(one.meetings.begin(), one.meetings.end(),
                                              other.meetings.begin(), other.meetings.end(), alike);
}

// 100 000 histories from the LED to the end. Those that part do so where single precision takes
// one of two pieces that meet for the other: 1e-5 mm beside some hundred joints along some hundred
// millimetres, a few meetings each, so some in a million histories.
TEST(Mesh, HistoriesArePrismsEventByEvent) {
  const int photons = statistics::samples(25000);
  int parted = 0;
  std::size_t meetings = 0;
  for (const Outline& outline : polygons()) {
    const Model model = lit(outline);
    const Prism prism = panels::prism_of(model);
    const Mesh mesh = mesh_of(model);
    for (int n = 0; n < photons; ++n) {
      Story due, found;
      trace_one(model, prism, statistics::kSeed, n, due);
      trace_one(model, mesh, statistics::kSeed, n, found);
      parted += same(due, found) ? 0 : 1;
      meetings += due.meetings.size();
    }
  }
  EXPECT_LE(parted, 3);
  EXPECT_GT(meetings, 3U * static_cast<std::size_t>(photons));
}

// Where the light of round outlines ends and how much meets each of 5 x 5 fields of the art's face:
// the arcs' facets turn single rays but not the light. Level 1e-4 over all shares of both panels;
// sees a share wrong by 3 %.
struct Shares : panels::Blind {
  Vec2 size_mm;
  std::vector<statistics::Average> shares;
  std::vector<double> here;

  explicit Shares(const Model& model)
      : size_mm(model.outline.size_mm),
        shares(static_cast<std::size_t>(kFirstEdgeEntry) + model.outline.edges.size() + 25),
        here(shares.size()) {}

  void deposit(LedgerEntry entry, double weight) {
    here[static_cast<std::size_t>(entry)] += weight;
  }
  void arrive(const Hit& hit, const Vec3&, double weight) {
    if (hit.surface != kBackFace) return;
    const Vec2 field = 5.0 * hit.position_mm.head<2>().cwiseQuotient(size_mm);
    const int cell = 5 * std::clamp(static_cast<int>(field.y()), 0, 4) +
                     std::clamp(static_cast<int>(field.x()), 0, 4);
    here[shares.size() - 25 + static_cast<std::size_t>(cell)] += weight;
  }
  void end_of_photon() {
    for (std::size_t i = 0; i < shares.size(); ++i) shares[i].add(here[i]);
    std::fill(here.begin(), here.end(), 0.0);
  }
};

TEST(Mesh, RoundOutlinesShareOutTheLightAsPrismDoes) {
  const int photons = statistics::samples(100000);
  const std::vector<Outline> outlines = {made_up::tag(), rounded_rectangle(60.0, 40.0, 15.0)};
  for (const Outline& outline : outlines) {
    const Model model = lit(outline);
    const Prism prism = panels::prism_of(model);
    const Mesh mesh = mesh_of(model);
    Shares due(model), found(model);
    for (int n = 0; n < photons; ++n) {
      trace_one(model, prism, statistics::kSeed, n, due);
      due.end_of_photon();
      trace_one(model, mesh, statistics::kSeed + 1, n, found);
      found.end_of_photon();
    }
    const double limit = statistics::z_limit(statistics::kFalseAlarm,
                                             static_cast<int>(outlines.size() * due.shares.size()));
    for (std::size_t i = 0; i < due.shares.size(); ++i) {
      const double sigma = std::hypot(due.shares[i].sigma(), found.shares[i].sigma());
      EXPECT_NEAR(found.shares[i].mean(), due.shares[i].mean(), limit * sigma + 1e-12) << i;
    }
    EXPECT_EQ(found.shares[kLost].mean(), 0.0);
  }
}

// A million photons in 502 pieces. Sees 1e-6 of them.
TEST(Mesh, LosesNoLightInAnOutlineOfFiveHundredPieces) {
  const Outline outline = made_up::star(400, 34);
  ASSERT_GE(outline.pieces.size(), 500U);
  const Model model = lit(outline);
  const Mesh mesh = mesh_of(model);
  struct : panels::Blind {
    double lost = 0.0;
    void deposit(LedgerEntry entry, double weight) { lost += entry == kLost ? weight : 0.0; }
  } ends;
  const int photons = statistics::samples(1000000);
  for (int n = 0; n < photons; ++n) trace_one(model, mesh, statistics::kSeed, n, ends);
  EXPECT_LE(ends.lost, 1e-5 * photons);
}

}  // namespace
}  // namespace rimeglow::mesh_test
