#include "ticket_rows.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "scene_editor.h"
#include "scene_reader.h"
#include "scene_writer.h"

namespace rimeglow {
namespace {

constexpr std::size_t kMostViewers = 8;
constexpr const char* kNewViewer = "standing";
constexpr const char* kAboveOfNew = "35 deg";  // somebody who stands before a table
constexpr std::array<const char*, 3> kSetbacksOfNew = {"1 mm", "0.5 mm", "0.2 mm"};
const std::string kEdges = "edges.";

double edge_length_mm(const LoadedScene& scene, const std::string& edge) {
  const bool is_across = edge == "bottom" || edge == "top";
  const Vec2& size = scene.model->outline.size_mm;
  return is_across ? size.x() : size.y();
}

// As the first row is, spread as it is.
Node::Table row_at(const std::string& edge, const Node::Table& first, const LoadedScene& scene) {
  const LampSpec& lamp = scene.scene.lamps.front();
  const double share = edge_length_mm(scene, edge) / edge_length_mm(scene, lamp.edge);
  Node side, count;
  side.value = edge;
  count.value = std::max(1.0, std::round(lamp.count * share));
  Node::Table row = {{"edge", side}, {"count", count}};
  for (const auto& [key, value] : first) {
    const bool is_of_place = key == "edge" || key == "count" || key == "centre";
    if (!is_of_place) row.emplace_back(key, value);
  }
  return row;
}

std::string free_viewer(const Scene& scene) {
  std::string name = kNewViewer;
  for (int i = 2; scene.viewers.count(name) > 0; ++i)
    name = std::string(kNewViewer) + "-" + std::to_string(i);
  return name;
}

// "top" and "chamfer_front" of "edges.top.chamfer_front"; of any other key nothing.
struct EdgeKey {
  std::string edge;
  std::string name;
};
EdgeKey edge_key_of(const std::string& key) {
  if (!key.starts_with(kEdges)) return {};
  const std::string edge = key.substr(kEdges.size(), key.find('.', kEdges.size()) - kEdges.size());
  const std::size_t name = kEdges.size() + edge.size() + 1;
  return {edge, name < key.size() ? key.substr(name) : ""};
}

Node value_of(const char* word) {
  Node node;
  node.value = std::string(word);
  return node;
}

bool is_of_chamfer(const std::string& name) { return name.starts_with("chamfer_"); }

// What the scene's text says of an edge, as a table; empty when it says nothing.
Node::Table said_of(const std::string& edge, const Node& document) {
  const Node* edges = document.child("edges");
  const Node* said = edges ? edges->child(edge) : nullptr;
  if (!said) return {};
  if (const Node::Table* table = said->table()) return *table;
  return {{"kind", *said}};
}

std::variant<std::string, Problem> with_edge(const std::string& text, const std::string& edge,
                                             Node::Table said) {
  std::stable_partition(said.begin(), said.end(),
                        [](const auto& entry) { return entry.first == "kind"; });
  const bool is_word = said.size() == 1 && said.front().first == "kind";
  Node table;
  table.value = std::move(said);
  return with_value(text, kEdges + edge,
                    toml_value(is_word ? table.table()->front().second : table));
}

std::variant<std::string, Problem> without_chamfers(const std::string& text,
                                                    const std::string& edge) {
  const auto document = parse_scene(text);
  if (const auto* problem = std::get_if<Problem>(&document)) return *problem;
  const Node::Table said = said_of(edge, std::get<Node>(document));
  Node::Table rest;
  for (const auto& entry : said)
    if (!is_of_chamfer(entry.first)) rest.push_back(entry);
  auto made = with_edge(text, edge, rest);
  if (std::holds_alternative<std::string>(made)) return made;
  // A table of several lines keeps them and their comments.
  made = text;
  for (const char* name : {"chamfer_front", "chamfer_back"}) {
    const bool is_said = std::any_of(said.begin(), said.end(),
                                     [&](const auto& entry) { return entry.first == name; });
    if (!is_said) continue;
    made = with_value(std::get<std::string>(made), kEdges + edge + "." + name, toml_text("0 mm"));
    if (std::holds_alternative<Problem>(made)) return made;
  }
  return made;
}

}  // namespace

std::vector<std::string> edges_of(const Scene& scene) {
  std::vector<std::string> edges = {"top", "left", "right", "bottom"};
  if (scene.panel.shape && scene.panel.shape->holes > 0) edges.emplace_back("holes");
  return edges;
}

std::vector<std::string> unlit_edges(const Scene& scene) {
  const std::string& first = scene.lamps.front().edge;
  std::vector<std::string> edges = {"top", "bottom", "left", "right"};
  if (first == "left") std::swap(edges.front(), edges.back());
  if (first == "right") std::swap(edges.front(), edges[2]);
  std::erase_if(edges, [&](const std::string& edge) { return scene.is_lit(edge); });
  return edges;
}

bool can_light_another_edge(const Scene& scene) {
  return !scene.lamps.empty() && !unlit_edges(scene).empty();
}

bool can_chamfer(const std::string& edge, const Scene& scene) {
  const std::vector<std::string> edges = edges_of(scene);
  return std::find(edges.begin(), edges.end(), edge) != edges.end() && !scene.is_lit(edge) &&
         !scene.edge(edge).is_chamfered();
}

bool can_strike_out(const std::string& key, const Scene& scene, const Node& document) {
  for (const auto& [name, viewer] : scene.viewers) {
    const Node* viewers = document.child(kViewers);
    if (key == std::string(kViewers) + "." + name)
      return viewers && viewers->child(name) && scene.even.viewer != name;
  }
  if (const EdgeKey of = edge_key_of(key); !of.edge.empty()) {
    const Node::Table said = said_of(of.edge, document);
    return of.name.empty() && scene.edge(of.edge).is_chamfered() &&
           std::any_of(said.begin(), said.end(),
                       [](const auto& entry) { return is_of_chamfer(entry.first); });
  }
  const Node* rows = document.child(kLampRows);
  if (!rows || !rows->list() || scene.lamps.size() < 2) return false;
  for (std::size_t i = 0; i < scene.lamps.size(); ++i) {
    if (key == std::string(kLampRows) + "[" + std::to_string(i) + "]") return true;
  }
  return false;
}

std::vector<std::variant<std::string, Problem>> with_another(const std::string& what,
                                                             const std::string& text,
                                                             const LoadedScene& scene) {
  std::vector<std::variant<std::string, Problem>> tries;
  if (what == kViewers && scene.scene.viewers.size() < kMostViewers) {
    tries.push_back(with_value(text,
                               std::string(kViewers) + "." + free_viewer(scene.scene) + ".above",
                               toml_text(kAboveOfNew)));
  }
  const EdgeKey of = edge_key_of(what);
  if (of.name.empty() && can_chamfer(of.edge, scene.scene)) {
    for (const char* setback : kSetbacksOfNew)
      tries.push_back(with_field(text, what + ".chamfer_front", toml_text(setback)));
  }
  if (what != kLampRows) return tries;
  const auto document = parse_scene(text);
  const Node* root = std::get_if<Node>(&document);
  const Node* rows = root ? root->child(kLampRows) : nullptr;
  const Node* first =
      rows && rows->list() && !rows->list()->empty() ? &rows->list()->front() : rows;
  if (!first || !first->table()) return tries;
  for (const std::string& edge : unlit_edges(scene.scene))
    tries.push_back(with_row(text, kLampRows, row_at(edge, *first->table(), scene)));
  return tries;
}

std::variant<std::string, Problem> struck_out(const std::string& text, const std::string& key) {
  const std::string edge = edge_key_of(key).edge;
  return edge.empty() ? without_table(text, key) : without_chamfers(text, edge);
}

std::variant<std::string, Problem> with_field(const std::string& text, const std::string& key,
                                              const std::string& toml) {
  const EdgeKey of = edge_key_of(key);
  const auto document = parse_scene(text);
  const auto value = parse_scene("value = " + toml);
  if (of.edge.empty() || std::holds_alternative<Problem>(document) ||
      std::holds_alternative<Problem>(value))
    return with_value(text, key, toml);
  Node::Table said = said_of(of.edge, std::get<Node>(document));
  if (said.empty()) said.emplace_back("kind", value_of("polished"));
  const std::string name = of.name.empty() ? "kind" : of.name;
  const auto is_measured = [](const auto& entry) {
    return entry.first != "kind" && !is_of_chamfer(entry.first);
  };
  // Figures of a finish are not another's.
  const bool is_other = of.name.empty() && std::any_of(said.begin(), said.end(), is_measured);
  if (is_other) std::erase_if(said, is_measured);
  const auto there = std::find_if(said.begin(), said.end(),
                                  [&](const auto& entry) { return entry.first == name; });
  const Node& wanted = std::get<Node>(value).table()->front().second;
  if (there == said.end())
    said.emplace_back(name, wanted);
  else
    there->second = wanted;
  auto made = with_edge(text, of.edge, said);
  if (is_other || std::holds_alternative<std::string>(made)) return made;
  return with_value(text, kEdges + of.edge + "." + name, toml);  // a table of several lines
}

}  // namespace rimeglow
