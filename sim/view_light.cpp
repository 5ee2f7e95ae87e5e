#include "view_light.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rimeglow {
namespace {

// Inside the acrylic 3.5 degrees are some 5 outside it.
constexpr double kInsideStep_rad = radians(3.5);
constexpr double kOutsideStep_rad = radians(5.0);
constexpr double kNearHorizon_rad = radians(89.0);
constexpr std::int64_t kFewestWalks = 1 << 12;
constexpr std::int64_t kMostWalks = 1 << 18;

// Cells that a value is interpolated between.
struct Cells {
  std::array<Eigen::Index, 4> cell;
  std::array<double, 4> share;
  std::size_t count = 0;

  void add(std::size_t which, double weight) {
    cell[count] = static_cast<Eigen::Index>(which);
    share[count++] = weight;
  }
  void normalise() {
    double sum = 0.0;
    for (std::size_t i = 0; i < count; ++i) sum += share[i];
    for (std::size_t i = 0; i < count; ++i) share[i] /= sum;
  }
};

Cells art_cells(const ArrivalMap& map, const Vec2& point_mm) {
  Cells cells;
  map.grid.for_each_about(point_mm, [&](std::size_t cell, double share) {
    const int slot = map.slot[cell];
    if (slot >= 0) cells.add(static_cast<std::size_t>(slot), share);
  });
  cells.normalise();
  return cells;
}

Cells edge_cells(const ArrivalMap& map, std::size_t edge, double along_mm) {
  Cells cells;
  const std::size_t here = map.edge_cell(static_cast<int>(edge), along_mm);
  const std::size_t first = map.edge_cell(static_cast<int>(edge), 0.0);
  const double beyond = along_mm / map.step_mm - (static_cast<double>(here - first) + 0.5);
  const std::size_t last = first + map.band_cells - 1;
  const std::size_t beside =
      beyond < 0.0 ? (here == first ? last : here - 1) : (here == last ? first : here + 1);
  const auto kept = [&](std::size_t cell) {
    return map.edge_of[cell] == static_cast<int>(edge) && map.kept_mm[cell] > 0.0;
  };
  if (kept(here) || !kept(beside)) cells.add(here, 1.0 - std::abs(beyond));
  if (kept(beside)) cells.add(beside, std::abs(beyond) + 1e-6);
  cells.normalise();
  return cells;
}

}  // namespace

SurfaceLight::Fan::Fan(double step, double side) : step_rad(step), sign(side) {
  half = static_cast<int>(std::ceil(0.5 * kPi / step)) + 1;
  const auto size = static_cast<std::size_t>((2 * half + 1) * (2 * half + 1));
  weight.assign(size, 0.0);
  column.assign(size, -1);
}

SurfaceLight::Fan::Shares SurfaceLight::Fan::shares(const Vec3& toward) const {
  const double angle = std::acos(std::clamp(std::abs(toward.z()), 0.0, 1.0));
  const Vec2 across = toward.head<2>();
  const double length = across.norm();
  const Vec2 place =
      (length > 0.0 ? Vec2(across * (angle / (length * step_rad))) : Vec2(0, 0)) + Vec2(half, half);
  const double x = std::floor(place.x());
  const double y = std::floor(place.y());
  const double s = place.x() - x;
  const double t = place.y() - y;
  const auto wide = static_cast<std::size_t>(2 * half + 1);
  const std::size_t first = static_cast<std::size_t>(y) * wide + static_cast<std::size_t>(x);
  return {{first, first + 1, first + wide, first + wide + 1},
          {(1 - s) * (1 - t), s * (1 - t), (1 - s) * t, s * t}};
}

Vec3 SurfaceLight::Fan::direction(std::size_t node) const {
  const auto wide = static_cast<std::size_t>(2 * half + 1);
  const Vec2 place(static_cast<double>(node % wide) - half,
                   static_cast<double>(node / wide) - half);
  const double length = place.norm();
  if (length == 0.0) return {0.0, 0.0, sign};
  const double angle = std::min(length * step_rad, kNearHorizon_rad);
  const Vec2 across = place * (std::sin(angle) / length);
  return {across.x(), across.y(), sign * std::cos(angle)};
}

// Nodes beside wanted ones are wanted a little: directions were sampled only.
void SurfaceLight::Fan::widen() {
  const int wide = 2 * half + 1;
  std::vector<double> wider = weight;
  for (int y = 0; y < wide; ++y) {
    for (int x = 0; x < wide; ++x) {
      if (weight[static_cast<std::size_t>(y * wide + x)] <= 0.0) continue;
      for (int j = std::max(0, y - 1); j <= std::min(wide - 1, y + 1); ++j) {
        for (int i = std::max(0, x - 1); i <= std::min(wide - 1, x + 1); ++i) {
          double& there = wider[static_cast<std::size_t>(j * wide + i)];
          there = std::max(there, 1e-9);
        }
      }
    }
  }
  weight = std::move(wider);
}

std::pair<std::size_t, Mirroring> SurfaceLight::Fan::original(std::size_t node) const {
  const int wide = 2 * half + 1;
  const int x = static_cast<int>(node) % wide - half;
  const int y = static_cast<int>(node) / wide - half;
  const auto [low, high] = std::minmax({std::abs(x), std::abs(y)});
  return {static_cast<std::size_t>((low + half) * wide + high + half),
          {std::abs(y) > std::abs(x), x < 0, y < 0}};
}

SurfaceLight::SurfaceLight(const Run& run)
    : run_(run), face_hats_(run.arrival_map.face_hats), edge_hats_(kEdgeHats) {
  for (const Layer& layer : run.model->layers) layers_.push_back(surface(layer.mark, face_hats_));
  for (const Finish& finish : run.model->edge_finish) {
    edges_.push_back(surface(finish, edge_hats_));
  }
}

SurfaceLight::Surface SurfaceLight::surface(const Finish& finish, const HatProjection& hats) const {
  return {&finish, &hats, {Fan(kInsideStep_rad, -1.0), Fan(kOutsideStep_rad, 1.0)}};
}

void SurfaceLight::want(Surface& surface, const Vec3& toward, double weight) {
  Fan& fan = surface.fans[toward.z() > 0.0 ? 1 : 0];
  const Fan::Shares shares = fan.shares(toward);
  for (std::size_t i = 0; i < 4; ++i) fan.weight[shares.node[i]] += weight * shares.share[i] + 1e-9;
}

void SurfaceLight::want_mark(std::size_t layer, const Vec3& toward, double weight) {
  want(layers_[layer], toward, weight);
}

void SurfaceLight::want_edge(std::size_t edge, const Vec3& toward, double weight) {
  want(edges_[edge], toward, weight);
}

void SurfaceLight::prepare(std::int64_t walks) {
  std::vector<FitRequest> requests;
  std::vector<double> weights;
  for (std::vector<Surface>* surfaces : {&layers_, &edges_}) {
    for (Surface& surface : *surfaces) request(surface, requests, weights);
  }
  double all = 0.0;
  for (const double weight : weights) all += weight;
  for (std::size_t k = 0; k < requests.size(); ++k) {
    const double due = static_cast<double>(walks) * weights[k] / all;
    requests[k].walks =
        static_cast<int>(std::clamp(static_cast<std::int64_t>(due), kFewestWalks, kMostWalks));
  }
  const std::vector<Eigen::VectorXf> fits =
      fit_responses(requests, run_.model->sheet.index, run_.settings.seed, run_.settings.threads,
                    run_.settings.is_wanted);

  const ArrivalMap& map = run_.arrival_map;
  const std::vector<double> art_mm2(map.art_cells, map.grid.cell_area_mm2());
  std::vector<double> edge_mm2;
  for (const double kept_mm : map.kept_mm) edge_mm2.push_back(kept_mm * run_.model->thickness_mm);
  for (Surface& surface : layers_) compose(surface, map.of_art(0), art_mm2, fits);
  for (Surface& surface : edges_) compose(surface, map.of_edge(0), edge_mm2, fits);
}

// Asks for all wanted directions of a surface; directions that are mirror images share a fit where
// the surface has no grain.
void SurfaceLight::request(Surface& surface, std::vector<FitRequest>& requests,
                           std::vector<double>& weights) {
  for (Fan& fan : surface.fans) {
    fan.widen();
    std::map<std::size_t, std::size_t> fits;  // by the node asked for
    for (std::size_t node = 0; node < fan.weight.size(); ++node) {
      if (fan.weight[node] <= 0.0) continue;
      const auto [asked, mirroring] =
          surface.finish->isotropic() ? fan.original(node) : std::pair(node, Mirroring());
      const auto [fit, is_new] = fits.try_emplace(asked, requests.size());
      if (is_new) {
        requests.push_back({surface.finish, fan.direction(asked), surface.hats, 0});
        weights.push_back(0.0);
      }
      weights[fit->second] += fan.weight[node];
      fan.column[node] = static_cast<int>(surface.columns.size());
      surface.columns.push_back({fit->second, mirroring});
    }
  }
}

// The surface's table from what arrived in its cells, the first of which begins at `first` within a
// channel, and the fits of its columns.
void SurfaceLight::compose(Surface& surface, std::size_t first, const std::vector<double>& cell_mm2,
                           const std::vector<Eigen::VectorXf>& fits) const {
  if (surface.columns.empty() || cell_mm2.empty()) return;
  const HatLayout& layout = surface.hats->layout();
  const int nodes = layout.nodes();
  Eigen::MatrixXf response(nodes, static_cast<Eigen::Index>(surface.columns.size()));
  for (Eigen::Index column = 0; column < response.cols(); ++column) {
    const auto& [fit, mirroring] = surface.columns[static_cast<std::size_t>(column)];
    for (int node = 0; node < nodes; ++node) {
      response(node, column) = fits[fit][unmirrored(layout, node, mirroring)];
    }
  }
  for (std::size_t channel = 0; channel < run_.arrival_map.channels; ++channel) {
    surface.cd_m2.push_back(
        (arrived_lm_m2(channel * run_.arrival_map.channel_size() + first, cell_mm2, nodes) *
         response)
            .cwiseMax(0.0F));
  }
}

// Flux per area that arrived in each cell about each node.
Eigen::MatrixXf SurfaceLight::arrived_lm_m2(std::size_t first, const std::vector<double>& cell_mm2,
                                            int nodes) const {
  const double lm_per_unit = run_.model->flux_lm() * kScoreUnit / static_cast<double>(run_.photons);
  Eigen::MatrixXf arrived(static_cast<Eigen::Index>(cell_mm2.size()), nodes);
  const std::int64_t* from = run_.arrivals.data() + first;
  for (Eigen::Index cell = 0; cell < arrived.rows(); ++cell) {
    const double area_mm2 = cell_mm2[static_cast<std::size_t>(cell)];
    const double scale = area_mm2 > 0.0 ? lm_per_unit / (area_mm2 * kM2PerMm2) : 0.0;
    for (int node = 0; node < nodes; ++node) {
      arrived(cell, node) = static_cast<float>(scale * static_cast<double>(*from++));
    }
  }
  return arrived;
}

template <class Cells>
void SurfaceLight::add(const Surface& surface, const Cells& cells, const Vec3& toward,
                       double factor, std::span<double> light) {
  const Fan& fan = surface.fans[toward.z() > 0.0 ? 1 : 0];
  const Fan::Shares shares = fan.shares(toward);
  double known = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    if (fan.column[shares.node[i]] >= 0) known += shares.share[i];
  }
  if (known <= 0.0) return;
  for (std::size_t channel = 0; channel < surface.cd_m2.size(); ++channel) {
    double sum = 0.0;
    for (std::size_t i = 0; i < 4; ++i) {
      const int column = fan.column[shares.node[i]];
      if (column < 0) continue;
      for (std::size_t k = 0; k < cells.count; ++k) {
        sum += shares.share[i] * cells.share[k] *
               static_cast<double>(surface.cd_m2[channel](cells.cell[k], column));
      }
    }
    light[channel] += factor * sum / known;
  }
}

void SurfaceLight::add_mark(std::size_t layer, const Vec2& point_mm, const Vec3& toward,
                            double factor, std::span<double> light) const {
  add(layers_[layer], art_cells(run_.arrival_map, point_mm), toward,
      factor * run_.map.catching_at(layer, point_mm), light);
}

void SurfaceLight::add_edge(std::size_t edge, double along_mm, const Vec3& toward, double factor,
                            std::span<double> light) const {
  if (run_.arrival_map.edge_cells == 0) return;
  add(edges_[edge], edge_cells(run_.arrival_map, edge, along_mm), toward, factor, light);
}

}  // namespace rimeglow
