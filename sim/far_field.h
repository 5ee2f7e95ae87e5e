// The light of one LED by direction, far from it, as a laboratory measured it: luminous intensities
// at vertical angles from the LED's axis in half planes about it, straight in angle between them
// (the interpolation that LM-63 files are made for). Directions are local: z along the axis, the
// half plane at 0 through x, at 90 degrees through y.
#pragma once

#include <vector>

#include "ray.h"

namespace rimeglow {

class FarField {
 public:
  // Vertical angles rise from 0 to at most pi, horizontal ones from 0 to a full turn; intensities
  // are finite and not below 0, plane by plane, and not all 0.
  FarField(std::vector<double> vertical_rad, std::vector<double> horizontal_rad,
           std::vector<double> intensity_cd);

  double flux_lm() const { return planes_lm_.back(); }
  // The share that leaves more than a right angle from the axis.
  double backward_share() const;

  double intensity_cd(double vertical_rad, double horizontal_rad) const;

  // A direction by flux, from two draws, and its density per solid angle.
  Vec3 sample(double u_vertical, double u_horizontal) const;
  double pdf(const Vec3& direction) const;

 private:
  struct Row;
  Row row_of(std::size_t wedge, std::size_t row) const;
  std::size_t rows() const { return vertical_rad_.size() - 1; }
  double cd(std::size_t plane, std::size_t row) const {
    return intensity_cd_[plane * vertical_rad_.size() + row];
  }
  double mean_cd(std::size_t between, std::size_t row) const {
    return 0.5 * (cd(between, row) + cd(between + 1, row));
  }

  std::vector<double> vertical_rad_, horizontal_rad_;
  std::vector<double> intensity_cd_;
  std::vector<double> planes_lm_;  // flux up to and with the wedge between two half planes
  std::vector<double> rows_lm_;    // by wedge: up to and with each row of it
};

}  // namespace rimeglow
