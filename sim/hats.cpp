#include "hats.h"

namespace rimeglow {

HatProjection::HatProjection(const HatLayout& layout) : layout_(layout) {
  Eigen::MatrixXd mass = Eigen::MatrixXd::Zero(layout.nodes(), layout.nodes());
  for_each_direction([&](const Vec3& direction, double weight) {
    const HatShares hats = hat_shares(layout, direction);
    for (std::size_t a = 0; a < 4; ++a) {
      for (std::size_t b = 0; b < 4; ++b) {
        mass(hats.node[a], hats.node[b]) += weight * hats.share[a] * hats.share[b];
      }
    }
  });
  // Nodes at the pole and the horizon hold next to nothing and must not run away.
  constexpr double kRidge = 1e-6;
  mass.diagonal().array() += kRidge * mass.diagonal().maxCoeff();
  solver_.compute(mass);
}

}  // namespace rimeglow
