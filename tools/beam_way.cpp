#include "beam_way.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "units.h"

namespace rimeglow {
namespace {

// What the laser's files can say; ends as near as this are one.
constexpr double kOneEnd_mm = 1e-4;
constexpr double kAll = std::numeric_limits<double>::infinity();

// A moved piece, whole, and how much of it its neighbours cut away.
struct Stretch {
  OutlinePiece piece;
  double off_start_mm = 0.0;
  double off_end_mm = 0.0;

  // Below 1 where the neighbours leave nothing: the share of the way outward it lasts for.
  double lasts() const {
    const double off = off_start_mm + off_end_mm;
    return off > 0.0 ? (piece.length_mm - kOneEnd_mm) / off : kAll;
  }
};

// From one point of a piece's line or circle forward to another. A circle comes round again.
double way_along(const OutlinePiece& piece, const Vec2& from, const Vec2& to) {
  if (!piece.round()) return (to - from).dot(heading_at_start(piece));
  const Vec2 a = from - piece.centre_mm;
  const Vec2 b = to - piece.centre_mm;
  const double turn = std::atan2(cross(a, b), a.dot(b)) * (piece.radius_mm > 0.0 ? 1.0 : -1.0);
  const double way = std::abs(piece.radius_mm) * turn;
  return way < -kOneEnd_mm ? way + 2.0 * kPi * std::abs(piece.radius_mm) : way;
}

class BeamWay {
 public:
  BeamWay(std::span<const OutlinePiece> round, double outward_mm) : outward_mm_(outward_mm) {
    for (std::size_t i = 0; i < round.size(); ++i) {
      const OutlinePiece& next = round[(i + 1) % round.size()];
      add_moved(round[i]);
      if (parts(round[i], next)) add_arc_about(round[i], next);
    }
  }

  std::vector<OutlinePiece> way() {
    do cut_at_meetings();
    while (drop_what_is_gone());
    std::vector<OutlinePiece> pieces;
    for (const Stretch& stretch : ring_) pieces.push_back(what_is_left(stretch));
    return pieces;
  }

 private:
  Vec2 beside(const OutlinePiece& piece, const Vec2& point) const {
    const Vec2 along = point == piece.start_mm ? heading_at_start(piece) : heading_at_end(piece);
    return point + outward_mm_ * right_of(along);
  }

  // An arc hollow to the beam shrinks, and is gone when its radius is.
  void add_moved(const OutlinePiece& piece) {
    Stretch moved{piece};
    moved.piece.start_mm = beside(piece, piece.start_mm);
    moved.piece.end_mm = beside(piece, piece.end_mm);
    if (piece.round()) {
      moved.piece.radius_mm += outward_mm_;
      if (moved.piece.radius_mm * piece.radius_mm <= 0.0) return;
    }
    add(moved);
  }

  bool parts(const OutlinePiece& piece, const OutlinePiece& next) const {
    return outward_mm_ * cross(heading_at_end(piece), heading_at_start(next)) > 0.0;
  }

  void add_arc_about(const OutlinePiece& piece, const OutlinePiece& next) {
    Stretch arc;
    arc.piece.start_mm = beside(piece, piece.end_mm);
    arc.piece.end_mm = beside(next, next.start_mm);
    arc.piece.centre_mm = piece.end_mm;
    arc.piece.radius_mm = outward_mm_;
    if ((arc.piece.end_mm - arc.piece.start_mm).norm() > kOneEnd_mm) add(arc);
  }

  void add(Stretch& stretch) {
    stretch.piece.length_mm = length_of(stretch.piece);
    ring_.push_back(stretch);
  }

  void cut_at_meetings() {
    for (std::size_t i = 0; i < ring_.size(); ++i) meet(ring_[i], ring_[(i + 1) % ring_.size()]);
  }

  // Where neighbours cross, each is cut off; where they do not, one lies in the way of the other.
  void meet(Stretch& one, Stretch& next) const {
    one.off_end_mm = next.off_start_mm = 0.0;
    if ((next.piece.start_mm - one.piece.end_mm).norm() <= kOneEnd_mm) return;
    double least = kAll;
    for (const Vec2& point : crossings(one.piece, next.piece)) {
      const double off_end = way_along(one.piece, point, one.piece.end_mm);
      const double off_start = way_along(next.piece, next.piece.start_mm, point);
      if (std::min(off_end, off_start) < -kOneEnd_mm) continue;
      const double share =
          std::max(off_end / one.piece.length_mm, off_start / next.piece.length_mm);
      if (share >= least) continue;
      least = share;
      one.off_end_mm = std::max(0.0, off_end);
      next.off_start_mm = std::max(0.0, off_start);
    }
    if (least < kAll) return;
    (gives_way(one.piece, next.piece) ? one.off_end_mm : next.off_start_mm) = kAll;
  }

  // An arc that shrinks before all others, else the shorter.
  bool gives_way(const OutlinePiece& one, const OutlinePiece& next) const {
    const auto size = [&](const OutlinePiece& piece) {
      return piece.radius_mm * outward_mm_ < 0.0 ? std::abs(piece.radius_mm) : kAll;
    };
    if (size(one) != size(next)) return size(one) < size(next);
    return one.length_mm <= next.length_mm;
  }

  // Of neighbours that are gone, those that went first: without them the others may stay.
  bool drop_what_is_gone() {
    std::vector<Stretch> left;
    const std::size_t count = ring_.size();
    for (std::size_t i = 0; i < count; ++i) {
      const double lasts = ring_[i].lasts();
      const bool is_first = lasts <= ring_[(i + count - 1) % count].lasts() &&
                            lasts <= ring_[(i + 1) % count].lasts();
      if (lasts >= 1.0 || !is_first) left.push_back(ring_[i]);
    }
    if (left.size() < 2) left.clear();
    ring_.swap(left);
    return ring_.size() < count;
  }

  static OutlinePiece what_is_left(const Stretch& stretch) {
    OutlinePiece piece = stretch.piece;
    const double whole = piece.length_mm;
    piece.start_mm = point_on(stretch.piece, stretch.off_start_mm / whole);
    piece.end_mm = point_on(stretch.piece, 1.0 - stretch.off_end_mm / whole);
    piece.length_mm = whole - stretch.off_start_mm - stretch.off_end_mm;
    return piece;
  }

  double outward_mm_;
  std::vector<Stretch> ring_;
};

}  // namespace

std::vector<std::vector<OutlinePiece>> beam_ways(const Outline& outline, double outward_mm) {
  const std::span<const OutlinePiece> pieces = outline.pieces;
  std::vector<std::vector<OutlinePiece>> ways;
  std::size_t begin = 0;
  for (std::size_t i = 1; i <= pieces.size(); ++i) {
    if (i < pieces.size() && (pieces[i].start_mm - pieces[i - 1].end_mm).norm() < 1e-6) continue;
    ways.push_back(BeamWay(pieces.subspan(begin, i - begin), outward_mm).way());
    if (ways.back().empty()) ways.pop_back();
    begin = i;
  }
  return ways;
}

}  // namespace rimeglow
