// Where pieces of an outline cross or touch: part of outline_building.h.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "outline_building.h"

namespace rimeglow {
namespace {

constexpr double kOnPiece_mm = 1e-7;
// Pieces of one line may come this near one another, where its corners are sharp.
constexpr double kTouch_mm = 1e-4;
// So far along the line from one another they are near by nature.
constexpr double kNeighbours_mm = kLeastClearance_mm;

bool is_on(const OutlinePiece& piece, const Vec2& point) {
  return (nearest_on(piece, point) - point).norm() < kOnPiece_mm;
}

// Where two pieces come nearest, and how near; by their ends, their crossings, and for arcs the
// points toward and away from the other's centre.
struct Nearness {
  double apart_mm = 1e300;
  Vec2 place_mm = Vec2::Zero();
};

Nearness nearness(const OutlinePiece& a, const OutlinePiece& b) {
  Nearness nearest;
  const auto consider = [&](const Vec2& of_a) {
    const Vec2 of_b = nearest_on(b, of_a);
    const double apart = (of_a - of_b).norm();
    if (apart < nearest.apart_mm) nearest = {apart, of_a};
  };
  for (const Vec2& point : {a.start_mm, a.end_mm}) consider(point);
  for (const Vec2& point : {b.start_mm, b.end_mm}) consider(nearest_on(a, point));
  for (const Vec2& point : crossings(a, b)) {
    if (is_on(a, point)) consider(point);
  }
  if (a.round()) consider(nearest_on(a, nearest_on(b, a.centre_mm)));
  if (b.round()) consider(nearest_on(a, b.centre_mm));
  if (a.round() && b.round() && a.centre_mm != b.centre_mm) {
    const Vec2 away = (b.centre_mm - a.centre_mm).normalized();
    consider(nearest_on(a, b.centre_mm + std::abs(b.radius_mm) * away));
    consider(nearest_on(a, a.centre_mm - std::abs(a.radius_mm) * away));
  }
  return nearest;
}

// Neighbours share an end; they may meet nowhere else.
std::optional<Vec2> second_meeting(const OutlinePiece& a, const OutlinePiece& b) {
  for (const Vec2& point : crossings(a, b)) {
    if (!is_on(a, point) || !is_on(b, point)) continue;
    const auto is_end = [&](const Vec2& end) { return (point - end).norm() < kTouch_mm; };
    const bool shared =
        (is_end(a.end_mm) && is_end(b.start_mm)) || (is_end(a.start_mm) && is_end(b.end_mm));
    if (!shared) return point;
  }
  return std::nullopt;
}

Eigen::AlignedBox2d reach_of(const OutlinePiece& piece) {
  const Vec2 beyond =
      Vec2::Constant(kLeastClearance_mm + (piece.round() ? 0.5 * piece.length_mm : 0.0));
  return {piece.start_mm.cwiseMin(piece.end_mm) - beyond,
          piece.start_mm.cwiseMax(piece.end_mm) + beyond};
}

class Toucher {
 public:
  Toucher(const std::vector<OutlinePiece>& pieces, const std::vector<std::size_t>& begins)
      : pieces_(pieces) {
    for (std::size_t line = 0; line < begins.size(); ++line) {
      const std::size_t end = line + 1 < begins.size() ? begins[line + 1] : pieces.size();
      double along = 0.0;
      for (std::size_t i = begins[line]; i < end; ++i) {
        places_.push_back({line, begins[line], end, along});
        along += pieces[i].length_mm;
      }
      lengths_.push_back(along);
    }
  }

  std::optional<Touch> touch(std::size_t i, std::size_t j) const {
    const OutlinePiece& a = pieces_[i];
    const OutlinePiece& b = pieces_[j];
    const bool of_two_lines = places_[i].line != places_[j].line;
    if (!of_two_lines && (next(i) == j || next(j) == i)) {
      if (const auto point = second_meeting(a, b)) return Touch{*point, false};
      return std::nullopt;
    }
    const Nearness near = nearness(a, b);
    if (!of_two_lines && near.apart_mm > 0.0 && way_between(i, j) < kNeighbours_mm) {
      return std::nullopt;
    }
    if (near.apart_mm >= (of_two_lines ? kLeastClearance_mm : kTouch_mm)) return std::nullopt;
    return Touch{near.place_mm, of_two_lines};
  }

 private:
  struct Place {
    std::size_t line, begin, end;
    double along_mm;
  };

  std::size_t next(std::size_t i) const {
    return i + 1 == places_[i].end ? places_[i].begin : i + 1;
  }

  // Along the line from the end of one piece to the start of the other, the shorter way.
  double way_between(std::size_t i, std::size_t j) const {
    const auto from = [&](std::size_t a, std::size_t b) {
      const double way = places_[b].along_mm - places_[a].along_mm - pieces_[a].length_mm;
      return way < -1e-9 ? way + lengths_[places_[a].line] : way;
    };
    return std::min(from(i, j), from(j, i));
  }

  const std::vector<OutlinePiece>& pieces_;
  std::vector<Place> places_;
  std::vector<double> lengths_;
};

}  // namespace

// Sweeps from left to right over the pieces' boxes.
std::optional<Touch> first_touch(const std::vector<OutlinePiece>& pieces,
                                 const std::vector<std::size_t>& begins) {
  const Toucher toucher(pieces, begins);
  std::vector<Eigen::AlignedBox2d> reach;
  for (const OutlinePiece& piece : pieces) reach.push_back(reach_of(piece));
  std::vector<std::size_t> order(pieces.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return reach[a].min().x() < reach[b].min().x(); });
  for (std::size_t k = 0; k < order.size(); ++k) {
    const auto& here = reach[order[k]];
    for (std::size_t m = k + 1; m < order.size(); ++m) {
      const auto& there = reach[order[m]];
      if (there.min().x() > here.max().x()) break;
      if (!here.intersects(there)) continue;
      if (const auto touch = toucher.touch(order[k], order[m])) return touch;
    }
  }
  return std::nullopt;
}

}  // namespace rimeglow
