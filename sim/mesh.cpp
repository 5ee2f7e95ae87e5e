#include "mesh.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "facets.h"
#include "optics.h"
#include "sides.h"

namespace rimeglow {
namespace {

constexpr double kNever = Walls::kNever;
// An arc's facets reach this far from it: far below what polishing leaves.
constexpr double kSagitta_mm = 1e-4;
// Sides go on so far beyond the faces, so that none of them ends where a ray can come.
constexpr double kBeyond_mm = 10.0 * Facets::kBlur_mm;

// Each known by its place in the list.
std::vector<Triangle> triangles_of(const std::vector<SideFacet>& sides) {
  std::vector<Triangle> triangles;
  for (const SideFacet& side : sides) {
    triangles.push_back({side.corners_mm, side.normal, static_cast<int>(triangles.size())});
  }
  return triangles;
}

}  // namespace

// The sides of a panel. Its faces are no triangles: from inside they are planes, and which of face
// and side comes first is decided in doubles, so nothing can pass where they meet.
struct Mesh::Body {
  Body(const Outline& outline, double thickness, double index, BareFaces bare_faces);

  Hit hit(const Facets::Ahead& ahead, const Ray& ray) const;

  bool within_box(const Vec2& point_mm) const {
    const Vec2 blur = Vec2::Constant(Facets::kBlur_mm);
    return (point_mm.array() >= -blur.array()).all() &&
           (point_mm.array() <= (size_mm + blur).array()).all();
  }
  // Of the faces: whether guided light is thrown back there and nothing else can happen.
  bool folds(SurfaceId face, const Vec3& direction) const {
    return bare[static_cast<std::size_t>(face)] && std::abs(direction.z()) < cos_critical;
  }

  Walls walls;
  std::vector<Walls> faces;  // what chamfers leave of them
  bool hollow;
  Vec2 size_mm;
  double thickness_mm;
  double cos_critical;
  std::array<bool, 2> bare;
  std::vector<SideFacet> sides;
  Facets facets;
};

Mesh::Body::Body(const Outline& outline, double thickness, double index, BareFaces bare_faces)
    : walls(outline),
      hollow(!is_convex(outline)),
      size_mm(outline.size_mm),
      thickness_mm(thickness),
      cos_critical(critical_cosine(index)),
      bare{bare_faces.back, bare_faces.front},
      sides(side_facets(outline, thickness, kSagitta_mm, kBeyond_mm)),
      facets(triangles_of(sides)) {
  for (const Side side : {Side::back, Side::front}) {
    faces.emplace_back(face_outline(outline, side, kSagitta_mm));
  }
}

Hit Mesh::Body::hit(const Facets::Ahead& ahead, const Ray& ray) const {
  Vec3 position = ray.origin_mm + ahead.distance_mm * ray.direction;
  position.z() = std::clamp(position.z(), 0.0, thickness_mm);
  const SideFacet& side = sides[static_cast<std::size_t>(ahead.facet->id)];
  return {ahead.distance_mm, kFirstEdge + side.edge, side.piece, position, side.normal};
}

Mesh::Mesh(const Outline& outline, double thickness_mm, double index, BareFaces bare)
    : body_(std::make_shared<const Body>(outline, thickness_mm, index, bare)) {}

Mesh::Flight Mesh::launch(const Ray& ray) const { return Flight(*body_, ray); }

double Mesh::along_mm(const Hit& hit) const {
  return body_->walls.along_mm(hit.piece, hit.position_mm.head<2>());
}

bool Mesh::has_face(SurfaceId face, const Vec2& point_mm) const {
  return body_->faces[static_cast<std::size_t>(face)].contains(point_mm);
}

bool Mesh::hollow() const { return body_->hollow; }

std::optional<Hit> Mesh::meet_from_outside(const Ray& ray) const {
  // From before or behind the panel, on to where its faces' planes begin.
  Ray onward = ray;
  const double z = ray.origin_mm.z();
  const double rise = ray.direction.z();
  double before_mm = 0.0;
  if (z < 0.0 || z > body_->thickness_mm) {
    const double plane = z < 0.0 ? 0.0 : body_->thickness_mm;
    before_mm = (plane - z) / rise;
    if (!(before_mm >= 0.0 && before_mm < kNever)) return std::nullopt;
    onward.origin_mm += before_mm * ray.direction;
    onward.origin_mm.z() = plane;
    if (has_face(z < 0.0 ? kBackFace : kFrontFace, onward.origin_mm.head<2>())) return std::nullopt;
  }
  const double ahead_mm = rise == 0.0  ? kNever
                          : rise > 0.0 ? (body_->thickness_mm - onward.origin_mm.z()) / rise
                                       : onward.origin_mm.z() / -rise;
  const Facets::Ahead side = body_->facets.ahead(onward, Crossing::inward, ahead_mm);
  if (side.facet == nullptr || side.distance_mm > ahead_mm) return std::nullopt;
  Hit hit = body_->hit(side, onward);
  hit.distance_mm += before_mm;
  return hit;
}

Mesh::Flight::Flight(const Body& body, const Ray& ray) : body_(&body), ray_(ray) {}

Hit Mesh::Flight::next(double limit_mm) {
  double way_mm = 0.0;
  for (;;) {
    const bool up = ray_.direction.z() > 0.0;
    const SurfaceId face = up ? kFrontFace : kBackFace;
    const double gap_mm = up ? body_->thickness_mm - ray_.origin_mm.z() : ray_.origin_mm.z();
    const double rise = std::abs(ray_.direction.z());
    const double to_face = rise == 0.0 ? kNever : gap_mm / rise;
    const double to_limit = limit_mm - way_mm;
    const Facets::Ahead side =
        body_->facets.ahead(ray_, Crossing::outward, std::min(to_face, to_limit));
    const bool at_face = to_face < side.distance_mm;
    if (to_limit < std::min(to_face, side.distance_mm)) {
      ray_.origin_mm += to_limit * ray_.direction;
      return {limit_mm, kWithin, -1, ray_.origin_mm, Vec3::Zero()};
    }
    if (!at_face) {
      const bool escaped = side.facet == nullptr || side.facet->normal.dot(ray_.direction) <= 0.0;
      if (escaped) return {};
      Hit hit = body_->hit(side, ray_);
      ray_.origin_mm = hit.position_mm;
      hit.distance_mm += way_mm;
      return hit;
    }
    way_mm += to_face;
    ray_.origin_mm += to_face * ray_.direction;
    ray_.origin_mm.z() = up ? body_->thickness_mm : 0.0;
    if (!body_->within_box(ray_.origin_mm.head<2>())) return {};
    if (!body_->folds(face, ray_.direction)) {
      return {way_mm, face, -1, ray_.origin_mm, Vec3(0.0, 0.0, up ? 1.0 : -1.0)};
    }
    ray_.direction.z() = -ray_.direction.z();
  }
}

void Mesh::Flight::mirror(const Hit& hit) {
  if (hit.surface < kFirstEdge) {
    ray_.direction.z() = -ray_.direction.z();
  } else {
    ray_.direction = reflect(ray_.direction, hit.normal);
  }
}

}  // namespace rimeglow
