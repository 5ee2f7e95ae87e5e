// The tree that a scene file is, whatever its syntax: tables, lists and plain values, each with the
// line it came from. Knows no keys.
#pragma once

#include <algorithm>
#include <compare>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace rimeglow {

// A place in the files that say a scene, in the order they are told in.
struct Line {
  enum File { scene, shop };

  File file = scene;
  int number = 0;  // 0: not known, or not from a file

  constexpr Line(int in_scene = 0) : number(in_scene) {}
  constexpr Line(File of, int line) : file(of), number(line) {}
  friend auto operator<=>(const Line&, const Line&) = default;
};

struct Node {
  using List = std::vector<Node>;
  using Table = std::vector<std::pair<std::string, Node>>;  // in the order written

  std::variant<bool, double, std::string, List, Table> value = Table{};
  Line line;

  const Table* table() const { return std::get_if<Table>(&value); }
  const List* list() const { return std::get_if<List>(&value); }
  const std::string* text() const { return std::get_if<std::string>(&value); }

  // A table's child of this name; none in anything else.
  const Node* child(std::string_view name) const {
    if (const Table* all = table()) {
      for (const auto& [own, node] : *all) {
        if (own == name) return &node;
      }
    }
    return nullptr;
  }
  Node* child(std::string_view name) { return const_cast<Node*>(std::as_const(*this).child(name)); }
  // The same, taken out of the table.
  std::optional<Node> take(std::string_view name) {
    auto* const all = std::get_if<Table>(&value);
    if (!all) return std::nullopt;
    const auto found = std::find_if(all->begin(), all->end(),
                                    [&](const auto& entry) { return entry.first == name; });
    if (found == all->end()) return std::nullopt;
    Node taken = std::move(found->second);
    all->erase(found);
    return taken;
  }
};

// Something wrong with what the user said: at which key, what, and how to mend it.
struct Problem {
  std::string key;
  Line line;
  std::string what;
  std::string mend;
};

}  // namespace rimeglow
