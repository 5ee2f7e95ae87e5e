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

bool is_lit(const Scene& scene, const std::string& edge) {
  return std::any_of(scene.lamps.begin(), scene.lamps.end(),
                     [&](const LampSpec& lamp) { return lamp.edge == edge; });
}

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

}  // namespace

std::vector<std::string> unlit_edges(const Scene& scene) {
  const std::string& first = scene.lamps.front().edge;
  std::vector<std::string> edges = {"top", "bottom", "left", "right"};
  if (first == "left") std::swap(edges.front(), edges.back());
  if (first == "right") std::swap(edges.front(), edges[2]);
  edges.erase(std::remove_if(edges.begin(), edges.end(),
                             [&](const std::string& edge) { return is_lit(scene, edge); }),
              edges.end());
  return edges;
}

bool can_light_another_edge(const Scene& scene) {
  return !scene.lamps.empty() && !unlit_edges(scene).empty();
}

bool can_strike_out(const std::string& key, const Scene& scene, const Node& document) {
  for (const auto& [name, viewer] : scene.viewers) {
    const Node* viewers = document.child(kViewers);
    if (key == std::string(kViewers) + "." + name)
      return viewers && viewers->child(name) && scene.even.viewer != name;
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

}  // namespace rimeglow
