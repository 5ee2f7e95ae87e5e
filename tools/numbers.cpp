#include "numbers.h"

#include <optional>

#include <nlohmann/json.hpp>

#include "noisy.h"

namespace rimeglow {

namespace {

using Json = nlohmann::ordered_json;

constexpr int kIndent = 2;

// "front.mark" goes into "front" under "mark".
Json ledger_json(const Glow& glow) {
  Json ledger = Json::object();
  for (const Share& share : glow.ledger) {
    const auto dot = share.name.find('.');
    if (dot == std::string::npos) {
      ledger[share.name] = noisy(share.of_emitted);
    } else {
      ledger[share.name.substr(0, dot)][share.name.substr(dot + 1)] = noisy(share.of_emitted);
    }
  }
  ledger["entered"] = noisy(glow.entered);
  return ledger;
}

std::optional<Estimate> if_engraved(const ViewerGlow& viewer, const Estimate& estimate) {
  return viewer.counted_patches() > 0 ? std::optional(estimate) : std::nullopt;
}

Json viewer_json(const ViewerGlow& viewer) {
  const std::optional<Estimate> evenness =
      viewer.has_evenness() ? std::optional(viewer.evenness) : std::nullopt;
  return {{"mean_cd_m2", noisy(viewer.mean_cd_m2, viewer.mean_span)},
          {"scored_cd_m2", noisy(viewer.scored_cd_m2)},
          {"darkest_cd_m2", noisy(if_engraved(viewer, viewer.darkest_cd_m2))},
          {"brightest_cd_m2", noisy(if_engraved(viewer, viewer.brightest_cd_m2))},
          {"evenness", noisy(evenness, viewer.evenness_span)},
          {"chromaticity", {{"x", viewer.colour.x}, {"y", viewer.colour.y}}},
          {"room_cd_m2", noisy(viewer.room_cd_m2)},
          {"beside_cd_m2", noisy(viewer.beside_cd_m2)},
          {"contrast", noisy(contrast(viewer), viewer.contrast_span)}};
}

Json viewers_json(const Glow& glow) {
  Json viewers = Json::object();
  for (const ViewerGlow& viewer : glow.viewers) {
    viewers[viewer.name] = viewer_json(viewer);
  }
  return viewers;
}

Json luminance_json(double engraved_mm2, const Estimate& cd_m2) {
  return engraved_mm2 > 0.0 ? noisy(cd_m2) : Json(nullptr);
}

Json rows_json(const ViewerGlow& viewer) {
  Json rows = Json::array();
  for (const RowGlow& row : viewer.rows) {
    rows.push_back({{"y_mm", row.y_mm},
                    {"engraved_mm2", row.engraved_mm2},
                    {"cd_m2", luminance_json(row.engraved_mm2, row.cd_m2)}});
  }
  return rows;
}

Json patches_json(const ViewerGlow& viewer) {
  Json patches = Json::array();
  for (const PatchGlow& patch : viewer.patches) {
    patches.push_back({{"engraved_mm2", patch.engraved_mm2},
                       {"counted", patch.counted},
                       {"cd_m2", luminance_json(patch.engraved_mm2, patch.cd_m2)}});
  }
  return patches;
}

Json edge_glow_json(const Glow& glow) {
  Json edges = Json::object();
  for (const EdgeGlow& edge : glow.edges) {
    edges[edge.edge][edge.viewer] = {{"mean_cd_m2", noisy(edge.cd_m2, edge.span)}};
  }
  return edges;
}

// Of the edge where the LEDs show most; of all edges where several are lit.
Json hot_spots_json(const Glow& glow) {
  const HotSpots* worst = glow.worst_spots();
  if (!worst) return nullptr;
  Json json = noisy(worst->contrast, worst->span);
  if (glow.hot_spots.size() == 1) return json;
  json["edge"] = worst->edge;
  for (const HotSpots& spots : glow.hot_spots) {
    json["edges"][spots.edge] = noisy(spots.contrast, spots.span);
  }
  return json;
}

Json verdicts_json(const Report& report) {
  Json verdicts = Json::array();
  for (const Verdict& verdict : report.verdicts) {
    verdicts.push_back({{"topic", verdict.topic},
                        {"level", std::string(name_of(verdict.level))},
                        {"text", verdict.text}});
  }
  return verdicts;
}

}  // namespace

std::string numbers_json(const Prediction& prediction) {
  const Glow& glow = prediction.glow;
  const ViewerGlow* viewer = main_viewer(glow);
  const Json numbers = {
      {"schema", std::string(kNumbersSchema)},
      {"scene", prediction.scene.title},
      {"inputs", prediction.provenance.inputs},
      {"version", prediction.provenance.version},
      {"seed", prediction.provenance.seed},
      {"photons", prediction.provenance.photons},
      {"lamp", {{"flux_lm", glow.flux_lm}}},
      {"ledger", ledger_json(glow)},
      {"viewers", viewers_json(glow)},
      {"glow", viewer ? viewer_json(*viewer) : Json(nullptr)},
      {"rows", viewer ? rows_json(*viewer) : Json::array()},
      {"patches", viewer ? patches_json(*viewer) : Json::array()},
      {"hot_spots", hot_spots_json(glow)},
      {"edge_glow", edge_glow_json(glow)},
      {"verdicts", verdicts_json(prediction.report)},
      {"warnings", prediction.report.warnings},
  };
  return numbers.dump(kIndent, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rimeglow
