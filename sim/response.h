// How bright a scattering surface looks to a given eye per unit of light arriving on it: the table
// by which every arrival is scored. First scattering order and frost in closed form, all higher
// orders by walks in reverse from the eye (reciprocity), fitted by least squares. The factors of
// the smooth face the eye looks through are included:
//   seen directly:      L = f_t E            (f_t holds 1/n^2)
//   through a face:     L = [T(v)/n^2] f_r E, less what the sheet absorbs on the way to it
// with E the arriving flux per area. Polished surfaces have no such table: see view.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "hats.h"
#include "model.h"
#include "wanted.h"

namespace rimeglow {

// Viewers are scored together, this many to a group.
inline constexpr int kViewerGroup = 4;

// One surface's luminance per irradiance (1/sr) for every viewer, tabulated over the arriving
// direction on the equal-area disc: (x, y) / sqrt(1 + z).
class Response {
 public:
  static constexpr int kNodes = 97;

  explicit Response(int groups)
      : groups_(groups), values_(node_count() * stride()), noise_(stride()) {}

  static constexpr std::size_t node_count() { return std::size_t{kNodes} * kNodes; }
  std::size_t stride() const { return static_cast<std::size_t>(groups_) * kViewerGroup; }
  float* node(std::size_t index) { return values_.data() + index * stride(); }
  const float* node(std::size_t index) const { return values_.data() + index * stride(); }

  // Relative standard error by which all that a viewer is told of this surface may be off together,
  // as the walks behind its table were so many; for light as it comes from the LEDs.
  double noise(std::size_t viewer) const { return noise_[viewer]; }
  void set_noise(std::size_t viewer, double noise) { noise_[viewer] = noise; }

  // Calls score(viewer group, four values) for light arriving along local `direction`, z > 0.
  template <class Score>
  void look_up(const Vec3& direction, Score&& score) const;

 private:
  int groups_;
  std::vector<float> values_;
  std::vector<double> noise_;
};

// Tables for all scoring surfaces of a model. Edges that scatter nothing have none.
struct Responses {
  int groups = 0;                              // viewers, rounded up to groups
  std::vector<Response> layers;                // one per Model::layers
  std::vector<std::optional<Response>> edges;  // one per Outline::edges
};

struct ResponseSettings {
  std::uint64_t seed = 1;
  int walks = 1 << 19;  // reverse walks per surface and viewer
  int threads = 0;      // 0: as many as the machine offers
  IsWanted is_wanted = always;
};

Responses respond(const Model& model, const ResponseSettings& settings);

// For eyes that are not among the model's viewers: luminance per irradiance toward one direction of
// the surface, without any factor of a face between, fitted to hats over the arriving direction.
struct FitRequest {
  const Finish* finish = nullptr;
  Vec3 toward = Vec3::UnitZ();  // z > 0: out of the acrylic
  const HatProjection* hats = nullptr;
  int walks = 1 << 17;
};
std::vector<Eigen::VectorXf> fit_responses(const std::vector<FitRequest>& requests, double index,
                                           std::uint64_t seed, int threads,
                                           const IsWanted& is_wanted = always);

// The direction in which an eye sees a surface of outward normal `normal`, local to `frame`, and
// the factor of the face between; none when it cannot see it.
struct Sight {
  Vec3 toward;  // z > 0: directly; z < 0: through the acrylic
  double factor = 1.0;
};
std::optional<Sight> sight_of(const Viewer& viewer, const Frame& frame, double index);

template <class Score>
void Response::look_up(const Vec3& direction, Score&& score) const {
  const double to_disc = 0.5 * (kNodes - 1) / std::sqrt(1.0 + direction.z());
  const double u = direction.x() * to_disc + 0.5 * (kNodes - 1);
  const double v = direction.y() * to_disc + 0.5 * (kNodes - 1);
  const std::size_t column =
      std::min(static_cast<std::size_t>(std::max(u, 0.0)), std::size_t{kNodes - 2});
  const std::size_t row =
      std::min(static_cast<std::size_t>(std::max(v, 0.0)), std::size_t{kNodes - 2});
  const float s = static_cast<float>(u - static_cast<double>(column));
  const float t = static_cast<float>(v - static_cast<double>(row));
  const float* lower = values_.data() + (row * kNodes + column) * stride();
  const float* upper = lower + kNodes * stride();
  const std::array<float, 4> weight = {(1 - s) * (1 - t), s * (1 - t), (1 - s) * t, s * t};
  for (int group = 0; group < groups_; ++group, lower += kViewerGroup, upper += kViewerGroup) {
    std::array<float, kViewerGroup> value;
    for (std::size_t i = 0; i < kViewerGroup; ++i) {
      value[i] = weight[0] * lower[i] + weight[1] * lower[stride() + i] + weight[2] * upper[i] +
                 weight[3] * upper[stride() + i];
    }
    score(group, value);
  }
}

}  // namespace rimeglow
