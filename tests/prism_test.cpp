// Laws of sim/prism, against a plain tracer written here: it goes from one face or wall to the
// next, folds nothing and knows the panel as a box less its four corner bits.
#include "prism.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sampling.h"
#include "statistics.h"
#include "units.h"

namespace rimeglow::prism_test {
namespace {

constexpr double kIndex = 1.49;
constexpr double kClose = 1e-9;  // mm
// Rounding of positions, 1e-13 mm, moves the place where a ray grazes a surface by 1 / cosine of
// it.
constexpr double kGrazing = 1e-12;

struct Panel {
  double width_mm, height_mm, thickness_mm, radius_mm;
  bool bare_back, bare_front;

  Prism prism() const {
    return Prism(rounded_rectangle(width_mm, height_mm, radius_mm), thickness_mm, kIndex,
                 {bare_back, bare_front});
  }
};

constexpr Panel kPanels[] = {{300.0, 200.0, 3.0, 0.0, false, false},
                             {300.0, 200.0, 3.0, 0.0, true, true},
                             {140.0, 120.0, 3.0, 4.0, false, true},
                             {140.0, 120.0, 5.0, 4.0, true, false},
                             {60.0, 40.0, 6.0, 20.0, true, true}};

double nearest_corner_centre(double x, double size, double radius) {
  return std::clamp(x, radius, size - radius);
}

// The plain tracer's answer: where the light is met next.
struct PlainHit {
  double distance_mm = 0.0;
  int face = -1;  // 0 back, 1 front, -1 wall
  Vec3 position_mm, normal;
  bool corner = false;  // nearer than kClose to where two edges meet
  int edge = -1;
};

// Which edge a wall point belongs to: the side it is on, corners parted at 45 degrees.
void name_edge(const Panel& panel, PlainHit& hit) {
  const Vec3& n = hit.normal;
  if (std::abs(n.x()) > std::abs(n.y()))
    hit.edge = n.x() > 0.0 ? 1 : 3;
  else
    hit.edge = n.y() > 0.0 ? 2 : 0;
  const double parting = std::abs(std::abs(n.x()) - std::abs(n.y()));
  const double to_side_x = std::min(hit.position_mm.x(), panel.width_mm - hit.position_mm.x());
  const double to_side_y = std::min(hit.position_mm.y(), panel.height_mm - hit.position_mm.y());
  hit.corner = panel.radius_mm > 0.0 ? parting * panel.radius_mm < 1e-8
                                     : std::max(to_side_x, to_side_y) < 1e-8;
}

// Root of |from + t direction| = radius: the later one, leaving the circle, or the earlier.
enum class Root { earlier, later };
std::optional<double> meet_circle(const Vec2& from, const Vec2& direction, double radius,
                                  Root root) {
  const double speed = direction.norm();
  const double closest = -from.dot(direction) / speed;
  const double miss2 = (from + direction * (closest / speed)).squaredNorm();
  if (miss2 >= radius * radius) return std::nullopt;
  const double half_chord = std::sqrt(radius * radius - miss2);
  return (root == Root::later ? closest + half_chord : closest - half_chord) / speed;
}

// From a point where the ray passes the box's side: there, or on the corner's circle.
std::optional<PlainHit> at_rim(const Panel& panel, const Ray& ray, double box_distance, bool by_x,
                               Root root) {
  PlainHit hit;
  hit.distance_mm = box_distance;
  hit.position_mm = ray.origin_mm + box_distance * ray.direction;
  const double outward = root == Root::later ? 1.0 : -1.0;
  hit.normal = by_x ? Vec3(outward * (ray.direction.x() > 0.0 ? 1.0 : -1.0), 0.0, 0.0)
                    : Vec3(0.0, outward * (ray.direction.y() > 0.0 ? 1.0 : -1.0), 0.0);
  const double r = panel.radius_mm;
  const Vec2 centre(nearest_corner_centre(hit.position_mm.x(), panel.width_mm, r),
                    nearest_corner_centre(hit.position_mm.y(), panel.height_mm, r));
  const Vec2 beyond(hit.position_mm.x() - centre.x(), hit.position_mm.y() - centre.y());
  if (beyond.x() != 0.0 && beyond.y() != 0.0) {
    const Vec2 from(ray.origin_mm.x() - centre.x(), ray.origin_mm.y() - centre.y());
    const auto distance = meet_circle(from, {ray.direction.x(), ray.direction.y()}, r, root);
    if (!distance) return std::nullopt;
    hit.distance_mm = *distance;
    hit.position_mm = ray.origin_mm + *distance * ray.direction;
    const Vec2 out =
        Vec2(hit.position_mm.x() - centre.x(), hit.position_mm.y() - centre.y()).normalized();
    hit.normal = {out.x(), out.y(), 0.0};
  }
  name_edge(panel, hit);
  return hit;
}

// The next surface from inside, bare or not.
PlainHit next_surface(const Panel& panel, const Ray& ray) {
  const Vec3 size(panel.width_mm, panel.height_mm, panel.thickness_mm);
  Vec3 ways;
  for (int axis = 0; axis < 3; ++axis) {
    const double ahead = ray.direction[axis] > 0.0 ? size[axis] : 0.0;
    ways[axis] =
        ray.direction[axis] == 0.0 ? 1e300 : (ahead - ray.origin_mm[axis]) / ray.direction[axis];
  }
  const bool by_x = ways.x() < ways.y();
  const PlainHit wall = *at_rim(panel, ray, std::min(ways.x(), ways.y()), by_x, Root::later);
  if (wall.distance_mm < ways.z()) return wall;
  PlainHit face;
  face.distance_mm = ways.z();
  face.face = ray.direction.z() > 0.0 ? 1 : 0;
  face.position_mm = ray.origin_mm + ways.z() * ray.direction;
  face.position_mm.z() = face.face == 1 ? panel.thickness_mm : 0.0;
  face.normal = {0.0, 0.0, face.face == 1 ? 1.0 : -1.0};
  return face;
}

// The next surface that is not a bare face beyond the critical angle; `ray` goes with the light.
PlainHit next_unfolded(const Panel& panel, Ray& ray) {
  double way_mm = 0.0;
  for (;;) {
    PlainHit hit = next_surface(panel, ray);
    way_mm += hit.distance_mm;
    ray.origin_mm = hit.position_mm;
    const bool bare = hit.face == 0 ? panel.bare_back : hit.face == 1 && panel.bare_front;
    if (!bare || !totally_reflected(kIndex, std::abs(ray.direction.z()))) {
      hit.distance_mm = way_mm;
      return hit;
    }
    ray.direction.z() = -ray.direction.z();
  }
}

Vec3 random_point(const Panel& panel, std::uint64_t k) {
  for (std::uint64_t attempt = 0;; ++attempt) {
    const Uniforms u = statistics::uniforms(51, k + (attempt << 32));
    const Vec2 point(u[0] * panel.width_mm, u[1] * panel.height_mm);
    const Outline outline = rounded_rectangle(panel.width_mm, panel.height_mm, panel.radius_mm);
    if (contains(outline, point)) return {point.x(), point.y(), u[2] * panel.thickness_mm};
  }
}

// Directions into the half space of -normal.
Vec3 inward(const Vec3& normal, std::uint64_t stream, std::uint64_t k) {
  const Uniforms u = statistics::uniforms(stream, k);
  const Vec3 direction = direction_at(2.0 * u[0] - 1.0, 2.0 * kPi * u[1]);
  return direction.dot(normal) > 0.0 ? Vec3(-direction) : direction;
}

void expect_same(const Hit& hit, const PlainHit& plain, const Vec3& direction) {
  ASSERT_NE(hit.surface, kNoSurface);
  const double close = kClose + kGrazing / std::abs(plain.normal.dot(direction));
  ASSERT_NEAR(hit.distance_mm, plain.distance_mm, close);
  ASSERT_LT((hit.position_mm - plain.position_mm).norm(), close);
  if (plain.corner) return;  // two edges are right
  ASSERT_EQ(hit.surface, plain.face >= 0 ? plain.face : kFirstEdge + plain.edge);
  ASSERT_LT((hit.normal - plain.normal).norm(), close);
}

// 20000 rays in each of five panels, and what mirrors and scattering make of them.
TEST(Prism, FindsWhatAPlainTracerFindsFromOneSurfaceToTheNext) {
  constexpr int kHitsEach = 12;
  const int rays = statistics::samples(20000);
  for (const Panel& panel : kPanels) {
    const Prism prism = panel.prism();
    for (int n = 0; n < rays; ++n) {
      const auto k = static_cast<std::uint64_t>(n);
      Ray ray{random_point(panel, k), inward(Vec3::Zero(), 52, k)};
      Prism::Flight flight = prism.launch(ray);
      for (int hits = 0; hits < kHitsEach; ++hits) {
        const PlainHit plain = next_unfolded(panel, ray);
        const Hit hit = flight.next();
        expect_same(hit, plain, ray.direction);
        if (HasFatalFailure()) return;
        if (plain.corner) break;  // two answers are right
        ASSERT_LT((flight.direction() - ray.direction).norm(), kClose);
        // Onward from the same point and normal, or rounding at grazing walls would part the two.
        ray = {hit.position_mm, flight.direction()};
        // Mirrored twice, scattered once.
        if (hits % 3 == 2) {
          ray.direction = inward(plain.normal, 53, 100 * k + static_cast<std::uint64_t>(hits));
          flight = prism.launch({hit.position_mm, ray.direction});
        } else {
          ray.direction = reflect(ray.direction, hit.normal);
          flight.mirror(hit);
        }
      }
    }
  }
}

// Rays from a plane 0.5 mm beyond each edge, as LEDs send them, and from farther away.
TEST(Prism, FindsWhereLightFromOutsideMeetsTheRim) {
  const int rays = statistics::samples(20000);
  for (const Panel& panel : kPanels) {
    const Prism prism = panel.prism();
    int met = 0;
    for (int n = 0; n < rays; ++n) {
      const Uniforms u = statistics::uniforms(54, static_cast<std::uint64_t>(n));
      const double gap_mm = n % 2 == 0 ? 0.5 : 40.0;
      const double along = 1.2 * u[0] - 0.1;
      const Vec3 size(panel.width_mm, panel.height_mm, panel.thickness_mm);
      const int axis = n % 4 < 2 ? 0 : 1;
      const bool low = n % 8 < 4;
      Ray ray{{along * size.x(), along * size.y(), u[1] * size.z()}, Vec3::Zero()};
      ray.origin_mm[axis] = low ? -gap_mm : size[axis] + gap_mm;
      ray.direction =
          inward(Vec3::Unit(axis) * (low ? -1.0 : 1.0), 55, static_cast<std::uint64_t>(n));
      // Where the ray enters the box seen from above.
      Vec2 enters, leaves;
      for (int i = 0; i < 2; ++i) {
        const double a = -ray.origin_mm[i] / ray.direction[i];
        const double b = (size[i] - ray.origin_mm[i]) / ray.direction[i];
        enters[i] = std::min(a, b);
        leaves[i] = std::max(a, b);
      }
      std::optional<PlainHit> plain;
      if (enters.maxCoeff() < leaves.minCoeff() && enters.maxCoeff() > 0.0) {
        plain = at_rim(panel, ray, enters.maxCoeff(), enters.x() > enters.y(), Root::earlier);
      }
      if (plain && (plain->position_mm.z() < 0.0 || plain->position_mm.z() > size.z()))
        plain.reset();
      const auto hit = prism.meet_from_outside(ray);
      ASSERT_EQ(hit.has_value(), plain.has_value()) << "ray " << n;
      if (!hit) continue;
      ++met;
      expect_same(*hit, *plain, ray.direction);
      if (HasFatalFailure()) return;
      EXPECT_LT(ray.direction.dot(hit->normal), 0.0);
    }
    EXPECT_GT(met, rays / 20);
  }
}

// Rays aimed at the last bit of a corner or of the seam of two pieces, and starting there.
TEST(Prism, LosesNoRayAtCornersAndSeams) {
  for (const Panel& panel : kPanels) {
    const Outline outline = rounded_rectangle(panel.width_mm, panel.height_mm, panel.radius_mm);
    const Prism prism = panel.prism();
    for (const OutlinePiece& piece : outline.pieces) {
      for (std::uint64_t k = 0; k < 2000; ++k) {
        const Vec3 start = random_point(panel, k);
        const double z = statistics::uniforms(56, k)[0] * panel.thickness_mm;
        const Vec3 seam(piece.start_mm.x(), piece.start_mm.y(), z);
        Prism::Flight flight = prism.launch({start, (seam - start).normalized()});
        const Hit hit = flight.next();
        ASSERT_NE(hit.surface, kNoSurface);
        if (hit.surface >= kFirstEdge) {
          ASSERT_LT((hit.position_mm - seam).head<2>().norm(), 1e-6);
        }
        Prism::Flight away = prism.launch({seam, (start - seam).normalized()});
        for (int hits = 0; hits < 5; ++hits) {
          const Hit next = away.next();
          ASSERT_NE(next.surface, kNoSurface) << "from " << seam.transpose();
          ASSERT_GE(next.distance_mm, 0.0);
          away.mirror(next);
        }
      }
    }
  }
}

// Along the outline: `along_mm` grows with it, and comes from the lower left corner's middle.
TEST(Prism, HitsKnowTheirPlaceAlongTheOutline) {
  const Panel panel{140.0, 120.0, 3.0, 4.0, false, false};
  const Prism prism = panel.prism();
  const double arc_mm = 4.0 * kPi / 4.0;
  const auto along = [&](const Vec3& from, const Vec3& to) {
    return prism.along_mm(prism.launch({from, (to - from).normalized()}).next());
  };
  const Vec3 middle(70.0, 60.0, 1.5);
  EXPECT_NEAR(along(middle, {70.0, 0.0, 1.5}), arc_mm + 66.0, kClose);
  EXPECT_NEAR(along(middle, {140.0, 60.0, 1.5}), 3.0 * arc_mm + 132.0 + 56.0, kClose);
  EXPECT_NEAR(along(middle, {70.0, 120.0, 1.5}), 5.0 * arc_mm + 132.0 + 112.0 + 66.0, kClose);
  EXPECT_NEAR(along(middle, {0.0, 60.0, 1.5}), 7.0 * arc_mm + 2.0 * 132.0 + 112.0 + 56.0, kClose);
  // A quarter of the way round the lower right corner.
  const Vec3 on_arc(136.0 + 4.0 * std::cos(radians(-67.5)), 4.0 + 4.0 * std::sin(radians(-67.5)),
                    1.5);
  EXPECT_NEAR(along({136.0, 4.0, 1.5}, on_arc), arc_mm + 132.0 + 0.5 * arc_mm, kClose);
}

// A place on the surface, evenly by area, and its outward normal.
struct Place {
  Vec3 position_mm, normal;
};

Place place_on(const Panel& panel, const Outline& outline, std::uint64_t k) {
  const OutlinePiece& last = outline.pieces.back();
  const double rim_mm = last.begin_mm + last.length_mm;
  const double r = panel.radius_mm;
  const double face_mm2 = panel.width_mm * panel.height_mm - (4.0 - kPi) * r * r;
  const Uniforms u = statistics::uniforms(57, k);
  const double area = u[0] * (2.0 * face_mm2 + rim_mm * panel.thickness_mm);
  Vec3 inside = random_point(panel, k);
  if (area < 2.0 * face_mm2) {
    const bool front = area < face_mm2;
    inside.z() = front ? panel.thickness_mm : 0.0;
    return {inside, {0.0, 0.0, front ? 1.0 : -1.0}};
  }
  const double along_mm = u[1] * rim_mm;
  const OutlinePiece* piece = &outline.pieces.front();
  for (const OutlinePiece& other : outline.pieces) {
    if (other.begin_mm <= along_mm) piece = &other;
  }
  const double share = (along_mm - piece->begin_mm) / piece->length_mm;
  const Vec2 chord = piece->end_mm - piece->start_mm;
  Vec2 at = piece->start_mm + share * chord;
  Vec2 out = Vec2(chord.y(), -chord.x()).normalized();
  if (piece->round()) {
    const Vec2 from = piece->start_mm - piece->centre_mm;
    out = Eigen::Rotation2Dd(share * piece->length_mm / piece->radius_mm) * from.normalized();
    at = piece->centre_mm + piece->radius_mm * out;
  }
  return {{at.x(), at.y(), u[2] * panel.thickness_mm}, {out.x(), out.y(), 0.0}};
}

// Mean chord of a convex body under cosine-weighted entry: 4 V / S (Cauchy; theorem from memory);
// 5.853659 mm for 300 x 200 x 3 mm. False-alarm level 1e-4; sees 1 %.
TEST(Prism, MeanChordIsFourVolumesOverSurface) {
  const int count = statistics::samples(300000);
  for (Panel panel : {kPanels[0], kPanels[2], kPanels[4]}) {
    panel.bare_back = panel.bare_front = false;
    const Outline outline = rounded_rectangle(panel.width_mm, panel.height_mm, panel.radius_mm);
    const Prism prism = panel.prism();
    statistics::Average chord;
    for (int n = 0; n < count; ++n) {
      const auto k = static_cast<std::uint64_t>(n);
      const Place place = place_on(panel, outline, k);
      const Uniforms u = statistics::uniforms(58, k);
      const Vec3 local = sample_lambertian(u[0], u[1]);
      const Vec3 side = place.normal.unitOrthogonal();
      const Vec3 direction =
          local.x() * side + local.y() * place.normal.cross(side) - local.z() * place.normal;
      chord.add(prism.launch({place.position_mm, direction}).next().distance_mm);
    }
    const double r = panel.radius_mm;
    const double area = panel.width_mm * panel.height_mm - (4.0 - kPi) * r * r;
    const double rim = 2.0 * (panel.width_mm + panel.height_mm) - (8.0 - 2.0 * kPi) * r;
    const double due = 4.0 * area * panel.thickness_mm / (2.0 * area + rim * panel.thickness_mm);
    if (r == 0.0) {
      EXPECT_NEAR(due, 5.853659, 1e-6);
    }
    EXPECT_LT(std::abs(chord.mean() - due),
              statistics::z_limit(statistics::kFalseAlarm, 3) * chord.sigma())
        << chord.mean() << ", due " << due;
  }
}

}  // namespace
}  // namespace rimeglow::prism_test
