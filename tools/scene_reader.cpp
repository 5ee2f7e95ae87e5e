#include "scene_reader.h"

#include <algorithm>
#include <charconv>
#include <span>
#include <vector>

#define TOML_EXCEPTIONS 1
#include <toml++/toml.h>

namespace rimeglow {
namespace {

Node to_node(const toml::node& from) {
  Node node;
  node.line = static_cast<int>(from.source().begin.line);
  if (const auto* table = from.as_table()) {
    Node::Table children;
    for (const auto& [key, child] : *table)
      children.emplace_back(std::string(key.str()), to_node(child));
    // The parser sorts keys; people read mistakes from the top.
    std::stable_sort(children.begin(), children.end(),
                     [](const auto& a, const auto& b) { return a.second.line < b.second.line; });
    node.value = std::move(children);
  } else if (const auto* list = from.as_array()) {
    Node::List children;
    for (const toml::node& child : *list) children.push_back(to_node(child));
    node.value = std::move(children);
  } else if (const auto text = from.value<std::string>()) {
    node.value = *text;
  } else if (const auto truth = from.as_boolean()) {
    node.value = truth->get();
  } else if (const auto number = from.value<double>()) {
    node.value = *number;
  } else {
    node.value = std::string("a date or time");
  }
  return node;
}

int line_at(std::string_view text, std::size_t at) {
  return 1 + static_cast<int>(
                 std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

// Weighs the text before the parser, which calls itself for every bracket and every dot of a key.
// Skips what TOML skips: comments, and text in any of its four kinds of quotes.
class NestingScan {
 public:
  explicit NestingScan(std::string_view text) : text_(text) {}

  // Where the text is nested deeper than any scene, or nothing.
  std::optional<Problem> too_deep() {
    while (at_ < text_.size()) {
      step();
      if (brackets_ > kDeepestNesting || dots_ > kDeepestNesting) {
        return Problem{"", line_at(text_, at_), "is nested deeper than any scene",
                       "a scene needs three levels at most"};
      }
    }
    return std::nullopt;
  }

 private:
  void step() {
    const char letter = text_[at_];
    if (letter == '#') {
      at_ = std::min(text_.find('\n', at_), text_.size());
      return;
    }
    if (letter == '"' || letter == '\'') return skip_quoted(letter);
    if (letter == '[' || letter == '{') ++brackets_;
    if ((letter == ']' || letter == '}') && brackets_ > 0) --brackets_;
    // A key ends at any of these; numbers have dots as well, but one each.
    const bool ends_key = std::string_view("[]{}=,\n").find(letter) != std::string_view::npos;
    if (ends_key) dots_ = 0;
    if (letter == '.') ++dots_;
    ++at_;
  }

  void skip_quoted(char quote) {
    const std::string three(3, quote);
    const bool is_long = text_.substr(at_, 3) == three;
    at_ += is_long ? 3 : 1;
    while (at_ < text_.size()) {
      const char letter = text_[at_];
      if (letter == '\\' && quote == '"') {
        at_ = std::min(at_ + 2, text_.size());
      } else if (!is_long && (letter == quote || letter == '\n')) {
        at_ += letter == quote ? 1 : 0;
        return;
      } else if (is_long && text_.substr(at_, 3) == three) {
        // Up to two more may stand before the closing three.
        for (int i = 0; i < 5 && at_ < text_.size() && text_[at_] == quote; ++i) ++at_;
        return;
      } else {
        ++at_;
      }
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int brackets_ = 0;
  int dots_ = 0;
};

// How many bytes the letter of UTF-8 has that a text begins with; 0 where it begins with none.
std::size_t letter_length(std::string_view text) {
  const auto first = static_cast<unsigned char>(text.front());
  const bool leads = first != 0 && (first < 0x80 || (first >= 0xC2 && first <= 0xF4));
  const std::size_t length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  if (!leads || text.size() < length) return 0;
  const auto goes_on = [](char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; };
  const std::string_view more = text.substr(1, length - 1);
  return std::all_of(more.begin(), more.end(), goes_on) ? length : 0;
}

// What no editor of today saves as plain text: another encoding, a picture, lines that end in a
// carriage return alone.
std::optional<Problem> no_plain_text(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = letter_length(text.substr(at));
    if (length == 0)
      return Problem{"", line_at(text, at), "is no UTF-8 text",
                     "save the scene as UTF-8 text in the editor; a picture is named in it by "
                     "art.file"};
    if (text[at] == '\r' && text.substr(at + 1, 1) != "\n")
      return Problem{"", line_at(text, at),
                     "has a line that ends in a carriage return alone, as very old files do",
                     "save it in the editor as UTF-8 text with line ends LF or CRLF"};
    at += length;
  }
  return std::nullopt;
}

std::variant<Node, Problem> parse_weighed(std::string_view text) {
  try {
    return to_node(toml::parse(text));
  } catch (const toml::parse_error& error) {
    return Problem{"", static_cast<int>(error.source().begin.line),
                   "is not TOML: " + std::string(error.description()),
                   "text goes in quotes, as in width = \"140 mm\"; a table's name in brackets"};
  }
}

// The child of a table, made when it is not there.
Node& child_of(Node& node, const std::string& name) {
  if (const std::string* const word = node.text()) {
    node.value = Node::Table{{"kind", Node{*word, node.line}}};  // as of an edge
  }
  if (!node.table()) node.value = Node::Table{};
  auto& table = std::get<Node::Table>(node.value);
  for (auto& [key, child] : table) {
    if (key == name) return child;
  }
  return table.emplace_back(name, Node{}).second;
}

Node value_node(std::string_view text) {
  const auto parsed = parse_scene("value = " + std::string(text));
  if (const Node* node = std::get_if<Node>(&parsed); node && node->table()->size() == 1) {
    Node value = node->table()->front().second;
    value.line = 0;
    return value;
  }
  Node plain;
  plain.value = std::string(text);
  return plain;
}

// One step of a path: a name, and which of several when brackets say so.
struct Step {
  std::string name;
  std::optional<std::size_t> index;
};

std::optional<std::vector<Step>> steps_of(std::string_view path) {
  std::vector<Step> steps;
  while (!path.empty()) {
    std::string_view part = path.substr(0, path.find('.'));
    path = part.size() == path.size() ? std::string_view{} : path.substr(part.size() + 1);
    Step step{std::string(part.substr(0, part.find('['))), std::nullopt};
    if (step.name.empty()) return std::nullopt;
    if (step.name.size() < part.size()) {
      std::size_t index = 0;
      const char* first = part.data() + step.name.size() + 1;
      const auto [end, error] = std::from_chars(first, part.data() + part.size(), index);
      if (error != std::errc{} || end + 1 != part.data() + part.size() || *end != ']')
        return std::nullopt;
      step.index = index;
    }
    steps.push_back(std::move(step));
  }
  return steps.empty() ? std::nullopt : std::optional(steps);
}

// Which rows of a name there are to choose from by number.
std::string rows_in_words(const std::string& name, const Node::List* rows) {
  if (!rows || rows->empty()) return "the scene has no [[" + name + "]] to count";
  const std::string first = "the scene has " + name + "[0]";
  return rows->size() == 1 ? first + " only"
                           : first + " to " + name + "[" + std::to_string(rows->size() - 1) + "]";
}

std::optional<Problem> set_along(Node& node, std::span<const Step> steps, const Node& value,
                                 std::string_view path) {
  Node& child = child_of(node, steps.front().name);
  auto* rows = std::get_if<Node::List>(&child.value);
  if (steps.front().index && (!rows || *steps.front().index >= rows->size())) {
    return Problem{
        std::string(path), 0,
        "there is no such " + steps.front().name + ": " + rows_in_words(steps.front().name, rows),
        "counting starts at 0; without brackets all are set"};
  }
  if (steps.size() == 1) {
    (steps.front().index ? (*rows)[*steps.front().index] : child) = value;
    return std::nullopt;
  }
  const auto rest = steps.subspan(1);
  if (!rows) return set_along(child, rest, value, path);
  for (std::size_t i = 0; i < rows->size(); ++i) {
    if (steps.front().index && *steps.front().index != i) continue;
    if (const auto problem = set_along((*rows)[i], rest, value, path)) return problem;
  }
  return std::nullopt;
}

}  // namespace

std::variant<Node, Problem> parse_scene(std::string_view text) {
  if (text.size() > kMostSceneBytes) {
    return Problem{"", 0, "is larger than any scene (over 1 MB)",
                   "is this the art instead of the scene?"};
  }
  if (const auto problem = no_plain_text(text)) return *problem;
  if (const auto problem = NestingScan(text).too_deep()) return *problem;
  return parse_weighed(text);
}

std::optional<Problem> set_key(Node& document, std::string_view path, std::string_view value) {
  const auto steps = steps_of(path);
  if (!steps || steps->size() > static_cast<std::size_t>(kDeepestNesting)) {
    return Problem{std::string(path), 0, "is no path to a key",
                   "write it as in panel.thickness or lamp[0].gap"};
  }
  return set_along(document, *steps, value_node(value), path);
}

}  // namespace rimeglow
