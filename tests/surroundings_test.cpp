// Laws of sim/surroundings: what rays meet about a panel is what plane arithmetic says of two
// boxes, a table and a backdrop (derived).
#include "surroundings.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "panels.h"
#include "sampling.h"

namespace rimeglow::surroundings_test {
namespace {

using Met = Surroundings::Met;
using Thing = Surroundings::Thing;

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kSize_mm = 127.0;
constexpr double kThickness_mm = 3.0;
constexpr double kSlot_mm = 8.0;
constexpr double kTable_mm = -14.5;  // half a millimetre to the LEDs, 14 below them
constexpr double kBackdrop_mm = -40.0;
// Which of two facets is taken near where they meet is single precision's choice.
constexpr double kBlur_mm = 1e-3;

// LEDs at the bottom and at the left of a sign before a light wall.
Run lit_from_two_sides() {
  Model model = panels::sign_blank();
  LedRow left = model.lamps.front();
  left.edge = panels::kLeft;
  left.along = Vec2(0.0, -1.0);
  left.centre_mm = Vec2(0.0, 0.5 * kSize_mm);
  model.lamps.push_back(left);
  model.base.slot_depth_mm = kSlot_mm;
  model.room = {30.0, 0.6};
  return panels::traced(model, 128);
}

struct Box {
  Vec3 low_mm, high_mm;
};

// 9 mm beyond the panel along its edges and beside its faces.
std::array<Box, 2> bases() {
  constexpr double kRim_mm = 9.0;
  const double back = -kRim_mm;
  const double front = kThickness_mm + kRim_mm;
  return {Box{{-kRim_mm, kTable_mm, back}, {kSize_mm + kRim_mm, kSlot_mm, front}},
          Box{{kTable_mm, -kRim_mm, back}, {kSlot_mm, kSize_mm + kRim_mm, front}}};
}

// Where a ray comes to a box from outside: the last of the three pairs of planes that it enters
// between.
std::optional<Met> meet(const Box& box, const Ray& ray) {
  double enter = -kNever;
  double leave = kNever;
  Vec3 normal = Vec3::Zero();
  for (const int k : {0, 1, 2}) {
    const double from = ray.origin_mm[k];
    const double slope = ray.direction[k];
    if (slope == 0.0) {
      if (from <= box.low_mm[k] || from >= box.high_mm[k]) return std::nullopt;
      continue;
    }
    const double first = ((slope > 0.0 ? box.low_mm : box.high_mm)[k] - from) / slope;
    leave = std::min(leave, ((slope > 0.0 ? box.high_mm : box.low_mm)[k] - from) / slope);
    if (first <= enter) continue;
    enter = first;
    normal = Vec3::Zero();
    normal[k] = slope > 0.0 ? -1.0 : 1.0;
  }
  if (enter < 0.0 || enter >= leave) return std::nullopt;
  return Met{enter, normal, Thing::body};
}

// All that a ray meets, the nearest first.
std::vector<Met> due_along(const Ray& ray) {
  std::vector<Met> due;
  for (const Box& box : bases()) {
    if (const auto met = meet(box, ray)) due.push_back(*met);
  }
  const double to_table = (kTable_mm - ray.origin_mm.y()) / ray.direction.y();
  if (ray.direction.y() < 0.0 && to_table >= 0.0) {
    due.push_back({to_table, Vec3::UnitY(), Thing::table});
  }
  const double to_backdrop = (kBackdrop_mm - ray.origin_mm.z()) / ray.direction.z();
  if (ray.direction.z() < 0.0 && to_backdrop >= 0.0) {
    due.push_back({to_backdrop, Vec3::UnitZ(), Thing::backdrop});
  }
  std::sort(due.begin(), due.end(),
            [](const Met& a, const Met& b) { return a.distance_mm < b.distance_mm; });
  return due;
}

bool same_surface(const Met& one, const Met& other, double slope) {
  return one.thing == other.thing && one.normal == other.normal &&
         std::abs(one.distance_mm - other.distance_mm) * slope < 2.0 * kBlur_mm;
}

// Whether the next surface is farther away, and every ray so near meets the same one.
bool is_clear(const Ray& ray, const std::vector<Met>& due) {
  const double slope = due.empty() ? 0.0 : std::abs(due[0].normal.dot(ray.direction));
  for (const Met& met : due) {
    if (met.distance_mm < due[0].distance_mm + kBlur_mm && !same_surface(met, due[0], slope)) {
      return false;
    }
  }
  const Frame about = frame_about(ray.direction);
  for (const Vec3& way : {about.x, about.y, about.z}) {
    for (const double shift_mm : {-kBlur_mm, kBlur_mm}) {
      const std::vector<Met> beside = due_along({ray.origin_mm + shift_mm * way, ray.direction});
      if (beside.empty() != due.empty()) return false;
      if (!due.empty() && !same_surface(beside[0], due[0], slope)) return false;
    }
  }
  return true;
}

// From before and behind the panel, below the table, behind the wall and within the bases; any way,
// along an axis, at the diagonal of a base's side, where its two facets meet, or at its rim.
Ray some_ray(int number) {
  const auto k = static_cast<std::uint64_t>(number);
  const Uniforms where = statistics::uniforms(151, k);
  const Uniforms way = statistics::uniforms(152, k);
  const double reach_mm = number % 3 == 0 ? 30.0 : 400.0;
  const Vec3 origin =
      Vec3(40.0, 40.0, 0.0) + reach_mm * (2.0 * Vec3(where[0], where[1], where[2]) - Vec3::Ones());
  const int aim = number % 4;
  if (aim == 0) return {origin, direction_at(2.0 * way[0] - 1.0, 2.0 * kPi * way[1])};
  const int axis = static_cast<int>(3.0 * way[3]);
  const double ahead = where[3] < 0.5 ? -1.0 : 1.0;
  if (aim == 1) return {origin, ahead * Vec3::Unit(axis)};
  const Box box = bases()[way[2] < 0.5 ? 0 : 1];
  Vec3 share = Vec3::Constant(way[0]);
  share[axis] = where[3] < 0.5 ? 0.0 : 1.0;
  Vec3 target = box.low_mm + share.cwiseProduct(box.high_mm - box.low_mm);
  if (aim == 3) {
    const int other = (axis + 1) % 3;
    target[other] = (way[1] < 0.5 ? box.low_mm : box.high_mm)[other];
    target += 0.02 * (Vec3(way[1], way[2], way[0]) - Vec3::Constant(0.5));
  }
  return {origin, (target - origin).normalized()};
}

// Normal and thing as due, the distance from the plane to 1e-9 mm. Left out are rays that come so
// near to where two surfaces meet that they or one beside them may meet the other. Asked for things
// nearer than that, or than a little farther, it finds none or the same.
TEST(Surroundings, AreMetWherePlaneArithmeticSays) {
  const auto run = lit_from_two_sides();
  const Surroundings surroundings(run);
  const int rays = statistics::samples(400000);
  std::array<int, 4> met = {};
  int left_out = 0;
  for (int n = 0; n < rays; ++n) {
    const Ray ray = some_ray(n);
    const std::vector<Met> all = due_along(ray);
    if (!is_clear(ray, all)) {
      ++left_out;
      continue;
    }
    const auto found = surroundings.ahead(ray);
    ASSERT_EQ(found.has_value(), !all.empty())
        << "ray " << n << " from " << ray.origin_mm.transpose() << " along "
        << ray.direction.transpose();
    ++met[found ? static_cast<std::size_t>(found->thing) : 3];
    if (!found) continue;
    const Met& due = all[0];
    ASSERT_EQ(found->thing, due.thing) << "ray " << n;
    ASSERT_EQ(found->normal, due.normal) << "ray " << n;
    const double slope = std::abs(due.normal.dot(ray.direction));
    ASSERT_NEAR(slope * found->distance_mm, slope * due.distance_mm, 1e-9) << "ray " << n;
    const double more_mm = kBlur_mm / slope + 1e-6 * due.distance_mm;
    ASSERT_TRUE(surroundings.ahead(ray, due.distance_mm + more_mm)) << "ray " << n;
    ASSERT_FALSE(surroundings.ahead(ray, due.distance_mm - 1e-9 / slope)) << "ray " << n;
  }
  for (const int often : met) EXPECT_GT(often, rays / 20);
  EXPECT_LT(left_out, rays / 10);
}

// Metres away, and close above the horizon: from a metre up there is table at 2e-6 below it.
TEST(Surroundings, HaveNoEndInSight) {
  const auto run = lit_from_two_sides();
  const Surroundings surroundings(run);
  for (const double bearing : {0.0, 0.7, 1.6, 2.4, 3.1, 4.0, 5.5}) {
    for (const double slope : {2e-6, 1e-5, 1e-3, 0.3}) {
      const Vec3 flat(std::cos(bearing), 0.0, std::sin(bearing));
      const Ray down{{0.0, 1000.0 + kTable_mm, -60.0}, (flat - slope * Vec3::UnitY()).normalized()};
      const auto table = surroundings.ahead(down);
      // Behind the wall nothing stands before the table.
      ASSERT_TRUE(table && table->thing == Thing::table) << bearing << ", " << slope;
      EXPECT_NEAR(table->distance_mm * -down.direction.y(), 1000.0, 1e-6);
      const Ray up{down.origin_mm, (flat + slope * Vec3::UnitY()).normalized()};
      EXPECT_FALSE(surroundings.ahead(up));
      const Vec3 upright(std::cos(bearing), std::sin(bearing), 0.0);
      const Ray back{{300.0, 900.0, 960.0}, (upright - slope * Vec3::UnitZ()).normalized()};
      const Met due = due_along(back).at(0);
      const auto wall = surroundings.ahead(back);
      ASSERT_TRUE(wall && wall->thing == due.thing) << bearing << ", " << slope;
      EXPECT_NEAR(wall->distance_mm, due.distance_mm, 1e-9 * due.distance_mm);
    }
  }
}

// Each surface returns its share of the room, and the backdrop besides what the lamps throw on it;
// the sum along rays that meet nothing is the room.
TEST(Surroundings, ReturnTheRoomsLight) {
  const auto run = lit_from_two_sides();
  const Surroundings surroundings(run);
  constexpr double kTable = 0.35;
  constexpr double kBody = 0.2;
  const double upright = 0.5 + 0.5 * kTable;  // half table, half room
  const auto room_along = [&](const Vec3& origin, const Vec3& direction) {
    std::array<double, 2> light = {};
    surroundings.add({origin, direction}, 1.0, light);
    return light[1] / run.model->room.cd_m2;
  };
  const Vec3 eye(60.0, 60.0, 500.0);
  EXPECT_DOUBLE_EQ(room_along(eye, Vec3::UnitZ()), 1.0);
  EXPECT_DOUBLE_EQ(room_along(eye, -Vec3::UnitY()), kTable);
  EXPECT_DOUBLE_EQ(room_along(eye, -Vec3::UnitZ()), 0.6 * upright);
  EXPECT_DOUBLE_EQ(room_along({60.0, 0.0, 500.0}, -Vec3::UnitZ()), kBody * upright);
  EXPECT_DOUBLE_EQ(room_along({60.0, 500.0, 6.0}, -Vec3::UnitY()), kBody);
}

// Bases of walls that return 0.6, half a millimetre below a lossless cuboid: a strip light at the
// middle of its bottom edge.
constexpr double kWall = 0.6;
constexpr double kGap_mm = 0.5;

Model in_a_white_base(double emitter_mm) {
  Model model = panels::clear_panel({kSize_mm, kSize_mm}, kThickness_mm, 1.49);
  model.lamps = {panels::strip_light(model, {60.0, emitter_mm}, kGap_mm)};
  model.base.wall = kWall;
  return model;
}

// By channel, as seen out of the bottom edge, or of the left one, beside the LEDs.
std::vector<double> wall_cd_m2(const Run& run, bool at_left = false) {
  std::vector<double> light(run.model->channels.size() + 1);
  const Ray at_bottom{{10.0, 0.0, 0.5 * kThickness_mm}, -Vec3::UnitY()};
  const Ray leftward{{0.0, 10.0, 0.5 * kThickness_mm}, -Vec3::UnitX()};
  Surroundings(run).add(at_left ? leftward : at_bottom, 1.0, light);
  return light;
}

// Walls that keep so many lumens, 1 - R of what meets them, throw R of it back, Lambertian. They
// are all of the cavity's section but for the edge.
double due_cd_m2(double kept_lm, double emitter_mm) {
  const double wide_mm = std::max(kThickness_mm, emitter_mm);
  const double about_mm = 2.0 * (wide_mm + kGap_mm) - kThickness_mm;
  return kWall / (1.0 - kWall) * kept_lm / (kPi * kSize_mm * about_mm * kM2PerMm2);
}

double share(const Run& run, int entry) { return panels::ledger_share(run, entry).mean; }

// What LEDs emit in a closed cavity and what comes back from the sheet, less what enters, the walls
// keep (derived: energy).
TEST(Surroundings, OfABaseShineByAllThatTheirWallsKeep) {
  for (const double emitter_mm : {2.8, 5.0}) {
    const auto run = panels::traced(in_a_white_base(emitter_mm), statistics::samples(20000));
    const double kept_lm = 100.0 * (share(run, kMissed) + share(run, kBaseLoss));
    const double due = due_cd_m2(kept_lm, emitter_mm);
    EXPECT_NEAR(wall_cd_m2(run)[0], due, 1e-6 * due) << emitter_mm;
  }
}

// What touching walls of the slot take comes to no cavity, nor does what a measured LED sends
// behind its board: half of the light of one that is alike all round (derived). A slot so deep lets
// nothing come back. Level 1e-4; sees 2 %.
TEST(Surroundings, OfABaseDoNotShineByWhatTheSlotOrTheBoardTakes) {
  Model model = in_a_white_base(2.8);
  model.base.slot_depth_mm = 0.9 * kSize_mm;
  model.base.contact = 1.0;
  model.lamps[0].far_field = std::make_shared<const FarField>(
      std::vector{0.0, 0.5 * kPi, kPi}, std::vector{0.0, 2.0 * kPi}, std::vector(6, 10.0));
  const int photons = statistics::samples(200000);
  const auto run = panels::traced(model, photons);
  EXPECT_GT(share(run, kBaseLoss), 0.2);
  const double due = due_cd_m2(100.0 * (share(run, kMissed) - 0.5), 2.8);
  const double limit = statistics::z_limit(statistics::kFalseAlarm) *
                       statistics::binomial_sigma(0.5, photons) * due_cd_m2(100.0, 2.8);
  EXPECT_NEAR(wall_cd_m2(run)[0], due, limit + 0.01 * due);
}

// In a square cuboid, whose polished sides let no light cross over to one another, bases of one
// shape shine by the lumens of their own LEDs, each colour by its own (derived). Level 1e-4; sees
// 10 %.
TEST(Surroundings, OfBasesShineByTheirOwnLight) {
  Model model = in_a_white_base(2.8);
  model.channels.resize(2);
  LedRow blue = model.lamps[0];
  blue.channel = 1;
  blue.flux_each_lm = 50.0;
  LedRow left = blue;
  left.edge = panels::kLeft;
  left.along = Vec2(0.0, -1.0);
  left.centre_mm = Vec2(0.0, 0.5 * kSize_mm);
  left.flux_each_lm = 200.0;
  model.lamps.insert(model.lamps.end(), {blue, left});
  const int photons = statistics::samples(100000);
  const auto run = panels::traced(model, photons);
  const double kept_lm = 350.0 * (share(run, kMissed) + share(run, kBaseLoss));
  const auto expect_share = [&](double cd_m2, double part) {
    const double all = due_cd_m2(kept_lm, 2.8);
    const double sigma = statistics::binomial_sigma(part, 0.1 * photons);
    EXPECT_NEAR(cd_m2, part * all, statistics::z_limit(statistics::kFalseAlarm, 4) * sigma * all);
  };
  expect_share(wall_cd_m2(run)[0], 100.0 / 350.0);
  expect_share(wall_cd_m2(run)[1], 50.0 / 350.0);
  expect_share(wall_cd_m2(run, true)[0], 0.0);
  expect_share(wall_cd_m2(run, true)[1], 200.0 / 350.0);
}

// Without lamps and backdrop nothing stands there.
TEST(Surroundings, OfABlankAreTheRoom) {
  const Model blank = panels::clear_panel({80.0, 60.0}, 3.0, 1.49);
  const auto run = start(std::make_shared<const Model>(blank), {});
  EXPECT_FALSE(Surroundings(run).ahead({{10.0, 10.0, 50.0}, Vec3(0.0, -0.6, -0.8)}));
}

}  // namespace
}  // namespace rimeglow::surroundings_test
