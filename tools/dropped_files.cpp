#include "dropped_files.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>

#include <nlohmann/json.hpp>

#include "scene_reader.h"
#include "shop.h"

namespace rimeglow {
namespace {

using nlohmann::json;

std::string without_folders(const std::string& name) {
  return std::filesystem::path(name).filename().string();
}

bool ends_as_toml(const std::string& name) {
  std::string ending = std::filesystem::path(name).extension().string();
  for (char& letter : ending) letter = static_cast<char>(letter | 0x20);
  return ending == ".toml";
}

// A panel's outline may be a word as well.
bool names_a_file(const std::string& key, const std::string& value) {
  const std::string last = key.substr(key.rfind('.') + 1);
  if (last == "outline") return value.find_first_of("./") != value.npos;
  return key == "use" || last == "file" || last == "density" || last == "distribution";
}

void add_files(const Node& node, const std::string& key, std::vector<FileAsked>& found) {
  if (const std::string* text = node.text()) {
    if (names_a_file(key, *text)) found.push_back({key, node.line, *text});
  } else if (const Node::Table* table = node.table()) {
    for (const auto& [name, child] : *table)
      add_files(child, key.empty() ? name : key + "." + name, found);
  } else if (const Node::List* list = node.list()) {
    for (std::size_t i = 0; i < list->size(); ++i)
      add_files((*list)[i], key + "[" + std::to_string(i) + "]", found);
  }
}

std::optional<FileAsked> shop_of(const Node& scene) {
  const Node* use = scene.child("use");
  if (!use || !use->text()) return std::nullopt;
  return FileAsked{"use", use->line, *use->text()};
}

// What a scene has and a shop file has not: a shop, art, or a panel of its own.
bool is_scene(const Node& document) {
  if (document.child("use") || document.child("art")) return true;
  const Node* panel = document.child("panel");
  const Node::Table* said = panel ? panel->table() : nullptr;
  return said && !said->empty() && std::none_of(said->begin(), said->end(), [](const auto& entry) {
           return entry.second.table() != nullptr;
         });
}

}  // namespace

std::optional<std::vector<NamedFile>> files_in(std::string_view body) {
  constexpr std::size_t kLongestList = 16 * 1024;
  const std::size_t end = body.substr(0, kLongestList).find('\n');
  if (end == body.npos) return std::nullopt;
  const auto flat = [](int depth, json::parse_event_t, const json&) { return depth <= 2; };
  const json list = json::parse(body.substr(0, end), flat, false);
  if (!list.is_array() || list.empty()) return std::nullopt;
  body.remove_prefix(end + 1);
  std::vector<NamedFile> files;
  for (const json& entry : list) {
    const bool is_file = entry.is_array() && entry.size() == 2 && entry[0].is_string() &&
                         entry[1].is_number_unsigned() &&
                         entry[1].get<std::uint64_t>() <= body.size();
    if (!is_file) return std::nullopt;
    const auto bytes = entry[1].get<std::size_t>();
    files.push_back({entry[0].get<std::string>(), std::string(body.substr(0, bytes))});
    body.remove_prefix(bytes);
  }
  return body.empty() ? std::optional(std::move(files)) : std::nullopt;
}

std::string FileAsked::plain_name() const { return without_folders(name); }

std::vector<FileAsked> files_asked_by(const Node& scene, const TextBeside& text_beside) {
  std::optional<Node> shop;
  if (const auto asked = shop_of(scene)) {
    if (const auto text = text_beside(*asked)) {
      auto parsed = parse_scene(*text);
      if (Node* document = std::get_if<Node>(&parsed)) shop = std::move(*document);
    }
  }
  std::vector<FileAsked> own, all;
  add_files(scene, {}, own);
  add_files(with_shop(scene, shop ? &*shop : nullptr).document, {}, all);
  std::set<std::string> own_keys;
  for (const FileAsked& asked : own) own_keys.insert(asked.key);
  for (FileAsked& asked : all) {
    if (own_keys.count(asked.key) == 0) asked.line = Line();
  }
  return all;
}

std::variant<Dropped, Problem> sorted_out(std::vector<NamedFile> files, const Node* on_bench) {
  std::set<std::string> names, shops;
  std::map<std::string, Node> documents;
  const auto add_shop_of = [&](const Node& scene) {
    if (const auto shop = shop_of(scene)) shops.insert(shop->plain_name());
  };
  if (on_bench) add_shop_of(*on_bench);
  for (const NamedFile& file : files) {
    if (!names.insert(file.name).second)
      return Problem{"", 0, "two files are called " + file.name, "drop one of them"};
    if (!ends_as_toml(file.name)) continue;
    auto parsed = parse_scene(file.bytes);
    if (auto* problem = std::get_if<Problem>(&parsed)) {
      problem->what = "in " + file.name + ": " + problem->what;
      return *problem;
    }
    add_shop_of(std::get<Node>(parsed));
    documents.emplace(file.name, std::move(std::get<Node>(parsed)));
  }
  Dropped dropped;
  for (NamedFile& file : files) {
    const auto document = documents.find(file.name);
    const bool is_toml = document != documents.end();
    const bool is_shop = is_toml && shops.count(file.name) > 0 && !shop_of(document->second);
    if (!is_toml || is_shop) {
      dropped.others.push_back(std::move(file));
    } else if (!is_scene(document->second)) {
      return Problem{"", 0, "the file " + file.name + " is no scene, and no scene here uses it",
                     "a shop file goes with a scene that says use = \"" + file.name + "\""};
    } else if (dropped.scene) {
      return Problem{"", 0, "both " + dropped.scene->name + " and " + file.name + " are scenes",
                     "drop one after the other, each with the files it asks for"};
    } else {
      dropped.scene = std::move(file);
    }
  }
  return dropped;
}

}  // namespace rimeglow
