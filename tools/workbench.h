// The engine of the page: follows the light of the pieces that stand on the bench, round by round,
// until they are known as well as `predict` would. A first picture comes from coarse tables within
// a blink; the exact ones are drawn meanwhile, and from then on every number is the command line's.
// Other pieces end the work on the last ones between two rounds.
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
#include "prediction.h"
#include "run.h"
#include "scene_files.h"

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
  std::vector<std::shared_ptr<const Prediction>> predictions;  // when known, what `predict` says
};

class Workbench {
 public:
  using Listener = std::function<void(const std::shared_ptr<const Sighting>&)>;

  // `tell` is called from threads of the workbench, one call at a time.
  explicit Workbench(Listener tell);
  ~Workbench();
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;

  // Puts other pieces on the bench, or none. Returns the number of the job.
  std::uint64_t put(Pieces pieces);

  // The last that was told of the pieces on the bench; none before their first picture.
  std::shared_ptr<const Sighting> latest() const;

 private:
  class Job;

  void work();
  void tell(Sighting sighting);
  bool is_stale(std::uint64_t job) const { return job != wanted_job_; }

  Listener listener_;
  mutable std::mutex mutex_;
  std::condition_variable something_;
  std::optional<Pieces> next_;
  std::atomic<std::uint64_t> wanted_job_ = 0;
  bool stopping_ = false;
  std::mutex telling_;
  std::shared_ptr<const Sighting> latest_;
  std::uint64_t rounds_ = 0;
  Clerk aside_{64};  // long work that cannot be broken off
  std::thread thread_;
};

}  // namespace rimeglow
