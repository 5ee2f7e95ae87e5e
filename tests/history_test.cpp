// Laws of sim/history: the photon that is followed is the photon that a run traced.
#include "history.h"

#include <gtest/gtest.h>

#include <cmath>

#include "panels.h"

namespace rimeglow::history_test {
namespace {

// Everything a photon may meet: art and a rough edge, a card, haze and absorption, round corners.
Model eventful_sign() {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::mixed());
  model.edge_finish[panels::kTop] = panels::backed({}, Backing::Kind::white, 0.9);
  model.edge_finish[panels::kLeft] = panels::ground(0.3);
  model.edge_finish[panels::kRight] = panels::black_paint();
  model.sheet.scattering_per_mm = 0.002;
  model.sheet.asymmetry = 0.9;
  return model;
}

// The same in a base that throws light back in and touches the panel.
Model sign_in_a_base() {
  Model model = eventful_sign();
  model.base = {0.6, 8.0, 0.3};
  return model;
}

struct Sign {
  const char* name;
  Model (*make)();
};
void PrintTo(const Sign& sign, std::ostream* out) { *out << sign.name; }

class AnySign : public testing::TestWithParam<Sign> {};

INSTANTIATE_TEST_SUITE_P(Signs, AnySign,
                         testing::Values(Sign{"eventful", eventful_sign},
                                         Sign{"in_a_base", sign_in_a_base}));

// Exact, to the ledger's last unit: a run of N photons books what its photons 0..N-1 book when
// followed one by one.
TEST_P(AnySign, PhotonsFollowedOneByOneGiveTheLedgerOfTheirRun) {
  const Model model = GetParam().make();
  const int photons = 3000;
  const rimeglow::Run run = panels::traced(model, photons, 7);
  std::vector<std::int64_t> followed(run.tally.batches.front().ledger.size(), 0);
  std::vector<std::int64_t> booked = followed;
  for (int k = 0; k < photons; ++k) {
    const History history =
        follow(model, panels::prism_of(model), 7, static_cast<std::uint64_t>(k));
    for (const Deposit& deposit : history.deposits) {
      followed[static_cast<std::size_t>(deposit.entry)] += fixed_point(deposit.weight, kLedgerUnit);
    }
  }
  for (const BatchSums& batch : run.tally.batches) {
    for (std::size_t i = 0; i < booked.size(); ++i) booked[i] += batch.ledger[i];
  }
  EXPECT_EQ(followed, booked);
  for (const int entry : {+kFrontMark, +kBackMark, +kMissed, +kFinishLoss, +kSheetLoss}) {
    EXPECT_NE(booked[static_cast<std::size_t>(entry)], 0) << entry;
  }
}

// Exact: light goes straight from event to event, on a ray that the faces fold, and a face stands
// where the corners say it is turned (derived from the definition of the prism). Sees a direction
// off by 1e-6 or a missing corner.
TEST_P(AnySign, TheWayIsStraightBetweenItsCorners) {
  const Model model = GetParam().make();
  const Prism prism = panels::prism_of(model);
  std::size_t corners_seen = 0;
  for (std::uint64_t k = 0; k < 300; ++k) {
    const History history = follow(model, prism, 1, k);
    if (history.events.size() < 2) continue;
    const std::vector<Vec3> corners = corners_of(history, model.thickness_mm, 5.0);
    std::size_t at = 1;
    for (std::size_t i = 1; i < history.events.size(); ++i) {
      Vec3 direction = history.events[i - 1].after;
      if (history.events[i].from_base) {
        EXPECT_EQ(corners.at(++at), history.events[i].hit.position_mm);
        continue;
      }
      for (int turn = 0; turn <= history.events[i].faces_between; ++turn) {
        const Vec3 step = corners.at(at + 1) - corners.at(at);
        if (step.norm() > 1e-3) {
          EXPECT_LT((step.normalized() - direction).norm(), 1e-6) << k << " " << i;
        }
        direction.z() = -direction.z();
        ++at;
        ++corners_seen;
      }
      direction.z() = -direction.z();
      EXPECT_LT((direction - history.events[i].before).norm(), 1e-9) << k << " " << i;
      EXPECT_EQ(corners.at(at), history.events[i].hit.position_mm);
    }
  }
  EXPECT_GT(corners_seen, 1000u);
}

// What became of the light agrees with where it went, with Snell and with the mirror.
TEST_P(AnySign, EveryEventAgreesWithItself) {
  const Model model = GetParam().make();
  const Prism prism = panels::prism_of(model);
  int scattered = 0, bounced = 0, strayed = 0, from_base = 0;
  for (std::uint64_t k = 0; k < 1000; ++k) {
    const History history = follow(model, prism, 1, k);
    double weight = 1.0;
    for (const Event& event : history.events) {
      const Vec3& normal = event.hit.normal;
      if (is_bounce(event)) {
        ++bounced;
        EXPECT_LT(std::abs(event.before.dot(normal)), std::sqrt(1.0 - 1.0 / (1.49 * 1.49)));
      }
      if (event.hit.surface == kWithin) ++strayed;
      if (event.fate != Fate::absorbed) {
        EXPECT_NEAR(event.after.norm(), 1.0, 1e-9);
      }
      from_base += event.from_base ? 1 : 0;
      if (event.finish && !event.from_base && event.order == 0 && event.fate == Fate::transmitted) {
        const double ratio = event.before.dot(normal) > 0.0 ? 1.49 : 1.0 / 1.49;
        EXPECT_LT((event.after.cross(normal) - ratio * event.before.cross(normal)).norm(), 1e-9);
      }
      scattered += event.order > 0 ? 1 : 0;
      EXPECT_LE(event.weight, std::max(weight, 0.05));  // only roulette adds
      weight = event.weight;
    }
    double sum = 0.0;
    for (const Deposit& deposit : history.deposits) sum += deposit.weight;
    EXPECT_NEAR(sum, 1.0, 1e-12);
  }
  EXPECT_GT(scattered, 100);
  EXPECT_GT(bounced, 100);
  EXPECT_GT(strayed, 10);
  EXPECT_EQ(from_base > 0, model.base.wall > 0.0);
}

TEST(History, LightThatMissesTheEdgeMeetsNothing) {
  Model model = panels::sign_blank();
  model.lamps.front().gap_mm = 30.0;
  const Prism prism = panels::prism_of(model);
  int missed = 0;
  for (std::uint64_t k = 0; k < 100; ++k) {
    const History history = follow(model, prism, 1, k);
    if (!history.events.empty()) continue;
    ++missed;
    EXPECT_EQ(history.end().entry, kMissed);
    EXPECT_EQ(corners_of(history, model.thickness_mm, 5.0).size(), 2u);
  }
  EXPECT_GT(missed, 50);
}

}  // namespace
}  // namespace rimeglow::history_test
