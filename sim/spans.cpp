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
constexpr int kWalks = 1 << 16;

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

class Variants {
 public:
  explicit Variants(const Model& model) : model_(model) {}

  void of_marks(const std::string& input, const std::function<void(Finish&)>& change) {
    if (model_.layers.empty()) return;
    Model changed = model_;
    for (Layer& layer : changed.layers) {
      if (is_rough(layer.mark)) change(layer.mark);
    }
    variants_.push_back({input, std::move(changed)});
  }

  void of_edges(const std::string& input, const std::function<void(Finish&)>& change) {
    if (std::none_of(model_.edge_finish.begin(), model_.edge_finish.end(), is_rough)) return;
    Model changed = model_;
    for (Finish& finish : changed.edge_finish) {
      if (is_rough(finish)) change(finish);
    }
    variants_.push_back({input, std::move(changed)});
  }

  void of_sheet(const std::string& input, double absorption_per_m) {
    Model changed = model_;
    changed.sheet.absorption_per_mm = absorption_per_m / kMmPerM;
    variants_.push_back({input, std::move(changed)});
  }

  std::vector<Variant> take() { return std::move(variants_); }

 private:
  const Model& model_;
  std::vector<Variant> variants_;
};

Glow glow_of_variant(const Model& model, const RunSettings& settings, std::uint64_t photons) {
  Run run = start(std::make_shared<const Model>(model), settings);
  advance(run, photons);
  return glow_of(run);
}

// Widens the span by what the input did to the value, carried over to the long run's value.
void widen(Span& span, const std::string& input, double value, double usual, double changed) {
  if (!(usual > 0.0) || !std::isfinite(changed)) return;
  const double carried = value * changed / usual;
  const double before = span.high - span.low;
  span.low = std::min(span.low, carried);
  span.high = std::max(span.high, carried);
  if (span.high - span.low > before && std::abs(carried - value) > span.widest) {
    span.widest = std::abs(carried - value);
    span.widest_input = input;
  }
}

}  // namespace

std::vector<Variant> uncalibrated_variants(const Model& model) {
  Variants variants(model);
  variants.of_marks("the slope law of the marks", change_law);
  for (const double factor : {kMarkLow, kMarkHigh}) {
    variants.of_marks("the roughness of the marks", [&](Finish& mark) { scale(mark, factor); });
  }
  for (const double step : {-kFrostStep, kFrostStep}) {
    variants.of_marks("the frost of the marks", [&](Finish& mark) { shift_frost(mark, step); });
  }
  for (const double factor : {kEdgeLow, kEdgeHigh}) {
    variants.of_edges("the roughness of the edges", [&](Finish& edge) { scale(edge, factor); });
  }
  variants.of_edges("the slope law of the edges", change_law);
  const AbsorptionSpan& span = kCastAcrylicAbsorption;
  if (std::abs(model.sheet.absorption_per_mm * kMmPerM - span.usual_per_m) < 1e-9) {
    variants.of_sheet("the sheet's absorption", span.low_per_m);
    variants.of_sheet("the sheet's absorption", span.high_per_m);
  }
  return variants.take();
}

void add_spans(Glow& glow, const Run& run, std::uint64_t photons) {
  if (glow.viewers.empty()) return;
  RunSettings settings = run.settings;
  settings.response_walks = kWalks;
  settings.room_rays = 1;
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
