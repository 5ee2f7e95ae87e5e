// Small panels against a general renderer: luminances of the Mitsuba 3 path tracer, which got the
// panels in its own words (tests/reference/render_panels.py) and starts at the eye where we start
// at the lamp. A painted patch is predicted by the program's own run. Mitsuba's rough surfaces
// scatter once only and lose what would go on, with masking and shadowing taken apart; a scorer of
// this test makes ours do the same to the same walk, so the test holds geometry, transport,
// roughness and the bookkeeping of radiance, not the higher orders.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "batch_statistics.h"
#include "microfacet.h"
#include "panels.h"

namespace rimeglow::renderer_test {
namespace {

constexpr double kAlpha = 0.5;
constexpr double kWhite = 0.8;
const Vec2 kEmitter_mm(36.0, 2.0);
const Vec2 kPatchFrom_mm(14.0, 9.0);
const Vec2 kPatchTo_mm(26.0, 21.0);

// By case and degrees above the normal of the front.
std::map<std::pair<std::string, int>, Estimate> rendered() {
  std::ifstream file(std::string(RIMEGLOW_REFERENCE_DIR) + "/luminances.csv");
  std::map<std::pair<std::string, int>, Estimate> table;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("#") || line.starts_with("case")) continue;
    std::istringstream fields(line);
    std::string name, above, mean, error;
    std::getline(fields, name, ',');
    std::getline(fields, above, ',');
    std::getline(fields, mean, ',');
    std::getline(fields, error, ',');
    table[{name, std::stoi(above)}] = {std::stod(mean), std::stod(error)};
  }
  return table;
}

Model small_panel() {
  Model model = panels::clear_panel({40.0, 30.0}, 3.0, 1.49);
  model.lamps = {panels::strip_light(model, kEmitter_mm, 0.5)};
  return model;
}

void add_patch(Model& model, const Finish& finish) {
  panels::engrave(model, Side::back, finish, panels::everywhere(), kPatchFrom_mm, kPatchTo_mm);
}

// Of the Lambertian emitter, in cd/m2 = lm/(sr m2).
double lamp_cd_m2(const Model& model) {
  return model.flux_lm() / (kPi * kEmitter_mm.prod() * 1e-6);
}

double masking_apart(double lambda_in, double lambda_out) {
  return 1.0 / ((1.0 + lambda_in) * (1.0 + lambda_out));
}

// What one scattering with masking apart sends from `in` to `out`, over what ours does: directions
// as single_reflection and single_transmission take them.
double apart_over_ours(const Slopes& slopes, const Vec3& in, const Vec3& out) {
  const Vec3 up(out.x(), out.y(), std::abs(out.z()));
  const double lambda_in = smith_lambda(slopes, in);
  const double lambda_out = smith_lambda(slopes, up);
  const double ours = out.z() > 0.0 ? 1.0 / (1.0 + lambda_in + lambda_out)
                                    : std::beta(1.0 + lambda_in, 1.0 + lambda_out);
  return masking_apart(lambda_in, lambda_out) / ours;
}

// Radiance times area toward the viewers of one rough surface, per emitted flux, by light that has
// scattered once at each rough surface on its way.
class OneOrder : public panels::Blind {
 public:
  OneOrder(const Model& model, SurfaceId surface, const Frame& frame)
      : index_(model.sheet.index), surface_(surface) {
    for (const Viewer& viewer : model.viewers) sights_.push_back(*sight_of(viewer, frame, index_));
    sums_.assign(sights_.size(), {});
  }

  void begin(std::size_t) { share_ = 1.0; }

  void scatter(const Hit& hit, const Finish& finish, const Vec3& arriving, double weight,
               const Draws& draws) {
    if (finish.kind != Finish::Kind::rough || share_ == 0.0) return;
    const Slopes& slopes = finish.rough.slopes;
    const Vec3 in = upright(-arriving);
    for (std::size_t v = 0; hit.surface == surface_ && v < sights_.size(); ++v) {
      const Vec3 out = upright(sights_[v].toward);
      const double scattered = out.z() > 0.0 ? single_reflection(slopes, 1.0 / index_, in, out)
                                             : single_transmission(slopes, 1.0 / index_, in, out);
      sums_[v][batch] += weight * share_ * sights_[v].factor * scattered *
                         (scattered > 0.0 ? apart_over_ours(slopes, in, out) : 0.0);
    }
    const Outcome outcome = interact(finish, index_, arriving, draws);
    share_ *= outcome.order == 1 ? apart_over_ours(slopes, in, upright(outcome.direction)) : 0.0;
  }

  const BatchValues& sums(std::size_t viewer) const { return sums_[viewer]; }

  std::size_t batch = 0;

 private:
  // The side the light comes from is up.
  static Vec3 upright(const Vec3& v) { return {v.x(), v.y(), -v.z()}; }

  double index_;
  SurfaceId surface_;
  std::vector<Sight> sights_;
  std::vector<BatchValues> sums_;
  double share_ = 1.0;  // of the photon, what one order with masking apart leaves
};

// Luminance in units of the lamp's, by viewer.
std::vector<Estimate> seen_by_one_order(const Model& model, SurfaceId surface, const Frame& frame,
                                        double area_mm2, int photons) {
  const Prism prism = panels::prism_of(model);
  OneOrder scorer(model, surface, frame);
  for (int photon = 0; photon < photons; ++photon) {
    scorer.batch = static_cast<std::size_t>(photon % kBatches);
    trace(model, prism, statistics::kSeed, static_cast<std::uint64_t>(photon), scorer);
  }
  std::vector<Estimate> seen;
  for (std::size_t v = 0; v < model.viewers.size(); ++v) {
    BatchValues values = scorer.sums(v);
    for (double& value : values) value *= kPi * kEmitter_mm.prod() / area_mm2 * kBatches / photons;
    seen.push_back(statistics::estimate_mean(values));
  }
  return seen;
}

// Level 1e-4 over all six; joint errors are at most 1 %, so the smallest difference seen is 4 %.
void expect_equal(const Estimate& ours, const Estimate& theirs, const std::string& name) {
  const double limit = statistics::t_limit(statistics::kFalseAlarm, 6);
  EXPECT_LT(std::abs(statistics::t_between(ours, theirs)), limit)
      << name << ": " << ours.mean << " +- " << ours.standard_error << ", rendered " << theirs.mean
      << " +- " << theirs.standard_error;
  EXPECT_LT(std::hypot(ours.standard_error, theirs.standard_error),
            0.01 * theirs.mean * std::sqrt(RIMEGLOW_TEST_PHOTON_DIVISOR))
      << name;
}

TEST(Renderer, APaintedPatchIsAsBrightAsMitsubaHasIt) {
  Model model = small_panel();
  Finish paint;
  paint.kind = Finish::Kind::painted;
  paint.paint_reflectance = kWhite;
  add_patch(model, paint);
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(40.0, 0.0, Side::front)};
  const Glow glow = glow_of(panels::traced(model, statistics::samples(800000)));
  const auto table = rendered();
  for (const auto& [viewer, above] : {std::pair(0, 0), std::pair(1, 40)}) {
    const Estimate& mean = glow.viewers[static_cast<std::size_t>(viewer)].mean_cd_m2;
    const double lamp = lamp_cd_m2(model);
    expect_equal({mean.mean / lamp, mean.standard_error / lamp}, table.at({"painted patch", above}),
                 "painted, " + std::to_string(above));
  }
}

TEST(Renderer, ARoughPatchOfOneOrderIsAsBrightAsMitsubaHasIt) {
  Model model = small_panel();
  add_patch(model, panels::ground(kAlpha));
  model.viewers = {panels::eye(0.0, 0.0, Side::front), panels::eye(40.0, 0.0, Side::front)};
  const double area_mm2 = (kPatchTo_mm - kPatchFrom_mm).prod();
  const auto seen = seen_by_one_order(model, kBackFace, face_frame(Side::back), area_mm2,
                                      statistics::samples(1000000));
  const auto table = rendered();
  expect_equal(seen[0], table.at({"rough patch", 0}), "rough, straight on");
  expect_equal(seen[1], table.at({"rough patch", 40}), "rough, 40 degrees above");
}

TEST(Renderer, ARoughEdgeOfOneOrderIsAsBrightAsMitsubaHasIt) {
  Model model = small_panel();
  model.edge_finish[panels::kTop] = panels::ground(kAlpha);
  model.viewers = {panels::eye(30.0, 0.0, Side::front), panels::eye(60.0, 0.0, Side::front)};
  const auto seen = seen_by_one_order(model, kFirstEdge + panels::kTop, edge_frame(Vec3::UnitY()),
                                      40.0 * 3.0, statistics::samples(1500000));
  const auto table = rendered();
  expect_equal(seen[0], table.at({"rough top edge", 30}), "edge, 30 degrees above");
  expect_equal(seen[1], table.at({"rough top edge", 60}), "edge, 60 degrees above");
}

}  // namespace
}  // namespace rimeglow::renderer_test
