// What the workshop tells: its ticket, and what its bench finds out.
#include <nlohmann/json.hpp>

#include "page_words.h"
#include "panel_picture.h"
#include "scene_reader.h"
#include "workshop.h"

namespace rimeglow {

namespace fs = std::filesystem;

nlohmann::json Workshop::ticket() {
  const auto document = parse_scene(text_);
  const Node* node = std::get_if<Node>(&document);
  const Past& past = past_[design_];
  nlohmann::json told = ticket_json(scene_, node);
  told["design"] = design_;
  told["beside"] = beside_;
  told["can_undo"] = !past.undo.empty();
  told["can_redo"] = !past.redo.empty();
  told["taken_off"] = taken_off_.empty() ? std::string() : taken_off_.back().design;
  told["shelf"] = nlohmann::json::array();
  for (const std::string& name : shelf_.names())
    told["shelf"].push_back({{"name", name}, {"pictured", shelf_.picture(name).has_value()}});
  return told;
}

void Workshop::send(const std::string& kind, const std::string& data) {
  told_.add(kind, data);
  publish_(kind, data);
}

// The light is told whether or not there is room for its small picture.
void Workshop::save_small_picture(const std::string& design, const std::string& png) {
  try {
    shelf_.save_picture(design, png);
  } catch (const fs::filesystem_error& error) {
    tell_fault("the small picture of " + design + " is not saved, " + error.code().message());
  }
}

void Workshop::tell_fault(const std::string& words) {
  const std::lock_guard lock(mutex_);
  send("fault", line_of({{"words", words}}));
}

void Workshop::hear(const std::shared_ptr<const Sighting>& sighting) {
  if (sighting->phase == Sighting::Phase::known) {
    for (std::size_t i = 0; i < sighting->pieces.size(); ++i) {
      const std::string& design = sighting->pieces[i]->design;
      const Run& run = *sighting->runs[i];
      if (shelf_.has(design) && !run.model->viewers.empty())
        save_small_picture(design, eye_picture(run, 0, kSmallPicture, 0.0).png);
    }
  }
  const std::string told = line_of(round_json(*sighting));
  const std::lock_guard lock(mutex_);
  if (sighting->job == job_) send("round", told);
}

void Workshop::hear_evening(const std::shared_ptr<const Evening>& evening) {
  nlohmann::json told = {{"doing", evening->doing}, {"verdict", evening->verdict}};
  told["files"] = nlohmann::json::array();
  for (const NamedFile& file : evening->files) told["files"].push_back(file.name);
  const std::lock_guard lock(mutex_);
  if (evening->job != evening_job_) return;
  if (evening->is_done()) evening_ = evening;
  send("even", line_of(told));
}

void Workshop::hear_opinion(const Opinion& opinion) {
  nlohmann::json told = {{"words", opinion.words}};
  if (opinion.step) {
    told["key"] = opinion.step->key();
    told["value"] = opinion.step->value;
  }
  if (opinion.picture) told["pictured"] = opinion.picture->words;
  const std::lock_guard lock(mutex_);
  if (opinion.job != job_) return;
  difference_ = opinion.picture;
  send("compared", line_of(told));
}

void Workshop::hear_walk(const std::shared_ptr<const Walk>& walk) {
  const std::lock_guard lock(mutex_);
  if (walk->job != job_) return;
  walks_[walk->viewer] = walk;
  nlohmann::json viewers = nlohmann::json::array();
  for (const auto& [viewer, made] : walks_) {
    if (made) viewers.push_back(viewer);
  }
  send("walked", line_of({{"viewers", viewers}}));
}

Events Workshop::greeting() const {
  const std::lock_guard lock(mutex_);
  return told_;
}

}  // namespace rimeglow
