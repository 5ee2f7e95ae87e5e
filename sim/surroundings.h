// What stands about a panel, for pictures: the body of its base, the table below, a backdrop, and
// the room all round, of one luminance. They return the room's light; of the lamp's own light only
// the LEDs, the inside of the base and what the back throws on a backdrop are seen. Sizes of the
// base's body are ours: nobody says them in a scene.
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "facets.h"
#include "model.h"
#include "run.h"

namespace rimeglow {

// The corners of the bodies of a panel's bases.
std::vector<Vec3> base_corners(const Model& model);

class Surroundings {
 public:
  explicit Surroundings(const Run& run);

  // Adds `factor` times the luminance seen along a ray outside the panel: by channel of the lamps,
  // then of the room.
  void add(const Ray& ray, double factor, std::span<double> light) const;

  // What opaque stands ahead, nearer than `reach_mm`. Seen from where light can be: from below the
  // table and behind the backdrop neither is met, nor the base from within its body.
  enum class Thing { body, table, backdrop };
  struct Met {
    double distance_mm;
    Vec3 normal;
    Thing thing;
  };
  std::optional<Met> ahead(const Ray& ray,
                           double reach_mm = std::numeric_limits<double>::infinity()) const;

 private:
  friend std::vector<Vec3> base_corners(const Model& model);

  struct Block {
    const LedRow* row = nullptr;
    Frame frame;                        // the base's
    Vec3 origin_mm;                     // the edge's middle
    Vec3 low_mm, high_mm;               // its box
    std::vector<double> walls_cd_m2{};  // inside, by channel; empty where they are black

    // In the panel's axes; high along an axis where its bit in a corner's place is set.
    std::array<Vec3, 8> corners_mm() const;
  };

  static std::vector<Block> blocks_of(const Model& model);
  std::vector<Triangle> triangles() const;
  double reflectance(Thing thing) const;
  void add_inside(const Block& block, const Ray& ray, double factor, std::span<double> light) const;
  double back_lm_per_mm2(const Vec3& point_mm, const Vec2& size_mm) const;

  const Run& run_;
  std::vector<Block> blocks_;
  Facets facets_;  // each known by its thing
  double back_lm_;
};

}  // namespace rimeglow
