// What surfaces that scatter send toward any eye, composed from the arrivals of a run: the
// surface's response is fitted to the hats for directions a few degrees apart, and interpolated
// between. First say which directions are wanted, then prepare, then ask.
#pragma once

#include <array>
#include <span>
#include <utility>
#include <vector>

#include "run.h"

namespace rimeglow {

class SurfaceLight {
 public:
  // `run` must have been started with arrivals and outlive this.
  explicit SurfaceLight(const Run& run);
  SurfaceLight(const SurfaceLight&) = delete;  // surfaces point at its hats
  SurfaceLight& operator=(const SurfaceLight&) = delete;

  // A layer of the art's face, or an edge that scatters, seen from its own direction `toward`
  // (local; z > 0 from outside); `weight` says how much depends on it.
  void want_mark(std::size_t layer, const Vec3& toward, double weight);
  void want_edge(std::size_t edge, const Vec3& toward, double weight);
  // Fits all wanted directions by so many reverse walks in all.
  void prepare(std::int64_t walks);

  // Adds `factor` times the luminance, by channel: of the burnt surface of a layer at a point of
  // the art's face; of an edge at a place along the outline.
  void add_mark(std::size_t layer, const Vec2& point_mm, const Vec3& toward, double factor,
                std::span<double> light) const;
  void add_edge(std::size_t edge, double along_mm, const Vec3& toward, double factor,
                std::span<double> light) const;

 private:
  // Directions about the normal on a square grid of equal angles, one side of a surface.
  struct Fan {
    double step_rad = 0.0;
    int half = 0;  // nodes from the middle to the rim
    double sign = 1.0;
    std::vector<double> weight;  // of each node, 0 where nobody asked
    std::vector<int> column;     // in the table, -1 where there is none

    Fan(double step, double side);
    struct Shares {
      std::array<std::size_t, 4> node;
      std::array<double, 4> share;
    };
    Shares shares(const Vec3& toward) const;
    Vec3 direction(std::size_t node) const;
    void widen();
    // The node with 0 <= y <= x that looks like this one mirrored, and how to come here from there.
    std::pair<std::size_t, Mirroring> original(std::size_t node) const;
  };
  // A direction of a surface's table, and where its response is found.
  struct Column {
    std::size_t fit;
    Mirroring mirroring;
  };
  struct Surface {
    const Finish* finish = nullptr;
    const HatProjection* hats = nullptr;
    std::array<Fan, 2> fans;               // seen from inside, from outside
    std::vector<Column> columns{};         // wanted directions
    std::vector<Eigen::MatrixXf> cd_m2{};  // by channel: cells x columns
  };

  Surface surface(const Finish& finish, const HatProjection& hats) const;
  static void want(Surface& surface, const Vec3& toward, double weight);
  static void request(Surface& surface, std::vector<FitRequest>& requests,
                      std::vector<double>& weights);
  void compose(Surface& surface, std::size_t first, const std::vector<double>& cell_mm2,
               const std::vector<Eigen::VectorXf>& fits) const;
  Eigen::MatrixXf arrived_lm_m2(std::size_t first, const std::vector<double>& cell_mm2,
                                int nodes) const;
  template <class Cells>
  static void add(const Surface& surface, const Cells& cells, const Vec3& toward, double factor,
                  std::span<double> light);

  const Run& run_;
  HatProjection face_hats_;
  HatProjection edge_hats_;
  std::vector<Surface> layers_;
  std::vector<Surface> edges_;
};

}  // namespace rimeglow
