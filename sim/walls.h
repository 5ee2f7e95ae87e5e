// The walls that a panel's outline puts up, and which of them a line in the panel's plane meets
// first. The pieces' boxes stand in a tree, so that the cost grows with the logarithm of their
// number. A line passes between two pieces nowhere: both judge their common end by the same sum.
#pragma once

#include <limits>
#include <vector>

#include "outline.h"

namespace rimeglow {

class Walls {
 public:
  explicit Walls(const Outline& outline);

  static constexpr double kNever = std::numeric_limits<double>::infinity();

  // A wall on the way, at a distance in lengths of the direction; none when `piece` is -1.
  struct Ahead {
    double distance_mm = kNever;
    int piece = -1;  // index into Outline::pieces
  };

  // From a point in the acrylic, on to the wall through which the line leaves it.
  Ahead way_out(const Vec2& point_mm, const Vec2& direction) const;
  // From a point in the air, on to the wall through which it comes in, if it does.
  Ahead way_in(const Vec2& point_mm, const Vec2& direction) const;

  bool contains(const Vec2& point_mm) const;
  // Where x enters and leaves the acrylic at a height, in turn and rising.
  std::vector<double> crossings_mm(double y_mm) const;

  // Out of the acrylic, at a point of a wall.
  Vec2 normal_at(int piece, const Vec2& point_mm) const;
  // Distance along the outline of a point of a wall.
  double along_mm(int piece, const Vec2& point_mm) const;

 private:
  // The piece without what a search does not ask for.
  struct Wall {
    Vec2 start_mm, end_mm, centre_mm;
    double radius_mm;
    Vec2 normal;  // of a straight piece
    double begin_mm;
  };
  // Pieces [first, first + count) of order_, or, with no count, two nodes: the next and `first`.
  struct Node {
    Vec2 low_mm, high_mm;
    int first = 0;
    int count = 0;
    int axis = 0;  // along which the second node's pieces lie higher
  };
  struct Met {
    Ahead ahead;
    Crossing crossing = Crossing::outward;
  };
  struct Line;

  int build(int first, int count);
  Node node_over(int first, int count) const;
  template <class Meet>
  static void for_each_crossing(const Wall& wall, const Line& line, const Meet& meet);
  Met search(const Line& line, Crossing wanted) const;
  Vec2 pushed_inside(const Vec2& point_mm) const;

  std::vector<Wall> walls_;  // as the outline's pieces
  std::vector<int> order_;   // of walls in the tree
  std::vector<Node> nodes_;
};

}  // namespace rimeglow
