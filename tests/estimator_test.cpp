// The composed glow (arrivals in cells x coverage x response tables) against an estimator that
// shares none of that: at every mark a photon really meets, one walk over the facets tells how much
// of its light goes toward the eye. Both use the same photons, so that only the composition
// differs.
#include <gtest/gtest.h>

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "batch_statistics.h"
#include "panels.h"

namespace rimeglow::estimator_test {
namespace {

// Luminance times area per unit of flux, by viewer, of one surface; one photon after the other.
class InWalkEstimator : public panels::Blind {
 public:
  InWalkEstimator(const Model& model, SurfaceId surface, const Frame& frame)
      : index_(model.sheet.index), surface_(surface) {
    for (const Viewer& viewer : model.viewers) sights_.push_back(sight_of(viewer, frame, index_));
    sums_.assign(sights_.size(), 0.0);
  }

  void scatter(const Hit& hit, const Finish& finish, const Vec3& arriving, double weight,
               const Draws&) {
    if (hit.surface != surface_ || finish.kind != Finish::Kind::rough) return;
    for (std::size_t v = 0; v < sights_.size(); ++v) {
      if (!sights_[v]) continue;
      const Draws own(statistics::kSeed + 99, estimates_++);
      sums_[v] += weight * sights_[v]->factor *
                  estimate_toward(finish, index_, arriving, sights_[v]->toward, own);
    }
  }

  std::vector<double> take() {
    std::vector<double> taken(sums_.size(), 0.0);
    taken.swap(sums_);
    return taken;
  }

 private:
  double index_;
  SurfaceId surface_;
  std::vector<std::optional<Sight>> sights_;
  std::vector<double> sums_;
  std::uint64_t estimates_ = 0;
};

// Per batch and viewer.
using BatchScores = std::vector<std::vector<double>>;

BatchScores estimated(const Run& run, SurfaceId surface, const Frame& frame) {
  InWalkEstimator estimator(*run.model, surface, frame);
  BatchScores scores;
  for (std::uint64_t batch = 0; batch < kBatches; ++batch) {
    for (std::uint64_t photon = batch; photon < run.photons; photon += kBatches) {
      std::visit(
          [&](const auto& shape) {
            trace(*run.model, shape, run.settings.seed, photon, estimator);
          },
          run.shape);
    }
    scores.push_back(estimator.take());
  }
  return scores;
}

// The same from the run's sums: of the marks, or of one edge.
BatchScores composed_marks(const Run& run) {
  BatchScores scores;
  for (const BatchSums& batch : run.tally.batches) {
    std::vector<double> sums(run.model->viewers.size(), 0.0);
    for (std::size_t block = 0; block < run.map.block_engraved_mm2.size(); ++block) {
      for (std::size_t v = 0; v < sums.size(); ++v) {
        sums[v] += kScoreUnit * static_cast<double>(batch.blocks[block * run.map.stride() + v]);
      }
    }
    scores.push_back(sums);
  }
  return scores;
}

BatchScores composed_edge(const Run& run, std::size_t edge) {
  BatchScores scores;
  for (const BatchSums& batch : run.tally.batches) {
    std::vector<double> sums;
    for (std::size_t v = 0; v < run.model->viewers.size(); ++v) {
      sums.push_back(kScoreUnit * static_cast<double>(batch.edges[edge * run.map.stride() + v]));
    }
    scores.push_back(sums);
  }
  return scores;
}

// Relative difference of composed and estimated.
Estimate relative_difference(const BatchScores& composed, const BatchScores& estimated,
                             std::size_t viewer) {
  return jackknife([&](int omitted) {
    double ours = 0.0;
    double theirs = 0.0;
    for (int b = 0; b < kBatches; ++b) {
      if (b == omitted) continue;
      ours += composed[static_cast<std::size_t>(b)][viewer];
      theirs += estimated[static_cast<std::size_t>(b)][viewer];
    }
    return ours / theirs - 1.0;
  });
}

std::vector<Viewer> eyes_around() {
  std::vector<Viewer> eyes;
  for (const Side side : {Side::front, Side::back}) {
    eyes.push_back(panels::eye(0.0, 0.0, side));
    for (const double angle : {30.0, 60.0}) {
      eyes.push_back(panels::eye(angle, 0.0, side));
      eyes.push_back(panels::eye(0.0, angle, side));
    }
  }
  return eyes;
}

// Tables of 2^19 reverse walks and cells of 1 mm may be off by this much where it matters.
constexpr double kComposition = 0.01;

// Demanded: 1 % and three standard errors. That is no Sidak level: where noise prevails (marks
// without frost, straight from behind) a right program fails a comparison in up to 0.3 % of all
// seeds, about 3 % for the whole; the seed is fixed. Sees a luminance wrong by 2 % at most places,
// by 4 % without frost, by 25 % for the light that leaves smooth marks straight backwards.
void expect_agreement(const Run& run, const BatchScores& composed, const BatchScores& walked,
                      const std::string& where) {
  for (std::size_t v = 0; v < run.model->viewers.size(); ++v) {
    const Estimate gap = relative_difference(composed, walked, v);
    EXPECT_LT(std::abs(gap.mean),
              kComposition * panels::table_slack(panels::kTableWalks) + 3.0 * gap.standard_error)
        << where << ", seen from the " << run.model->viewers[v].name;
  }
}

void expect_marks_agree(Side side, double alpha, double frost_share) {
  Model model = panels::sign_blank();
  panels::engrave(model, side, panels::ground(alpha, frost_share), panels::mixed());
  model.viewers = eyes_around();
  const auto run = panels::traced(model, statistics::samples(200000));
  expect_agreement(run, composed_marks(run), estimated(run, face_id(side), face_frame(side)),
                   "alpha " + std::to_string(alpha) + ", frost " + std::to_string(frost_share));
}

TEST(InWalkEstimator, SeesTheComposedGlowOfSteepMarks) {
  expect_marks_agree(Side::back, 1.0, 0.0);
  expect_marks_agree(Side::back, 1.0, 0.5);
}

TEST(InWalkEstimator, SeesTheComposedGlowOfUsualMarks) {
  expect_marks_agree(Side::back, 0.5, 0.0);
  expect_marks_agree(Side::back, 0.5, 0.5);
}

TEST(InWalkEstimator, SeesTheComposedGlowOfSmoothMarks) {
  expect_marks_agree(Side::back, 0.2, 0.0);
  expect_marks_agree(Side::back, 0.2, 0.5);
}

TEST(InWalkEstimator, SeesTheComposedGlowOfMarksOnTheFront) {
  expect_marks_agree(Side::front, 0.5, 0.5);
}

// A ground edge seen directly (the eye on its side of the panel) and through the face.
void expect_edge_agrees(int edge, const Vec3& outward, const std::vector<Viewer>& eyes) {
  for (const double frost_share : {0.0, 0.5}) {
    Model model = panels::sign_blank();
    model.edge_finish[static_cast<std::size_t>(edge)] = panels::ground(0.3, frost_share);
    model.viewers = eyes;
    const auto run = panels::traced(model, statistics::samples(300000));
    expect_agreement(run, composed_edge(run, static_cast<std::size_t>(edge)),
                     estimated(run, kFirstEdge + edge, edge_frame(outward)),
                     "frost " + std::to_string(frost_share));
  }
}

TEST(InWalkEstimator, SeesTheComposedGlowOfAGroundTopEdge) {
  expect_edge_agrees(panels::kTop, Vec3::UnitY(),
                     {panels::eye(20.0, 0.0, Side::front), panels::eye(60.0, 0.0, Side::back),
                      panels::eye(-10.0, 0.0, Side::front), panels::eye(-45.0, 0.0, Side::back)});
}

// Directly, and through the back face.
TEST(InWalkEstimator, SeesTheComposedGlowOfAGroundChamfer) {
  Model model = panels::sign_blank();
  add_chamfer(model.outline, {panels::kTop, Side::front, 1.0, 1.0});
  model.edge_finish.push_back(panels::ground(0.3, 0.2));
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(60.0, 20.0, Side::front),
                   panels::eye(0.0, 0.0, Side::back), panels::eye(-30.0, 0.0, Side::back)};
  const auto run = panels::traced(model, statistics::samples(300000));
  expect_agreement(run, composed_edge(run, 4),
                   estimated(run, kFirstEdge + 4, edge_frame(*seat_normal(model.outline, 4))),
                   "chamfer");
}

TEST(InWalkEstimator, SeesTheComposedGlowOfAGroundLeftEdge) {
  expect_edge_agrees(panels::kLeft, -Vec3::UnitX(),
                     {panels::eye(0.0, 20.0, Side::front), panels::eye(0.0, 60.0, Side::front),
                      panels::eye(0.0, -20.0, Side::front)});
}

}  // namespace
}  // namespace rimeglow::estimator_test
