// Laws of sim/walk: what the light meets, what ends it, and that its history is its own.
#include "walk.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "made_up_outlines.h"
#include "panels.h"
#include "sampling.h"
#include "statistics.h"

namespace rimeglow::walk_test {
namespace {

struct Ends : panels::Ends {
  std::vector<statistics::Average> by_photon = std::vector<statistics::Average>(weights.size());

  void close_photon() {
    for (std::size_t i = 0; i < weights.size(); ++i) by_photon[i].add(weights[i]);
    weights.fill(0.0);
  }
  const statistics::Average& mean(int entry) const {
    return by_photon[static_cast<std::size_t>(entry)];
  }
};

// A photon that starts anywhere inside, in any direction.
Ray anywhere_inside(const Model& model, std::uint64_t photon) {
  const Uniforms place = statistics::uniforms(111, photon);
  const Uniforms whither = statistics::uniforms(112, photon);
  return {{place[0] * model.outline.size_mm.x(), place[1] * model.outline.size_mm.y(),
           place[2] * model.thickness_mm},
          direction_at(2.0 * whither[0] - 1.0, 2.0 * kPi * whither[1])};
}

// All four edges behind perfect mirror tape: light guided by the faces can go nowhere.
Model mirror_box(double absorption_per_mm) {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49);
  model.sheet.absorption_per_mm = absorption_per_mm;
  for (Finish& edge : model.edge_finish) edge = panels::backed({}, Backing::Kind::mirror, 1.0);
  return model;
}

Ray guided_ray() { return {{20.0, 15.0, 1.0}, Vec3(0.6, 0.7, 0.3).normalized()}; }

// Exact: nothing in a lossless box of mirrors ends the light but the cap, which says so.
TEST(Walk, LightThatNothingEndsIsCutAndCountedAsTrapped) {
  const Model model = mirror_box(0.0);
  struct Meetings : Ends {
    int count = 0;
    void arrive(const Hit&, const Vec3&, double) { ++count; }
  } meetings;
  travel(model, panels::prism_of(model), guided_ray(), Draws(1, 1), meetings);
  EXPECT_EQ(meetings.of(kTrapped), 1.0);
  EXPECT_EQ(meetings.count, kMaxHits);
}

// Roulette takes and gives the same on average: in an absorbing box of mirrors all the light ends
// in the sheet (derived: there is no other end). Level 1e-4 for each of two; sees 1e-4 of the
// light.
TEST(Walk, RouletteLosesNothingOnAverage) {
  const Model model = mirror_box(0.01);
  const Prism prism = panels::prism_of(model);
  Ends ends;
  const int count = statistics::samples(200000);
  for (int k = 0; k < count; ++k) {
    travel(model, prism, guided_ray(), Draws(statistics::kSeed, static_cast<std::uint64_t>(k)),
           ends);
    for (const int entry : {+kTrapped, +kSheetLoss}) EXPECT_LT(std::abs(ends.of(entry)), 30.0);
    EXPECT_NEAR(ends.of(kTrapped) + ends.of(kSheetLoss), 1.0, 1e-12);
    ends.close_photon();
  }
  const double limit = statistics::z_limit(statistics::kFalseAlarm);
  EXPECT_GT(ends.mean(kTrapped).sigma(), 0.0);
  EXPECT_NEAR(ends.mean(kTrapped).mean(), 0.0, limit * ends.mean(kTrapped).sigma());
  EXPECT_NEAR(ends.mean(kSheetLoss).mean(), 1.0, limit * ends.mean(kSheetLoss).sigma());
}

// Beer and Lambert: a beam straight across an absorbing sheet between two black edges (derived).
TEST(Walk, TheSheetTakesItsShareByTheWay) {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49);
  model.sheet.absorption_per_mm = 0.02;
  for (Finish& edge : model.edge_finish) edge = panels::black_paint();
  Ends ends;
  travel(model, panels::prism_of(model), {{20.0, 5.0, 1.0}, Vec3::UnitY()}, Draws(1, 1), ends);
  EXPECT_NEAR(ends.of(kFinishLoss), std::exp(-0.02 * 25.0), 1e-12);
  EXPECT_NEAR(ends.of(kSheetLoss), -std::expm1(-0.02 * 25.0), 1e-12);
  // Zigzagging on bare faces only makes the way longer: 25 mm at 60 degrees from the normal.
  Ends slanted;
  const Vec3 slant(0.0, std::sqrt(0.75), 0.5);
  travel(model, panels::prism_of(model), {{20.0, 5.0, 1.0}, slant}, Draws(1, 1), slanted);
  EXPECT_NEAR(slanted.of(kFinishLoss), std::exp(-0.02 * 25.0 / std::sqrt(0.75)), 1e-12);
}

// Layers share a point by their coverage, one after the other, and the rest is bare. Level 1e-4
// over three; sees 0.005 of the meetings.
TEST(Walk, MarksAreMetAsOftenAsTheyCover) {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49);
  constexpr double kFirst = 51.0 / 255.0;
  constexpr double kSecond = 102.0 / 255.0;
  const auto even = [](double tone) { return [tone](double, double) { return tone; }; };
  panels::engrave(model, Side::back, panels::ground(0.5), even(kFirst), {5.0, 5.0}, {35.0, 25.0});
  panels::engrave(model, Side::back, panels::black_paint(), even(kSecond), {5.0, 5.0},
                  {35.0, 25.0});
  Hit hit;
  hit.surface = kBackFace;
  hit.position_mm = {20.0, 15.0, 0.0};
  const int count = statistics::samples(200000);
  std::array<double, 3> met{};
  for (int k = 0; k < count; ++k) {
    const Finish& finish =
        finish_at(model, hit, Draws(statistics::kSeed, static_cast<std::uint64_t>(k)));
    met[static_cast<std::size_t>(finish.kind)] += 1.0 / count;
  }
  const std::array<double, 3> expected = {1.0 - kFirst - kSecond, kFirst, kSecond};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(met[i], expected[i],
                statistics::z_limit(statistics::kFalseAlarm, 3) *
                    statistics::binomial_sigma(expected[i], count));
  }
  hit.position_mm.x() = 3.0;
  EXPECT_EQ(finish_at(model, hit, Draws(1, 1)).kind, Finish::Kind::polished);
  hit = {0.0, kFrontFace, -1, {20.0, 15.0, 3.0}, Vec3::UnitZ()};
  EXPECT_EQ(finish_at(model, hit, Draws(1, 1)).kind, Finish::Kind::polished);
  hit.surface = kFirstEdge + panels::kLeft;
  model.edge_finish[panels::kLeft] = panels::black_paint();
  EXPECT_EQ(finish_at(model, hit, Draws(1, 1)).kind, Finish::Kind::painted);
}

TEST(Walk, EveryExitHasItsEntry) {
  EXPECT_EQ(exit_entry(kFrontFace, true), kFrontMark);
  EXPECT_EQ(exit_entry(kFrontFace, false), kFrontOther);
  EXPECT_EQ(exit_entry(kBackFace, true), kBackMark);
  EXPECT_EQ(exit_entry(kBackFace, false), kBackOther);
  EXPECT_EQ(exit_entry(kFirstEdge, true), kFirstEdgeEntry);
  EXPECT_EQ(exit_entry(kFirstEdge + panels::kLeft, false), kFirstEdgeEntry + panels::kLeft);
}

// Light counts as straight from a mark when the last thing it met before the face, or at it, was a
// mark. Exact, photon by photon.
TEST(Walk, OnlyTheFirstWayFromAMarkIsStraight) {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49);
  panels::engrave(model, Side::back, panels::ground(0.5, 1.0), [](double, double) { return 0.5; },
                  {10.0, 5.0}, {30.0, 25.0});
  struct LastMeetings : Ends {
    bool last_was_mark = false;
    bool straight = false;
    void scatter(const Hit& hit, const Finish& finish, const Vec3&, double, const Draws&) {
      const bool mark = hit.surface == kBackFace && finish.scatters();
      straight = last_was_mark || mark;
      last_was_mark = mark;
    }
  };
  const Prism prism = panels::prism_of(model);
  const Ray at_mark{{20.0, 15.0, 2.0}, Vec3(0.2, 0.3, -0.9).normalized()};
  std::array<int, 4> seen{};
  for (std::uint64_t k = 0; k < 5000; ++k) {
    LastMeetings ends;
    travel(model, prism, at_mark, Draws(statistics::kSeed, k), ends);
    for (const int entry : {kFrontMark, kFrontOther, kBackMark, kBackOther}) {
      if (ends.of(entry) == 0.0) continue;
      ++seen[static_cast<std::size_t>(entry)];
      EXPECT_EQ(ends.straight, entry == kFrontMark || entry == kBackMark) << "photon " << k;
    }
  }
  for (const int count : seen) EXPECT_GT(count, 0);
}

// What haze, a rough edge or the base sends on to a face comes from there, not from a mark. Exact,
// photon by photon.
TEST(Walk, WhatIsMetAfterAMarkEndsItsWay) {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49);
  panels::engrave(model, Side::back, panels::ground(0.5, 1.0), [](double, double) { return 0.5; },
                  {1.0, 1.0}, {39.0, 10.0});
  model.edge_finish[panels::kBottom] = panels::ground(0.5);
  model.edge_finish[panels::kLeft] = panels::ground(0.5);
  model.sheet.scattering_per_mm = 0.02;
  model.lamps = {panels::strip_light(model, {30.0, 2.8}, 0.5)};
  model.base.wall = 0.9;
  struct LastMeetings : Ends {
    bool last_was_mark = false;
    bool straight = false;
    int ended = 0;  // ways from a mark, by what else was met
    void arrive(const Hit&, const Vec3&, double) { straight = std::exchange(last_was_mark, false); }
    void scatter(const Hit& hit, const Finish& finish, const Vec3&, double, const Draws&) {
      last_was_mark = hit.surface == kBackFace && finish.scatters();
      ended += straight && hit.surface >= kFirstEdge ? 1 : 0;
      straight = straight || last_was_mark;
    }
    void stray(const Vec3&, const Vec3&, const Vec3&, double) {
      ended += std::exchange(last_was_mark, false) ? 1 : 0;
    }
    void wander(const LedRow&, const Ray&, const std::optional<Ray>&, double) {
      last_was_mark = false;
    }
  };
  const Prism prism = panels::prism_of(model);
  std::array<int, 4> seen{};
  int ended = 0;
  for (std::uint64_t k = 0; k < 20000; ++k) {
    LastMeetings ends;
    travel(model, prism, anywhere_inside(model, k), Draws(statistics::kSeed, k), ends);
    ended += ends.ended;
    for (const int entry : {kFrontMark, kFrontOther, kBackMark, kBackOther}) {
      if (ends.of(entry) == 0.0) continue;
      ++seen[static_cast<std::size_t>(entry)];
      ASSERT_EQ(ends.straight, entry == kFrontMark || entry == kBackMark) << "photon " << k;
    }
  }
  for (const int count : seen) EXPECT_GT(count, 100);
  EXPECT_GT(ended, 100);
}

// A prism that takes light from meeting to meeting, without skimming.
struct OneByOne : Prism {
  struct Flight : private Prism::Flight {
    explicit Flight(const Prism::Flight& flight) : Prism::Flight(flight) {}
    using Prism::Flight::direction;
    using Prism::Flight::mirror;
    using Prism::Flight::next;
  };
  Flight launch(const Ray& ray) const { return Flight(Prism::launch(ray)); }
};

// Light that skims over blank art has the history of light that is asked at each meeting: to the
// last bit, also where roulette plays for it and where the cap ends it (between mirrors, with art
// that says nothing).
TEST(Walk, SkimmingOverBlankArtChangesNothing) {
  struct Story : Ends {
    std::vector<std::array<double, 8>> meetings;
    void arrive(const Hit& hit, const Vec3& arriving, double weight) {
      const Vec3& at = hit.position_mm;
      meetings.push_back({static_cast<double>(hit.surface), at.x(), at.y(), at.z(), arriving.x(),
                          arriving.y(), arriving.z(), weight});
    }
  };
  struct Case {
    Model model;
    int photons;
  };
  std::vector<Case> cases;
  for (const Side side : {Side::back, Side::front}) {
    for (const double absorption_per_mm : {0.0003, 0.02}) {
      Model model = panels::sign_blank();
      model.sheet.absorption_per_mm = absorption_per_mm;
      panels::engrave(model, side, panels::ground(0.5, 0.3), panels::lines());
      panels::engrave(model, side, panels::ground(0.3), panels::squares(), {10.0, 16.0},
                      {60.0, 60.0});
      model.art_side = side;
      cases.push_back({std::move(model), 2000});
    }
  }
  Model mirrors = mirror_box(0.0);
  panels::engrave(mirrors, Side::back, panels::ground(0.5), [](double, double) { return 0.0; },
                  {5.0, 5.0}, {35.0, 25.0});
  cases.push_back({std::move(mirrors), 4});
  for (const auto& [model, photons] : cases) {
    const Prism skimming = panels::prism_of(model);
    const OneByOne one_by_one{skimming};
    for (int k = 0; k < photons; ++k) {
      const auto photon = static_cast<std::uint64_t>(k);
      const Ray ray = k < photons / 2 ? anywhere_inside(model, photon) : guided_ray();
      const Draws draws(statistics::kSeed, photon);
      Story found, due;
      travel(model, skimming, ray, draws, found);
      travel(model, one_by_one, ray, draws, due);
      ASSERT_EQ(found.meetings, due.meetings) << "photon " << k;
      ASSERT_EQ(found.weights, due.weights) << "photon " << k;
    }
  }
}

// The history depends on the photon's number alone: a scorer that looks at everything sees the same
// end as one that looks at nothing.
TEST(Walk, AHistoryIsTheSameWhoeverWatches) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::squares());
  model.edge_finish[panels::kTop] = panels::backed(panels::ground(0.3), Backing::Kind::white, 0.9);
  struct Curious : Ends {
    void scatter(const Hit&, const Finish&, const Vec3&, double, const Draws& draws) {
      for (std::uint32_t block = 0; block < 40; ++block) sum += draws.at(block)[0];
    }
    double sum = 0.0;
  };
  const Prism prism = panels::prism_of(model);
  for (std::uint64_t photon = 0; photon < 2000; ++photon) {
    Ends quiet;
    Curious curious;
    trace(model, prism, statistics::kSeed, photon, quiet);
    trace(model, prism, statistics::kSeed, photon, curious);
    ASSERT_EQ(quiet.weights, curious.weights) << "photon " << photon;
  }
}

// What a lit edge's own finish does to the light of the LEDs before it.
TEST(Walk, TapeOverTheLitEdgeKeepsTheLightOut) {
  Model model = panels::sign_blank();
  model.edge_finish[panels::kBottom] = panels::backed({}, Backing::Kind::mirror, 0.9);
  Ends ends;
  for (std::uint64_t photon = 0; photon < 1000; ++photon) {
    trace(model, panels::prism_of(model), statistics::kSeed, photon, ends);
  }
  EXPECT_EQ(ends.of(kMissed), 1000.0);
}

// A panel like a U: light goes straight across its notch, from the wall at x = 20 mm, which is part
// of the right edge, to the one at 40 mm, part of the left edge.
Model notched(double left_paint) {
  using made_up::built;
  Model model = panels::panel_of(
      built(
          {polygon({{0, 0}, {60, 0}, {60, 40}, {40, 40}, {40, 10}, {20, 10}, {20, 40}, {0, 40}})}),
      3.0, 1.49);
  model.edge_finish[panels::kLeft].kind = Finish::Kind::painted;
  model.edge_finish[panels::kLeft].paint_reflectance = left_paint;
  return model;
}

TEST(Walk, WhatIsThrownBackAcrossANotchLeavesTheWallThatItMetLast) {
  const Model model = notched(1.0);
  const Prism prism = panels::prism_of(model);
  const Hit from{0.0, kFirstEdge + panels::kRight, -1, {20.0, 25.0, 1.5}, Vec3::UnitX()};
  Ends ends;
  int left = 0;
  for (std::uint64_t k = 0; k < 500; ++k) {
    Draws draws(statistics::kSeed, k);
    const Crossed crossed = cross_hollow(model, prism, from, Vec3::UnitX(), 1.0, draws, ends);
    EXPECT_FALSE(crossed.absorbed);
    if (crossed.inside) continue;
    ++left;
    EXPECT_GT(crossed.direction.dot(crossed.last.normal), 0.0) << "photon " << k;
    EXPECT_NEAR(crossed.last.position_mm.x(),
                crossed.last.surface == kFirstEdge + panels::kLeft ? 40.0 : 20.0, 1e-9);
  }
  EXPECT_GT(left, 100);
}

TEST(Walk, PaintAcrossANotchTakesTheLightAsFinish) {
  const Model model = notched(0.0);
  Ends ends;
  for (std::uint64_t k = 0; k < 100; ++k) {
    const Ray across{{10.0, 25.0, 1.5}, Vec3::UnitX()};
    travel(model, panels::prism_of(model), across, Draws(statistics::kSeed, k), ends);
  }
  EXPECT_NEAR(ends.of(kFinishLoss) + ends.of(kSheetLoss), 100.0, 1e-9);
  EXPECT_GT(ends.of(kFinishLoss), 99.0);
}

// One photon's weights sum to one whatever it met, to rounding.
TEST(Walk, NoPhotonIsWorthMoreOrLessThanOne) {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49, 5.0);
  model.sheet.absorption_per_mm = 0.01;
  panels::engrave(model, Side::front, panels::ground(0.3, 0.2), panels::lines(), {5.0, 5.0},
                  {35.0, 25.0});
  model.edge_finish = {Finish{}, panels::ground(0.5), panels::backed({}, Backing::Kind::white, 0.9),
                       panels::black_paint()};
  const Prism prism = panels::prism_of(model);
  for (std::uint64_t photon = 0; photon < 3000; ++photon) {
    Ends ends;
    travel(model, prism, anywhere_inside(model, photon), Draws(statistics::kSeed, photon), ends);
    double sum = 0.0;
    for (const double weight : ends.weights) sum += weight;
    EXPECT_NEAR(sum, 1.0, 1e-12);
    EXPECT_EQ(ends.of(kLost), 0.0);
  }
}

}  // namespace
}  // namespace rimeglow::walk_test
