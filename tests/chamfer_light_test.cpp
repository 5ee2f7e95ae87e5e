// Light in panels with chamfered edges: its ledger, the furnace, how their glow is told, and what
// the trade knows of bevels.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "batch_statistics.h"
#include "history.h"
#include "lamp.h"
#include "made_up_outlines.h"
#include "measures.h"
#include "optics.h"
#include "panels.h"

namespace rimeglow::chamfer_light_test {
namespace {

using made_up::cut;
using panels::kBottom;
using panels::kLeft;
using panels::kRight;
using panels::kTop;

constexpr double kIndex = 1.49;
constexpr double kThickness_mm = 3.0;
const Vec2 kSize_mm = {60.0, 40.0};

Model blank(const Outline& outline) {
  Model model = panels::panel_of(outline, kThickness_mm, kIndex);
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(20.0, 0.0, Side::front),
                   panels::eye(0.0, 0.0, Side::back)};
  return model;
}

// Six LEDs along the bottom, and squares engraved in the middle of the back.
Model lit(const Outline& outline) {
  Model model = blank(outline);
  model.lamps = {panels::six_leds(outline)};
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::squares(),
                  0.2 * outline.size_mm, 0.8 * outline.size_mm);
  return model;
}

// The lit edge, at both faces.
const std::vector<Chamfer> kLitCuts = {{kBottom, Side::front, 0.6, 0.8},
                                       {kBottom, Side::back, 1.2, 0.5}};

std::vector<Outline> usual_panels() {
  return {cut(rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0), made_up::kUnlikeCuts),
          cut(rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 6.0), {{kTop, Side::front, 2.0, 2.0},
                                                                   {kLeft, Side::front, 2.0, 2.0},
                                                                   {kRight, Side::back, 1.0, 2.0}}),
          cut(made_up::tag(), {{kTop, Side::front, 0.8, 0.8}, {kSides, Side::back, 0.8, 0.8}}),
          cut(rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 4.0), kLitCuts)};
}

// Where luminances do not matter: with coarse tables.
rimeglow::Run traced_quickly(const Model& model, int threads, int photons) {
  auto run = start(std::make_shared<const Model>(model), {statistics::kSeed, threads, 1 << 11, 64});
  advance(run, static_cast<std::uint64_t>(photons));
  return run;
}

// The ledger of every batch sums to its light, nothing is lost, and every chamfer lets some out; in
// a base that returns light as well. Sees a photon in a hundred thousand.
TEST(Chamfer, TheLedgerClosesAndNothingIsLost) {
  for (const Outline& outline : usual_panels()) {
    for (const double wall : {0.0, 0.8}) {
      if (wall > 0.0 && outline.chamfer_of(kBottom, Side::front)) continue;
      Model model = lit(outline);
      model.base = {wall, 2.0, 0.1 * wall};
      for (std::size_t e = 1; e < model.edge_finish.size(); e += 2) {
        model.edge_finish[e] = panels::ground(0.3);
      }
      const auto run = traced_quickly(model, 1, statistics::samples(60000));
      for (const BatchSums& batch : run.tally.batches) {
        double sum = 0.0;
        for (const std::int64_t entry : batch.ledger) {
          sum += kLedgerUnit * static_cast<double>(entry);
        }
        EXPECT_NEAR(sum / static_cast<double>(batch.photons), 1.0, 1e-9);
      }
      EXPECT_LT(panels::ledger_share(run, kLost).mean, 1e-5);
      // In the base nothing leaves by the lit edge.
      for (int edge = wall > 0.0 ? 1 : 0; edge < static_cast<int>(outline.edges.size()); ++edge) {
        EXPECT_GT(panels::edge_share(run, edge).mean, 0.0) << edge;
      }
    }
  }
}

// The same sums for any number of threads.
TEST(Chamfer, ThreadsDoNotMatter) {
  const auto sums = [](int threads) {
    const auto run = traced_quickly(lit(usual_panels()[1]), threads, 20000);
    std::vector<std::vector<std::int64_t>> all = {run.tally.field};
    for (const BatchSums& batch : run.tally.batches) {
      all.push_back(batch.ledger);
      all.push_back(batch.edges);
    }
    return all;
  };
  EXPECT_EQ(sums(1), sums(3));
}

// In a furnace a lossless panel cannot be seen, whatever its edges (derived: second law). Sees
// 1e-9.
TEST(Chamfer, AFurnaceShowsNothing) {
  for (const Outline& outline : usual_panels()) {
    Model model = lit(outline);
    model.lamps.clear();
    model.sheet.absorption_per_mm = 0.0;
    model.edge_finish.back() = panels::ground(0.4, 0.3);
    const Shape shape = shape_of(model);
    for (const RoomView& view : room_views(model, shape, score_map(model, 1), statistics::kSeed,
                                           statistics::samples(2000))) {
      for (const Outlook& outlook : {view.mark, view.clear}) {
        EXPECT_NEAR(outlook.front + outlook.back + outlook.edges, 1.0, 1e-9);
      }
    }
  }
}

// A followed photon is the run's own.
TEST(Chamfer, FollowedPhotonsComeToTheRunsEnds) {
  const Model model = lit(usual_panels()[0]);
  const int photons = 2000;
  const auto run = traced_quickly(model, 1, photons);
  std::vector<std::int64_t> due(run.tally.batches.front().ledger.size(), 0), followed = due;
  for (const BatchSums& batch : run.tally.batches) {
    for (std::size_t i = 0; i < due.size(); ++i) due[i] += batch.ledger[i];
  }
  for (std::uint64_t photon = 0; photon < photons; ++photon) {
    for (const Deposit& deposit : follow(model, run.shape, statistics::kSeed, photon).deposits) {
      followed[static_cast<std::size_t>(deposit.entry)] += fixed_point(deposit.weight, kLedgerUnit);
    }
  }
  EXPECT_EQ(followed, due);
}

// What part of LED light gets in by the lit edge: in its cross-section the seat and two chamfers
// are met by plane arithmetic, and let through what Fresnel says, or nothing where painted
// (derived).
double share_let_in(const Model& model, bool painted, int photons) {
  const double up = kThickness_mm;
  struct Line {
    Vec2 from, to;  // inward, and from back to front
    bool lets_in;
  };
  const std::array<Line, 3> lines = {
      Line{{kLitCuts[1].setback_mm, 0.0}, {0.0, kLitCuts[1].depth_mm}, !painted},
      Line{{0.0, kLitCuts[1].depth_mm}, {0.0, up - kLitCuts[0].depth_mm}, true},
      Line{{0.0, up - kLitCuts[0].depth_mm}, {kLitCuts[0].setback_mm, up}, !painted}};
  double sum = 0.0;
  for (int k = 0; k < photons; ++k) {
    const Ray ray = emit(model.lamps, kThickness_mm,
                         Draws(statistics::kSeed + 7, static_cast<std::uint64_t>(k)))
                        .ray;
    const Vec2 point(ray.origin_mm.y(), ray.origin_mm.z());
    const Vec2 way(ray.direction.y(), ray.direction.z());
    for (const Line& line : lines) {
      const Vec2 along = line.to - line.from;
      const Vec2 inward = Vec2(along.y(), -along.x()).normalized();
      const double cosine = way.dot(inward);
      if (cosine <= 0.0) continue;
      const double distance = (line.from - point).dot(inward) / cosine;
      const double share = (point + distance * way - line.from).dot(along) / along.squaredNorm();
      const double x = ray.origin_mm.x() + distance * ray.direction.x();
      if (share < 0.0 || share >= 1.0 || x < 0.0 || x > kSize_mm.x()) continue;
      if (line.lets_in) sum += 1.0 - fresnel(kIndex, cosine);
    }
  }
  return sum / photons;
}

// Level 1e-4 over both; sees 2 % of the light gone astray.
TEST(Chamfer, OfTheLitEdgeLetsInWhatPlanesSay) {
  const int photons = statistics::samples(100000);
  for (const bool painted : {false, true}) {
    Model model = lit(cut(rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0), kLitCuts));
    model.lamps.front().gap_mm = 0.8;
    if (painted) {
      for (std::size_t e = kSides; e < model.edge_finish.size(); ++e) {
        model.edge_finish[e] = panels::black_paint();
      }
    }
    const auto run = traced_quickly(model, 1, photons);
    const Estimate missed = panels::ledger_share(run, kMissed);
    const double due = share_let_in(model, painted, photons);
    const double limit = statistics::z_limit(statistics::kFalseAlarm, 2);
    EXPECT_NEAR(1.0 - missed.mean, due, limit * std::sqrt(2.0) * missed.standard_error);
    EXPECT_LT(due, painted ? 0.7 : 0.95);
  }
}

// As it gets small the panel's light is that of the square edge. Level 1e-4 over the ledger; sees
// 3 % of an entry.
TEST(Chamfer, OfTheLitEdgeVanishesSmoothly) {
  const int photons = statistics::samples(100000);
  const Outline square = rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0);
  const auto due = traced_quickly(lit(square), 1, photons);
  const auto run = traced_quickly(
      lit(cut(square, {{kBottom, Side::front, 1e-3, 1e-3}, {kBottom, Side::back, 1e-3, 1e-3}})), 1,
      photons);
  for (int entry = 0; entry < kFirstEdgeEntry + kSides; ++entry) {
    const Estimate one = panels::ledger_share(due, entry);
    const Estimate other = panels::ledger_share(run, entry);
    const double limit = statistics::z_limit(statistics::kFalseAlarm, kFirstEdgeEntry + kSides);
    EXPECT_NEAR(other.mean, one.mean,
                limit * std::hypot(one.standard_error, other.standard_error) + 1e-3)
        << entry;
  }
}

// In its slot nobody sees it; without one its glow is told.
TEST(Chamfer, OfTheLitEdgeIsHiddenInASlot) {
  for (const double slot_mm : {0.0, 0.5, 2.0}) {
    Model model = lit(cut(rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0), kLitCuts));
    model.base.slot_depth_mm = slot_mm;
    const auto luminances = edge_luminances(traced_quickly(model, 1, 500));
    const auto told = std::count_if(luminances.begin(), luminances.end(), [](const auto& edge) {
      return edge.edge >= static_cast<std::size_t>(kSides);
    });
    EXPECT_EQ(told > 0, slot_mm < 1.2) << slot_mm;
  }
}

// A polished 45 degree bevel at the back of the far edge throws light out of the front there, which
// a square edge keeps in or lets out at the top (common practice, no source; only the sign is
// asked). Level 1e-4.
TEST(Chamfer, ABackBevelThrowsLightOutOfTheFront) {
  const auto beside = [](const std::vector<Chamfer>& chamfers) {
    Model model = blank(cut(rounded_rectangle(kSize_mm.x(), kSize_mm.y(), 0.0), chamfers));
    model.lamps = lit(model.outline).lamps;
    return panels::ledger_share(panels::traced(model, statistics::samples(100000)), kFrontOther);
  };
  const Estimate square = beside({});
  const Estimate bevelled = beside({{kTop, Side::back, 2.5, 2.5}});
  EXPECT_GT(bevelled.mean - square.mean,
            0.05 + statistics::z_limit(statistics::kFalseAlarm) *
                       std::hypot(bevelled.standard_error, square.standard_error));
}

}  // namespace
}  // namespace rimeglow::chamfer_light_test
