#include "compare_numbers.h"

#include <nlohmann/json.hpp>

#include "noisy.h"

namespace rimeglow {

namespace {

using Json = nlohmann::ordered_json;

Json compared_json(const Compared& compared) {
  Json json = noisy(compared.value);
  if (compared.difference) json["difference"] = noisy(*compared.difference);
  if (compared.ratio) json["ratio"] = noisy(*compared.ratio);
  if (compared.span) {
    json[compared.ratio ? "ratio" : "difference"]["low"] = compared.span->low;
    json[compared.ratio ? "ratio" : "difference"]["high"] = compared.span->high;
    if (!compared.span->widest_input.empty()) json["leans_on"] = compared.span->widest_input;
  }
  return json;
}

std::string kind_name(Quantity::Kind kind) {
  switch (kind) {
    case Quantity::Kind::art:
      return "art_cd_m2";
    case Quantity::Kind::evenness:
      return "evenness";
    case Quantity::Kind::hot_spots:
      return "hot_spots";
    case Quantity::Kind::edge:
      return "edge_cd_m2";
    case Quantity::Kind::light:
      return "ledger";
  }
  return "";
}

}  // namespace

std::string comparison_json(const Comparing& comparing) {
  Json designs = Json::array();
  for (const Design& design : comparing.designs) {
    designs.push_back({{"title", design.title},
                       {"inputs", design.prediction.provenance.inputs},
                       {"verdict", design.verdict}});
  }
  Json rows = Json::array();
  for (const ComparedRow& row : comparing.comparison.rows) {
    Json values = Json::array();
    for (const auto& compared : row.designs) {
      values.push_back(compared ? compared_json(*compared) : Json(nullptr));
    }
    Json json = {{"quantity", kind_name(row.quantity.kind)}};
    if (!row.quantity.name.empty()) json["name"] = row.quantity.name;
    if (!row.quantity.viewer.empty()) json["viewer"] = row.quantity.viewer;
    json["designs"] = values;
    rows.push_back(json);
  }
  const Provenance& base = comparing.designs.front().prediction.provenance;
  const Json all = {{"schema", std::string(kComparisonSchema)},
                    {"scene", comparing.title},
                    {"version", base.version},
                    {"seed", base.seed},
                    {"photons", base.photons},
                    {"designs", designs},
                    {"rows", rows},
                    {"warnings", comparing.warnings}};
  return all.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rimeglow
