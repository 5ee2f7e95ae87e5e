#include "sides_rim.h"

#include <algorithm>
#include <cmath>

namespace rimeglow {
namespace {

Cut cut_of(const Outline& outline, int edge, Side face) {
  const auto number = outline.chamfer_of(edge, face);
  if (!number) return {};
  const Chamfer& chamfer = *outline.edges[static_cast<std::size_t>(*number)].chamfer;
  return {chamfer.setback_mm, chamfer.depth_mm};
}

// How the cut at one face changes along a straight piece, where it does not, or along curves
// between two of them.
struct Taper {
  std::vector<std::pair<double, Cut>> knots;  // by the way from its begin

  Cut at(double way_mm) const {
    const auto after = std::find_if(knots.begin(), knots.end(),
                                    [&](const auto& knot) { return knot.first > way_mm; });
    if (after == knots.begin()) return after->second;
    if (after == knots.end()) return knots.back().second;
    const auto& [from, one] = *std::prev(after);
    const auto& [to, other] = *after;
    const double share = (way_mm - from) / (to - from);
    return {one.setback_mm + share * (other.setback_mm - one.setback_mm),
            one.depth_mm + share * (other.depth_mm - one.depth_mm)};
  }
};

bool joins_smoothly(const OutlinePiece& before, const OutlinePiece& after) {
  constexpr double kTurn = 1e-6;
  const Vec2 one = heading_at_end(before);
  const Vec2 other = heading_at_start(after);
  return one.dot(other) > 0.0 && std::abs(cross(one, other)) < kTurn;
}

// The cuts at one face all along a round. Curves take over the cut of the straight piece that they
// smoothly go on from; an edge that has curves only has its own cut in their middle.
class Cuts {
 public:
  Cuts(const Outline& outline, const Round& round, Side face)
      : outline_(outline), round_(round), face_(face), places_(round.size()) {
    std::size_t first = 0;
    while (first < round.size() && is_curve(piece(first))) ++first;
    if (first == round.size()) add_curves(0, round.size(), true);
    for (std::size_t k = 0; k < round.size() && first < round.size();) {
      std::size_t count = 0;
      while (is_curve(piece(first + k + count))) ++count;
      if (count > 0) {
        add_curves(first + k, count, false);
      } else {
        places_[(first + k) % round.size()] = {tapers_.size(), 0.0};
        tapers_.push_back({{{0.0, cut(first + k)}}});
        count = 1;
      }
      k += count;
    }
  }

  Cut at(std::size_t index, double share) const {
    const Place& place = places_[index % round_.size()];
    return tapers_[place.taper].at(place.begin_mm + share * piece(index).length_mm);
  }

 private:
  struct Place {
    std::size_t taper = 0;
    double begin_mm = 0.0;
  };

  const OutlinePiece& piece(std::size_t index) const {
    return piece_at(outline_, round_[index % round_.size()]);
  }
  Cut cut(std::size_t index) const { return cut_of(outline_, piece(index).edge, face_); }

  void add_curves(std::size_t first, std::size_t count, bool all_round) {
    struct CurvedPart {  // of one edge
      int edge;
      double begin_mm, end_mm;
    };
    std::vector<CurvedPart> parts;
    double way_mm = 0.0;
    for (std::size_t k = 0; k < count; ++k) {
      const OutlinePiece& here = piece(first + k);
      places_[(first + k) % round_.size()] = {tapers_.size(), way_mm};
      if (parts.empty() || parts.back().edge != here.edge)
        parts.push_back({here.edge, way_mm, 0.0});
      way_mm += here.length_mm;
      parts.back().end_mm = way_mm;
    }
    Taper taper;
    const auto middle_of = [&](const CurvedPart& part) {
      return 0.5 * (part.begin_mm + part.end_mm);
    };
    const auto add_middle = [&](const CurvedPart& part, double moved_mm) {
      taper.knots.emplace_back(middle_of(part) + moved_mm, cut_of(outline_, part.edge, face_));
    };
    if (all_round) {
      add_middle(parts.back(), -way_mm);
      for (const CurvedPart& part : parts) add_middle(part, 0.0);
      add_middle(parts.front(), way_mm);
    } else {
      const std::size_t last = first + count - 1;
      const OutlinePiece& before = piece(first + round_.size() - 1);
      const OutlinePiece& after = piece(last + 1);
      const bool from_before = joins_smoothly(before, piece(first));
      const bool to_after = joins_smoothly(piece(last), after);
      taper.knots.emplace_back(0.0, cut(from_before ? first + round_.size() - 1 : first));
      for (const CurvedPart& part : parts) {
        const bool at_begin = &part == &parts.front() && (!from_before || part.edge == before.edge);
        const bool at_end = &part == &parts.back() && (!to_after || part.edge == after.edge);
        if (!at_begin && !at_end) add_middle(part, 0.0);
      }
      taper.knots.emplace_back(way_mm, cut(to_after ? last + 1 : last));
    }
    tapers_.push_back(std::move(taper));
  }

  const Outline& outline_;
  const Round& round_;
  Side face_;
  std::vector<Taper> tapers_;
  std::vector<Place> places_;  // by piece of the round
};

// Where lines set back from two pieces meet, seen from where the pieces do.
Vec2 set_back(const Vec2& normal, double setback_mm, const Vec2& other, double other_mm) {
  const double turn = cross(normal, other);
  constexpr double kStraightOn = 1e-9;
  if (std::abs(turn) < kStraightOn) return -0.5 * (setback_mm + other_mm) * normal;
  return Vec2(-setback_mm * other.y() + other_mm * normal.y(),
              setback_mm * other.x() - other_mm * normal.x()) /
         turn;
}

// The deeper of two chamfers that meet cuts into the wall beside it: their line runs from the
// corner over that wall to where the shallower begins, and on to the face.
void end_sides(Corner& corner, std::size_t face, double thickness_mm, double beyond_mm) {
  const Cut one = corner.before.cuts[face];
  const Cut other = corner.after.cuts[face];
  const bool before_deeper = one.depth_mm >= other.depth_mm;
  const Flank& deep_flank = before_deeper ? corner.before : corner.after;
  const Flank& flat_flank = before_deeper ? corner.after : corner.before;
  const Cut deep = before_deeper ? one : other;
  const Cut flat = before_deeper ? other : one;
  const auto place = [&](const Vec2& moved, double depth_mm) {
    const Vec2 at = corner.point_mm + moved;
    return Vec3(at.x(), at.y(), face == 1 ? thickness_mm - depth_mm : depth_mm);
  };
  std::vector<Vec3> line = {place(Vec2::Zero(), deep.depth_mm)};
  const bool parted = flat.depth_mm > 0.0 && flat.depth_mm < deep.depth_mm;
  if (parted) {
    const double reached = deep.setback_mm * (1.0 - flat.depth_mm / deep.depth_mm);
    line.push_back(
        place(set_back(deep_flank.normal, reached, flat_flank.normal, 0.0), flat.depth_mm));
  }
  const Vec3 below = line.back();
  const double left_mm = parted ? flat.depth_mm : deep.depth_mm;
  Vec3 at_face =
      place(set_back(deep_flank.normal, deep.setback_mm, flat_flank.normal, flat.setback_mm), 0.0);
  if (left_mm > 0.0) {
    at_face += (at_face - below) * (beyond_mm / left_mm);
    line.push_back(at_face);
  } else {
    line.back().z() += face == 1 ? beyond_mm : -beyond_mm;
  }
  const bool alike = deep.depth_mm == flat.depth_mm;
  for (Flank* flank : {&corner.before, &corner.after}) {
    const bool is_deep = alike || flank == &deep_flank;
    const std::size_t wall_end = is_deep ? 1 : std::min<std::size_t>(2, line.size());
    flank->walls[face].assign(line.begin(), line.begin() + static_cast<long>(wall_end));
    flank->chamfers[face].assign(line.begin() + static_cast<long>(wall_end) - 1, line.end());
  }
}

int facets_of(const OutlinePiece& piece, double sagitta_mm) {
  if (!piece.round()) return 1;
  const double radius = std::abs(piece.radius_mm);
  const double turn = 2.0 * std::acos(std::max(0.0, 1.0 - sagitta_mm / radius));
  if (turn == 0.0) return 1;  // so wide an arc that its sagitta is lost in rounding
  return std::max(1, static_cast<int>(std::ceil(piece.length_mm / radius / turn)));
}

// The chamfer that a piece's cut at a face counts to: its edge's, or, where one tapers off into an
// edge that has none, the nearest along the round. -1 where nothing is cut.
int chamfer_along(const Outline& outline, const Round& round, const Cuts& cuts, std::size_t index,
                  Side face) {
  if (cuts.at(index, 0.0).depth_mm + cuts.at(index, 0.5).depth_mm + cuts.at(index, 1.0).depth_mm ==
      0.0) {
    return -1;
  }
  for (std::size_t away = 0; away < round.size(); ++away) {
    for (const std::size_t place : {index + away, index + round.size() - away}) {
      const int edge = piece_at(outline, round[place % round.size()]).edge;
      if (const auto chamfer = outline.chamfer_of(edge, face)) return *chamfer;
    }
  }
  return -1;
}

}  // namespace

std::vector<Round> rounds_of(const Outline& outline) {
  constexpr double kClosed_mm = 1e-9;
  std::vector<Round> rounds(1);
  Vec2 first = Vec2::Zero();
  for (std::size_t i = 0; i < outline.pieces.size(); ++i) {
    const OutlinePiece& piece = outline.pieces[i];
    if (rounds.back().empty()) first = piece.start_mm;
    if (piece.start_mm != piece.end_mm) rounds.back().push_back(static_cast<int>(i));
    if ((piece.end_mm - first).norm() < kClosed_mm && rounds.back().size() > 1)
      rounds.emplace_back();
  }
  rounds.pop_back();
  return rounds;
}

Rim rim_along(const Outline& outline, const Round& round, double thickness_mm, double sagitta_mm,
              double beyond_mm) {
  const Cuts back(outline, round, Side::back);
  const Cuts front(outline, round, Side::front);
  Rim rim;
  for (std::size_t i = 0; i < round.size(); ++i) {
    const OutlinePiece& piece = piece_at(outline, round[i]);
    const OutlinePiece& before = piece_at(outline, round[(i + round.size() - 1) % round.size()]);
    const Stretch stretch{round[i],
                          {chamfer_along(outline, round, back, i, Side::back),
                           chamfer_along(outline, round, front, i, Side::front)},
                          nullptr,
                          nullptr};
    const int count = facets_of(piece, sagitta_mm);
    for (int k = 0; k < count; ++k) {
      const double share = static_cast<double>(k) / count;
      Corner corner;
      corner.point_mm = k == 0 ? piece.start_mm : point_on(piece, share);
      corner.after.cuts = {back.at(i, share), front.at(i, share)};
      if (k == 0) {
        corner.after.normal = right_of(heading_at_start(piece));
        corner.before.normal = right_of(heading_at_end(before));
        const std::size_t previous = i + round.size() - 1;
        corner.before.cuts = {back.at(previous, 1.0), front.at(previous, 1.0)};
      } else {
        const Vec2 away = (corner.point_mm - piece.centre_mm) / piece.radius_mm;
        corner.after.normal = corner.before.normal = away;
        corner.before.cuts = corner.after.cuts;
      }
      for (const std::size_t face : kBothFaces) end_sides(corner, face, thickness_mm, beyond_mm);
      rim.corners.push_back(std::move(corner));
      rim.stretches.push_back(stretch);
    }
  }
  for (std::size_t k = 0; k < rim.corners.size(); ++k) {
    rim.stretches[k].from = &rim.corners[k];
    rim.stretches[k].to = &rim.corners[(k + 1) % rim.corners.size()];
  }
  return rim;
}

}  // namespace rimeglow
