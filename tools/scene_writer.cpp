#include "scene_writer.h"

#include <algorithm>
#include <charconv>

namespace rimeglow {
namespace {

bool is_bare(std::string_view key) {
  return !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-';
  });
}

bool is_list_of_tables(const Node& node) {
  const Node::List* list = node.list();
  return list && !list->empty() &&
         std::all_of(list->begin(), list->end(), [](const Node& one) { return one.table(); });
}

void write_table(const Node::Table& table, const std::string& path, std::string& out) {
  for (const auto& [key, value] : table)
    if (!value.table() && !is_list_of_tables(value))
      out += toml_key(key) + " = " + toml_value(value) + "\n";
  for (const auto& [key, value] : table) {
    const std::string name = path.empty() ? toml_key(key) : path + "." + toml_key(key);
    if (value.table()) {
      out += "\n[" + name + "]\n";
      write_table(*value.table(), name, out);
    } else if (is_list_of_tables(value)) {
      for (const Node& one : *value.list()) {
        out += "\n[[" + name + "]]\n";
        write_table(*one.table(), name, out);
      }
    }
  }
}

}  // namespace

std::string toml_text(std::string_view plain) {
  constexpr std::string_view kHexDigits = "0123456789ABCDEF";
  std::string out = "\"";
  for (const char c : plain) {
    const auto code = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') out += '\\';
    if (code >= 0x20 && code != 0x7F) {
      out += c;
    } else {
      out += std::string("\\u00") + kHexDigits[code >> 4] + kHexDigits[code & 15];
    }
  }
  return out + "\"";
}

std::string toml_key(std::string_view name) {
  return is_bare(name) ? std::string(name) : toml_text(name);
}

std::string toml_number(double value) {
  char digits[32];
  return {digits, std::to_chars(digits, digits + sizeof digits, value).ptr};
}

std::string toml_value(const Node& node) {
  if (node.text()) return toml_text(*node.text());
  if (const auto* yes = std::get_if<bool>(&node.value)) return *yes ? "true" : "false";
  if (const auto* number = std::get_if<double>(&node.value)) return toml_number(*number);
  std::string text;
  if (const Node::Table* table = node.table()) {
    for (const auto& [key, value] : *table)
      text += (text.empty() ? "" : ", ") + toml_key(key) + " = " + toml_value(value);
    return "{ " + text + " }";
  }
  for (const Node& one : *node.list()) text += (text.empty() ? "" : ", ") + toml_value(one);
  return "[" + text + "]";
}

std::string toml_of(const Node& document) {
  std::string text;
  write_table(*document.table(), "", text);
  return text;
}

void set_value(Node& document, const std::string& table, const std::string& key,
               const std::string& value) {
  Node* inner = document.child(table);
  if (!inner) inner = &std::get<Node::Table>(document.value).emplace_back(table, Node{}).second;
  inner->take(key);
  Node node;
  node.value = value;
  std::get<Node::Table>(inner->value).emplace_back(key, std::move(node));
}

}  // namespace rimeglow
