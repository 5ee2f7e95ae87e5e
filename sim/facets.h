// Flat facets, among which Embree, in single precision, finds the one ahead of a ray. The facet's
// plane in doubles then says where they meet, to the last digits.
#pragma once

#include <array>
#include <limits>
#include <memory>
#include <vector>

#include "ray.h"

namespace rimeglow {

struct Triangle {
  std::array<Vec3, 3> corners_mm;
  Vec3 normal = Vec3::Zero();  // out of the body whose surface it is
  int id = 0;                  // by which its owner knows it
};

class Facets {
 public:
  // Single precision misplaces rays and corners by less than this within a metre.
  static constexpr double kBlur_mm = 1e-4;

  // Triangles whose corners are the same to the last bit leave no gap between them. Throws
  // std::runtime_error when Embree refuses.
  explicit Facets(const std::vector<Triangle>& triangles);

  // The plane of a triangle.
  struct Facet {
    Vec3 normal;
    double offset_mm;  // along the normal
    int id;

    double distance_mm(const Ray& ray) const {
      return (offset_mm - normal.dot(ray.origin_mm)) / normal.dot(ray.direction);
    }
  };
  struct Ahead {
    double distance_mm = std::numeric_limits<double>::infinity();
    const Facet* facet = nullptr;
  };
  // The nearest facet that the ray crosses so, looked for up to `reach_mm`, where single precision
  // decides. On the way out one that faces the ray from farther than kBlur_mm is found as well:
  // there the ray has got out between two others.
  Ahead ahead(const Ray& ray, Crossing crossing,
              double reach_mm = std::numeric_limits<double>::infinity()) const;

 private:
  struct Search;
  std::shared_ptr<const Search> search_;  // nothing of it changes: copies share it
};

}  // namespace rimeglow
