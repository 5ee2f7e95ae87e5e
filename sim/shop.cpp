#include "shop.h"

#include <algorithm>
#include <map>
#include <optional>
#include <string>

#include "schema.h"

namespace rimeglow {
namespace {

using Table = Node::Table;

// Adds what is not said yet.
void fill(Node& to, const Node& from) {
  auto& children = std::get<Table>(to.value);
  std::map<std::string, std::size_t> said;
  for (std::size_t i = 0; i < children.size(); ++i) said.emplace(children[i].first, i);
  for (const auto& [name, value] : *from.table()) {
    const auto found = said.find(name);
    if (found == said.end()) {
      children.emplace_back(name, value);
    } else if (children[found->second].second.table() && value.table()) {
      fill(children[found->second].second, value);
    }
  }
}

std::string header(std::string_view section, std::string_view name) {
  return "[" + std::string(section) + ".\"" + std::string(name) + "\"]";
}

// So many are listed in one message, and so many unknown names get a suggestion: ten thousand of
// them in ten thousand messages would fill a gigabyte.
constexpr std::size_t kMostListed = 12;
constexpr std::size_t kMostSuggestions = 100;

std::string some_of(const std::string& section, const std::vector<std::string_view>& names) {
  std::string text;
  for (std::size_t i = 0; i < std::min(kMostListed, names.size()); ++i) {
    text += " " + header(section, names[i]);
  }
  if (names.size() > kMostListed) {
    text += " and " + std::to_string(names.size() - kMostListed) + " more";
  }
  return text;
}

// What [panel] of a shop file says for every panel: all but the named ones beside it.
Node common_part(const Node& shelf) {
  Node common;
  common.line = shelf.line;
  for (const auto& [name, value] : *shelf.table()) {
    if (!value.table()) std::get<Table>(common.value).emplace_back(name, value);
  }
  return common;
}

class Completer {
 public:
  Completer(const Node& scene, const Node* shop) : shop_(shop) { out_.document = scene; }

  Completed complete() {
    for (auto& [name, node] : std::get<Table>(out_.document.value)) complete_section(name, node);
    if (shop_) add_sections();
    return std::move(out_);
  }

 private:
  const Node* on_shelf(std::string_view section) const {
    return shop_ ? shop_->child(section) : nullptr;
  }

  void complete_section(const std::string& name, Node& node) {
    if (auto* rows = std::get_if<Node::List>(&node.value)) {
      for (std::size_t i = 0; i < rows->size(); ++i) {
        const std::string path = name + "[" + std::to_string(i) + "]";
        if ((*rows)[i].table()) complete_table(name, name + "[]", path, (*rows)[i]);
      }
      return;
    }
    if (!node.table()) return;
    const bool row = is_shop_shelf(name + "[]");
    if (row || is_shop_shelf(name))
      return complete_table(name, row ? name + "[]" : name, name, node);
    if (find_key(name + ".*.use")) {
      for (auto& [own, child] : std::get<Table>(node.value)) {
        if (child.table()) use(name, name + "." + own, child);
      }
    }
    if (const Node* shelf = on_shelf(name); shelf && shelf->table()) fill(node, *shelf);
  }

  void complete_table(const std::string& section, const std::string& pattern,
                      const std::string& path, Node& table) {
    if (!is_shop_shelf(pattern)) return;
    use(section, path, table);
    if (const Node* shelf = on_shelf(section); shelf && shelf->table()) {
      fill(table, common_part(*shelf));
    }
  }

  // Takes `use` out of a table and fills in what it names.
  void use(const std::string& section, const std::string& path, Node& table) {
    const std::optional<Node> named = table.take("use");
    if (!named) return;
    const std::string key = path + ".use";
    if (!named->text()) {
      return complain(key, *named, "is no name of the shop file's",
                      "write the name in quotes, as in use = \"A6 plaque\"");
    }
    if (!shop_) {
      return complain(
          key, *named,
          "asks for \"" + *named->text() + "\" of a shop file, and the scene names none",
          "add use = \"shop.toml\" at the top of the scene, before any table");
    }
    const Node* shelf = on_shelf(section);
    const Node* found = shelf ? shelf->child(*named->text()) : nullptr;
    if (found && found->table()) return fill(table, *found);
    complain_about_name(section, key, *named, shelf);
  }

  void complain_about_name(const std::string& section, const std::string& key, const Node& named,
                           const Node* shelf) {
    std::vector<std::string_view> names;
    if (shelf && shelf->table()) {
      for (const auto& [name, child] : *shelf->table()) {
        if (child.table()) names.push_back(name);
      }
    }
    std::string mend = "the shop file has no [" + section + ".NAME] at all; add one there";
    if (!names.empty()) mend = "it has" + some_of(section, names);
    if (out_.problems.size() < kMostSuggestions) {
      const auto near = nearest(*named.text(), names);
      if (near) mend = "do you mean \"" + std::string(*near) + "\"?";
    }
    complain(key, named, "the shop file has no " + header(section, *named.text()), mend);
  }

  // What holds for every scene and the scene does not speak of. A shop file adds no lamp and no
  // art of its own.
  void add_sections() {
    for (const auto& [name, node] : *shop_->table()) {
      const bool of_the_file = name == "format" || name == "title" || name == "use";
      if (of_the_file || !node.table() || out_.document.child(name)) continue;
      if (name == "art" || is_shop_shelf(name + "[]")) continue;
      Node section = is_shop_shelf(name) ? common_part(node) : node;
      if (section.table()->empty()) continue;
      std::get<Table>(out_.document.value).emplace_back(name, std::move(section));
    }
  }

  void complain(const std::string& key, const Node& at, std::string what, std::string mend) {
    out_.problems.push_back({key, at.line, std::move(what), std::move(mend)});
  }

  const Node* shop_;
  Completed out_;
};

}  // namespace

bool is_shop_shelf(std::string_view pattern) {
  return !pattern.empty() && pattern.back() != '*' && find_key(std::string(pattern) + ".use");
}

std::optional<Problem> not_a_scene(const Node& document) {
  const Node* const panel = document.child("panel");
  if (panel && (panel->child("thickness") || panel->child("use"))) return std::nullopt;
  for (const auto& [name, shelf] : *document.table()) {
    if (!shelf.table() || !(is_shop_shelf(name) || is_shop_shelf(name + "[]"))) continue;
    for (const auto& [own, child] : *shelf.table()) {
      if (!child.table()) continue;
      return Problem{name + "." + own, child.line, "is a table of a shop file, which is no scene",
                     "name a scene that takes this file in by use = \"...\""};
    }
  }
  return std::nullopt;
}

Completed with_shop(const Node& scene, const Node* shop) {
  return Completer(scene, shop).complete();
}

}  // namespace rimeglow
