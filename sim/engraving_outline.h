// The dots of outlines: what a laser that follows lines fires, thinned to lines one dot wide.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "artwork.h"

namespace rimeglow {

// The dots that fire, and those about each.
class FiredDots {
 public:
  // Neighbours of a dot, counter-clockwise from the right.
  static constexpr int kAbout = 8;

  explicit FiredDots(const Drawing& dots);

  const std::vector<std::size_t>& all() const { return all_; }
  bool fires(std::size_t dot) const { return fires_[dot]; }
  std::size_t size() const { return fires_.size(); }  // of dots, whether they fire or not

  int column(std::size_t dot) const { return static_cast<int>(dot % across_) - 1; }
  int row(std::size_t dot) const { return static_cast<int>(dot / across_) - 1; }
  std::size_t beside(std::size_t dot, int k) const {
    constexpr std::array<int, kAbout> kAcross = {1, 1, 0, -1, -1, -1, 0, 1};
    constexpr std::array<int, kAbout> kUp = {0, 1, 1, 1, 0, -1, -1, -1};
    const auto at = static_cast<std::size_t>(k);
    return dot + across_ * static_cast<std::size_t>(kUp[at] + 1) +
           static_cast<std::size_t>(kAcross[at] + 1) - across_ - 1;
  }
  // Bit k: whether the neighbour k fires.
  unsigned about(std::size_t dot) const;

  // Takes dots off every side in turn until lines one dot wide are left, ends and all.
  void thin();

 private:
  bool may_go(std::size_t dot) const;
  void thin_from(int side);

  std::size_t across_;  // with a dot beside the raster all round, which never fires
  std::vector<bool> fires_;
  std::vector<std::size_t> all_;
};

}  // namespace rimeglow
