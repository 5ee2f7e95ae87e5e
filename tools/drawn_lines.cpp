#include "drawn_lines.h"

#include <algorithm>
#include <cmath>

#include "art_source.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr double kAlike = 1e-6;  // of both scales of a transform, and of both radii
constexpr double kMostSteps = 1e6;

// Lengths and angles keep their proportions.
bool keeps_circles(const Eigen::Matrix2d& linear) {
  const Vec2 x = linear.col(0);
  const Vec2 y = linear.col(1);
  const double squared = x.squaredNorm();
  return std::abs(x.dot(y)) < kAlike * squared &&
         std::abs(y.squaredNorm() - squared) < kAlike * squared;
}

// Centre and angles of an SVG arc (SVG 2, B.2.4): x = centre + axes * (cos, sin).
struct Ellipse {
  Vec2 centre;
  Eigen::Matrix2d axes;
  double from_rad, turn_rad;

  Vec2 at(double share) const {
    const double angle = from_rad + share * turn_rad;
    return centre + axes * Vec2(std::cos(angle), std::sin(angle));
  }
};

Ellipse ellipse_of(const Vec2& from, const PathStep& arc) {
  const Eigen::Rotation2Dd turned(radians(arc.turned_deg));
  const Vec2 half = turned.inverse() * Vec2(0.5 * (from - arc.to));
  Vec2 radii = arc.radii;
  const double reach = half.cwiseQuotient(radii).squaredNorm();
  if (reach > 1.0) radii *= std::sqrt(reach);  // too small to reach: made just large enough
  const double rest = std::max(0.0, 1.0 / std::min(reach, 1.0) - 1.0);
  const double side = arc.long_way == arc.clockwise ? -1.0 : 1.0;
  const Vec2 unit = half.cwiseQuotient(radii);
  const Vec2 aside = side * (reach > 1.0 ? 0.0 : std::sqrt(rest)) * right_of(unit);
  Ellipse ellipse;
  ellipse.centre = turned * Vec2(aside.cwiseProduct(radii)) + 0.5 * (from + arc.to);
  ellipse.axes = turned.toRotationMatrix() * radii.asDiagonal();
  const Vec2 first = unit - aside;
  const Vec2 last = -unit - aside;
  ellipse.from_rad = std::atan2(first.y(), first.x());
  ellipse.turn_rad = std::atan2(cross(first, last), first.dot(last));
  if (arc.clockwise && ellipse.turn_rad < 0.0) ellipse.turn_rad += 2.0 * kPi;
  if (!arc.clockwise && ellipse.turn_rad > 0.0) ellipse.turn_rad -= 2.0 * kPi;
  return ellipse;
}

}  // namespace

void DrawnLines::add(const std::vector<PathStep>& steps, const Eigen::Affine2d& to_mm) {
  to_mm_ = to_mm;
  for (const PathStep& step : steps) {
    if (step.kind == PathStep::Kind::move) {
      finish();
      begin_ = step.to;
    } else if (step.kind == PathStep::Kind::close) {
      line_to(to_mm_ * begin_, false);
    } else {
      follow(step);
    }
    here_ = step.to;
  }
  finish();
}

// Drawing programs write straight lines as curves whose control points lie between their ends.
bool DrawnLines::is_straight(const PathStep& step) const {
  if (step.kind != PathStep::Kind::quadratic && step.kind != PathStep::Kind::cubic) return false;
  const Vec2 from = to_mm_ * here_;
  const Vec2 chord = to_mm_ * step.to - from;
  const std::size_t controls = step.kind == PathStep::Kind::cubic ? 2 : 1;
  return std::all_of(step.control.begin(), step.control.begin() + controls, [&](const Vec2& point) {
    const Vec2 to_point = to_mm_ * point - from;
    const double along = to_point.dot(chord);
    return std::abs(cross(chord, to_point)) <= 1e-3 * kFlat_mm * chord.norm() && along >= 0.0 &&
           along <= chord.squaredNorm();
  });
}

void DrawnLines::follow(const PathStep& step) {
  const Vec2 a = here_;
  const Vec2 b = step.control[0];
  const Vec2 d = step.to;
  // A curve strays from its chord over a parameter step h by at most h^2 / 8 of its second
  // derivative (derived, Taylor).
  const auto steps_for = [&](double second) { return std::sqrt(second / (8.0 * kFlat_mm)); };
  const Eigen::Matrix2d linear = to_mm_.linear();
  if (is_straight(step)) return line_to(to_mm_ * d, false);
  switch (step.kind) {
    case PathStep::Kind::quadratic: {
      const double second = 2.0 * (linear * (a - 2.0 * b + d)).norm();
      return flatten(
          [&](double t) {
            const double s = 1.0 - t;
            return Vec2(s * s * a + 2.0 * s * t * b + t * t * d);
          },
          steps_for(second));
    }
    case PathStep::Kind::cubic: {
      const Vec2 c = step.control[1];
      const double second =
          6.0 * std::max((linear * (a - 2.0 * b + c)).norm(), (linear * (b - 2.0 * c + d)).norm());
      return flatten(
          [&](double t) {
            const double s = 1.0 - t;
            return Vec2(s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d);
          },
          steps_for(second));
    }
    case PathStep::Kind::arc:
      return follow_arc(step);
    default:
      return line_to(to_mm_ * step.to, false);
  }
}

void DrawnLines::follow_arc(const PathStep& step) {
  if (step.radii.minCoeff() <= 0.0 || here_ == step.to) return line_to(to_mm_ * step.to, false);
  const Ellipse ellipse = ellipse_of(here_, step);
  const Eigen::Matrix2d axes = to_mm_.linear() * ellipse.axes;
  if (!keeps_circles(axes)) {
    const double second = axes.norm() * ellipse.turn_rad * ellipse.turn_rad;
    return flatten([&](double t) { return ellipse.at(t); }, std::sqrt(second / (8.0 * kFlat_mm)));
  }
  const double turn = axes.determinant() > 0.0 ? ellipse.turn_rad : -ellipse.turn_rad;
  const ClosedLine parts = arcs(to_mm_ * ellipse.centre, to_mm_ * here_, to_mm_ * step.to, turn);
  line_.insert(line_.end(), parts.begin(), parts.end());
  pieces_ += parts.size();
}

template <class Curve>
void DrawnLines::flatten(const Curve& point_at, double pieces) {
  if (!(pieces < kMostSteps)) pieces = kMostSteps;
  const auto count = static_cast<std::size_t>(std::max(1.0, std::ceil(pieces)));
  const bool bent = pieces > 1e-6;
  if (bent) {
    ++curves_;
    curve_pieces_ += count;
  }
  for (std::size_t i = 1; i <= count; ++i) {
    line_to(to_mm_ * point_at(static_cast<double>(i) / static_cast<double>(count)), bent);
  }
}

void DrawnLines::line_to(const Vec2& to_mm, bool of_curve) {
  if (++pieces_ > 10 * kMostOutlinePieces) {
    throw ArtError("the outline has too many pieces; at most " +
                       std::to_string(kMostOutlinePieces) + " are followed",
                   "simplify the path in the drawing program");
  }
  OutlinePiece piece = straight(line_.empty() ? Vec2(to_mm_ * begin_) : line_.back().end_mm, to_mm);
  piece.of_curve = of_curve;
  line_.push_back(piece);
}

void DrawnLines::finish() {
  if (line_.empty()) return;
  const Vec2 gap = line_.back().end_mm - line_.front().start_mm;
  if (!(gap.norm() <= kFlat_mm)) {
    throw ArtError("the outline is open: " + spoken(gap.norm()) + " mm lack between its two ends",
                   "close the path in the drawing program");
  }
  if (gap.norm() > 0.0) line_.push_back(straight(line_.back().end_mm, line_.front().start_mm));
  lines_.push_back(std::move(line_));
  line_.clear();
}

}  // namespace rimeglow
