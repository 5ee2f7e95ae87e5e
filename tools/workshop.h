// What the page can ask and change: the design on the bench, what stands beside it, the shelf,
// undo and redo. Every change is checked by the engine's own reader, saved, and only then shown.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "design_shelf.h"
#include "http_server.h"
#include "workbench.h"

namespace rimeglow {

class Workshop {
 public:
  using Publish = std::function<void(const std::string& kind, const std::string& data)>;

  // Opens the design changed last; on an empty shelf, the examples.
  Workshop(const std::filesystem::path& designs, Publish publish);
  ~Workshop();
  Workshop(const Workshop&) = delete;
  Workshop& operator=(const Workshop&) = delete;

  // For HttpSite: answers on one thread, changes on one other.
  HttpAnswer answer(const HttpRequest& request);
  HttpAnswer change(const HttpRequest& request);
  Events greeting() const;

 private:
  struct TakenOff {
    std::string design;
    std::filesystem::path folder;
  };
  struct Past {
    std::vector<std::string> undo;
    std::vector<std::string> redo;
  };

  std::string put_examples_on_the_shelf();
  std::string last_changed() const;
  LoadedScene load(const std::string& design, const std::string& text) const;
  std::vector<Problem> lacking(const std::string& design, const Node& scene) const;

  HttpAnswer edit(const nlohmann::json& said);
  HttpAnswer add(const std::string& what);
  HttpAnswer strike(const std::string& key);
  HttpAnswer step(std::vector<std::string> Past::* from, std::vector<std::string> Past::* to);
  struct Fitted {
    std::string text;
    LoadedScene scene;
  };
  HttpAnswer take_files(const std::string& body);
  HttpAnswer open_scene(const NamedFile& scene, const std::vector<NamedFile>& others);
  HttpAnswer lay_beside(const std::vector<NamedFile>& files);
  Fitted with_art_fitted(std::string text) const;
  HttpAnswer select(const std::string& design);
  HttpAnswer copy();
  HttpAnswer stand_beside(const std::string& design);
  HttpAnswer take_off(const std::string& design);
  HttpAnswer put_back();

  HttpAnswer even_it_out();
  std::shared_ptr<const Evening> latest_evening() const;
  HttpAnswer stand_plan_beside();
  HttpAnswer walk_to(const std::string& viewer);

  HttpAnswer accept(const std::string& text, LoadedScene scene);
  void remember();  // the text that another is to stand for
  std::optional<HttpAnswer> changed_outside();
  void put_on_bench();
  nlohmann::json ticket();
  void send(const std::string& kind, const std::string& data);  // with the mutex held
  void tell_fault(const std::string& words);
  void hear(const std::shared_ptr<const Sighting>& sighting);
  void save_small_picture(const std::string& design, const std::string& png);
  void hear_evening(const std::shared_ptr<const Evening>& evening);
  void hear_opinion(const Opinion& opinion);
  void hear_walk(const std::shared_ptr<const Walk>& walk);

  HttpAnswer picture(const HttpRequest& request);
  HttpAnswer photograph(const HttpRequest& request);
  HttpAnswer difference_between() const;
  HttpAnswer meter(const HttpRequest& request);
  HttpAnswer result_file(const HttpRequest& request);
  HttpAnswer even_file(const std::string& name);
  const LuminanceMap& metered(const Sighting& sighting, std::size_t piece, int viewer);

  DesignShelf shelf_;
  Publish publish_;
  // Of the next six and `design_`. Held while something is told, so that nothing of pieces that
  // were put away is told after the ticket of others.
  mutable std::mutex mutex_;
  Events told_;                    // the last of each kind
  std::uint64_t job_ = 0;          // of the pieces on the bench
  std::uint64_t evening_job_ = 0;  // 0: none since they were put there
  std::shared_ptr<const Evening> evening_;
  std::optional<DifferencePicture> difference_;
  std::map<std::string, std::shared_ptr<const Walk>> walks_;  // by viewer; null while on the way

  // Touched by changes only, but for the design's name, which answers read.
  std::string design_;
  std::string beside_;
  std::string text_;
  LoadedScene scene_;
  LoadedScene scene_beside_;
  std::map<std::string, Past> past_;
  std::vector<TakenOff> taken_off_;  // the last one last; forgotten at the end

  // Touched by answers only.
  std::uint64_t metered_round_ = 0;
  std::map<std::pair<std::size_t, int>, LuminanceMap> metered_;

  Workbench bench_;  // last: its threads use the rest
};

}  // namespace rimeglow
