#include "spans.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "measures.h"

namespace rimeglow {
namespace {

constexpr double kFrostStep = 0.25;  // common practice, no source
constexpr double kToldOfMany = 3.0;  // standard errors: a dozen ends pass them by chance in 3 %

enum class RoughPlace { marks, edges };

Leaning change_rough(Model& model, RoughPlace place, const std::function<void(Rough&)>& change) {
  Leaning leaning = Leaning::none;
  const auto visit = [&](Finish& finish) {
    if (finish.kind != Finish::Kind::rough) return;
    change(finish.rough);
    leaning = Leaning::ways;
  };
  if (place == RoughPlace::marks) {
    for (Layer& layer : model.layers) visit(layer.mark);
  } else {
    for (Finish& finish : model.edge_finish) visit(finish);
  }
  return leaning;
}

void scale(Rough& rough, double factor) {
  Slopes& slopes = rough.slopes;
  slopes.alpha_x = std::clamp(factor * slopes.alpha_x, kLeastAlpha, kMostAlpha);
  slopes.alpha_y = std::clamp(factor * slopes.alpha_y, kLeastAlpha, kMostAlpha);
}

void change_law(Rough& rough) {
  SlopeLaw& law = rough.slopes.law;
  law = law == SlopeLaw::ggx ? SlopeLaw::beckmann : SlopeLaw::ggx;
}

Leaning set_absorption(Model& model, double per_m) {
  if (!model.sheet.absorption_guessed) return Leaning::none;
  model.sheet.absorption_per_mm = per_m / kMmPerM;
  return Leaning::ways;
}

// Rows whose lumens are guessed are guessed by one rule: they move together.
Leaning scale_guessed_flux(Model& model, double factor) {
  std::size_t guessed = 0;
  for (LedRow& row : model.lamps) {
    if (!row.flux_guessed) continue;
    row.flux_each_lm *= factor;
    ++guessed;
  }
  if (guessed == 0) return Leaning::none;
  return guessed == model.lamps.size() ? Leaning::brightness : Leaning::ways;
}

std::vector<InputEnd> rough_ends(RoughPlace place) {
  const std::string of = place == RoughPlace::marks ? " of the marks" : " of the edges";
  const auto end = [&](const char* input, std::function<void(Rough&)> change) {
    return InputEnd{"the " + (input + of), [place, change = std::move(change)](Model& model) {
                      return change_rough(model, place, change);
                    }};
  };
  std::vector<InputEnd> ends = {
      end("slope law", change_law),
      end("roughness", [](Rough& rough) { scale(rough, rough.alpha_span.low); }),
      end("roughness", [](Rough& rough) { scale(rough, rough.alpha_span.high); })};
  if (place == RoughPlace::edges) return ends;
  for (const double step : {-kFrostStep, kFrostStep}) {
    ends.push_back(end("frost", [step](Rough& rough) {
      rough.frost_share = std::clamp(rough.frost_share + step, 0.0, 1.0);
    }));
  }
  return ends;
}

bool is_told(const Estimate& effect, double none) {
  return std::abs(effect.mean - none) > kToldOfMany * effect.standard_error;
}

// Widens a span about a value by what an input made of that.
void widen(std::optional<Span>& span, const std::string& input, double value, double changed) {
  if (span && std::isfinite(changed)) span->widen(input, value, changed);
}

// The same by what the input did to the value in the short runs.
void widen_in_ratio(std::optional<Span>& span, const std::string& input, double value, double usual,
                    double changed) {
  if (usual > 0.0) widen(span, input, value, value * changed / usual);
}

double contrast_or_none(const ViewerGlow& viewer) {
  const auto known = contrast(viewer);
  return known ? known->mean : 0.0;
}

void begin_spans(Glow& glow) {
  for (ViewerGlow& viewer : glow.viewers) {
    viewer.mean_span = Span::about(viewer.mean_cd_m2.mean);
    viewer.evenness_span = Span::about(viewer.evenness.mean);
    if (const auto known = contrast(viewer)) viewer.contrast_span = Span::about(known->mean);
  }
  for (EdgeGlow& edge : glow.edges) edge.span = Span::about(edge.cd_m2.mean);
  for (HotSpots& spots : glow.hot_spots) spots.span = Span::about(spots.contrast.mean);
}

// What spans are about.
struct Known {
  Glow glow;
  std::vector<EdgeLuminance> edges;  // as the glow's
  std::vector<EdgeSpots> spots;
};

Known known(const Run& run) { return {glow_of(run), edge_luminances(run), hot_spots(run)}; }

void widen_viewer(ViewerGlow& viewer, const std::string& input, const ViewerGlow& usual,
                  const ViewerGlow& changed) {
  widen_in_ratio(viewer.mean_span, input, viewer.mean_cd_m2.mean, usual.mean_cd_m2.mean,
                 changed.mean_cd_m2.mean);
  widen_in_ratio(viewer.evenness_span, input, viewer.evenness.mean, usual.evenness.mean,
                 changed.evenness.mean);
  widen_in_ratio(viewer.contrast_span, input, contrast_or_none(viewer), contrast_or_none(usual),
                 contrast_or_none(changed));
}

// Few photons go from a polished edge to an eye, and LEDs that hardly show are mostly noise.
void widen_edge(EdgeGlow& edge, const std::string& input, const Replicates& usual,
                const Replicates& changed) {
  const double value = edge.cd_m2.mean;
  const auto reached = carried(value, usual, changed, Carried::in_ratio);
  if (reached) widen(edge.span, input, value, *reached);
}

const Replicates* spots_at(const std::vector<EdgeSpots>& all, const std::string& edge) {
  const auto found = std::find_if(all.begin(), all.end(),
                                  [&](const EdgeSpots& spots) { return spots.edge == edge; });
  return found == all.end() ? nullptr : &found->contrast;
}

void widen_hot_spots(HotSpots& spots, const std::string& input, const Replicates* usual,
                     const Replicates* changed) {
  if (!usual || !changed) return;
  const double value = spots.contrast.mean;
  const auto reached = carried(value, *usual, *changed, Carried::in_difference);
  if (reached) widen(spots.span, input, value, std::clamp(*reached, 0.0, 1.0));
}

void widen_all(Glow& glow, const std::string& input, const Known& usual, const Known& changed) {
  for (std::size_t v = 0; v < glow.viewers.size(); ++v) {
    widen_viewer(glow.viewers[v], input, usual.glow.viewers[v], changed.glow.viewers[v]);
  }
  for (std::size_t k = 0; k < glow.edges.size(); ++k) {
    widen_edge(glow.edges[k], input, usual.edges[k].cd_m2, changed.edges[k].cd_m2);
  }
  for (HotSpots& spots : glow.hot_spots) {
    widen_hot_spots(spots, input, spots_at(usual.spots, spots.edge),
                    spots_at(changed.spots, spots.edge));
  }
}

// The same photons in other light, where they need not be traced again.
Run relit(const Run& usual, std::shared_ptr<const Model> model) {
  Run changed = usual;
  changed.model = std::move(model);
  return changed;
}

Run retraced(const Run& usual, std::shared_ptr<const Model> model) {
  Run changed = start(std::move(model), usual.settings);
  changed.room = usual.room;
  advance(changed, usual.photons);
  return changed;
}

}  // namespace

std::vector<InputEnd> input_ends() {
  std::vector<InputEnd> ends = rough_ends(RoughPlace::marks);
  for (InputEnd& end : rough_ends(RoughPlace::edges)) ends.push_back(std::move(end));
  for (const double per_m : {kCastAcrylicAbsorption.low_per_m, kCastAcrylicAbsorption.high_per_m}) {
    ends.push_back(
        {"the sheet's absorption", [per_m](Model& model) { return set_absorption(model, per_m); }});
  }
  for (const double factor : {kLeastGuess, kMostGuess}) {
    ends.push_back({"the lumens guessed from the lamp's current",
                    [factor](Model& model) { return scale_guessed_flux(model, factor); }});
  }
  return ends;
}

std::optional<Run> at_end(const Run& usual, const InputEnd& end) {
  auto model = std::make_shared<Model>(*usual.model);
  switch (end.set(*model)) {
    case Leaning::none:
      return std::nullopt;
    case Leaning::brightness:
      return relit(usual, std::move(model));
    case Leaning::ways:
      return retraced(usual, std::move(model));
  }
  return std::nullopt;
}

std::optional<double> carried(double value, const Replicates& usual, const Replicates& changed,
                              Carried how) {
  if (how == Carried::in_difference) {
    const Estimate effect = difference(changed, usual);
    return is_told(effect, 0.0) ? std::optional(value + effect.mean) : std::nullopt;
  }
  // Of few photons a ratio is lopsided, and its error small where it is small by chance.
  const Estimate effect = ratio(changed, usual);
  const bool told = is_told(effect, 1.0) && is_told(ratio(usual, changed), 1.0);
  return told ? std::optional(value * effect.mean) : std::nullopt;
}

void add_spans(Glow& glow, const Run& run, std::uint64_t photons) {
  if (glow.viewers.empty() && glow.edges.empty()) return;
  // A clear blank has little to tell, and shall not take long over it.
  if (glow.viewers.empty()) photons = std::max<std::uint64_t>(1, photons / 8);
  Run brief = start(run.model, coarse(run.settings, photons));
  brief.room = run.room;
  advance(brief, photons);
  const Known usual = known(run);
  const Known usual_in_brief = known(brief);
  begin_spans(glow);
  for (const InputEnd& end : input_ends()) {
    auto model = std::make_shared<Model>(*run.model);
    const Leaning leaning = end.set(*model);
    if (leaning == Leaning::brightness) {
      widen_all(glow, end.input, usual, known(relit(run, std::move(model))));
    } else if (leaning == Leaning::ways) {
      widen_all(glow, end.input, usual_in_brief, known(retraced(brief, std::move(model))));
    }
  }
}

}  // namespace rimeglow
