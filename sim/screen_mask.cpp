// The mask's making: part of screen.h.
#include <cmath>

#include "rng.h"
#include "screen.h"

namespace rimeglow {
namespace {

constexpr int kSide = kScreenSide;
constexpr int kPixels = kSide * kSide;
constexpr double kSpread = 1.5;       // of the Gaussian, in pixels: Ulichney 1993
constexpr int kReach = 9;             // six of these
constexpr double kUnit = 0x1p30;      // crowding is counted in whole units, so that ties are ties
constexpr int kSeeds = kPixels / 10;  // of the initial pattern: a tenth, as there

// A binary pattern on the torus, and how crowded each pixel is by its dots.
class Crowd {
 public:
  Crowd() : is_dot_(kPixels, 0), crowding_(kPixels, 0) {
    for (int y = -kReach; y <= kReach; ++y)
      for (int x = -kReach; x <= kReach; ++x) {
        const double weight = std::exp(-(x * x + y * y) / (2.0 * kSpread * kSpread));
        near_.push_back({x, y, std::llround(kUnit * weight)});
      }
  }

  bool is_dot(int pixel) const { return is_dot_[static_cast<std::size_t>(pixel)] != 0; }

  void put(int pixel) { change(pixel, 1); }
  void take(int pixel) { change(pixel, 0); }

  // The dot amid most others; the gap farthest from all dots. The first of equals.
  int tightest_cluster() const {
    int found = -1;
    for (int i = 0; i < kPixels; ++i)
      if (is_dot(i) && (found < 0 || crowding(i) > crowding(found))) found = i;
    return found;
  }
  int largest_void() const {
    int found = -1;
    for (int i = 0; i < kPixels; ++i)
      if (!is_dot(i) && (found < 0 || crowding(i) < crowding(found))) found = i;
    return found;
  }

 private:
  struct Neighbour {
    int x, y;
    std::int64_t weight;
  };

  std::int64_t crowding(int pixel) const { return crowding_[static_cast<std::size_t>(pixel)]; }

  void change(int pixel, std::uint8_t dot) {
    is_dot_[static_cast<std::size_t>(pixel)] = dot;
    const std::int64_t sign = dot ? 1 : -1;
    for (const Neighbour& by : near_) {
      const int column = (pixel % kSide + by.x + kSide) % kSide;
      const int row = (pixel / kSide + by.y + kSide) % kSide;
      crowding_[static_cast<std::size_t>(row * kSide + column)] += sign * by.weight;
    }
  }

  std::vector<std::uint8_t> is_dot_;
  std::vector<std::int64_t> crowding_;
  std::vector<Neighbour> near_;
};

// Dots at chance places, then moved from clusters into voids until none moves: the prototype.
Crowd prototype() {
  Crowd crowd;
  std::vector<int> deck(kPixels);
  for (int i = 0; i < kPixels; ++i) deck[static_cast<std::size_t>(i)] = i;
  for (int i = 0; i < kSeeds; ++i) {
    const double chance = Draws(1, static_cast<std::uint64_t>(i)).at(kEmissionDraws)[0];
    const int other = i + static_cast<int>(chance * (kPixels - i));
    std::swap(deck[static_cast<std::size_t>(i)], deck[static_cast<std::size_t>(other)]);
    crowd.put(deck[static_cast<std::size_t>(i)]);
  }
  for (;;) {
    const int cluster = crowd.tightest_cluster();
    crowd.take(cluster);
    const int gap = crowd.largest_void();
    crowd.put(gap);
    if (gap == cluster) return crowd;
  }
}

}  // namespace

Mask::Mask() {
  const Crowd start = prototype();
  const auto rank = [&](int pixel) -> std::uint16_t& {
    return rank_[static_cast<std::size_t>(pixel)];
  };
  // Ranks of the prototype's own dots, from the last to the first.
  Crowd thinning = start;
  for (int next = kSeeds; next-- > 0;) {
    const int cluster = thinning.tightest_cluster();
    rank(cluster) = static_cast<std::uint16_t>(next);
    thinning.take(cluster);
  }
  // Ulichney's third phase fills the tightest cluster of gaps; on a torus that is the void that
  // lies deepest, so one rule serves up to the last pixel.
  Crowd filling = start;
  for (int next = kSeeds; next < kPixels; ++next) {
    const int gap = filling.largest_void();
    rank(gap) = static_cast<std::uint16_t>(next);
    filling.put(gap);
  }
}

}  // namespace rimeglow
