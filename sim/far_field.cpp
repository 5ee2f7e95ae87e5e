#include "far_field.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sampling.h"

namespace rimeglow {
namespace {

// Where the row's integral reaches a share of the whole: Newton's steps, kept within what halving
// has left.
template <class Row>
double angle_at(const Row& row, double share) {
  constexpr int kMostSteps = 60;
  constexpr double kClose_rad = 1e-13;
  const double wanted = share * row.integral_to(row.to);
  double low = row.from;
  double high = row.to;
  double t = low + share * (high - low);
  for (int step = 0; step < kMostSteps && high - low > kClose_rad; ++step) {
    const double beyond = row.integral_to(t) - wanted;
    (beyond > 0.0 ? high : low) = t;
    const double density = row.at(t) * std::sin(t);
    const double newton = density > 0.0 ? t - beyond / density : low;
    if (std::abs(newton - t) < kClose_rad) return std::clamp(newton, low, high);
    t = newton > low && newton < high ? newton : 0.5 * (low + high);
  }
  return t;
}

// Where a value that goes straight from `first` to `last` over [0, 1] has passed a share of its
// integral.
double place_at(double first, double last, double share) {
  const double sum = first + last;
  if (sum <= 0.0) return share;
  const double root = std::sqrt(std::max(0.0, first * first + share * sum * (last - first)));
  return first + root > 0.0 ? std::clamp(share * sum / (first + root), 0.0, 1.0) : 0.0;
}

// The interval of a rising sum that a share of the whole falls in, and the share of it left there.
struct Pick {
  std::size_t index;
  double rest;
};

Pick pick(const double* begin, const double* end, double share) {
  const double wanted = share * *(end - 1);
  const double* found = std::upper_bound(begin, end, wanted);
  if (found == end) found = std::lower_bound(begin, end, *(end - 1));
  const double below = found == begin ? 0.0 : *(found - 1);
  const double width = *found - below;
  const double rest = width > 0.0 ? (wanted - below) / width : 0.0;
  return {static_cast<std::size_t>(found - begin), std::clamp(rest, 0.0, 1.0)};
}

}  // namespace

// Integral over t from `from` to `to` of a value that goes straight from `first` to `last` over
// the whole row, times sin t (derived by parts).
struct FarField::Row {
  double from, to;
  double first, last;

  double slope() const { return (last - first) / (to - from); }
  double at(double t) const { return first + slope() * (t - from); }
  double integral_to(double t) const {
    return first * std::cos(from) - at(t) * std::cos(t) + slope() * (std::sin(t) - std::sin(from));
  }
};

// Between two rows of a wedge, on the mean of its two half planes.
FarField::Row FarField::row_of(std::size_t wedge, std::size_t row) const {
  return {vertical_rad_[row], vertical_rad_[row + 1], mean_cd(wedge, row), mean_cd(wedge, row + 1)};
}

FarField::FarField(std::vector<double> vertical_rad, std::vector<double> horizontal_rad,
                   std::vector<double> intensity_cd)
    : vertical_rad_(std::move(vertical_rad)),
      horizontal_rad_(std::move(horizontal_rad)),
      intensity_cd_(std::move(intensity_cd)) {
  double all_lm = 0.0;
  for (std::size_t wedge = 0; wedge + 1 < horizontal_rad_.size(); ++wedge) {
    const double turn = horizontal_rad_[wedge + 1] - horizontal_rad_[wedge];
    double sum_lm = 0.0;
    for (std::size_t row = 0; row < rows(); ++row) {
      const Row here = row_of(wedge, row);
      rows_lm_.push_back(sum_lm += turn * std::max(0.0, here.integral_to(here.to)));
    }
    planes_lm_.push_back(all_lm += sum_lm);
  }
}

double FarField::backward_share() const {
  double sum_lm = 0.0;
  for (std::size_t wedge = 0; wedge + 1 < horizontal_rad_.size(); ++wedge) {
    const double turn = horizontal_rad_[wedge + 1] - horizontal_rad_[wedge];
    for (std::size_t row = 0; row < rows(); ++row) {
      const Row here = row_of(wedge, row);
      const double right_angle = std::clamp(0.5 * kPi, here.from, here.to);
      sum_lm += turn * (here.integral_to(here.to) - here.integral_to(right_angle));
    }
  }
  return sum_lm / flux_lm();
}

double FarField::intensity_cd(double vertical_rad, double horizontal_rad) const {
  if (vertical_rad > vertical_rad_.back()) return 0.0;
  const auto interval = [](const std::vector<double>& angles, double angle) {
    const auto above = std::upper_bound(angles.begin() + 1, angles.end() - 1, angle);
    return static_cast<std::size_t>(above - angles.begin()) - 1;
  };
  const std::size_t row = interval(vertical_rad_, vertical_rad);
  const std::size_t wedge = interval(horizontal_rad_, horizontal_rad);
  const auto share = [](const std::vector<double>& angles, std::size_t i, double angle) {
    return (angle - angles[i]) / (angles[i + 1] - angles[i]);
  };
  const double up = share(vertical_rad_, row, vertical_rad);
  const double round = share(horizontal_rad_, wedge, horizontal_rad);
  const auto in_plane = [&](std::size_t plane) {
    return cd(plane, row) + up * (cd(plane, row + 1) - cd(plane, row));
  };
  return in_plane(wedge) + round * (in_plane(wedge + 1) - in_plane(wedge));
}

// The wedge, then the row in it, then the angle in the row; and last the place in the wedge, which
// depends on that angle.
Vec3 FarField::sample(double u_vertical, double u_horizontal) const {
  const Pick wedge = pick(planes_lm_.data(), planes_lm_.data() + planes_lm_.size(), u_horizontal);
  const double* const first = rows_lm_.data() + wedge.index * rows();
  const Pick row = pick(first, first + rows(), u_vertical);
  const Row here = row_of(wedge.index, row.index);
  const double vertical = angle_at(here, row.rest);
  const double up = (vertical - here.from) / (here.to - here.from);
  const auto in_plane = [&](std::size_t plane) {
    return cd(plane, row.index) + up * (cd(plane, row.index + 1) - cd(plane, row.index));
  };
  const double round = place_at(in_plane(wedge.index), in_plane(wedge.index + 1), wedge.rest);
  const double from = horizontal_rad_[wedge.index];
  return direction_at(std::cos(vertical), from + round * (horizontal_rad_[wedge.index + 1] - from));
}

double FarField::pdf(const Vec3& direction) const {
  const double vertical = std::acos(std::clamp(direction.z(), -1.0, 1.0));
  const double turn = std::atan2(direction.y(), direction.x());
  return intensity_cd(vertical, turn < 0.0 ? turn + 2.0 * kPi : turn) / flux_lm();
}

}  // namespace rimeglow
