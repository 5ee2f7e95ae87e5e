#include "workbench.h"

#include <algorithm>
#include <chrono>
#include <utility>

#include "even_files.h"
#include "even_plan.h"
#include "glow.h"
#include "precision.h"
#include "workbench_compare.h"

namespace rimeglow {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int kSketchWalks = 1 << 14;
constexpr int kSketchRays = 1 << 11;
constexpr std::uint64_t kFirstPicture = std::uint64_t{1} << 15;
constexpr std::uint64_t kLongestSketch = std::uint64_t{1} << 22;

double seconds_since(Clock::time_point begin) {
  return std::chrono::duration<double>(Clock::now() - begin).count();
}

// How many photons fit between two looks at what else is wanted.
class Pace {
 public:
  std::uint64_t photons() const { return photons_; }
  void took(double seconds) {
    if (seconds < 0.015 && photons_ < (std::uint64_t{1} << 20)) photons_ *= 2;
    if (seconds > 0.035 && photons_ > (std::uint64_t{1} << 8)) photons_ /= 2;
  }

 private:
  std::uint64_t photons_ = std::uint64_t{1} << 12;
};

// When it is time for another picture: soon at first, then every second.
class PictureTurn {
 public:
  bool has_come() const { return seconds_since(last_) >= wait_s_; }
  void taken() {
    last_ = Clock::now();
    wait_s_ = std::min(1.0, wait_s_ * 1.6);
  }

 private:
  Clock::time_point last_ = Clock::now();
  double wait_s_ = 0.25;
};

std::vector<Run> started(const Pieces& pieces, RunSettings settings, const IsWanted& is_wanted) {
  settings.is_wanted = is_wanted;
  std::vector<Run> runs;
  for (const auto& piece : pieces) runs.push_back(start(piece->scene.model, settings));
  return runs;
}

double worst_error(const std::vector<Run>& runs) {
  double worst = 0.0;
  for (const Run& run : runs) worst = std::max(worst, worst_relative_error(run));
  return worst;
}

std::shared_ptr<const Prediction> prediction_of(const Piece& piece, const Run& run) {
  return std::make_shared<const Prediction>(predicted(piece.scene, run, Spans::shown));
}

}  // namespace

// One put of pieces, while it is worked on.
class Workbench::Job {
 public:
  Job(Workbench& bench, std::uint64_t number, Pieces pieces)
      : bench_(bench),
        number_(number),
        is_wanted_(bench.while_last(number)),
        pieces_(std::move(pieces)) {}

  void run() {
    const auto exact = std::make_shared<Exact>();
    std::vector<Run> sketch = started(pieces_, {1, 0, kSketchWalks, kSketchRays}, is_wanted_);
    ask_aside([bench = &bench_, is_wanted = is_wanted_, pieces = pieces_, exact] {
      bench->watch([&] {
        std::vector<Run> runs = started(pieces, {}, is_wanted);
        const std::lock_guard lock(exact->mutex);
        exact->runs = std::move(runs);
      });
    });
    trace_until(sketch, kFirstPicture);
    tell(sketch, Sighting::Phase::sketch);
    PictureTurn turn;
    while (!exact->ready()) {
      if (sketch.front().photons < kLongestSketch) {
        trace_until(sketch, sketch.front().photons + pace_.photons());
      } else {
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
        go_on_if(is_wanted_);
      }
      if (turn.has_come()) {
        tell(sketch, Sighting::Phase::sketch);
        turn.taken();
      }
    }
    trace(exact->runs, sketch.front().photons, turn);
  }

 private:
  struct Exact {
    std::mutex mutex;
    std::vector<Run> runs;
    bool ready() {
      const std::lock_guard lock(mutex);
      return !runs.empty();
    }
  };

  // Waits while there is too much to do.
  void ask_aside(const std::function<void()>& order) {
    while (!bench_.aside_.ask(order)) {
      go_on_if(is_wanted_);
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
  }

  // From the first photon on, told once they know more than what was `sketched`.
  void trace(std::vector<Run>& runs, std::uint64_t sketched, PictureTurn& turn) {
    std::vector<Precision> precisions(runs.size());
    std::vector<bool> is_known(runs.size(), false);
    begin_ = Clock::now();
    for (;;) {
      bool is_done = true;
      for (std::size_t i = 0; i < runs.size(); ++i) {
        if (is_known[i]) continue;
        is_done = false;
        const std::uint64_t next = precisions[i].next_look();
        advance_one(runs[i], next);
        if (runs[i].photons == next)
          is_known[i] = precisions[i].look(runs[i]) != Precision::Finding::more;
      }
      if (is_done) break;
      if (turn.has_come() && runs.front().photons > sketched) {
        goal_ = precisions.front().goal();
        tell(runs, Sighting::Phase::tracing);
        turn.taken();
      }
    }
    goal_ = runs.front().photons;
    tell(runs, Sighting::Phase::tracing);
    conclude(runs);
  }

  void conclude(const std::vector<Run>& runs) {
    Sighting sighting = sighting_of(runs, Sighting::Phase::known);
    ask_aside([bench = &bench_, sighting = std::move(sighting)]() mutable {
      bench->watch([&] {
        for (std::size_t i = 0; i < sighting.runs.size(); ++i) {
          const auto known = prediction_of(*sighting.pieces[i], *sighting.runs[i]);
          sighting.predictions.push_back(known);
          sighting.glows.emplace_back(known, &known->glow);
        }
        bench->consider(sighting);
        bench->tell(std::move(sighting));
      });
    });
  }

  void trace_until(std::vector<Run>& runs, std::uint64_t photons) {
    for (Run& run : runs) {
      while (run.photons < photons) advance_one(run, photons);
    }
  }

  void advance_one(Run& run, std::uint64_t most) {
    const Clock::time_point begin = Clock::now();
    advance(run, std::min(pace_.photons(), most - run.photons));
    pace_.took(seconds_since(begin));
  }

  // Without glows.
  Sighting sighting_of(const std::vector<Run>& runs, Sighting::Phase phase) const {
    Sighting sighting;
    sighting.job = number_;
    sighting.phase = phase;
    sighting.error = worst_error(runs);
    sighting.pieces = pieces_;
    for (const Run& run : runs) sighting.runs.push_back(std::make_shared<const Run>(run));
    const std::uint64_t photons = runs.front().photons;
    if (phase == Sighting::Phase::tracing && goal_ > photons) {
      sighting.seconds_left = seconds_since(begin_) * static_cast<double>(goal_ - photons) /
                              static_cast<double>(photons);
    }
    return sighting;
  }

  void tell(const std::vector<Run>& runs, Sighting::Phase phase) {
    Sighting sighting = sighting_of(runs, phase);
    for (const Run& run : runs)
      sighting.glows.push_back(std::make_shared<const Glow>(glow_of(run)));
    bench_.tell(std::move(sighting));
  }

  Workbench& bench_;
  std::uint64_t number_;
  IsWanted is_wanted_;
  Pieces pieces_;
  Pace pace_;
  Clock::time_point begin_ = Clock::now();
  std::uint64_t goal_ = 0;
};

Workbench::Workbench(Listener listener)
    : listener_(std::move(listener)), thread_([this] { work(); }) {}

Workbench::~Workbench() {
  put({});
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  something_.notify_all();
  thread_.join();
}

std::uint64_t Workbench::put(Pieces pieces) {
  const std::lock_guard lock(mutex_);
  const std::uint64_t job = ++wanted_job_;
  placed_job_ = job;
  is_evening_ = false;
  next_ = Order{job, std::move(pieces), false};
  latest_ = nullptr;
  something_.notify_all();
  return job;
}

std::uint64_t Workbench::make_even(std::shared_ptr<const Piece> piece) {
  const std::lock_guard lock(mutex_);
  const std::uint64_t job = ++wanted_job_;
  next_ = Order{job, {std::move(piece)}, true};
  is_evening_ = true;
  something_.notify_all();
  return job;
}

std::shared_ptr<const Sighting> Workbench::latest() const {
  const std::lock_guard lock(mutex_);
  return latest_;
}

void Workbench::work() {
  for (;;) {
    std::unique_lock lock(mutex_);
    something_.wait(lock, [this] { return stopping_ || next_; });
    if (stopping_) return;
    const Order order = std::exchange(next_, std::nullopt).value();
    lock.unlock();
    if (order.pieces.empty()) continue;
    watch([&] { carry_out(order); });
    if (order.job == wanted_job_) is_evening_ = false;
  }
}

IsWanted Workbench::while_last(std::uint64_t job) const {
  return [this, job] {
    listener_.asked();
    return !is_stale(job);
  };
}

IsWanted Workbench::while_here(std::uint64_t job) const {
  return [this, job] {
    listener_.asked();
    return is_here(job);
  };
}

void Workbench::watch(const std::function<void()>& work) {
  try {
    work();
  } catch (const Unwanted&) {
  } catch (const std::exception& error) {
    listener_.fault(error.what());
  }
}

void Workbench::carry_out(const Order& order) {
  if (order.is_evening) return even(order);
  Job(*this, order.job, order.pieces).run();
}

void Workbench::even(const Order& order) {
  const Piece& piece = *order.pieces.front();
  const auto tell_evening = [&](Evening evening) {
    if (!is_stale(order.job))
      listener_.evening(std::make_shared<const Evening>(std::move(evening)));
  };
  EvenOptions options;
  options.is_wanted = while_last(order.job);
  const EvenResult result =
      rimeglow::make_even(piece.scene, options, [&](const std::string& doing) {
        tell_evening({order.job, piece.design, doing, {}});
        return true;
      });
  tell_evening({order.job,
                piece.design,
                {},
                even_verdict(result, piece.scene),
                even_files(result, piece.scene, Jig::left_out, options.is_wanted)});
}

void Workbench::consider(const Sighting& known) {
  const Pieces& pieces = known.pieces;
  second_.ask([this, job = known.job, pieces] {
    // What nobody asked for waits for what somebody did.
    const IsWanted is_wanted = [this, is_still_here = while_here(job)] {
      while (is_evening_ && is_still_here())
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      return is_still_here();
    };
    watch([&] {
      go_on_if(is_wanted);
      const LoadedScene& scene = pieces.front()->scene;
      Opinion opinion{job, {}, {}};
      std::shared_ptr<const Model> other;
      std::string deed;
      if (pieces.size() == 2) {
        if (pieces[1]->scene.inputs == scene.inputs) return;
        other = pieces[1]->scene.model;
        deed = "what is different on the right";
      } else {
        opinion.step = likely_step(scene);
        if (!opinion.step) return;
        other = model_after(*opinion.step, scene, is_wanted);
        deed = opinion.step->deed;
      }
      const auto picture = opinion.step ? ContrastPicture::left_out : ContrastPicture::drawn;
      Contrast contrast = compared(scene.model, other, deed, picture, is_wanted);
      opinion.words = std::move(contrast.words);
      opinion.picture = std::move(contrast.picture);
      listener_.opinion(opinion);
    });
  });
}

void Workbench::walk_to(const std::string& viewer) {
  const auto sighting = latest();
  if (!sighting || sighting->phase != Sighting::Phase::known) return;
  camera_.ask([this, job = sighting->job, pieces = sighting->pieces, viewer] {
    watch([&] { photograph(job, pieces, viewer); });
  });
}

void Workbench::photograph(std::uint64_t job, const Pieces& pieces, const std::string& viewer) {
  const IsWanted is_wanted = while_here(job);
  if (walked_job_ != job) walked_.clear();
  walked_job_ = job;
  while (walked_.size() < pieces.size()) {
    walked_.push_back(run_for_cameras(pieces[walked_.size()]->scene.model, is_wanted));
  }
  listener_.walk(std::make_shared<const Walk>(Walk{job, viewer, photographed(walked_, viewer)}));
}

void Workbench::tell(Sighting sighting) {
  const std::lock_guard telling(telling_);
  std::shared_ptr<const Sighting> told;
  {
    const std::lock_guard lock(mutex_);
    if (is_stale(sighting.job)) return;
    sighting.round = ++rounds_;
    told = latest_ = std::make_shared<const Sighting>(std::move(sighting));
  }
  listener_.sighting(told);
}

}  // namespace rimeglow
