#include "prism.h"

#include <algorithm>

namespace rimeglow {
namespace {

// Which side of the outline's box a straight piece lies on: 0..3 for -x, +x, -y, +y.
std::optional<std::size_t> box_side(const OutlinePiece& piece, const Vec2& size_mm) {
  if (piece.round()) return std::nullopt;
  const auto both = [&](int axis, double at) {
    return piece.start_mm[axis] == at && piece.end_mm[axis] == at;
  };
  if (both(0, 0.0)) return 0;
  if (both(0, size_mm.x())) return 1;
  if (both(1, 0.0)) return 2;
  if (both(1, size_mm.y())) return 3;
  return std::nullopt;
}

}  // namespace

Prism::Prism(const Outline& outline, double thickness_mm, double index, BareFaces bare)
    : walls_(outline),
      hollow_(!is_convex(outline)),
      size_mm_{outline.size_mm.x(), outline.size_mm.y()},
      thickness_mm_(thickness_mm),
      cos_critical_(critical_cosine(index)),
      bare_{bare.back, bare.front} {
  for (const OutlinePiece& piece : outline.pieces) {
    if (const auto side = box_side(piece, outline.size_mm)) {
      const int along = *side < 2 ? 1 : 0;
      const auto [low, high] = std::minmax(piece.start_mm[along], piece.end_mm[along]);
      BoxWall& longest = ways_in_[*side];
      if (high - low > std::max(0.0, longest.high_mm - longest.low_mm)) {
        longest = {static_cast<int>(edge_of_.size()), low, high};
      }
    }
    edge_of_.push_back(piece.edge);
  }
  if (!hollow_) ways_out_ = ways_in_;
}

Walls::Ahead Prism::wall_outside(const Vec3& point, const Vec3& direction) const {
  // The side of the box by which the ray comes in is the last that it passes.
  double latest = -kNever;
  int axis = 0;
  for (const int k : {0, 1}) {
    const double side = direction[k] > 0.0 ? 0.0 : size_mm_[static_cast<std::size_t>(k)];
    const double distance = direction[k] == 0.0 ? -kNever : (side - point[k]) / direction[k];
    if (distance > latest) {
      latest = distance;
      axis = k;
    }
  }
  if (latest >= 0.0) {
    const auto at_side = through(ways_in_, axis, direction[axis] < 0.0, latest, point, direction);
    if (at_side) return *at_side;
  }
  return walls_.way_in(point.head<2>(), direction.head<2>());
}

std::optional<Hit> Prism::meet_from_outside(const Ray& ray) const {
  const Walls::Ahead ahead = wall_outside(ray.origin_mm, ray.direction);
  if (ahead.piece < 0) return std::nullopt;
  const Vec3 position = ray.origin_mm + ahead.distance_mm * ray.direction;
  if (position.z() < 0.0 || position.z() > thickness_mm_) return std::nullopt;
  return wall_hit(ahead, position);
}

}  // namespace rimeglow
