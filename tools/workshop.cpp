#include "workshop.h"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "embedded_files.h"
#include "even_plan.h"
#include "page_edit.h"
#include "page_words.h"
#include "scene_reader.h"
#include "ticket.h"
#include "ticket_rows.h"

namespace rimeglow {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostUndo = 200;

}  // namespace

Workshop::Workshop(const fs::path& designs, Publish publish)
    : shelf_(designs),
      publish_(std::move(publish)),
      bench_(
          {[this](const auto& seen) { hear(seen); },
           [this](const auto& evening) { hear_evening(evening); },
           [this](const auto& opinion) { hear_opinion(opinion); },
           [this](const auto& walk) { hear_walk(walk); },
           [this](const std::string& words) { tell_fault("a fault of the program: " + words); }}) {
  shelf_.forget_all_taken_off();  // by a program that was killed
  select(shelf_.names().empty() ? put_examples_on_the_shelf() : last_changed());
}

Workshop::~Workshop() { shelf_.forget_all_taken_off(); }

std::string Workshop::last_changed() const {
  const std::vector<std::string> names = shelf_.names();
  const auto changed = [&](const std::string& name) {
    return fs::last_write_time(shelf_.scene_file(name));
  };
  return *std::max_element(names.begin(), names.end(),
                           [&](const auto& a, const auto& b) { return changed(a) < changed(b); });
}

// Returns the one to begin with.
std::string Workshop::put_examples_on_the_shelf() {
  std::map<std::string, std::string> files;
  for (const EmbeddedFile& file : embedded_files()) {
    const fs::path path(file.name);
    if (path.parent_path() == "scenes") files[path.filename().string()] = file.bytes();
  }
  std::string last;
  for (const char* name : {"moon", "plaque", "star-map"}) {
    std::vector<NamedFile> beside;
    for (const char* ending : {".svg", ".png"}) {
      const auto art = files.find(std::string(name) + ending);
      if (art != files.end()) beside.push_back({art->first, art->second});
    }
    if (std::string(name) == "moon") beside.push_back({"shop.toml", files["shop.toml"]});
    last = shelf_.add(name, files[std::string(name) + ".toml"], beside);
  }
  return last;
}

// ---- changes

HttpAnswer Workshop::change(const HttpRequest& request) try {
  const std::string meant = request.at("of");
  if (!meant.empty() && meant != design_)
    return refusal(409, "by now " + design_ + " is on the bench, so nothing was changed");
  if (request.path == "files") return take_files(request.body);
  const std::optional<nlohmann::json> body = small_object(request.body);
  if (!body) return refusal(400, "the body is no small JSON object");
  const nlohmann::json& said = *body;
  if (request.path == "edit") return edit(said);
  if (request.path == "add") return add(text_at(said, "key"));
  if (request.path == "strike") return strike(text_at(said, "key"));
  if (request.path == "undo") return step(&Past::undo, &Past::redo);
  if (request.path == "redo") return step(&Past::redo, &Past::undo);
  if (request.path == "select") return select(text_at(said, "design"));
  if (request.path == "copy") return copy();
  if (request.path == "take-off") return take_off(text_at(said, "design"));
  if (request.path == "put-back") return put_back();
  if (request.path == "even") return even_it_out();
  if (request.path == "plan") return stand_plan_beside();
  if (request.path == "walk") return walk_to(text_at(said, "viewer"));
  if (request.path == "beside") return stand_beside(text_at(said, "design"));
  return refusal(404, "there is no such change");
} catch (const fs::filesystem_error& error) {
  return mistaken(Problem{"", 0,
                          "nothing was changed, as " + error.path1().string() +
                              " could not be read or written (" + error.code().message() + ")",
                          "see to that folder, then do it again"});
}

HttpAnswer Workshop::edit(const nlohmann::json& said) {
  const FieldEdit wanted = edit_in(said);
  const auto made = edited(text_, wanted);
  if (const auto* problem = std::get_if<Problem>(&made)) return mistaken(*problem);
  const auto& [text, toml] = std::get<EditedScene>(made);
  LoadedScene scene = load(design_, text);
  if (!scene.problems.empty()) return mistaken(scene.problems);
  const auto only_try = said.find("only_try");
  if (only_try != said.end() && *only_try == true)
    return json_answer({{"both", in_both_units(wanted.key, toml)}});
  return accept(text, std::move(scene));
}

HttpAnswer Workshop::add(const std::string& what) {
  if (!scene_.problems.empty()) return mistaken(scene_.problems);
  HttpAnswer answer = refusal(409, "there is no room for another");
  for (const auto& tried : with_another(what, text_, scene_)) {
    if (const auto* problem = std::get_if<Problem>(&tried)) return mistaken(*problem);
    LoadedScene scene = load(design_, std::get<std::string>(tried));
    if (scene.problems.empty()) return accept(std::get<std::string>(tried), std::move(scene));
    answer = mistaken(scene.problems);
  }
  return answer;
}

HttpAnswer Workshop::strike(const std::string& key) {
  const auto document = parse_scene(text_);
  const Node* node = std::get_if<Node>(&document);
  if (!node || !can_strike_out(key, scene_.scene, *node))
    return refusal(409, "that cannot be struck out");
  const auto made = struck_out(text_, key);
  if (const auto* problem = std::get_if<Problem>(&made)) return mistaken(*problem);
  const std::string& text = std::get<std::string>(made);
  LoadedScene scene = load(design_, text);
  if (!scene.problems.empty()) return mistaken(scene.problems);
  return accept(text, std::move(scene));
}

HttpAnswer Workshop::accept(const std::string& text, LoadedScene scene) {
  const bool lacked_something = !scene_.problems.empty();
  if (text == text_ && !lacked_something) return done();
  if (text != text_) {
    if (const auto refused = changed_outside()) return *refused;
    shelf_.save(design_, text);
    remember();
    text_ = text;
  }
  scene_ = std::move(scene);
  put_on_bench();
  return done();
}

void Workshop::remember() {
  Past& past = past_[design_];
  past.undo.push_back(text_);
  if (past.undo.size() > kMostUndo) past.undo.erase(past.undo.begin());
  past.redo.clear();
}

// What another program wrote into the scene's file is taken in like a change of the page's, never
// written over. Why the change that found it is refused.
std::optional<HttpAnswer> Workshop::changed_outside() {
  const auto text = shelf_.scene_text(design_);
  if (!text || *text == text_) return std::nullopt;
  remember();
  text_ = *text;
  scene_ = load(design_, text_);
  put_on_bench();
  return refusal(409, design_ +
                          ".toml was changed outside this page and is shown as it is now; "
                          "nothing was written over it. Make the change again if it still fits");
}

HttpAnswer Workshop::step(std::vector<std::string> Past::* from,
                          std::vector<std::string> Past::* to) {
  Past& past = past_[design_];
  if ((past.*from).empty()) return refusal(409, "there is nothing left to take back");
  if (const auto refused = changed_outside()) return *refused;
  const std::string text = (past.*from).back();
  shelf_.save(design_, text);
  (past.*from).pop_back();
  (past.*to).push_back(text_);
  text_ = text;
  scene_ = load(design_, text_);
  put_on_bench();
  return done();
}

HttpAnswer Workshop::select(const std::string& design) {
  const auto text = shelf_.scene_text(design);
  if (!text) return refusal(404, "no such design is on the shelf");
  if (design == design_ && *text != text_) remember();
  {
    const std::lock_guard lock(mutex_);
    design_ = design;
  }
  if (beside_ == design) beside_.clear();
  text_ = *text;
  scene_ = load(design_, text_);
  put_on_bench();
  return done();
}

HttpAnswer Workshop::copy() {
  return stand_beside(shelf_.add(design_, text_, shelf_.other_files(design_)));
}

HttpAnswer Workshop::stand_beside(const std::string& design) {
  if (design.empty()) {
    beside_.clear();
  } else {
    const auto text = shelf_.scene_text(design);
    if (!text || design == design_) return refusal(404, "no such design is on the shelf");
    LoadedScene scene = load(design, *text);
    if (!scene.problems.empty()) return mistaken(scene.problems);
    beside_ = design;
    scene_beside_ = std::move(scene);
  }
  put_on_bench();
  return done();
}

HttpAnswer Workshop::take_off(const std::string& design) {
  if (!shelf_.has(design)) return refusal(404, "no such design is on the shelf");
  if (shelf_.names().size() < 2) return refusal(409, "the only design stays on the shelf");
  taken_off_.push_back({design, shelf_.take_off(design)});
  if (design == design_) return select(last_changed());
  if (design == beside_) beside_.clear();
  put_on_bench();
  return done();
}

HttpAnswer Workshop::put_back() {
  if (taken_off_.empty()) return refusal(409, "nothing was taken off the shelf");
  const TakenOff& last = taken_off_.back();
  const std::string name = shelf_.put_back(last.folder, last.design);
  taken_off_.pop_back();
  return select(name);
}

HttpAnswer Workshop::even_it_out() {
  const auto sighting = bench_.latest();
  if (!sighting || sighting->phase != Sighting::Phase::known) return too_early();
  const std::vector<Problem> problems = even_problems(sighting->pieces.front()->scene);
  if (!problems.empty()) return mistaken(problems);
  const std::lock_guard lock(mutex_);
  evening_job_ = bench_.make_even(sighting->pieces.front());
  return done();
}

std::shared_ptr<const Evening> Workshop::latest_evening() const {
  const std::lock_guard lock(mutex_);
  return evening_;
}

// The planned panel becomes a design of its own.
HttpAnswer Workshop::stand_plan_beside() {
  const auto evening = latest_evening();
  if (!evening) return refusal(409, "there is no plan yet");
  std::string plan;
  std::vector<NamedFile> beside;  // what the plan names
  for (const NamedFile& file : evening->files) {
    if (file.name == "plan.toml") plan = file.bytes;
    if (file.name == "density.png" || file.name.starts_with("scene-")) beside.push_back(file);
  }
  return stand_beside(shelf_.add(design_ + "-even", plan, beside));
}

HttpAnswer Workshop::walk_to(const std::string& viewer) {
  const auto sighting = bench_.latest();
  if (!sighting || sighting->phase != Sighting::Phase::known) return too_early();
  if (!sighting->runs.front()->model->viewer_named(viewer))
    return refusal(404, "nobody stands there");
  {
    const std::lock_guard lock(mutex_);
    const bool is_first = walks_.try_emplace(viewer).second;
    if (!is_first) return done();
  }
  bench_.walk_to(viewer);
  return done();
}

void Workshop::put_on_bench() {
  Pieces pieces;
  if (scene_.problems.empty()) {
    pieces.push_back(std::make_shared<const Piece>(Piece{design_, scene_}));
    if (!beside_.empty())
      pieces.push_back(std::make_shared<const Piece>(Piece{beside_, scene_beside_}));
  }
  const std::string told = line_of(ticket());
  const std::lock_guard lock(mutex_);
  job_ = bench_.put(std::move(pieces));
  evening_job_ = 0;
  evening_ = nullptr;
  difference_.reset();
  walks_.clear();
  for (const char* kind : {"round", "compared", "walked", "even", "fault"}) told_.drop(kind);
  send("ticket", told);
}

}  // namespace rimeglow
