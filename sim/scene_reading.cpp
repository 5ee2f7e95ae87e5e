#include "scene_reading.h"

#include <algorithm>
#include <set>

#include "panel_shape.h"
#include "scene_reading_values.h"
#include "shop.h"

namespace rimeglow {
namespace {

// A place in the document: the path the user wrote, and the schema's pattern for it.
struct Place {
  std::string path;
  std::string pattern;

  Place child(const std::string& name, const std::string& as) const {
    return {path.empty() ? name : path + "." + name, pattern.empty() ? as : pattern + "." + as};
  }
};

std::string taken_by(const Key& key) {
  if (key.dimension) return "as in " + std::string(example_of(*key.dimension));
  if (!key.choices.empty())
    return "as in \"" + std::string(key.choices.substr(0, key.choices.find('|'))) + "\"";
  if (key.type == KeyType::text) return "text in quotes";
  return key.type == KeyType::count ? "a whole number" : "a number";
}

// Reads a document key by key; what does not fit is noted and the rest read on. A shop file is read
// for its mistakes: its named tables one over the other, and nothing is missed in it.
class Reader {
 public:
  Reader(ReadScene& out, Line::File file) : out_(out), target_{out.scene}, file_(file) {}

  void read(const Node& document) {
    read_table(document, {});
    if (file_ == Line::shop) return;
    require_panel();
    shape();
    spread_lamps(out_.scene);
    if (out_.scene.lamps.empty()) {
      complain("lamp", 0, "no light: the scene has no [[lamp]]",
               "add [[lamp]] with count and flux_each, as in count = 6, flux_each = \"9 lm\"");
    }
  }

 private:
  void complain(const std::string& key, Line line, std::string what, std::string mend) {
    out_.problems.push_back({key, line, std::move(what), std::move(mend)});
  }

  void read_table(const Node& node, const Place& place) {
    for (const auto& [name, child] : *node.table()) read_child(name, child, place);
  }

  void read_child(const std::string& name, const Node& node, const Place& place) {
    const Place named = place.child(name, name);
    const Place starred = place.child(name, "*");
    const Place listed = place.child(name, name + "[]");
    if (file_ == Line::shop) {
      if (is_for_scenes(name, place)) return complain_about_shop(named.path, node.line);
      if (node.table() && is_shop_shelf(place.pattern)) {
        return read_table(node, {named.path, place.pattern});
      }
    }
    if (is_section(listed.pattern)) return read_rows(node, listed);
    if (is_section(starred.pattern) && node.table()) return read_named(name, node, starred);
    const Key* key = find_key(named.pattern);
    Place at = named;
    if (!key) {
      key = find_key(starred.pattern);
      at = starred;
    }
    if (key) return read_key(name, node, *key, at);
    if (!is_section(named.pattern) && !is_section(starred.pattern))
      return unknown(name, node, place);
    if (!node.table()) {
      return complain(named.path, node.line, "is " + kind_of(node) + " where a table belongs",
                      "write [" + named.path + "] on a line of its own and its keys below");
    }
    begin_section(name);
    read_table(node, named);
  }

  // What the one scene says, and its call on the shop file.
  static bool is_for_scenes(const std::string& name, const Place& place) {
    return name == "use" ||
           (place.path.empty() && (name == "art" || name == "expect" || name == "variant"));
  }

  void complain_about_shop(const std::string& path, Line line) {
    complain(path, line, "has no place in a shop file", "say it in the scene");
  }

  void begin_section(const std::string& name) {
    if (name == "art") out_.scene.art.emplace();
    if (name == "machine") out_.scene.machine.emplace();
  }

  // mark.NAME, edges.NAME, viewer.NAME, expect.NAME.
  void read_named(const std::string& name, const Node& node, const Place& place) {
    if (place.pattern == "mark.*") target_.mark = &out_.scene.marks[name];
    if (place.pattern == "viewer.*") target_.viewer = &out_.scene.viewers[name];
    if (place.pattern == "edges.*") {
      if (!is_edge_name(name, node.line, place.path)) return;
      target_.edge = &out_.scene.edges[name];
    }
    if (place.pattern == "expect.*") {
      target_.expectation = &out_.scene.expect.emplace_back();
      target_.expectation->key = name;
    }
    read_table(node, place);
    require(place, node);
  }

  bool is_edge_name(const std::string& name, Line line, const std::string& path) {
    static constexpr std::array<std::string_view, 5> kNames = {"top", "right", "bottom", "left",
                                                               "holes"};
    if (std::find(kNames.begin(), kNames.end(), name) != kNames.end()) return true;
    complain(path, line, "the panel has no edge \"" + name + "\"",
             "its edges are top, right, bottom and left, and holes where it has any");
    return false;
  }

  // [lamp] is one row of LEDs, [[lamp]] several; regions of the art alike.
  void read_rows(const Node& node, const Place& place) {
    const std::vector<Node> one = {node};
    const std::vector<Node>& rows = node.list() ? *node.list() : one;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      Place row = place;
      if (node.list()) row.path += "[" + std::to_string(i) + "]";
      if (!rows[i].table()) {
        complain(row.path, rows[i].line, "is " + kind_of(rows[i]) + " where a table belongs",
                 "write [[" + place.path + "]] on a line of its own and its keys below");
        continue;
      }
      const bool lamp = place.pattern == "lamp[]";
      if (lamp) target_.lamp = &out_.scene.lamps.emplace_back();
      if (place.pattern == "art.region[]") {
        target_.region = &out_.scene.art->regions.emplace_back();
      }
      read_table(rows[i], row);
      if (file_ == Line::shop) continue;
      require(row, rows[i]);
      if (lamp) require_light(*target_.lamp, row, rows[i]);
    }
  }

  void require_light(const LampSpec& lamp, const Place& row, const Node& node) {
    const bool measured = seen_.count(row.path + ".distribution") > 0;
    if (measured && seen_.count(row.path + ".beam_angle")) {
      complain(row.path + ".beam_angle", out_.lines[row.path + ".beam_angle"],
               "is said beside a measured distribution", "leave one of the two away");
    }
    if (!seen_.count(row.path + ".flux_each") && !lamp.current_each_ma && !measured) {
      complain(row.path + ".flux_each", node.line, "is missing: lumens of one LED",
               "add it, as in \"9 lm\", or current_each, as in \"20 mA\"");
    }
  }

  // What a section must hold and does not.
  void require(const Place& section, const Node& node) {
    for (const Key& key : schema()) {
      const std::string prefix = section.pattern + ".";
      if (key.need != KeyNeed::required || !key.path.starts_with(prefix)) continue;
      const std::string path = section.path + std::string(key.path.substr(section.pattern.size()));
      if (seen_.count(path)) continue;
      complain(path, node.line, "is missing: " + std::string(key.help), "add it, " + taken_by(key));
    }
  }

  // Rectangles need both sides, discs one of them and a flat; drawn outlines have their own.
  void require_panel() {
    const PanelSpec& panel = out_.scene.panel;
    const bool disc = panel.outline == kDisc;
    const bool unread = std::any_of(
        out_.problems.begin(), out_.problems.end(),
        [](const Problem& problem) { return problem.key.starts_with("panel.outline"); });
    for (const std::string key : {"panel.width", "panel.height"}) {
      if (unread || (!disc && panel.outline != kRectangle)) break;
      if (seen_.count(key) || (disc && seen_.count("panel.width"))) continue;
      complain(key, 0, "is missing: " + std::string(find_key(key)->help),
               "add it, as in " + std::string(example_of(Dimension::length)));
    }
    if (disc && !seen_.count("panel.flat")) {
      complain("panel.flat", 0, "is missing: " + std::string(find_key("panel.flat")->help),
               "add it, as in \"40 mm\"");
    } else if (!disc && seen_.count("panel.flat")) {
      complain("panel.flat", out_.lines["panel.flat"], "is cut into a disc only",
               "leave it away, or cut it into the outline itself");
    }
    const Node nothing;
    require({"panel", "panel"}, nothing);
  }

  void shape() {
    PanelSpec& panel = out_.scene.panel;
    std::vector<ClosedLine> lines;
    if (!panel.corners_mm.empty()) lines = {polygon(panel.corners_mm)};
    if (panel.outline == kDisc && panel.width_mm > 0.0 && panel.flat_mm > 0.0) {
      if (panel.flat_mm >= panel.width_mm) {
        return complain("panel.flat", out_.lines["panel.flat"],
                        "is as long as the disc is wide or longer", "make it shorter");
      }
      lines = {disc_on_flat(0.5 * panel.width_mm, panel.flat_mm)};
    }
    if (lines.empty()) return;
    if (const auto problem = shape_panel(panel, std::move(lines))) {
      complain(problem->key, out_.lines[problem->key], problem->what, problem->mend);
    }
  }

  void unknown(const std::string& name, const Node& node, const Place& place) {
    std::vector<std::string_view> names;
    const std::string prefix = place.pattern.empty() ? "" : place.pattern + ".";
    for (const Key& key : schema()) {
      if (!key.path.starts_with(prefix)) continue;
      const std::string_view rest = key.path.substr(prefix.size());
      const std::string_view first = rest.substr(0, rest.find_first_of(".["));
      if (first != "*" && std::find(names.begin(), names.end(), first) == names.end())
        names.push_back(first);
    }
    const auto near = nearest(name, names);
    complain(place.child(name, name).path, node.line, "is no key of a scene",
             near ? "do you mean \"" + std::string(*near) + "\"?"
                  : "possible here: " + quoted_choices(names));
  }

  void read_key(const std::string& name, const Node& node, const Key& key, const Place& place) {
    seen_.insert(place.path);
    out_.lines[place.path] = node.line;
    if (place.pattern == "edges.*") {
      if (!is_edge_name(name, node.line, place.path)) return;
      target_.edge = &out_.scene.edges[name];
    }
    ReadValue read = read_value(node, key, place.path);
    for (Problem& problem : read.problems) out_.problems.push_back(std::move(problem));
    if (read.value) key.store(target_, *read.value);
  }

  ReadScene& out_;
  SceneTarget target_;
  Line::File file_;
  std::set<std::string> seen_;
};

Node in_shop_file(Node node) {
  node.line.file = Line::shop;
  if (auto* table = std::get_if<Node::Table>(&node.value)) {
    for (auto& [name, child] : *table) child = in_shop_file(std::move(child));
  } else if (auto* list = std::get_if<Node::List>(&node.value)) {
    for (Node& child : *list) child = in_shop_file(std::move(child));
  }
  return node;
}

std::vector<Problem> mistakes_in_shop(const Node& shop) {
  ReadScene out;
  Reader(out, Line::shop).read(shop);
  return std::move(out.problems);
}

}  // namespace

ReadScene read_scene(const Node& document, const std::string& title, const Node* shop) {
  const Node shelves = shop ? in_shop_file(*shop) : Node{};
  Completed completed = with_shop(document, shop ? &shelves : nullptr);
  ReadScene out;
  out.scene.title = title;
  Reader(out, Line::scene).read(completed.document);
  // Mistakes of the shop file are found once, in all of it.
  std::erase_if(out.problems,
                [](const Problem& problem) { return problem.line.file == Line::shop; });
  for (Problem& problem : completed.problems) out.problems.push_back(std::move(problem));
  if (shop) {
    for (Problem& problem : mistakes_in_shop(shelves)) out.problems.push_back(std::move(problem));
  }
  std::stable_sort(out.problems.begin(), out.problems.end(),
                   [](const Problem& a, const Problem& b) { return a.line < b.line; });
  out.document = std::move(completed.document);
  return out;
}

}  // namespace rimeglow
