#include "even_checks.h"

#include <algorithm>
#include <utility>

#include "glow.h"

namespace rimeglow {
namespace {

// What a run without photons yet comes to by other photons than the search's, which flatter its
// plan.
EvenOutcome outcome(std::string what, const EvenSearch& search, Run run, std::uint64_t photons) {
  run.settings.seed = search.in_full.settings.seed + 1;
  advance(run, photons);
  const ViewerGlow glow = viewer_glow_of(run, search.wish.viewer);
  return {std::move(what), glow.mean_cd_m2, glow.evenness};
}

std::string opposite(const std::string& edge) {
  if (edge == "bottom") return "top";
  if (edge == "top") return "bottom";
  return edge == "left" ? "right" : "left";
}

void backed(std::vector<Advice>& all, const Scene& scene, const std::string& edge,
            EdgeSpec::Kind kind, const std::string& what) {
  if (scene.is_lit(edge) || scene.edge(edge).kind == kind) return;
  Advice advice{what + " on the " + edge + " edge", scene};
  advice.scene.edges[edge] = EdgeSpec{};
  advice.scene.edges[edge].kind = kind;
  all.push_back(std::move(advice));
}

}  // namespace

std::vector<Shake> shakes(const Model& model) {
  constexpr double kPart = 0.2;  // our choice, for spot and roughness
  // ISO 7823-1 (cast sheet): 0.4 mm and a tenth of the thickness either way.
  const double thicker_mm = 0.4 + 0.1 * model.thickness_mm;
  return {{"spot 20 % smaller", 1.0 - kPart},
          {"spot 20 % larger", 1.0 + kPart},
          {"marks 20 % smoother", 1.0, 1.0 - kPart},
          {"marks 20 % rougher", 1.0, 1.0 + kPart},
          {"sheet as thin as the standard allows", 1.0, 1.0,
           -std::min(thicker_mm, 0.5 * model.thickness_mm)},
          {"sheet as thick as the standard allows", 1.0, 1.0, thicker_mm}};
}

EvenOutcome shaken(const EvenSearch& search, const std::vector<Drawing>& dots, const Shake& shake,
                   std::uint64_t photons) {
  Model blank = search.blank;
  blank.thickness_mm += shake.thicker_mm;
  std::vector<LayerArt> art = search.art;
  for (LayerArt& layer : art) {
    layer.mark.spot_mm *= shake.spot;
    layer.mark.alpha_x *= shake.alpha;
    layer.mark.alpha_y *= shake.alpha;
  }
  const RunSettings& settings = search.in_full.settings;
  return outcome(
      shake.what, search,
      start(with_dots(blank, art, dots, {}, settings.is_wanted), coarse(settings, photons)),
      photons);
}

EvenOutcome at_density(const EvenSearch& search, double density, std::uint64_t photons) {
  Density flat;
  flat.share = {density};
  return outcome("", search, burnt_by(search, flat), photons);
}

std::optional<std::size_t> knee(std::span<const double> density,
                                std::span<const double> brightness) {
  const auto range = [](std::span<const double> values) {
    return values.empty() ? 0.0 : values.back() - values.front();
  };
  const double across = range(density);
  const double up = range(brightness);
  if (across == 0.0 || up == 0.0) return std::nullopt;
  std::optional<std::size_t> farthest;
  double above = 0.05;
  for (std::size_t i = 0; i < density.size(); ++i) {
    const double x = (density[i] - density.front()) / across;
    const double y = (brightness[i] - brightness.front()) / up;
    if (!(y - x > above)) continue;
    above = y - x;
    farthest = i;
  }
  return farthest;
}

std::vector<Advice> advice_for(const Scene& scene) {
  std::vector<Advice> all = {{"as it is", scene}};
  const std::string far = opposite(scene.lamps.front().edge);
  backed(all, scene, far, EdgeSpec::Kind::white_card, "a white card behind an air gap");
  backed(all, scene, far, EdgeSpec::Kind::white_tape, "white tape");
  if (!scene.is_lit(far)) {
    Advice split{"half of the light from the " + far + " edge", scene};
    split.scene.edges.erase(far);
    for (const LampSpec& lamp : scene.lamps) {
      LampSpec other = lamp;
      other.edge = opposite(lamp.edge);
      split.scene.lamps.push_back(other);
    }
    for (LampSpec& lamp : split.scene.lamps) {
      lamp.flux_each_lm = 0.5 * flux_each_lm(lamp);
      lamp.current_each_ma.reset();
    }
    all.push_back(std::move(split));
  }
  Advice closer{"LEDs that touch the edge", scene};
  for (LampSpec& lamp : closer.scene.lamps) lamp.gap_mm = 0.0;
  all.push_back(std::move(closer));
  Advice across{"raster lines turned by a right angle", scene};
  bool has_grooves = false;
  for (auto& [name, mark] : across.scene.marks) {
    if (mark.scored()) continue;
    has_grooves = has_grooves || mark.alpha_x != mark.alpha_y;
    mark.direction_rad += 0.5 * kPi;
  }
  if (has_grooves) all.push_back(std::move(across));
  all.push_back({"areas a third less solid", scene, Vec2::Zero(), 2.0 / 3.0});
  constexpr double kMove_mm = 8.0;
  for (const double step : {kMove_mm, -kMove_mm}) {
    const std::string& edge = scene.lamps.front().edge;
    const Vec2 away = edge == "bottom" ? Vec2(0, 1)
                      : edge == "top"  ? Vec2(0, -1)
                      : edge == "left" ? Vec2(1, 0)
                                       : Vec2(-1, 0);
    all.push_back({"the art moved 8 mm " + std::string(step > 0.0 ? "away from" : "nearer to") +
                       " the " + edge + " edge",
                   scene, step * away});
  }
  return all;
}

std::optional<EvenOutcome> tried(const Advice& advice, const std::vector<Drawing>& drawings,
                                 const RunSettings& settings, const EvenWish& wish, int rounds) {
  std::vector<Drawing> moved = drawings;
  for (Drawing& drawing : moved) drawing.origin_mm += advice.moved_mm;
  if (!check_scene(advice.scene).empty()) return std::nullopt;
  const BuiltModel built = build_model(advice.scene, moved, {}, settings.is_wanted);
  if (!built.model) return std::nullopt;
  EvenWish changed = wish;
  changed.limits.most = advice.most_density;
  EvenSearch search =
      begin_even(advice.scene, moved, *built.model, coarse(settings, wish.photons), changed);
  while (!is_done(search) && static_cast<int>(search.rounds.size()) < rounds) advance(search);
  return outcome(advice.what, search, burnt_by(search, best_round(search).density), wish.photons);
}

}  // namespace rimeglow
