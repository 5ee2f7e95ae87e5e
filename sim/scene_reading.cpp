#include "scene_reading.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "roughness.h"
#include "schema.h"

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

std::vector<std::string_view> split(std::string_view words) {
  std::vector<std::string_view> parts;
  while (!words.empty()) {
    const std::size_t bar = words.find('|');
    parts.push_back(words.substr(0, bar));
    words = bar == std::string_view::npos ? std::string_view{} : words.substr(bar + 1);
  }
  return parts;
}

std::string listed(const std::vector<std::string_view>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
    text += "\"" + std::string(words[i]) + "\"";
  }
  return text;
}

std::string number_text(double value) {
  std::string text = std::to_string(value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string kind_of(const Node& node) {
  if (node.table()) return "a table";
  if (node.list()) return "a list";
  if (node.text()) return "text";
  return std::holds_alternative<bool>(node.value) ? "true or false" : "a number";
}

// Reads a document key by key; what does not fit is noted and the rest read on.
class Reader {
 public:
  explicit Reader(ReadScene& out) : out_(out), target_{out.scene} {}

  void read(const Node& document) {
    read_table(document, {});
    require_panel();
    if (out_.scene.lamps.empty()) {
      complain("lamp", 0, "no light: the scene has no [lamp]",
               "add [lamp] with count and flux_each, as in count = 6, flux_each = \"9 lm\"");
    }
  }

 private:
  void complain(const std::string& key, int line, std::string what, std::string mend) {
    out_.problems.push_back({key, line, std::move(what), std::move(mend)});
  }

  void read_table(const Node& node, const Place& place) {
    for (const auto& [name, child] : *node.table()) read_child(name, child, place);
  }

  void read_child(const std::string& name, const Node& node, const Place& place) {
    const Place named = place.child(name, name);
    const Place starred = place.child(name, "*");
    const Place listed = place.child(name, name + "[]");
    if (is_section(listed.pattern)) return read_rows(node, listed);
    if (is_section(starred.pattern) && node.table()) return read_named(name, node, starred);
    const Key* key = find_key(named.pattern);
    Place at = named;
    if (!key) {
      key = find_key(starred.pattern);
      at = starred;
    }
    if (key) return read_key(name, node, *key, at);
    if (!is_section(named.pattern)) return unknown(name, node, place);
    if (!node.table()) {
      return complain(named.path, node.line, "is " + kind_of(node) + " where a table belongs",
                      "write [" + named.path + "] on a line of its own and its keys below");
    }
    begin_section(name);
    read_table(node, named);
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

  bool is_edge_name(const std::string& name, int line, const std::string& path) {
    static constexpr std::array<std::string_view, 4> kNames = {"top", "right", "bottom", "left"};
    if (std::find(kNames.begin(), kNames.end(), name) != kNames.end()) return true;
    complain(path, line, "the panel has no edge \"" + name + "\"",
             "its edges are top, right, bottom and left");
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
      if (!lamp) target_.region = &out_.scene.art->regions.emplace_back();
      read_table(rows[i], row);
      require(row, rows[i]);
      if (lamp) complete_lamp(*target_.lamp, row, rows[i]);
    }
  }

  void complete_lamp(LampSpec& lamp, const Place& row, const Node& node) {
    if (!seen_.count(row.path + ".flux_each") && !lamp.current_each_ma) {
      complain(row.path + ".flux_each", node.line, "is missing: lumens of one LED",
               "add it, as in \"9 lm\", or current_each, as in \"20 mA\"");
    }
    const PanelSpec& panel = out_.scene.panel;
    const bool across = lamp.edge == "bottom" || lamp.edge == "top";
    if (lamp.pitch_mm == 0.0 && lamp.count > 0) {
      lamp.pitch_mm = (across ? panel.width_mm : panel.height_mm) / lamp.count;
    }
  }

  // What a section must hold and does not.
  void require(const Place& section, const Node& node) {
    for (const Key& key : schema()) {
      const std::string prefix = section.pattern + ".";
      if (key.need != KeyNeed::required || key.path.substr(0, prefix.size()) != prefix) continue;
      const std::string path = section.path + std::string(key.path.substr(section.pattern.size()));
      if (seen_.count(path)) continue;
      const std::string example =
          key.dimension ? std::string(example_of(*key.dimension)) : "a value";
      complain(path, node.line, "is missing: " + std::string(key.help), "add it, as in " + example);
    }
  }

  void require_panel() {
    const Node nothing;
    require({"panel", "panel"}, nothing);
  }

  void unknown(const std::string& name, const Node& node, const Place& place) {
    std::vector<std::string_view> names;
    const std::string prefix = place.pattern.empty() ? "" : place.pattern + ".";
    for (const Key& key : schema()) {
      if (key.path.substr(0, prefix.size()) != prefix) continue;
      const std::string_view rest = key.path.substr(prefix.size());
      const std::string_view first = rest.substr(0, rest.find_first_of(".["));
      if (first != "*" && std::find(names.begin(), names.end(), first) == names.end())
        names.push_back(first);
    }
    const auto near = nearest(name, names);
    complain(
        place.child(name, name).path, node.line, "is no key of a scene",
        near ? "do you mean \"" + std::string(*near) + "\"?" : "possible here: " + listed(names));
  }

  void read_key(const std::string& name, const Node& node, const Key& key, const Place& place) {
    seen_.insert(place.path);
    out_.lines[place.path] = node.line;
    if (!key.store) {
      return complain(place.path, node.line,
                      "is understood but not simulated yet (" + std::string(key.help) + ")",
                      "remove the line; nothing else would be true to it");
    }
    if (place.pattern == "edges.*") {
      if (!is_edge_name(name, node.line, place.path)) return;
      target_.edge = &out_.scene.edges[name];
    }
    if (const auto value = value_of(node, key, place)) key.store(target_, *value);
  }

  std::optional<KeyValue> value_of(const Node& node, const Key& key, const Place& place) {
    KeyValue value;
    switch (key.type) {
      case KeyType::text:
        if (!node.text()) return wrong_kind(node, place, "text in quotes");
        value.text = *node.text();
        return value;
      case KeyType::choice:
        return choice_of(node, key, place);
      case KeyType::edge_finish:
        return edge_finish_of(node, key, place);
      case KeyType::yes_no:
        if (!std::holds_alternative<bool>(node.value))
          return wrong_kind(node, place, "true or false");
        value.yes = std::get<bool>(node.value);
        return value;
      case KeyType::number:
      case KeyType::count:
      case KeyType::quantity: {
        const auto number = number_of(node, key, place);
        if (!number) return std::nullopt;
        value.number = *number;
        return value;
      }
      case KeyType::number_or_two:
      case KeyType::two_quantities:
        return two_of(node, key, place);
    }
    return std::nullopt;
  }

  std::optional<KeyValue> wrong_kind(const Node& node, const Place& place,
                                     const std::string& wanted) {
    complain(place.path, node.line, "is " + kind_of(node) + " where " + wanted + " belongs",
             "write " + wanted);
    return std::nullopt;
  }

  std::optional<KeyValue> choice_of(const Node& node, const Key& key, const Place& place) {
    const std::vector<std::string_view> choices = split(key.choices);
    if (!node.text()) return wrong_kind(node, place, listed(choices));
    if (std::find(choices.begin(), choices.end(), *node.text()) != choices.end()) {
      KeyValue value;
      value.text = *node.text();
      return value;
    }
    const auto near = nearest(*node.text(), choices);
    complain(place.path, node.line, "\"" + *node.text() + "\" is none of " + listed(choices),
             near ? "do you mean \"" + std::string(*near) + "\"?" : "use one of these");
    return std::nullopt;
  }

  std::optional<KeyValue> edge_finish_of(const Node& node, const Key& key, const Place& place) {
    const auto grit = node.text() ? grit_in(*node.text()) : std::nullopt;
    if (!grit) return choice_of(node, key, place);
    if (grain_um(*grit)) {
      KeyValue value;
      value.text = *node.text();
      return value;
    }
    const bool bare = !grit->empty() && grit->find_first_not_of("0123456789") == std::string::npos;
    if (bare && (grain_um("P" + *grit) || grain_um(*grit + " US"))) {
      complain(place.path, node.line,
               "grit " + *grit + " is two things: the P grades and the US grades part above 220",
               "write \"sanded P" + *grit + "\" or \"sanded " + *grit + " US\"");
      return std::nullopt;
    }
    const std::vector<std::string> known = grits();
    const std::vector<std::string_view> names(known.begin(), known.end());
    const auto near = nearest(*grit, names);
    complain(place.path, node.line,
             grit->empty() ? "does not say with which grit it is sanded"
                           : "\"" + *grit + "\" is no grade of abrasive",
             near ? "do you mean \"sanded " + std::string(*near) + "\"?"
                  : "write \"sanded P320\" or \"sanded 320 US\"");
    return std::nullopt;
  }

  std::optional<double> number_of(const Node& node, const Key& key, const Place& place) {
    double number = 0.0;
    if (const auto* plain = std::get_if<double>(&node.value)) {
      number = *plain;
      if (key.dimension) {
        complain(place.path, node.line, number_text(number) + " needs a unit",
                 "write " + std::string(example_of(*key.dimension)));
        return std::nullopt;
      }
    } else if (node.text() && key.dimension) {
      const auto parsed = parse_quantity(*node.text(), *key.dimension);
      if (const auto* why = std::get_if<std::string>(&parsed)) {
        complain(place.path, node.line, *why, "write " + std::string(example_of(*key.dimension)));
        return std::nullopt;
      }
      number = std::get<double>(parsed);
    } else {
      const std::string wanted =
          key.dimension ? std::string(example_of(*key.dimension)) : "a number without quotes";
      wrong_kind(node, place, wanted);
      return std::nullopt;
    }
    // Ends of a range in degrees and the like are rounded; a hair beyond them is still meant.
    const double slack = 1e-9 * std::max(1.0, std::abs(number));
    if (!std::isfinite(number) || number < key.low - slack || number > key.high + slack) {
      const std::string said =
          key.dimension ? quantity_text(number, *key.dimension) : number_text(number);
      complain(place.path, node.line, said + " is out of range", "it must be " + range_text(key));
      return std::nullopt;
    }
    if (key.type == KeyType::count && number != std::floor(number)) {
      complain(place.path, node.line, number_text(number) + " is not whole",
               "write a whole number");
      return std::nullopt;
    }
    return number;
  }

  std::optional<KeyValue> two_of(const Node& node, const Key& key, const Place& place) {
    KeyValue value;
    if (key.type == KeyType::number_or_two && !node.list()) {
      const auto both = number_of(node, key, place);
      if (!both) return std::nullopt;
      value.two = {*both, *both};
      return value;
    }
    if (!node.list() || node.list()->size() != 2) {
      return wrong_kind(
          node, place,
          key.dimension ? "a list of two, as in [\"70 mm\", \"66 mm\"]," : "a list of two numbers");
    }
    const auto first = number_of((*node.list())[0], key, place);
    const auto second = number_of((*node.list())[1], key, place);
    if (!first || !second) return std::nullopt;
    value.two = {*first, *second};
    return value;
  }

  ReadScene& out_;
  SceneTarget target_;
  std::set<std::string> seen_;
};

}  // namespace

ReadScene read_scene(const Node& document, const std::string& title) {
  ReadScene out;
  out.scene.title = title;
  Reader(out).read(document);
  std::stable_sort(out.problems.begin(), out.problems.end(),
                   [](const Problem& a, const Problem& b) { return a.line < b.line; });
  return out;
}

}  // namespace rimeglow
