// Laws of the walk over all scattering orders at a rough boundary, and of its estimate toward one
// direction.
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "microfacet.h"
#include "rough_tables.h"
#include "sampling.h"
#include "statistics.h"
#include "units.h"

namespace rimeglow::microfacet_walk_test {
namespace {

constexpr double kIndex = 1.49;

std::string name_of(const rough_tables::Row& row) {
  return std::string(row.inside ? "inside" : "outside") + ", alpha " + std::to_string(row.alpha) +
         ", " + std::to_string(row.theta_deg) + " degrees";
}

// What became of many walks.
struct Walked {
  statistics::Average transmitted, transmitted_at_once, order;
};

Walked walk(const rough_tables::Row& row, int count, std::uint64_t seed) {
  const Slopes slopes{row.alpha, row.alpha, SlopeLaw::ggx};
  const double ratio = row.inside ? 1.0 / kIndex : kIndex;
  const Vec3 in = direction_at(std::cos(radians(row.theta_deg)), 0.0);
  Walked walked;
  for (int k = 0; k < count; ++k) {
    const FacetWalk end =
        walk_facets(slopes, ratio, in, Draws(seed, static_cast<std::uint64_t>(k)));
    const bool crossed = end.direction.z() < 0.0;
    walked.transmitted.add(crossed);
    walked.transmitted_at_once.add(crossed && end.order == 1);
    walked.order.add(end.order);
  }
  return walked;
}

// Difference in joint standard errors; the table's values stand for 2e6 walks and are rounded to
// `digit`.
double z_of(const statistics::Average& ours, double table, double digit) {
  constexpr double kTableWalks = 2e6;
  const double sigma2 = ours.sigma() * ours.sigma() * (1.0 + ours.count / kTableWalks);
  const double floor2 = 1.0 / (ours.count * ours.count);  // where no walk differed from the others
  return (ours.mean() - table) / std::sqrt(sigma2 + floor2 + digit * digit / 12.0);
}

// Published walk (Heitz, Hanika, d'Eon, Dachsbacher 2016) in another program's words: 8 alphas x 8
// angles x 2 sides. False-alarm level 1e-4 over the 384 comparisons, and again for the chi-square
// of all transmitted shares; sees one share wrong by 0.008, or all of them by 0.0005.
TEST(MicrofacetWalk, TransmitsTheTabulatedSharesOverAllOrders) {
  const std::vector<rough_tables::Row> rows = rough_tables::read("rough_all_orders.csv");
  const int count = statistics::samples(60000);
  const double limit =
      statistics::z_limit(statistics::kFalseAlarm, 3 * static_cast<int>(rows.size()));
  double squares = 0.0;
  std::uint64_t stream = 1;
  for (const rough_tables::Row& row : rows) {
    const Walked walked = walk(row, count, statistics::kSeed + stream++);
    const double z = z_of(walked.transmitted, row.values[0], 1e-4);
    squares += z * z;
    EXPECT_LT(std::abs(z), limit) << name_of(row) << ": " << walked.transmitted.mean();
    EXPECT_LT(std::abs(z_of(walked.transmitted_at_once, row.values[1], 1e-4)), limit)
        << name_of(row) << ", first order: " << walked.transmitted_at_once.mean();
    EXPECT_LT(std::abs(z_of(walked.order, row.values[2], 1e-3)), limit)
        << name_of(row) << ", mean order: " << walked.order.mean();
  }
  EXPECT_GT(statistics::chi_square_tail(squares, static_cast<double>(rows.size())),
            statistics::kFalseAlarm);
}

// A rough boundary, light on one side of it. Directions as a public renderer tests them (mitsuba3,
// src/bsdfs/tests/test_rough_dielectric.py: grazing, from inside, beyond the critical angle,
// grooves) and the steepest and the roughest of ours.
struct Meeting {
  const char* name;
  Slopes slopes;
  bool inside;
  Vec3 in;
};

const Meeting kMeetings[] = {
    {"grazing", {0.5, 0.5, SlopeLaw::ggx}, false, Vec3(0.8, 0.3, 0.05).normalized()},
    {"from inside", {0.5, 0.5, SlopeLaw::ggx}, true, Vec3(0.2, -0.6, 0.5).normalized()},
    {"totally reflected", {0.5, 0.5, SlopeLaw::ggx}, true, Vec3(0.8, 0.3, 0.05).normalized()},
    {"grooves", {0.5, 0.2, SlopeLaw::ggx}, false, Vec3(0.2, -0.6, 0.5).normalized()},
    {"grooves from inside", {0.2, 0.7, SlopeLaw::ggx}, true, Vec3(0.6, 0.5, 0.6).normalized()},
    {"roughest", {1.0, 1.0, SlopeLaw::ggx}, true, Vec3(0.0, 0.0, 1.0)},
    {"Beckmann", {0.6, 0.6, SlopeLaw::beckmann}, true, Vec3(0.5, 0.0, 0.4).normalized()},
    {"Beckmann from outside",
     {0.9, 0.4, SlopeLaw::beckmann},
     false,
     Vec3(0.1, 0.9, 0.3).normalized()},
};

double ratio_of(const Meeting& meeting) { return meeting.inside ? 1.0 / kIndex : kIndex; }

// The sphere of leaving directions in cells of equal solid angle.
constexpr int kBands = 10;
constexpr int kSectors = 12;
constexpr std::size_t kCells = kBands * kSectors;

std::size_t cell_of(const Vec3& direction) {
  const double turn = std::atan2(direction.y(), direction.x()) / (2.0 * kPi) + 0.5;
  const int band = std::min(kBands - 1, static_cast<int>((direction.z() + 1.0) * 0.5 * kBands));
  const int sector = std::min(kSectors - 1, static_cast<int>(turn * kSectors));
  return static_cast<std::size_t>(band * kSectors + sector);
}

// k of `count` directions spread evenly over the sphere, turned at random.
Vec3 spread(int k, int count, const Uniforms& u) {
  return direction_at(2.0 * (k + u[0]) / count - 1.0, 2.0 * kPi * u[1]);
}

using Cells = std::vector<statistics::Average>;

// Shares of the light that leave through the cells, by walks that end there.
Cells walked_into(const Meeting& meeting, int count, int only_order = 0) {
  Cells cells(kCells);
  for (int k = 0; k < count; ++k) {
    const FacetWalk end = walk_facets(meeting.slopes, ratio_of(meeting), meeting.in,
                                      Draws(statistics::kSeed + 1, static_cast<std::uint64_t>(k)));
    const double share = only_order == 0 || end.order == only_order;
    cells[cell_of(end.direction)].add(share);
  }
  for (statistics::Average& cell : cells) cell.count = count;  // the others added nothing to it
  return cells;
}

// The same from `scattering` (1/sr, times |cos|) toward random directions.
template <class Scattering>
Cells scattered_into(int count, Scattering&& scattering) {
  Cells cells(kCells);
  for (int k = 0; k < count; ++k) {
    const Vec3 out = spread(k, count, statistics::uniforms(11, static_cast<std::uint64_t>(k)));
    cells[cell_of(out)].add(4.0 * kPi * std::abs(out.z()) * scattering(out, k));
  }
  for (statistics::Average& cell : cells) cell.count = count;
  return cells;
}

// Largest difference between the cells of two counts in joint errors. Cells of less than a half per
// cent of the light, where rare large values make errors unreliable, are taken together.
double worst_z(const Cells& walked, const Cells& scattered) {
  constexpr double kLeastShare = 0.005;
  const auto z = [](const statistics::Average& a, const statistics::Average& b) {
    return std::abs(a.mean() - b.mean()) / std::hypot(a.sigma(), b.sigma());
  };
  double worst = 0.0;
  statistics::Average walked_rest, scattered_rest;
  for (std::size_t i = 0; i < kCells; ++i) {
    if (walked[i].mean() > kLeastShare) {
      worst = std::max(worst, z(walked[i], scattered[i]));
      continue;
    }
    walked_rest.add_all(walked[i]);
    scattered_rest.add_all(scattered[i]);
  }
  walked_rest.count = walked.front().count;
  scattered_rest.count = scattered.front().count;
  return std::max(worst, z(walked_rest, scattered_rest));
}

double level_z() {
  return statistics::z_limit(statistics::kFalseAlarm,
                             static_cast<int>(kCells * std::size(kMeetings)));
}

// The walk's first order is one scattering in closed form. False-alarm level 1e-4; sees a cell of
// 1 % of the light wrong by 16 % of itself.
TEST(MicrofacetWalk, ItsFirstOrderIsOneScattering) {
  const int count = statistics::samples(120000);
  for (const Meeting& meeting : kMeetings) {
    const Cells closed = scattered_into(count, [&](const Vec3& out, int) {
      return single_reflection(meeting.slopes, ratio_of(meeting), meeting.in, out) +
             single_transmission(meeting.slopes, ratio_of(meeting), meeting.in, out);
    });
    EXPECT_LT(worst_z(walked_into(meeting, count, 1), closed), level_z()) << meeting.name;
  }
}

// The estimate toward a direction is unbiased: over solid angle it finds what the walks do, and in
// all it loses nothing (white furnace, both sides). False-alarm level 1e-4 each; sees a cell of 1 %
// of the light wrong by 16 % of itself, and a loss of 1 %.
TEST(MicrofacetWalk, TheEstimateTowardADirectionFindsWhereWalksEndAndLosesNothing) {
  const int count = statistics::samples(120000);
  for (const Meeting& meeting : kMeetings) {
    statistics::Average all;
    const Cells estimated = scattered_into(count, [&](const Vec3& out, int k) {
      const double share =
          estimate_scattering(meeting.slopes, ratio_of(meeting), meeting.in, out,
                              Draws(statistics::kSeed + 2, static_cast<std::uint64_t>(k)));
      all.add(4.0 * kPi * std::abs(out.z()) * share);
      return share;
    });
    EXPECT_LT(worst_z(walked_into(meeting, count), estimated), level_z()) << meeting.name;
    EXPECT_LT(std::abs(all.mean() - 1.0) / all.sigma(),
              statistics::z_limit(statistics::kFalseAlarm, static_cast<int>(std::size(kMeetings))))
        << meeting.name << ": " << all.mean();
  }
}

statistics::Average estimate(const Slopes& slopes, double ratio, const Vec3& in, const Vec3& out,
                             int count, std::uint64_t seed) {
  statistics::Average average;
  for (int k = 0; k < count; ++k) {
    average.add(
        estimate_scattering(slopes, ratio, in, out, Draws(seed, static_cast<std::uint64_t>(k))));
  }
  return average;
}

// Reciprocity over all orders: f_r(i, o) = f_r(o, i) on either side, and in power f_t(in -> out) =
// f_t(out -> in) / n^2. False-alarm level 1e-4 over 45 comparisons; sees 5 % of a typical value.
TEST(MicrofacetWalk, ScatteringOfAllOrdersIsReciprocal) {
  constexpr double kSkew = 1e-3;  // rare large values make small means look surer than they are
  const int count = statistics::samples(40000);
  const Vec3 ways[] = {direction_at(0.95, 0.3), direction_at(0.6, 2.5), direction_at(0.25, -1.0)};
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 45);
  std::uint64_t seed = statistics::kSeed + 100;
  for (const Slopes& slopes : {Slopes{0.3, 0.3, SlopeLaw::ggx}, Slopes{1.0, 1.0, SlopeLaw::ggx},
                               Slopes{0.3, 0.8, SlopeLaw::ggx}}) {
    const auto agree = [&](double ratio, const Vec3& in, const Vec3& out, double ratio_back,
                           const Vec3& in_back, const Vec3& out_back, double factor) {
      const statistics::Average forth = estimate(slopes, ratio, in, out, count, ++seed);
      const statistics::Average back =
          estimate(slopes, ratio_back, in_back, out_back, count, ++seed);
      const double sigma = std::hypot(forth.sigma(), factor * back.sigma());
      EXPECT_LT(std::abs(forth.mean() - factor * back.mean()), limit * sigma + kSkew)
          << "alpha " << slopes.alpha_x << " x " << slopes.alpha_y << ": " << forth.mean()
          << " and " << factor * back.mean();
      const double fewer = std::sqrt(double{RIMEGLOW_TEST_PHOTON_DIVISOR});
      EXPECT_LT(sigma, fewer * (0.02 * forth.mean() + 2e-3)) << "too few walks to tell";
    };
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) {
        const Vec3 across(ways[j].x(), ways[j].y(), -ways[j].z());
        const Vec3 home(ways[i].x(), ways[i].y(), -ways[i].z());
        agree(1.0 / kIndex, ways[i], across, kIndex, ways[j], home, 1.0 / (kIndex * kIndex));
        if (i >= j) continue;
        for (const double ratio : {kIndex, 1.0 / kIndex}) {
          agree(ratio, ways[i], ways[j], ratio, ways[j], ways[i], 1.0);
        }
      }
    }
  }
}

// Every walk ends, well before its cap, with light that has left.
TEST(MicrofacetWalk, EveryWalkLeavesTheSurface) {
  const int count = statistics::samples(100000);
  int longest = 0;
  for (const Meeting& meeting : kMeetings) {
    for (int k = 0; k < count / 4; ++k) {
      const FacetWalk end =
          walk_facets(meeting.slopes, ratio_of(meeting), meeting.in,
                      Draws(statistics::kSeed + 3, static_cast<std::uint64_t>(k)));
      ASSERT_NEAR(end.direction.norm(), 1.0, 1e-9);
      ASSERT_NE(end.direction.z(), 0.0);
      ASSERT_GE(end.order, 1);
      longest = std::max(longest, end.order);
    }
  }
  EXPECT_LT(longest, 128);
}

}  // namespace
}  // namespace rimeglow::microfacet_walk_test
