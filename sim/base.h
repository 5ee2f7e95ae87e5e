// The base a lit edge stands in: LED package, board and slot as one cavity between the plane of the
// LEDs and the edge, of one diffuse reflectance. What leaves the edge, misses it or is thrown back
// by it meets the cavity's walls, some of it again and again, and may find its way back in.
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "finish.h"
#include "model.h"
#include "sampling.h"

namespace rimeglow {

// Light that meets this many walls of the base has lost all but 1e-5 of its chance even at the
// greatest reflectance that a scene may say, 0.98.
inline constexpr int kMostBaseBounces = 600;

inline bool reflects(const Base& base) { return base.wall > 0.0; }

// The lamp that lights this edge; none for others.
inline const LedRow* lamp_at(const Model& model, int edge) {
  for (const LedRow& row : model.lamps) {
    if (row.edge == edge) return &row;
  }
  return nullptr;
}

// The lamp whose base takes the light that leaves an edge there: at the piece where the LEDs stand,
// and beside it as deep as the slot is. None for others.
inline const LedRow* base_at(const Model& model, const Hit& hit) {
  const LedRow* const row = lamp_at(model, hit.surface - kFirstEdge);
  if (row == nullptr) return nullptr;
  const OutlineEdge& edge = model.outline.edges[static_cast<std::size_t>(row->edge)];
  const double above_mm = row->above_edge_mm(hit.position_mm.head<2>());
  const bool at_seat = edge.seat == static_cast<std::size_t>(hit.piece);
  return at_seat || above_mm < model.base.slot_depth_mm ? row : nullptr;
}

// Whether a point of a face lies in the slot of a lit edge.
inline bool in_slot(const Model& model, const Vec2& point_mm) {
  return std::any_of(model.lamps.begin(), model.lamps.end(), [&](const LedRow& row) {
    return row.above_edge_mm(point_mm) < model.base.slot_depth_mm;
  });
}

// What each meeting with a face there costs light: the touching share's absorption.
inline double kept_by_contact(const Base& base) { return base.contact * (1.0 - base.wall); }

// The base's frame: x along the edge, y across the sheet, z into the panel.
inline Frame base_frame(const LedRow& row) {
  const Vec3 along(row.along.x(), row.along.y(), 0.0);
  const Vec3 inward(row.inward().x(), row.inward().y(), 0.0);
  return {along, inward.cross(along), inward};
}

// A cavity in the base's frame, y from the sheet's middle, z from the LEDs' plane, at -gap, to the
// edge, at 0. As wide as the sheet or the LEDs, as long as you like.
struct Cavity {
  double gap_mm;
  double half_width_mm;
  double walls_mm;  // about its section but for the edge

  Cavity(const LedRow& row, double thickness_mm)
      : gap_mm(row.gap_mm),
        half_width_mm(0.5 * std::max(thickness_mm, row.emitter_mm.y())),
        walls_mm(4.0 * half_width_mm + 2.0 * gap_mm - thickness_mm) {}

  // To the wall ahead, and its inward normal. Upward light through z = 0 meets the edge's plane.
  struct Wall {
    double distance_mm;
    Vec3 inward;
  };
  Wall ahead(const Vec3& point, const Vec3& direction) const {
    constexpr double kNever = std::numeric_limits<double>::infinity();
    const bool up = direction.z() > 0.0;
    const double to_plane = direction.z() == 0.0
                                ? kNever
                                : std::max(0.0, ((up ? 0.0 : -gap_mm) - point.z()) / direction.z());
    const bool left = direction.y() < 0.0;
    const double side = left ? -half_width_mm : half_width_mm;
    const double to_side =
        direction.y() == 0.0 ? kNever : std::max(0.0, (side - point.y()) / direction.y());
    if (to_plane <= to_side) return {to_plane, Vec3(0.0, 0.0, up ? -1.0 : 1.0)};
    return {to_side, Vec3(0.0, left ? 1.0 : -1.0, 0.0)};
  }
};

// Light in the base of `row` at `point` along `direction`, in world coordinates: where and whither
// it enters the edge, or none when the base keeps it. Takes an event for every wall it meets.
inline std::optional<Ray> through_base(const Model& model, const LedRow& row, const Ray& ray,
                                       Draws& draws) {
  const Frame frame = base_frame(row);
  const Vec3 origin(row.centre_mm.x(), row.centre_mm.y(), 0.5 * model.thickness_mm);
  const Finish& edge = model.edge_finish[static_cast<std::size_t>(row.edge)];
  const OutlinePiece line = *straight_piece(model.outline, row.edge);
  const double from_mm = (line.start_mm - row.centre_mm).dot(row.along) + row.cut_mm[0];
  const double to_mm = from_mm + line.length_mm - row.cut_mm[0] - row.cut_mm[1];
  const Cavity cavity(row, model.thickness_mm);

  Vec3 point = frame.to_local(ray.origin_mm - origin);
  Vec3 direction = frame.to_local(ray.direction);
  for (int bounce = 0; bounce < kMostBaseBounces; ++bounce) {
    const Cavity::Wall wall = cavity.ahead(point, direction);
    point += wall.distance_mm * direction;
    const bool at_edge = wall.inward.z() < 0.0 && std::abs(point.y()) < 0.5 * model.thickness_mm &&
                         point.x() >= from_mm && point.x() <= to_mm;
    draws.next_event();
    if (at_edge) {
      // The edge's outward normal points down here; its frame has x along the edge, y the panel's
      // z.
      const Vec3 world = frame.to_world(direction);
      const Frame outside = edge_frame(-frame.z);
      const Outcome outcome = interact(edge, model.sheet.index, outside.to_local(world), draws);
      const Vec3 whither = outside.to_world(outcome.direction);
      if (outcome.fate == Fate::absorbed) return std::nullopt;
      if (outcome.fate == Fate::transmitted) return Ray{origin + frame.to_world(point), whither};
      direction = frame.to_local(whither);
      continue;
    }
    const Uniforms& u = draws.at(kDiffuseDraws);
    if (u[0] >= model.base.wall) return std::nullopt;
    direction = frame_about(wall.inward).to_world(sample_lambertian(u[1], u[2]));
  }
  return std::nullopt;
}

}  // namespace rimeglow
