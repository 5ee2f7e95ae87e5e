// Points, directions, rays, what a ray meets, and the local frame of a surface; with them the
// concept that every geometry fulfils, so that the walk is written once.
#pragma once

#include <array>
#include <cmath>
#include <concepts>
#include <cstddef>
#include <optional>

#include <Eigen/Core>
#include <Eigen/Geometry>

namespace rimeglow {

using Vec2 = Eigen::Vector2d;
using Vec3 = Eigen::Vector3d;

// Above 0 when b points to the left of a.
inline double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

// A quarter turn clockwise: out of the panel, for who walks its outline.
inline Vec2 right_of(const Vec2& heading) { return {heading.y(), -heading.x()}; }

// The place of a cell of a raster that is kept row by row.
inline std::size_t row_by_row(int columns, int column, int row) {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
         static_cast<std::size_t>(column);
}

inline std::array<Vec3, 8> box_corners(const Vec3& low, const Vec3& high) {
  std::array<Vec3, 8> corners;
  for (std::size_t k = 0; k < corners.size(); ++k) {
    corners[k] = {k & 1 ? high.x() : low.x(), k & 2 ? high.y() : low.y(),
                  k & 4 ? high.z() : low.z()};
  }
  return corners;
}

// A surface of the panel: its two faces, then its edges in the order of the outline, chamfers last.
using SurfaceId = int;
inline constexpr SurfaceId kBackFace = 0;
inline constexpr SurfaceId kFrontFace = 1;
inline constexpr SurfaceId kFirstEdge = 2;
inline constexpr SurfaceId kNoSurface = -1;
inline constexpr SurfaceId kWithin = -2;  // no surface: stopped on the way

enum class Side { back, front };

// How a ray passes a wall: out of the acrylic, or into it.
enum class Crossing { outward, inward };

constexpr SurfaceId face_id(Side side) { return side == Side::back ? kBackFace : kFrontFace; }

struct Ray {
  Vec3 origin_mm;
  Vec3 direction;  // unit length
};

// Where a ray meets the panel's surface. `normal` points out of the acrylic; `piece` is the
// outline's for an edge, -1 for a face.
struct Hit {
  double distance_mm = 0.0;
  SurfaceId surface = kNoSurface;
  int piece = -1;
  Vec3 position_mm = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();
};

// Faces that are polished and unengraved: guided light meets them unseen.
struct BareFaces {
  bool back = false;
  bool front = false;
};

// A geometry says which surfaces of the panel light meets. A flight is light on its way inside:
//   next(limit)   goes on to the next surface, with total reflections at bare faces folded away, or
//                 stops `limit` on the way, kWithin the sheet; kNoSurface when none is found
//   mirror(hit)   after next(): goes on as a mirror would send it
// and it may have
//   skim(passes)  guided light goes on, mirrored, from one meeting with a face to the next while
//                 passes(hit, local direction), asked beforehand, lets it
template <class T>
concept Geometry = requires(const T& geometry, const Ray& ray, const Hit& hit, double limit_mm,
                            const Vec2& point_mm, decltype(geometry.launch(ray))& flight) {
  { flight.next(limit_mm) } -> std::same_as<Hit>;
  flight.mirror(hit);
  { flight.direction() } -> std::convertible_to<Vec3>;
  // Where a ray from outside first meets an edge; none when it misses the rim or a face is before.
  { geometry.meet_from_outside(ray) } -> std::same_as<std::optional<Hit>>;
  // Distance along the outline of a hit on an edge.
  { geometry.along_mm(hit) } -> std::same_as<double>;
  // Whether a face is there, as seen along z.
  { geometry.has_face(kFrontFace, point_mm) } -> std::same_as<bool>;
  // Whether light that left by an edge may meet the panel again.
  { geometry.hollow() } -> std::same_as<bool>;
};

// To the other side of a surface, in its local frame.
inline Vec3 flipped(const Vec3& v) { return {v.x(), v.y(), -v.z()}; }

// Right-handed frame of a surface point with z along the outward normal. On the faces x is the
// panel's x; on an edge x runs along the outline, so y is the panel's z but for chamfers.
struct Frame {
  Vec3 x, y, z;

  Vec3 to_local(const Vec3& v) const { return {v.dot(x), v.dot(y), v.dot(z)}; }
  Vec3 to_world(const Vec3& v) const { return v.x() * x + v.y() * y + v.z() * z; }
};

// Any frame whose z is `axis`, where turns about it do not matter.
inline Frame frame_about(const Vec3& axis) {
  const Vec3 side = axis.unitOrthogonal();
  return {side, axis.cross(side), axis};
}

inline Frame face_frame(Side side) {
  const double out = side == Side::front ? 1.0 : -1.0;
  return {Vec3::UnitX(), Vec3(0.0, out, 0.0), Vec3(0.0, 0.0, out)};
}

inline Frame edge_frame(const Vec3& outward) {
  if (outward.z() != 0.0) {
    const Vec3 along = Vec3(-outward.y(), outward.x(), 0.0).normalized();
    return {along, outward.cross(along), outward};
  }
  return {Vec3(-outward.y(), outward.x(), 0.0), Vec3::UnitZ(), outward};
}

// The same for where a ray met the panel, without building the frame of a face or an upright edge.
inline Vec3 to_local(const Hit& hit, const Vec3& v) {
  if (hit.surface == kFrontFace) return v;
  if (hit.surface == kBackFace) return {v.x(), -v.y(), -v.z()};
  const Vec3& out = hit.normal;
  if (out.z() != 0.0) return edge_frame(out).to_local(v);
  return {v.y() * out.x() - v.x() * out.y(), v.z(), v.x() * out.x() + v.y() * out.y()};
}

inline Vec3 to_world(const Hit& hit, const Vec3& v) {
  if (hit.surface == kFrontFace) return v;
  if (hit.surface == kBackFace) return {v.x(), -v.y(), -v.z()};
  const Vec3& out = hit.normal;
  if (out.z() != 0.0) return edge_frame(out).to_world(v);
  return {v.z() * out.x() - v.x() * out.y(), v.x() * out.x() + v.z() * out.y(), v.y()};
}

}  // namespace rimeglow
