// Runs that cameras can look at.
#pragma once

#include "panels.h"
#include "run.h"

namespace rimeglow::cameras {

inline Run traced_for_cameras(const Model& model, int photons, int threads = 1) {
  RunSettings settings;
  settings.seed = statistics::kSeed;
  settings.threads = threads;
  settings.arrivals = true;
  settings.room_rays = 256;
  settings.response_walks = panels::table_walks(1 << 19);
  Run run = start(std::make_shared<const Model>(model), settings);
  advance(run, static_cast<std::uint64_t>(statistics::samples(photons)));
  return run;
}

// Solid squares of ground mark on the back.
inline Model sign(double alpha) {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(alpha), panels::squares());
  model.viewers = {panels::eye(0, 0, Side::front), panels::eye(30, 0, Side::front),
                   panels::eye(-45, 0, Side::front), panels::eye(20, 30, Side::front)};
  return model;
}

}  // namespace rimeglow::cameras
