// Directions by linear hat functions: light arriving along any direction is shared among the four
// nodes about it, and what a surface does with it is fitted to the same functions by least squares.
// That leaves errors of a few thousandths where equal bins leave per cents (measured on marks and
// sanded edges of alpha 0.2 to 0.7).
#pragma once

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Cholesky>

#include "ray.h"
#include "units.h"

namespace rimeglow {

// Nodes over the hemisphere z >= 0, from its pole to the horizon and round about it.
struct HatLayout {
  enum class Polar { cosine, angle };

  int polar = 0;
  int azimuth = 0;
  Polar spaced_by = Polar::cosine;

  int nodes() const { return polar * azimuth; }
  // How much a fit minds light along a direction. What is too steep to be guided leaves at the next
  // blank place and so is little, but it crosses marks in bright lobes, which must not bend what is
  // told of guided light; nodes of steep light are fitted all the same. Both figures are ours.
  double fit_weight(const Vec3& direction) const {
    constexpr double kSteep = 0.75;  // cosine of 41 degrees; acrylic's critical angle is 42
    constexpr double kSteepWeight = 0.03;
    return spaced_by == Polar::cosine && direction.z() > kSteep ? kSteepWeight : 1.0;
  }
};
// Azimuths are multiples of 4, so that mirrored nodes are nodes.
// Faces are lit by guided light from all round; edges mostly within 40 degrees of their normal, and
// send it on in narrow lobes.
inline constexpr HatLayout kFaceHats = {8, 16, HatLayout::Polar::cosine};
inline constexpr HatLayout kFineFaceHats = {12, 24, HatLayout::Polar::cosine};  // narrow lobes
inline constexpr HatLayout kEdgeHats = {12, 24, HatLayout::Polar::angle};

struct HatShares {
  std::array<int, 4> node;
  std::array<double, 4> share;

  template <class Nodes>
  void add(double amount, Nodes& to) const {
    for (std::size_t i = 0; i < node.size(); ++i) to[node[i]] += amount * share[i];
  }
};

// `direction` is unit, z >= 0.
inline HatShares hat_shares(const HatLayout& layout, const Vec3& direction) {
  const double z = std::clamp(direction.z(), 0.0, 1.0);
  const double place =
      layout.spaced_by == HatLayout::Polar::cosine ? 1.0 - z : std::acos(z) / (0.5 * kPi);
  const double u = place * (layout.polar - 1);
  const double turn = std::atan2(direction.y(), direction.x()) / (2.0 * kPi);
  const double v = (turn < 0.0 ? turn + 1.0 : turn) * layout.azimuth;
  const int ring = std::min(static_cast<int>(u), layout.polar - 2);
  const int spoke = std::min(static_cast<int>(v), layout.azimuth - 1);
  const int next = spoke + 1 == layout.azimuth ? 0 : spoke + 1;
  const double s = u - ring;
  const double t = v - spoke;
  const int inner = ring * layout.azimuth;
  const int outer = inner + layout.azimuth;
  return {{inner + spoke, inner + next, outer + spoke, outer + next},
          {(1 - s) * (1 - t), (1 - s) * t, s * (1 - t), s * t}};
}

// A square's symmetries: x and y are swapped or not, then each keeps its sign or not.
struct Mirroring {
  bool swaps = false;
  bool turns_x = false;
  bool turns_y = false;
};

// The node whose direction `mirroring` turns into that of `node`.
inline int unmirrored(const HatLayout& layout, int node, const Mirroring& mirroring) {
  const int around = layout.azimuth;
  int spoke = node % around;
  if (mirroring.turns_x) spoke = around / 2 - spoke;
  if (mirroring.turns_y) spoke = -spoke;
  if (mirroring.swaps) spoke = around / 4 - spoke;
  return node - node % around + (spoke + 2 * around) % around;
}

// Least squares on the hats, weighted by the projected solid angle by which light arrives, and by
// HatLayout::fit_weight.
class HatProjection {
 public:
  explicit HatProjection(const HatLayout& layout);

  const HatLayout& layout() const { return layout_; }

  // Integral of a function times each hat, the cosine and fit_weight, over the hemisphere.
  template <class Function>
  Eigen::VectorXd moments(Function&& function) const {
    Eigen::VectorXd sums = Eigen::VectorXd::Zero(layout_.nodes());
    for_each_direction([&](const Vec3& direction, double weight) {
      hat_shares(layout_, direction).add(weight * function(direction), sums);
    });
    return sums;
  }

  // The nodes' values of the function with these moments.
  Eigen::VectorXd fit(const Eigen::VectorXd& moments) const { return solver_.solve(moments); }

 private:
  // Midpoints of rings of equal angles, each with its weight.
  template <class Visit>
  void for_each_direction(Visit&& visit) const {
    constexpr int kRings = 120;
    constexpr int kSpokes = 192;
    for (int ring = 0; ring < kRings; ++ring) {
      const double angle = 0.5 * kPi * (ring + 0.5) / kRings;
      const double radius = std::sin(angle);
      const double z = std::cos(angle);
      const double solid_angle = kPi * kPi * radius * z / (double{kRings} * kSpokes);
      for (int spoke = 0; spoke < kSpokes; ++spoke) {
        const double turn = 2.0 * kPi * (spoke + 0.5) / kSpokes;
        const Vec3 direction(radius * std::cos(turn), radius * std::sin(turn), z);
        visit(direction, solid_angle * layout_.fit_weight(direction));
      }
    }
  }

  HatLayout layout_;
  Eigen::LDLT<Eigen::MatrixXd> solver_;
};

}  // namespace rimeglow
