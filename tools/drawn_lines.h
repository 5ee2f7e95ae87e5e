// Drawn steps become closed lines in mm: straight ones and circular arcs as they are, all other
// curves as straight pieces.
#pragma once

#include <Eigen/Geometry>

#include "outline_building.h"
#include "path_data.h"

namespace rimeglow {

// A curve is followed as near as this by straight pieces.
inline constexpr double kFlat_mm = 0.01;

class DrawnLines {
 public:
  // `to_mm` is from the steps' coordinates to mm, y up. Throws ArtError for a path that is left
  // open and for one of too many pieces.
  void add(const std::vector<PathStep>& steps, const Eigen::Affine2d& to_mm);

  std::vector<ClosedLine> take() { return std::move(lines_); }
  std::size_t curves() const { return curves_; }              // cut into pieces
  std::size_t curve_pieces() const { return curve_pieces_; }  // that they gave

 private:
  bool is_straight(const PathStep& step) const;
  void follow(const PathStep& step);
  void follow_arc(const PathStep& step);
  template <class Curve>
  void flatten(const Curve& point_at, double pieces);
  void line_to(const Vec2& to_mm, bool of_curve);
  void finish();

  std::vector<ClosedLine> lines_;
  ClosedLine line_;
  Eigen::Affine2d to_mm_ = Eigen::Affine2d::Identity();
  Vec2 here_ = Vec2::Zero();  // in the steps' coordinates
  Vec2 begin_ = Vec2::Zero();
  std::size_t curves_ = 0;
  std::size_t curve_pieces_ = 0;
  std::size_t pieces_ = 0;
};

}  // namespace rimeglow
