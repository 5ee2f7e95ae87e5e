// Long work ends at the question that is answered by no, and asks often enough that nobody waits
// for long. Askings are counted and never timed, mostly on one thread, where no other can ask in
// between.
#include "wanted.h"

#include <gtest/gtest.h>

#include <atomic>
#include <climits>
#include <filesystem>
#include <thread>
#include <utility>

#include "compare.h"
#include "engraving.h"
#include "panels.h"
#include "scene_files.h"
#include "spans.h"
#include "view.h"
#include "workbench_camera.h"
#include "workbench_compare.h"

namespace rimeglow::wanted_test {
namespace {

using Job = std::function<void(const IsWanted&)>;

// How often a job asks that is wanted until it has asked so many times; fewer if it ends before.
int askings(const Job& job, int most = INT_MAX) {
  std::atomic<int> asked = 0;
  const auto ask_all = [&] { job([&] { return ++asked < most; }); };
  if (most == INT_MAX) {
    EXPECT_NO_THROW(ask_all());
  } else {
    EXPECT_THROW(ask_all(), Unwanted);
  }
  return asked;
}

// `pieces` is how many there are at least.
void expect_asks_between_pieces(const Job& job, int pieces) {
  const int all = askings(job);
  EXPECT_GE(all, pieces);
  for (const int last : {1, all / 2, all}) EXPECT_EQ(askings(job, last), last);
}

// One viewer, who sees one surface that scatters.
Model sign(double alpha = 0.5) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(alpha, 0.3), panels::squares());
  model.viewers = {panels::eye(20, 0, Side::front)};
  return model;
}

constexpr int kChunks = 64;  // of a table
constexpr int kPhotons = 1 << 14;
constexpr int kTracedAtOnce = 256;

RunSettings settings(const IsWanted& is_wanted, int threads = 1) {
  RunSettings settings;
  settings.seed = statistics::kSeed;
  settings.threads = threads;
  settings.response_walks = 1 << 13;
  settings.room_rays = 1 << 9;
  settings.arrivals = true;
  settings.is_wanted = is_wanted;
  return settings;
}

Run traced(Model model) {
  Run run = start(std::make_shared<const Model>(std::move(model)), settings(always));
  advance(run, kPhotons);
  return run;
}

TEST(Wanted, TablesAndRoomAskBetweenWalks) {
  Model model = sign();
  model.edge_finish[panels::kTop] = panels::ground(0.3);
  const auto shared = std::make_shared<const Model>(model);
  const int rays = 2 * (1 << 9) / 256;  // to marks and to clear sheet
  RunSettings many = settings(always);
  many.response_walks = 1 << 18;
  expect_asks_between_pieces(
      [&](const IsWanted& ask) {
        many.is_wanted = ask;
        start(shared, many);
      },
      2 * many.response_walks / (1 << 12) + rays);
}

TEST(Wanted, TracingAsksWithinEveryBatch) {
  const auto untouched = start(std::make_shared<const Model>(sign()), settings(always));
  expect_asks_between_pieces(
      [&](const IsWanted& ask) {
        auto run = untouched;
        run.settings.is_wanted = ask;
        advance(run, 4 * kPhotons);
      },
      4 * kPhotons / kTracedAtOnce);
}

// A thread that hears no asks no more: at most one question of each other thread comes after it.
TEST(Wanted, AllThreadsEndAtNo) {
  const auto model = std::make_shared<const Model>(sign());
  const auto job = [&](const IsWanted& ask) {
    auto run = start(model, settings(ask, 3));
    advance(run, kPhotons);
  };
  for (const int last : {1, 30, 66, 100}) EXPECT_LE(askings(job, last), last + 2);
}

TEST(Wanted, SpansAskThroughoutTheirRuns) {
  auto run = traced(sign());
  const Glow glow = glow_of(run);
  const int runs = 1 + 5;  // usual, and at the ends of the marks' inputs
  expect_asks_between_pieces(
      [&](const IsWanted& ask) {
        run.settings.is_wanted = ask;
        Glow spanned = glow;
        add_spans(spanned, run, kPhotons);
      },
      runs * (kChunks + kPhotons / kTracedAtOnce));
}

TEST(Wanted, ComparisonsAskThroughoutTheirRuns) {
  std::vector<rimeglow::Run> runs = {traced(sign()), traced(sign(0.6))};
  expect_asks_between_pieces(
      [&](const IsWanted& ask) {
        for (auto& run : runs) run.settings.is_wanted = ask;
        compare(runs, kPhotons);
      },
      2 * 6 * (kChunks + kPhotons / kTracedAtOnce));
}

TEST(Wanted, CamerasAskBetweenRowsAndWalks) {
  auto run = traced(sign());
  constexpr int kPixels = 40;
  constexpr std::int64_t kWalks = 1 << 18;
  const Camera camera = camera_at(*run.model, {3000.0}, kPixels);
  expect_asks_between_pieces(
      [&](const IsWanted& ask) {
        run.settings.is_wanted = ask;
        View(run, camera, kWalks).rows(0, kPixels);
      },
      kPixels / 5 + kWalks / (1 << 12) + kPixels);
}

TEST(Wanted, DotsCellsAndLuminancesAskRowByRow) {
  constexpr int kRows = 90;
  Drawing drawing{120, kRows, 0.1, Vec2::Zero(), {}};
  for (int i = 0; i < 120 * kRows; ++i)
    drawing.tone.push_back(static_cast<std::uint8_t>(i / 7 % 2 == 0 ? kOn : kOff));
  const Beam beam{0.1, ScanAxis::x};
  const Screen screen = screen_of(beam, 0.1);
  Density half;
  half.share = {0.5};
  expect_asks_between_pieces(
      [&](const IsWanted& ask) { meant(drawing, Tone::line_art, screen, ask); }, kRows);
  for (const auto& [tone, passes] : {std::pair(Tone::line_art, 6), std::pair(Tone::grey, 1)}) {
    expect_asks_between_pieces(
        [&, wanted = tone](const IsWanted& ask) { engraved(drawing, wanted, screen, half, ask); },
        passes * kRows);
  }
  const auto run = traced(sign());
  expect_asks_between_pieces([&](const IsWanted& ask) { score_map(*run.model, 1, ask); },
                             run.map.grid.rows);
  expect_asks_between_pieces(
      [&](const IsWanted& ask) { luminance_map(run, 0, 1.0, kEveryChannel, ask); }, 127);
}

TEST(Wanted, WhatThePageAsksForEndsAtNo) {
  const LoadedScene scene =
      load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml", {});
  const int others = static_cast<int>(std::thread::hardware_concurrency());
  const auto comparing = [&](const IsWanted& ask) {
    compared(scene.model, scene.model, "nothing", ContrastPicture::drawn, ask);
  };
  const auto following = [&](const IsWanted& ask) { run_for_cameras(scene.model, ask); };
  for (const int last : {1, 200, 1000}) {
    EXPECT_LE(askings(comparing, last), last + others);
    EXPECT_LE(askings(following, last), last + others);
  }
  RunSettings kept = settings(always);
  std::vector<rimeglow::Run> runs = {start(scene.model, kept)};
  advance(runs.front(), 64);
  const auto photographing = [&](const IsWanted& ask) {
    runs.front().settings.is_wanted = ask;
    photographed(runs, scene.model->viewers.front().name);
  };
  for (const int last : {1, 100, 300}) EXPECT_EQ(askings(photographing, last), last);
}

}  // namespace
}  // namespace rimeglow::wanted_test
