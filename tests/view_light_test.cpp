// Laws of sim/view_light: what is composed from arrivals for any eye is what exact scoring of named
// viewers finds on the same photons.
#include "view_light.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "cameras.h"
#include "made_up_outlines.h"
#include "measures.h"
#include "panels.h"

namespace rimeglow::view_light_test {
namespace {

using cameras::sign;
using cameras::traced_for_cameras;

// Every function of the hats' own span is fitted exactly, and shares of an arrival sum to one.
TEST(Hats, HoldWhatTheyCanSay) {
  for (const HatLayout& layout : {kFaceHats, kEdgeHats}) {
    const HatProjection hats(layout);
    const auto ramp = [&](const Vec3& direction) {
      const HatShares at = hat_shares(layout, direction);
      double sum = 0.0;
      for (std::size_t i = 0; i < 4; ++i) sum += at.share[i] * (1.0 + at.node[i]);
      return sum;
    };
    const Eigen::VectorXd fit = hats.fit(hats.moments(ramp));
    for (int ring = 1; ring < layout.polar - 1; ++ring) {
      for (int spoke = 0; spoke < layout.azimuth; ++spoke) {
        const int node = ring * layout.azimuth + spoke;
        EXPECT_NEAR(fit[node], 1.0 + node, 0.02 * (1.0 + node));
      }
    }
    for (std::uint64_t k = 0; k < 1000; ++k) {
      const Uniforms u = statistics::uniforms(91, k);
      const double radius = std::sqrt(1.0 - u[0] * u[0]);
      const HatShares at = hat_shares(
          layout, {radius * std::cos(6.2832 * u[1]), radius * std::sin(6.2832 * u[1]), u[0]});
      EXPECT_NEAR(std::accumulate(at.share.begin(), at.share.end(), 0.0), 1.0, 1e-12);
      for (const int node : at.node) EXPECT_TRUE(node >= 0 && node < layout.nodes());
    }
  }
}

// Mean luminance of the art by arrivals, over what scores of the same photons say; by viewer.
std::vector<double> art_against_scores(const Model& model) {
  const auto run = traced_for_cameras(model, 200000);
  const Glow glow = glow_of(run);
  SurfaceLight surfaces(run);
  const Frame face = face_frame(model.art_side);
  for (const Viewer& viewer : model.viewers) {
    surfaces.want_mark(0, sight_of(viewer, face, model.sheet.index)->toward, 1.0);
  }
  surfaces.prepare(std::int64_t{20} * panels::table_walks(1 << 18));
  std::vector<double> ratios;
  for (std::size_t v = 0; v < model.viewers.size(); ++v) {
    const Sight sight = *sight_of(model.viewers[v], face, model.sheet.index);
    double light = 0.0;
    double area = 0.0;
    for (int row = 0; row < run.map.grid.rows; ++row) {
      for (int column = 0; column < run.map.grid.columns; ++column) {
        const int slot = run.map.slot[0][run.map.grid.index(column, row)];
        if (slot < 0) continue;
        const double engraved = run.map.cells[static_cast<std::size_t>(slot)].engraved_mm2;
        const Vec2 middle = run.map.grid.lower_left_mm +
                            run.map.grid.cell_mm.cwiseProduct(Vec2(column + 0.5, row + 0.5));
        std::vector<double> here(1, 0.0);
        surfaces.add_mark(0, middle, sight.toward, sight.factor, here);
        light += engraved * here[0];
        area += engraved;
      }
    }
    ratios.push_back(light / area / glow.viewers[v].mean_cd_m2.mean);
  }
  return ratios;
}

// One direction is known to 0.7 % by so many walks; the mean of some to 0.25 %, and 0.5 % too
// bright (found with eight seeds).
void expect_art_as_named_viewers_see_it(const std::vector<Model>& models) {
  const double slack = panels::table_slack(1 << 19);
  double sum = 0.0;
  double count = 0.0;
  for (const Model& model : models) {
    const std::vector<double> ratios = art_against_scores(model);
    for (std::size_t v = 0; v < ratios.size(); ++v) {
      EXPECT_NEAR(ratios[v], 1.0, 0.04 * slack) << model.viewers[v].name;
      sum += ratios[v];
      count += 1.0;
    }
  }
  EXPECT_NEAR(sum / count, 1.0, 0.015 * slack);
}

TEST(SurfaceLight, OfTheArtIsWhatNamedViewersSee) {
  expect_art_as_named_viewers_see_it({sign(0.2), sign(0.4), sign(0.7)});
}

// From behind, where steep light would cross the usual mark in bright lobes and guided light does
// not: fits in which all directions counted alike were 12 % too bright straight on.
TEST(SurfaceLight, OfTheArtFromBehindIsWhatNamedViewersSee) {
  std::vector<Model> models = {sign(0.3), sign(0.5)};
  for (Model& model : models) {
    model.layers.front().mark.rough.frost_share = 0.3;
    model.viewers = {panels::eye(0, 0, Side::back), panels::eye(40, 0, Side::back),
                     panels::eye(10, 40, Side::back)};
  }
  expect_art_as_named_viewers_see_it(models);
}

// Eyes in all eight octants of the grid of directions, which share their fits, before art that one
// LED lights from below and from its left: nobody's luminance is another's.
TEST(SurfaceLight, OfTheArtIsRightInEveryMirrorImage) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.3), panels::squares(), {90.0, 16.0});
  model.lamps.front().count = 1;
  model.lamps.front().centre_mm.x() = 20.0;
  for (const double one : {-1.0, 1.0}) {
    for (const double other : {-1.0, 1.0}) {
      model.viewers.push_back(panels::eye(one * 20.0, other * 40.0, Side::front));
      model.viewers.push_back(panels::eye(one * 40.0, other * 20.0, Side::front));
    }
  }
  expect_art_as_named_viewers_see_it({model});
}

// The same of a sanded edge along the top: 2 % (prototype: 1.3 %).
void expect_edge_as_named_viewers_see_it(const Model& model, std::size_t edge) {
  const auto run = traced_for_cameras(model, 200000);
  SurfaceLight surfaces(run);
  const Frame frame = edge_frame(*seat_normal(model.outline, static_cast<int>(edge)));
  for (const Viewer& viewer : model.viewers) {
    surfaces.want_edge(edge, sight_of(viewer, frame, model.sheet.index)->toward, 1.0);
  }
  surfaces.prepare(std::int64_t{20} * panels::table_walks(1 << 18));
  const OutlinePiece line = *straight_piece(model.outline, static_cast<int>(edge));
  for (const auto& [seen, v, cd_m2] : edge_luminances(run)) {
    if (seen != edge) continue;
    const Sight sight = *sight_of(model.viewers[v], frame, model.sheet.index);
    constexpr int kPlaces = 400;
    std::vector<double> light(1, 0.0);
    for (int k = 0; k < kPlaces; ++k) {
      surfaces.add_edge(edge, line.begin_mm + (k + 0.5) * line.length_mm / kPlaces, sight.toward,
                        sight.factor / kPlaces, light);
    }
    const double exact = cd_m2.all;
    EXPECT_NEAR(light[0], exact, 0.02 * panels::table_slack(1 << 19) * exact)
        << "edge " << edge << ", " << model.viewers[v].name;
  }
}

// Seen from above and through the front.
TEST(SurfaceLight, OfAnEdgeIsWhatNamedViewersSee) {
  for (const double alpha : {0.2, 0.4, 0.7}) {
    Model model = sign(0.5);
    model.edge_finish[panels::kTop] = panels::ground(alpha);
    model.viewers = {panels::eye(20, 0, Side::front), panels::eye(45, 0, Side::front),
                     panels::eye(89, 0, Side::front), panels::eye(-20, 0, Side::front)};
    expect_edge_as_named_viewers_see_it(model, panels::kTop);
  }
}

TEST(SurfaceLight, OfAChamferIsWhatNamedViewersSee) {
  Model model = sign(0.5);
  add_chamfer(model.outline, {panels::kTop, Side::front, 1.0, 1.0});
  model.edge_finish.push_back(panels::ground(0.4));
  model.viewers = {panels::eye(0, 0, Side::front), panels::eye(60, 0, Side::front)};
  expect_edge_as_named_viewers_see_it(model, 4);
}

}  // namespace
}  // namespace rimeglow::view_light_test
