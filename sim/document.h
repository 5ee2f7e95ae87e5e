// The tree that a scene file is, whatever its syntax: tables, lists and plain values, each with the
// line it came from. Knows no keys.
#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace rimeglow {

struct Node {
  using List = std::vector<Node>;
  using Table = std::vector<std::pair<std::string, Node>>;  // in the order written

  std::variant<bool, double, std::string, List, Table> value = Table{};
  int line = 0;  // 0: not from a file

  const Table* table() const { return std::get_if<Table>(&value); }
  const List* list() const { return std::get_if<List>(&value); }
  const std::string* text() const { return std::get_if<std::string>(&value); }
};

// Something wrong with what the user said: at which key, what, and how to mend it.
struct Problem {
  std::string key;
  int line = 0;  // 0: not known, or not from a file
  std::string what;
  std::string mend;
};

}  // namespace rimeglow
