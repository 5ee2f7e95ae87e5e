// Files that come to the workshop: scenes with what they ask for, and art, shop files and the like
// for the design on the bench.
#include <algorithm>
#include <set>

#include <nlohmann/json.hpp>

#include "dropped_files.h"
#include "page_words.h"
#include "scene_editor.h"
#include "scene_reader.h"
#include "scene_writer.h"
#include "ticket_fields.h"
#include "words.h"
#include "workshop.h"

namespace rimeglow {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostLacking = 12;
constexpr std::size_t kMostPlaces = 100;  // each is a change of the scene's text
constexpr const char* kArt = "art.file";

Problem lacks(const FileAsked& asked) {
  const std::string name = asked.plain_name();
  std::string mend = "drop " + name + (asked.key == kArt ? ", or other art," : "") + " on the page";
  if (!is_file_name(name)) mend = "ask for a file by its plain name, and drop it on the page";
  return {asked.key, asked.line, asked.name + " is not with this design", std::move(mend)};
}

const NamedFile* named(const std::vector<NamedFile>& files, const std::string& name) {
  const auto found = std::find_if(files.begin(), files.end(),
                                  [&](const NamedFile& file) { return file.name == name; });
  return found == files.end() ? nullptr : &*found;
}

// A file, and a key of the scene that is to name it.
struct Place {
  const NamedFile* file;  // null where it lies beside the scene already
  FileAsked asked;
  std::string name;  // under which it lies there
};

std::vector<Place> places_asked_for(const std::vector<NamedFile>& files,
                                    const std::vector<FileAsked>& asked) {
  std::vector<Place> places;
  for (const FileAsked& key : asked) {
    if (places.size() == kMostPlaces) break;
    if (const NamedFile* file = named(files, key.plain_name()))
      places.push_back({file, key, file->name});
  }
  return places;
}

std::vector<const NamedFile*> files_without(const std::vector<Place>& places,
                                            const std::vector<NamedFile>& files) {
  std::vector<const NamedFile*> without;
  for (const NamedFile& file : files) {
    if (std::none_of(places.begin(), places.end(),
                     [&](const Place& place) { return place.file == &file; }))
      without.push_back(&file);
  }
  return without;
}

Problem not_asked_for(const NamedFile& file, const std::string& mend) {
  return {"", 0, "the scene asks for no " + file.name + ", so nothing was taken", mend};
}

bool has_place(const std::vector<Place>& places, const std::string& key) {
  return std::any_of(places.begin(), places.end(),
                     [&](const Place& place) { return place.asked.key == key; });
}

bool is_of(const std::vector<Place>& places, const Problem& problem) {
  return has_place(places, problem.line.file == Line::shop ? "use" : problem.key);
}

std::optional<Problem> without_a_fit_name(const std::vector<Place>& places) {
  for (const auto& [file, key, name] : places) {
    if (!is_file_name(name))
      return Problem{key.key, key.line, "the file " + name + " cannot be kept under this name",
                     "give it a plain name, in the scene as well"};
  }
  return std::nullopt;
}

// The scene's text, which asks for each file under the name it lies under.
std::variant<std::string, Problem> naming(std::string text, const std::vector<Place>& places) {
  for (const auto& [file, key, name] : places) {
    if (name == key.name) continue;
    auto changed = with_value(text, key.key, toml_text(name));
    if (std::holds_alternative<Problem>(changed)) return changed;
    text = std::get<std::string>(std::move(changed));
  }
  return text;
}

// Puts files beside a design, and takes away again what was not there before unless it is kept.
class Laying {
 public:
  Laying(const DesignShelf& shelf, const std::string& design) : shelf_(shelf), design_(design) {}
  ~Laying() {
    for (const std::string& name : added_) shelf_.remove_file(design_, name);
  }
  Laying(const Laying&) = delete;
  Laying& operator=(const Laying&) = delete;

  void lay(std::vector<Place>& places) {
    for (Place& place : places) {
      if (!place.file) continue;
      const auto [name, is_new] = shelf_.save_file(design_, *place.file);
      if (is_new) added_.push_back(name);
      place.name = name;
    }
  }
  void keep() { added_.clear(); }

 private:
  const DesignShelf& shelf_;
  const std::string design_;
  std::vector<std::string> added_;
};

std::string taken_words(const std::vector<NamedFile>& files, const std::vector<Place>& places) {
  if (files.size() == 1 && has_place(places, kArt)) return files.front().name + " is on the panel.";
  std::vector<std::string> names;
  for (const NamedFile& file : files) names.push_back(file.name);
  return listed(names) + (names.size() == 1 ? " is" : " are") + " with this design.";
}

// A size and a place for art that does not fit as the one before did: `share` of the panel's width,
// in the middle of what stands above the base.
std::string fitted(const std::string& text, const Scene& scene, double share) {
  const PanelSpec& panel = scene.panel;
  const std::string x = short_number(0.5 * panel.width_mm) + " mm";
  const std::string y = short_number(0.5 * (panel.height_mm + scene.slot_depth_mm)) + " mm";
  const std::string width = short_number(share * panel.width_mm) + " mm";
  auto placed = with_value(text, "art.centre", "[" + toml_text(x) + ", " + toml_text(y) + "]");
  if (const auto* moved = std::get_if<std::string>(&placed))
    placed = with_value(*moved, "art.width", toml_text(width));
  const auto* done = std::get_if<std::string>(&placed);
  return done ? *done : text;
}

std::string with_a_mark(const std::string& text) {
  const auto changed = with_value(text, "mark.frost-400.frost", "0.3");
  const auto* done = std::get_if<std::string>(&changed);
  return done ? *done : text;
}

}  // namespace

// A scene of the page's may ask only for files that stand beside it, whatever key names them.
std::vector<Problem> Workshop::lacking(const std::string& design, const Node& scene) const {
  const auto text_beside = [&](const FileAsked& shop) { return shelf_.file(design, shop.name); };
  std::vector<Problem> problems;
  std::set<std::string> names;
  for (const FileAsked& asked : files_asked_by(scene, text_beside)) {
    if (problems.size() == kMostLacking) break;
    const bool is_first = names.insert(asked.name).second;
    if (is_first && !shelf_.holds(design, asked.name)) problems.push_back(lacks(asked));
  }
  return problems;
}

LoadedScene Workshop::load(const std::string& design, const std::string& text) const {
  const fs::path file = shelf_.scene_file(design);
  const auto document = parse_scene(text);
  if (const Node* node = std::get_if<Node>(&document)) {
    LoadedScene refused;
    refused.file = file;
    refused.problems = lacking(design, *node);
    if (!refused.problems.empty()) return refused;
  }
  return load_scene_text(file, text);
}

HttpAnswer Workshop::take_files(const std::string& body) {
  auto files = files_in(body);
  if (!files) return refusal(400, "the body is no list of files");
  for (const NamedFile& file : *files) {
    if (file.bytes.empty())
      return mistaken(Problem{"", 0, "the file " + file.name + " is empty", "save it again"});
  }
  const auto on_bench = parse_scene(text_);
  auto sorted = sorted_out(std::move(*files), std::get_if<Node>(&on_bench));
  if (const auto* problem = std::get_if<Problem>(&sorted)) return mistaken(*problem);
  const auto& [scene, others] = std::get<Dropped>(sorted);
  return scene ? open_scene(*scene, others) : lay_beside(others);
}

// A scene that could not be used as it stands on the bench is mended by one of its name.
HttpAnswer Workshop::open_scene(const NamedFile& scene, const std::vector<NamedFile>& others) {
  const std::string wished = fs::path(scene.name).stem().string();
  const bool is_mended = is_named_after(wished, design_) && !scene_.problems.empty();
  const Node document = std::get<Node>(parse_scene(scene.bytes));
  const auto asked = files_asked_by(document, [&](const FileAsked& shop) {
    const NamedFile* file = named(others, shop.plain_name());
    if (file) return std::optional(file->bytes);
    return is_mended ? shelf_.file(design_, shop.name) : std::nullopt;
  });
  std::vector<Place> places = places_asked_for(others, asked);
  if (const auto without = files_without(places, others); !without.empty())
    return mistaken(not_asked_for(*without.front(), "drop the scene without it"));
  if (const auto unfit = without_a_fit_name(places)) return mistaken(*unfit);
  Laying laying(shelf_, design_);
  if (is_mended) {
    laying.lay(places);
    for (const FileAsked& key : asked) {
      const std::string name = key.plain_name();
      if (!named(others, name) && shelf_.holds(design_, name))
        places.push_back({nullptr, key, name});
    }
  }
  const auto naming_them = naming(scene.bytes, places);
  if (const auto* problem = std::get_if<Problem>(&naming_them)) return mistaken(*problem);
  const std::string& text = std::get<std::string>(naming_them);
  const HttpAnswer answer =
      is_mended ? accept(text, load(design_, text)) : select(shelf_.add(wished, text, others));
  if (answer.status == 200) laying.keep();
  return answer.status == 200 ? json_answer({{"words", scene.name + " is on the bench."}}) : answer;
}

// The files stay beside the scene when others take their places: undo must find them again.
HttpAnswer Workshop::lay_beside(const std::vector<NamedFile>& files) {
  const auto document = parse_scene(text_);
  if (const auto* problem = std::get_if<Problem>(&document)) return mistaken(*problem);
  const auto asked = files_asked_by(std::get<Node>(document), [&](const FileAsked& shop) {
    const NamedFile* file = named(files, shop.plain_name());
    return file ? std::optional(file->bytes) : shelf_.file(design_, shop.name);
  });
  std::vector<Place> places = places_asked_for(files, asked);
  const auto without = files_without(places, files);
  const bool is_other_art = without.size() == 1 && !has_place(places, kArt);
  if (is_other_art) places.push_back({without.front(), {kArt, 0, ""}, {}});
  if (!is_other_art && !without.empty())
    return mistaken(not_asked_for(*without.front(), "drop other art by itself"));

  Laying laying(shelf_, design_);
  laying.lay(places);
  const auto naming_them = naming(text_, places);
  if (const auto* problem = std::get_if<Problem>(&naming_them)) return mistaken(*problem);
  const std::string& text = std::get<std::string>(naming_them);
  Fitted laid = has_place(places, kArt) ? with_art_fitted(text) : Fitted{text, load(design_, text)};
  for (const Problem& problem : laid.scene.problems) {
    if (scene_.problems.empty() || is_of(places, problem)) return mistaken(problem);
  }
  const HttpAnswer answer = accept(laid.text, std::move(laid.scene));
  if (answer.status != 200) return answer;
  laying.keep();
  return json_answer({{"words", taken_words(files, places)}});
}

// Art that does not fit as the one before did is put in the middle, smaller; the rest of the scene
// must be readable for that.
Workshop::Fitted Workshop::with_art_fitted(std::string text) const {
  LoadedScene scene = load(design_, text);
  const bool is_readable = !scene.document.table()->empty();
  if (is_readable && scene.scene.marks.empty()) {
    text = with_a_mark(text);
    scene = load(design_, text);
  }
  Fitted best{text, scene};
  for (const double share : {0.8, 0.6, 0.4, 0.2}) {
    if (!is_readable || best.scene.problems.empty()) break;
    best.text = fitted(text, scene.scene, share);
    best.scene = load(design_, best.text);
    const bool is_unreadable =
        !best.scene.problems.empty() && best.scene.problems.front().key == kArt;
    if (is_unreadable) break;
  }
  return best.scene.problems.empty() ? best : Fitted{text, scene};
}

}  // namespace rimeglow
