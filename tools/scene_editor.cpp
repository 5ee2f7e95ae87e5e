#include "scene_editor.h"

#include <algorithm>
#include <vector>

#define TOML_EXCEPTIONS 1
#include <toml++/toml.h>

#include "scene_reader.h"
#include "scene_writer.h"

namespace rimeglow {
namespace {

// Where a position of the parser, which counts letters, is in bytes.
std::size_t offset_of(std::string_view text, const toml::source_position& position) {
  std::size_t at = 0;
  for (toml::source_index line = 1; line < position.line; ++line) {
    const std::size_t end = text.find('\n', at);
    if (end == std::string_view::npos) return text.size();
    at = end + 1;
  }
  for (toml::source_index column = 1; column < position.column && at < text.size(); ++column) {
    do ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U);
  }
  return at;
}

// Parts of "lamp[0].count" in order: "lamp", "[0]", "count".
std::vector<std::string> parts_of(std::string_view path) {
  std::vector<std::string> parts;
  std::string part;
  const auto end_part = [&] {
    if (!part.empty()) parts.push_back(std::move(part));
    part.clear();
  };
  for (const char letter : path) {
    if (letter == '.' || letter == '[') end_part();
    if (letter != '.') part += letter;
    if (letter == ']') end_part();
  }
  end_part();
  return parts;
}

const toml::node* child_of(const toml::node& node, const std::string& part) {
  if (part.front() == '[') {
    const auto* list = node.as_array();
    const auto index = static_cast<std::size_t>(std::stoul(part.substr(1)));
    return list && index < list->size() ? list->get(index) : nullptr;
  }
  const auto* table = node.as_table();
  return table ? table->get(part) : nullptr;
}

// Behind the last line that a table's own values take, its header when it has none.
std::size_t end_of_own_lines(std::string_view text, const toml::table& table) {
  toml::source_position last = table.source().begin;
  for (const auto& [key, child] : table) {
    const bool is_elsewhere =
        (child.is_table() && !child.as_table()->is_inline()) || child.is_array_of_tables();
    if (!is_elsewhere) last = std::max(last, child.source().end);
  }
  const std::size_t end = text.find('\n', offset_of(text, last));
  return end == std::string_view::npos ? text.size() : end + 1;
}

std::string inserted(std::string text, std::size_t at, const std::string& line) {
  const bool is_open = at > 0 && text[at - 1] != '\n';
  return text.insert(at, (is_open ? "\n" : "") + line + "\n");
}

std::string set_in(const std::string& text, const toml::table& root,
                   const std::vector<std::string>& parts, std::string_view value) {
  const toml::node* node = &root;
  std::size_t depth = 0;
  while (depth < parts.size()) {
    const toml::node* child = child_of(*node, parts[depth]);
    if (!child) break;
    node = child;
    ++depth;
  }
  if (depth == parts.size()) {
    const std::size_t begin = offset_of(text, node->source().begin);
    const std::size_t end = offset_of(text, node->source().end);
    return text.substr(0, begin) + std::string(value) + text.substr(end);
  }
  const std::string line = toml_key(parts.back()) + " = " + std::string(value);
  if (depth + 1 == parts.size() && node->is_table())
    return inserted(text, depth == 0 ? 0 : end_of_own_lines(text, *node->as_table()), line);
  std::string header;
  for (std::size_t i = 0; i + 1 < parts.size(); ++i)
    header += (i > 0 ? "." : "") + toml_key(parts[i]);
  return inserted(text, text.size(), "\n[" + header + "]\n" + line);
}

bool same(const Node& a, const Node& b) {
  if (a.value.index() != b.value.index()) return false;
  if (const auto* list = a.list()) {
    return std::equal(list->begin(), list->end(), b.list()->begin(), b.list()->end(), same);
  }
  if (!a.table()) {
    if (const auto* number = std::get_if<double>(&a.value))
      return *number == std::get<double>(b.value);
    if (const auto* truth = std::get_if<bool>(&a.value)) return *truth == std::get<bool>(b.value);
    return *a.text() == *b.text();
  }
  const auto& mine = *a.table();
  const auto& other = *b.table();
  return mine.size() == other.size() &&
         std::all_of(mine.begin(), mine.end(), [&](const auto& child) {
           return std::any_of(other.begin(), other.end(), [&](const auto& twin) {
             return child.first == twin.first && same(child.second, twin.second);
           });
         });
}

// A scene written in an unusual way is left alone rather than damaged.
Problem unusual(std::string_view path) {
  return {std::string(path), 0, "cannot be set in the way this scene is written",
          "change it in the scene file"};
}

std::variant<std::string, Problem> unless_damaged(std::string text, const Node& wanted,
                                                  std::string_view path) {
  const auto after = parse_scene(text);
  if (const Node* node = std::get_if<Node>(&after); node && same(*node, wanted)) return text;
  return unusual(path);
}

std::size_t begin_of_line(std::string_view text, std::size_t at) {
  const std::size_t end = at == 0 ? std::string_view::npos : text.rfind('\n', at - 1);
  return end == std::string_view::npos ? 0 : end + 1;
}

// [lamp] becomes [[lamp]].
void make_header_of_row(std::string& text, const toml::table& table) {
  const std::size_t begin = offset_of(text, table.source().begin);
  const std::size_t end = text.find(']', begin);
  if (begin >= text.size() || text[begin] != '[' || end == std::string::npos) return;
  text.insert(end, "]");
  text.insert(begin, "[");
}

// Takes a step of "lamp[1]" out of a document.
bool take_out(Node& parent, const std::string& step) {
  if (step.front() == '[') {
    auto* list = std::get_if<Node::List>(&parent.value);
    const auto index = static_cast<std::size_t>(std::stoul(step.substr(1)));
    if (!list || index >= list->size()) return false;
    list->erase(list->begin() + static_cast<std::ptrdiff_t>(index));
    return true;
  }
  return parent.take(step).has_value();
}

}  // namespace

std::variant<std::string, Problem> with_value(const std::string& scene, std::string_view path,
                                              std::string_view toml_value) {
  auto before = parse_scene(scene);
  if (auto* problem = std::get_if<Problem>(&before)) return *problem;
  Node wanted = std::get<Node>(before);
  if (auto problem = set_key(wanted, path, toml_value)) return *problem;
  return unless_damaged(set_in(scene, toml::parse(scene), parts_of(path), toml_value), wanted,
                        path);
}

std::variant<std::string, Problem> with_row(const std::string& scene, const std::string& list,
                                            const Node::Table& row) {
  auto before = parse_scene(scene);
  if (auto* problem = std::get_if<Problem>(&before)) return *problem;
  Node wanted = std::get<Node>(before);
  const toml::table root = toml::parse(scene);
  const toml::node* here = root.get(list);
  Node* const rows = wanted.child(list);
  if (!here || !rows) return Problem{list, 0, "is not in this scene", "write one there first"};
  std::string text = scene;
  const toml::table* last = here->as_table();
  if (last) {
    make_header_of_row(text, *last);
    rows->value = Node::List{*rows};
  } else if (here->is_array_of_tables()) {
    last = here->as_array()->back().as_table();
  }
  if (!last || !rows->list()) return unusual(list);
  std::string block = "\n[[" + toml_key(list) + "]]";
  for (const auto& [key, value] : row) block += "\n" + toml_key(key) + " = " + toml_value(value);
  text = inserted(text, end_of_own_lines(text, *last), block);
  std::get<Node::List>(rows->value).push_back(Node{row, {}});
  return unless_damaged(std::move(text), wanted, list);
}

std::variant<std::string, Problem> without_table(const std::string& scene, std::string_view path) {
  auto before = parse_scene(scene);
  if (auto* problem = std::get_if<Problem>(&before)) return *problem;
  Node wanted = std::get<Node>(before);
  const toml::table root = toml::parse(scene);
  const toml::node* node = &root;
  Node* parent = &wanted;
  const std::vector<std::string> parts = parts_of(path);
  for (std::size_t i = 0; i < parts.size() && node && parent; ++i) {
    node = child_of(*node, parts[i]);
    if (i + 1 < parts.size()) parent = parts[i].front() == '[' ? nullptr : parent->child(parts[i]);
  }
  if (parts.empty() || !node || !node->is_table() || !parent || !take_out(*parent, parts.back()))
    return Problem{std::string(path), 0, "is not in this scene", "it may be struck out already"};
  std::size_t begin = begin_of_line(scene, offset_of(scene, node->source().begin));
  std::size_t end = end_of_own_lines(scene, *node->as_table());
  if (begin >= 2 && scene[begin - 1] == '\n' && scene[begin - 2] == '\n') {
    --begin;
  } else if (begin == 0 && end < scene.size() && scene[end] == '\n') {
    ++end;
  }
  // An empty table of viewers is none.
  if (Node* const outer = wanted.child(parts.front());
      outer && outer->table() && outer->table()->empty())
    wanted.take(parts.front());
  return unless_damaged(scene.substr(0, begin) + scene.substr(end), wanted, path);
}

}  // namespace rimeglow
