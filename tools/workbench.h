// The engine of the page: follows the light of the pieces that stand on the bench, round by round,
// until they are known as well as `predict` would. A first picture comes from coarse tables within
// a blink; the exact ones are drawn meanwhile, and from then on every number is the command line's.
// Other pieces end all work on the last ones at once.
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "clerk.h"
#include "panel_picture.h"
#include "prediction.h"
#include "run.h"
#include "scene_files.h"
#include "ticket_step.h"
#include "workbench_camera.h"

namespace rimeglow {

struct Piece {
  std::string design;
  LoadedScene scene;  // without problems
};
using Pieces = std::vector<std::shared_ptr<const Piece>>;

// What is known between two rounds. Never changes once told.
struct Sighting {
  enum class Phase { sketch, tracing, known };

  std::uint64_t job = 0;    // of Workbench::put
  std::uint64_t round = 0;  // counts on over all jobs
  Phase phase = Phase::sketch;
  double error = 0.0;  // of the worst known patch
  double seconds_left = 0.0;
  Pieces pieces;
  std::vector<std::shared_ptr<const Run>> runs;                // one a piece
  std::vector<std::shared_ptr<const Glow>> glows;              // and what each comes to
  std::vector<std::shared_ptr<const Prediction>> predictions;  // when known, what `predict` says
};

// A piece being made even: what is being done, or what came of it.
struct Evening {
  std::uint64_t job = 0;  // of Workbench::make_even
  std::string design;
  std::string doing;    // while it goes on
  std::string verdict;  // when it is done
  std::vector<NamedFile> files{};

  bool is_done() const { return doing.empty(); }
};

// What the pieces differ in, or, of one alone, what the likeliest step of its finishing would do.
struct Opinion {
  std::uint64_t job = 0;  // of Workbench::put
  std::string words;
  std::optional<FinishingStep> step{};
  std::optional<DifferencePicture> picture{};  // of two
};

// The pieces as a viewer sees them, by a camera.
struct Walk {
  std::uint64_t job = 0;  // of Workbench::put
  std::string viewer;
  Photograph photograph;
};

class Workbench {
 public:
  // Called from threads of the workbench.
  struct Listener {
    std::function<void(const std::shared_ptr<const Sighting>&)> sighting;
    std::function<void(const std::shared_ptr<const Evening>&)> evening;
    std::function<void(const Opinion&)> opinion;
    std::function<void(const std::shared_ptr<const Walk>&)> walk;
    std::function<void(const std::string& words)> fault;  // of the program
    std::function<void()> asked = [] {};                  // by work, whether it is still wanted
  };

  explicit Workbench(Listener listener);
  ~Workbench();
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;

  // Puts other pieces on the bench, or none. Returns the number of the job.
  std::uint64_t put(Pieces pieces);

  // Makes a piece even that stands on the bench, its light known. Returns the number of the job.
  std::uint64_t make_even(std::shared_ptr<const Piece> piece);

  // Takes a camera to where a viewer stands, once the light of the pieces is known.
  void walk_to(const std::string& viewer);

  // The last that was told of the pieces on the bench; none before their first picture.
  std::shared_ptr<const Sighting> latest() const;

 private:
  class Job;

  struct Order {
    std::uint64_t job = 0;
    Pieces pieces;
    bool is_evening = false;
  };

  void work();
  void carry_out(const Order& order);
  void even(const Order& order);
  void consider(const Sighting& known);
  void photograph(std::uint64_t job, const Pieces& pieces, const std::string& viewer);
  // Work may end as unwanted; a fault in it is told.
  void watch(const std::function<void()>& work);
  void tell(Sighting sighting);
  bool is_stale(std::uint64_t job) const { return job != wanted_job_; }
  bool is_here(std::uint64_t job) const { return job == placed_job_; }
  IsWanted while_last(std::uint64_t job) const;  // put or made even
  IsWanted while_here(std::uint64_t job) const;  // until other pieces are put

  Listener listener_;
  mutable std::mutex mutex_;
  std::condition_variable something_;
  std::optional<Order> next_;
  std::atomic<std::uint64_t> wanted_job_ = 0;
  std::atomic<std::uint64_t> placed_job_ = 0;  // of the pieces on the bench
  std::atomic<bool> is_evening_ = false;
  bool stopping_ = false;
  std::mutex telling_;
  std::shared_ptr<const Sighting> latest_;
  std::uint64_t rounds_ = 0;
  // Touched by the camera's clerk only.
  std::uint64_t walked_job_ = 0;
  std::vector<Run> walked_;
  Clerk aside_{64};   // long work beside the tracing
  Clerk second_{64};  // what is asked once the light is known
  Clerk camera_{64};
  std::thread thread_;
};

}  // namespace rimeglow
