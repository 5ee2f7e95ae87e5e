// Where and whither a photon leaves an LED, and how it comes to the edge. The emitter is a
// rectangle parallel to the edge, uniform, of intensity I0 cos^m about the edge's inward normal, or
// of a measured far field, which every point of it sends out alike.
#pragma once

#include <vector>

#include "model.h"
#include "rng.h"
#include "sampling.h"

namespace rimeglow {

struct Emitted {
  Ray ray;
  std::size_t row = 0;  // index into the lamps
};

// The ray on which a photon leaves its LED. Rows share the photons by their flux.
inline Emitted emit(const std::vector<LedRow>& lamps, double thickness_mm, const Draws& draws) {
  const Uniforms u = draws.at(kEmissionDraws);
  double all_lm = 0.0;
  for (const LedRow& row : lamps) all_lm += row.count * row.flux_each_lm;
  // One draw picks the row, the LED in it, and the place along the LED, each in what the last left.
  double share = u[0] * all_lm;
  std::size_t k = 0;
  while (k + 1 < lamps.size() && share >= lamps[k].count * lamps[k].flux_each_lm) {
    share -= lamps[k].count * lamps[k].flux_each_lm;
    ++k;
  }
  const LedRow& row = lamps[k];
  const double led_and_place = share / row.flux_each_lm;
  const double led = std::min(std::floor(led_and_place), row.count - 1.0);
  const double along_mm = (led - 0.5 * (row.count - 1)) * row.pitch_mm +
                          (led_and_place - led - 0.5) * row.emitter_mm.x();
  const double across_mm = 0.5 * thickness_mm + (u[1] - 0.5) * row.emitter_mm.y();

  const Vec3 outward(-row.inward().x(), -row.inward().y(), 0.0);
  const Frame frame{Vec3(row.along.x(), row.along.y(), 0.0), Vec3::UnitZ(), -outward};
  const Vec2 foot = row.centre_mm + along_mm * row.along;
  const Vec3 origin = Vec3(foot.x(), foot.y(), across_mm) + row.gap_mm * outward;
  const Vec3 direction = row.far_field ? row.far_field->sample(u[2], u[3])
                                       : sample_cosine_power(row.cosine_power, u[2], u[3]);
  return {{origin, frame.to_world(direction)}, k};
}

}  // namespace rimeglow
