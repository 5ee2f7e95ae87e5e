#include "spans.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <memory>

namespace rimeglow {
namespace {

// Common practice, no source: alpha of laser marks from 0.3 to 1 about the usual 0.5, of edges from
// half to nearly twice what roughness.h has.
constexpr double kMarkLow = 0.6;
constexpr double kMarkHigh = 2.0;
constexpr double kEdgeLow = 0.5;
constexpr double kEdgeHigh = 1.7;
constexpr double kSmoothest = 0.02;
constexpr double kRoughest = 1.5;
constexpr double kFrostStep = 0.25;

bool is_rough(const Finish& finish) { return finish.kind == Finish::Kind::rough; }

void scale(Finish& finish, double factor) {
  Slopes& slopes = finish.rough.slopes;
  slopes.alpha_x = std::clamp(factor * slopes.alpha_x, kSmoothest, kRoughest);
  slopes.alpha_y = std::clamp(factor * slopes.alpha_y, kSmoothest, kRoughest);
}

void change_law(Finish& finish) {
  SlopeLaw& law = finish.rough.slopes.law;
  law = law == SlopeLaw::ggx ? SlopeLaw::beckmann : SlopeLaw::ggx;
}

void shift_frost(Finish& finish, double step) {
  double& share = finish.rough.frost_share;
  share = std::clamp(share + step, 0.0, 1.0);
}

bool of_marks(Model& model, const std::function<void(Finish&)>& change) {
  for (Layer& layer : model.layers) {
    if (is_rough(layer.mark)) change(layer.mark);
  }
  return !model.layers.empty();
}

bool of_edges(Model& model, const std::function<void(Finish&)>& change) {
  bool any = false;
  for (Finish& finish : model.edge_finish) {
    if (!is_rough(finish)) continue;
    change(finish);
    any = true;
  }
  return any;
}

bool of_sheet(Model& model, double absorption_per_m) {
  const double usual_per_mm = kCastAcrylicAbsorption.usual_per_m / kMmPerM;
  if (std::abs(model.sheet.absorption_per_mm - usual_per_mm) > 1e-12) return false;
  model.sheet.absorption_per_mm = absorption_per_m / kMmPerM;
  return true;
}

Glow glow_of_variant(const Model& model, const RunSettings& settings, std::uint64_t photons) {
  Run run = start(std::make_shared<const Model>(model), settings);
  advance(run, photons);
  return glow_of(run);
}

// Widens the span by what the input did to the value, carried over to the long run's value.
void widen(Span& span, const std::string& input, double value, double usual, double changed) {
  if (usual > 0.0 && std::isfinite(changed)) span.widen(input, value, value * changed / usual);
}

}  // namespace

std::vector<InputEnd> input_ends() {
  std::vector<InputEnd> ends;
  const auto add = [&](const char* input, std::function<bool(Model&)> set) {
    ends.push_back({input, std::move(set)});
  };
  add("the slope law of the marks", [](Model& model) { return of_marks(model, change_law); });
  for (const double factor : {kMarkLow, kMarkHigh}) {
    add("the roughness of the marks", [factor](Model& model) {
      return of_marks(model, [&](Finish& mark) { scale(mark, factor); });
    });
  }
  for (const double step : {-kFrostStep, kFrostStep}) {
    add("the frost of the marks", [step](Model& model) {
      return of_marks(model, [&](Finish& mark) { shift_frost(mark, step); });
    });
  }
  for (const double factor : {kEdgeLow, kEdgeHigh}) {
    add("the roughness of the edges", [factor](Model& model) {
      return of_edges(model, [&](Finish& edge) { scale(edge, factor); });
    });
  }
  add("the slope law of the edges", [](Model& model) { return of_edges(model, change_law); });
  for (const double per_m : {kCastAcrylicAbsorption.low_per_m, kCastAcrylicAbsorption.high_per_m}) {
    add("the sheet's absorption", [per_m](Model& model) { return of_sheet(model, per_m); });
  }
  return ends;
}

std::vector<Variant> uncalibrated_variants(const Model& model) {
  std::vector<Variant> variants;
  for (const InputEnd& end : input_ends()) {
    Variant variant{end.input, model};
    if (end.set(variant.model)) variants.push_back(std::move(variant));
  }
  return variants;
}

void add_spans(Glow& glow, const Run& run, std::uint64_t photons) {
  if (glow.viewers.empty()) return;
  const RunSettings settings = coarse(run.settings);
  const Glow usual = glow_of_variant(*run.model, settings, photons);
  for (ViewerGlow& viewer : glow.viewers) {
    viewer.mean_span = Span{viewer.mean_cd_m2.mean, viewer.mean_cd_m2.mean};
    viewer.evenness_span = Span{viewer.evenness.mean, viewer.evenness.mean};
  }
  for (const Variant& variant : uncalibrated_variants(*run.model)) {
    const Glow changed = glow_of_variant(variant.model, settings, photons);
    for (std::size_t v = 0; v < glow.viewers.size(); ++v) {
      ViewerGlow& viewer = glow.viewers[v];
      widen(*viewer.mean_span, variant.input, viewer.mean_cd_m2.mean,
            usual.viewers[v].mean_cd_m2.mean, changed.viewers[v].mean_cd_m2.mean);
      widen(*viewer.evenness_span, variant.input, viewer.evenness.mean,
            usual.viewers[v].evenness.mean, changed.viewers[v].evenness.mean);
    }
  }
}

}  // namespace rimeglow
