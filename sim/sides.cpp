#include "sides.h"

#include <algorithm>
#include <cmath>

#include "outline_building.h"
#include "quantity.h"
#include "sides_rim.h"

namespace rimeglow {
namespace {

// Triangles between two lines that both run from low to high.
void fill_between(const std::vector<Vec3>& left, const std::vector<Vec3>& right,
                  const SideFacet& like, std::vector<SideFacet>& out) {
  constexpr double kLeast_mm2 = 1e-12;
  std::size_t i = 0, j = 0;
  while (i + 1 < left.size() || j + 1 < right.size()) {
    const bool on_left =
        j + 1 == right.size() ||
        (i + 1 < left.size() && std::abs(left[i + 1].z() - left.front().z()) <=
                                    std::abs(right[j + 1].z() - right.front().z()));
    SideFacet facet = like;
    facet.corners_mm = {left[i], right[j], on_left ? left[i + 1] : right[j + 1]};
    ++(on_left ? i : j);
    const Vec3 across = (facet.corners_mm[1] - facet.corners_mm[0])
                            .cross(facet.corners_mm[2] - facet.corners_mm[0]);
    if (across.norm() < kLeast_mm2) continue;
    if (facet.normal == Vec3::Zero()) {
      const Vec2 ahead = (right.front() - left.front()).head<2>();
      facet.normal = across.normalized();
      if (facet.normal.head<2>().dot(right_of(ahead)) < 0.0) facet.normal = -facet.normal;
    }
    out.push_back(facet);
  }
}

void add_stretch(const Outline& outline, const Stretch& stretch, std::vector<SideFacet>& out) {
  const OutlinePiece& piece = piece_at(outline, stretch.piece);
  const Flank& from = stretch.from->after;
  const Flank& to = stretch.to->before;
  const Vec2 level = right_of((stretch.to->point_mm - stretch.from->point_mm).normalized());
  const auto wall_end = [](const Flank& flank) {
    std::vector<Vec3> line(flank.walls[0].rbegin(), flank.walls[0].rend());
    line.insert(line.end(), flank.walls[1].begin(), flank.walls[1].end());
    return line;
  };
  SideFacet wall;
  wall.normal = Vec3(level.x(), level.y(), 0.0);
  wall.edge = piece.edge;
  wall.piece = stretch.piece;
  fill_between(wall_end(from), wall_end(to), wall, out);
  for (const std::size_t face : kBothFaces) {
    if (stretch.chamfers[face] < 0) continue;
    SideFacet facet;
    facet.edge = stretch.chamfers[face];
    facet.piece = stretch.piece;
    const Chamfer& chamfer = *outline.edges[static_cast<std::size_t>(facet.edge)].chamfer;
    if (!is_curve(piece) && chamfer.of == piece.edge) {
      facet.normal = chamfer.normal(wall.normal);
    }
    fill_between(from.chamfers[face], to.chamfers[face], facet, out);
  }
}

constexpr double kRounding_mm = 1e-9;
constexpr double kLeastLeft_mm = 1e-4;  // that a chamfer may leave of a piece

Vec2 at_face(const Flank& flank, std::size_t face) { return flank.chamfers[face].back().head<2>(); }

// The deepest cuts at both faces of a corner.
double deepest_mm(const Corner& corner) {
  const auto depth = [&](std::size_t face) {
    return std::max(corner.before.cuts[face].depth_mm, corner.after.cuts[face].depth_mm);
  };
  return depth(0) + depth(1);
}

Problem too_deep(const std::string& edge, double depth_mm, double thickness_mm) {
  return {"edges." + edge, 0,
          "its chamfers, or its neighbours', cut " + length_text(depth_mm) + " deep into " +
              length_text(thickness_mm) + " of acrylic",
          "make the two depths together no more than the thickness; a chamfer is as deep as it is "
          "set back at 45 deg"};
}

int widest_chamfer(const Outline& outline) {
  int widest = -1;
  double most_mm = 0.0;
  for (std::size_t e = 0; e < outline.edges.size(); ++e) {
    const auto& chamfer = outline.edges[e].chamfer;
    if (!chamfer || chamfer->setback_mm <= most_mm) continue;
    most_mm = chamfer->setback_mm;
    widest = static_cast<int>(e);
  }
  return widest;
}

// Of the chamfer that is this edge, or, below 0, of the widest.
Problem too_far_back(const Outline& outline, int edge) {
  const Chamfer& chamfer =
      *outline.edges[static_cast<std::size_t>(edge < 0 ? widest_chamfer(outline) : edge)].chamfer;
  return {
      "edges." + outline.edges[static_cast<std::size_t>(chamfer.of)].name, 0,
      "a chamfer set back by " + length_text(chamfer.setback_mm) + " does not fit the outline",
      "set it back less than corner radii, short pieces and narrow places of the outline allow, "
      "and cut alike edges that go on from one another"};
}

}  // namespace

std::vector<SideFacet> side_facets(const Outline& outline, double thickness_mm, double sagitta_mm,
                                   double beyond_mm) {
  std::vector<SideFacet> facets;
  for (const Round& round : rounds_of(outline)) {
    const Rim rim = rim_along(outline, round, thickness_mm, sagitta_mm, beyond_mm);
    for (const Stretch& stretch : rim.stretches) add_stretch(outline, stretch, facets);
  }
  return facets;
}

Outline face_outline(const Outline& outline, Side side, double sagitta_mm) {
  const std::size_t face = side == Side::front ? 1 : 0;
  const bool cut = std::any_of(outline.edges.begin(), outline.edges.end(), [&](const auto& edge) {
    return edge.chamfer && edge.chamfer->face == side;
  });
  if (!cut) return outline;
  Outline left = empty_outline(outline.size_mm);
  left.edges.resize(std::max(left.edges.size(), outline.edges.size()));
  left.holes = outline.holes;
  for (const Round& round : rounds_of(outline)) {
    for (const Stretch& stretch : rim_along(outline, round, 0.0, sagitta_mm, 0.0).stretches) {
      OutlinePiece piece =
          straight(at_face(stretch.from->after, face), at_face(stretch.to->before, face));
      piece.edge = piece_at(outline, stretch.piece).edge;
      append(left, piece);
    }
  }
  return left;
}

std::array<double, 2> cut_from_seat_mm(const Outline& outline, int edge) {
  const auto seat = outline.edges[static_cast<std::size_t>(edge)].seat;
  for (const Round& round : rounds_of(outline)) {
    for (const Stretch& stretch : rim_along(outline, round, 0.0, 1.0, 0.0).stretches) {
      if (!seat || stretch.piece != static_cast<int>(*seat)) continue;
      const Vec2 along = heading_at_start(piece_at(outline, stretch.piece));
      std::array<double, 2> cut = {0.0, 0.0};
      for (const std::size_t face : kBothFaces) {
        cut[0] = std::max(cut[0],
                          along.dot(at_face(stretch.from->after, face) - stretch.from->point_mm));
        cut[1] =
            std::max(cut[1], along.dot(stretch.to->point_mm - at_face(stretch.to->before, face)));
      }
      return cut;
    }
  }
  return {0.0, 0.0};
}

std::vector<Problem> check_chamfers(const Outline& outline, double thickness_mm) {
  if (!outline.chamfered()) return {};
  std::array<std::vector<OutlinePiece>, 2> left;  // of the faces
  std::vector<std::size_t> begins;
  double deepest = 0.0;
  std::string deepest_at;
  std::optional<Problem> beyond;
  for (const Round& round : rounds_of(outline)) {
    begins.push_back(left[0].size());
    const Rim rim = rim_along(outline, round, thickness_mm, kCoarseSagitta_mm, 0.0);
    for (const Stretch& stretch : rim.stretches) {
      const OutlinePiece& piece = piece_at(outline, stretch.piece);
      if (deepest_mm(*stretch.from) > deepest) {
        deepest = deepest_mm(*stretch.from);
        deepest_at = outline.edges[static_cast<std::size_t>(piece.edge)].name;
      }
      const Vec2 ahead = (stretch.to->point_mm - stretch.from->point_mm).normalized();
      for (const std::size_t face : kBothFaces) {
        OutlinePiece rest =
            straight(at_face(stretch.from->after, face), at_face(stretch.to->before, face));
        rest.length_mm = length_of(rest);
        rest.edge = piece.edge;
        if ((rest.end_mm - rest.start_mm).dot(ahead) < kLeastLeft_mm && !beyond) {
          beyond = too_far_back(outline, stretch.chamfers[face]);
        }
        left[face].push_back(rest);
      }
    }
  }
  if (deepest > thickness_mm + kRounding_mm) return {too_deep(deepest_at, deepest, thickness_mm)};
  if (beyond) return {*beyond};
  for (const auto& pieces : left) {
    if (first_touch(pieces, begins)) return {too_far_back(outline, widest_chamfer(outline))};
  }
  return {};
}

}  // namespace rimeglow
