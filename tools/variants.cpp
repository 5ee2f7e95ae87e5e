#include "variants.h"

#include <string_view>

#include "scene_writer.h"
#include "schema.h"

namespace rimeglow {
namespace {

// Whether a table at this path is a value of its own, as an edge's finish is.
bool is_value(const std::string& path) {
  const std::size_t dot = path.find_last_of('.');
  return find_key(path) || (dot != std::string::npos && find_key(path.substr(0, dot) + ".*"));
}

// A table within `set` is a path spelled out: set.edges.top is "edges.top".
void flatten(const std::string& path, const Node& node, Changes& changes) {
  if (!node.table() || is_value(path)) {
    changes.emplace_back(path, toml_value(node));
    return;
  }
  for (const auto& [name, child] : *node.table()) flatten(path + "." + name, child, changes);
}

VariantSpec variant_of(const Node& table) {
  VariantSpec variant;
  for (const auto& [name, child] : *table.table()) {
    if (name == "title") variant.title = *child.text();
    if (name != "set") continue;
    for (const auto& [key, value] : *child.table()) flatten(key, value, variant.changes);
  }
  return variant;
}

std::string doing(EdgeSpec::Kind kind) {
  switch (kind) {
    case EdgeSpec::Kind::polished:
      return "polishing";
    case EdgeSpec::Kind::ground:
      return "grinding";
    case EdgeSpec::Kind::sanded:
      return "sanding";
    case EdgeSpec::Kind::laser_cut:
      return "laser-cutting";
    case EdgeSpec::Kind::sawn:
      return "sawing";
    case EdgeSpec::Kind::painted:
      return "painting";
    case EdgeSpec::Kind::white_tape:
      return "white tape on";
    case EdgeSpec::Kind::mirror_tape:
      return "mirror tape on";
    case EdgeSpec::Kind::white_card:
      return "a white card behind";
  }
  return "";
}

}  // namespace

std::vector<VariantSpec> variants_in(const Node& document) {
  std::vector<VariantSpec> variants;
  for (const auto& [name, node] : *document.table()) {
    if (name != "variant") continue;
    if (node.table()) variants.push_back(variant_of(node));
    if (!node.list()) continue;
    for (const Node& row : *node.list()) variants.push_back(variant_of(row));
  }
  return variants;
}

std::string deed_of(const VariantSpec& variant, const Scene& scene) {
  constexpr std::string_view kEdges = "edges.";
  const std::string title = "\"" + variant.title + "\"";
  if (variant.changes.size() != 1) return title;
  const auto& [key, value] = variant.changes.front();
  const bool is_word = key.starts_with(kEdges) && value.find('{') == value.npos;
  const auto finish = scene.edges.find(is_word ? key.substr(kEdges.size()) : "");
  if (finish == scene.edges.end()) return title;
  const auto& [edge, spec] = *finish;
  return doing(spec.kind) + " the " + edge + " edge" +
         (spec.grit.empty() ? "" : " with " + spec.grit);
}

}  // namespace rimeglow
