// A made-up result for tests of what is said, written and drawn about a glow: a 140 x 120 mm
// panel lit from below, bright near the LEDs and dim at the top. Its numbers are chosen, not
// physics.
#pragma once

#include <string>

#include "glow.h"
#include "model.h"

namespace rimeglow::made_up {

inline constexpr int kRows = 24;

inline Model model() {
  Model model;
  model.outline = rounded_rectangle(140.0, 120.0, 4.0);
  model.thickness_mm = 3.0;
  model.sheet = {1.494, 0.3 / 1000.0};
  model.sheet.absorption_guessed = true;
  model.edge_finish.resize(model.outline.edges.size());
  model.art_lower_left_mm = {15.0, 20.0};
  model.art_upper_right_mm = {125.0, 110.0};
  LedRow lamp;
  lamp.centre_mm = {70.0, 0.0};
  lamp.count = 6;
  lamp.pitch_mm = 20.0;
  lamp.flux_each_lm = 9.0;
  model.lamps = {lamp};
  model.viewers = {{"straight", Vec3::UnitZ()}, {"behind", -Vec3::UnitZ()}};
  model.room.cd_m2 = 30.0;
  return model;
}

// Rows fall in a straight line from `bottom_cd_m2` to `top_cd_m2`; every standard error is
// `doubt` of its value.
inline ViewerGlow viewer(const std::string& name, double bottom_cd_m2, double top_cd_m2,
                         double doubt) {
  const auto about = [doubt](double value) { return Estimate{value, doubt * value}; };
  ViewerGlow seen;
  seen.name = name;
  seen.room_cd_m2 = seen.beside_cd_m2 = {30.0, 0.0};
  seen.mean_cd_m2 = about(0.5 * (bottom_cd_m2 + top_cd_m2));
  seen.darkest_cd_m2 = about(top_cd_m2);
  seen.brightest_cd_m2 = about(bottom_cd_m2);
  seen.evenness = about(top_cd_m2 / bottom_cd_m2);
  for (int row = 0; row < kRows; ++row) {
    const double share = (row + 0.5) / kRows;
    seen.rows.push_back(
        {20.0 + 90.0 * share, 50.0, about(bottom_cd_m2 + share * (top_cd_m2 - bottom_cd_m2))});
  }
  for (int patch = 0; patch < kPatchesAcross * kPatchesAcross; ++patch) {
    const double share = (patch / kPatchesAcross + 0.5) / kPatchesAcross;
    seen.patches.push_back({48.0, true, about(bottom_cd_m2 + share * (top_cd_m2 - bottom_cd_m2))});
  }
  return seen;
}

inline Glow glow() {
  Glow glow;
  glow.flux_lm = 54.0;
  glow.photons = 250000;
  glow.ledger = {{"front.mark", {0.12, 0.001}},   {"front.other", {0.02, 0.001}},
                 {"back.mark", {0.11, 0.001}},    {"back.other", {0.03, 0.001}},
                 {"missed", {0.29, 0.002}},       {"base", {0.0, 0.0}},
                 {"finish", {0.0, 0.0}},          {"sheet", {0.05, 0.001}},
                 {"trapped", {1e-5, 1e-6}},       {"lost", {0.0, 0.0}},
                 {"edges.bottom", {0.1, 0.001}},  {"edges.right", {0.05, 0.001}},
                 {"edges.top", {0.17999, 0.001}}, {"edges.left", {0.05, 0.001}}};
  glow.entered = {0.71, 0.002};
  glow.viewers = {viewer("straight", 200.0, 40.0, 0.02), viewer("behind", 60.0, 12.0, 0.02)};
  glow.edges = {{"top", "straight", {0.0, 0.0}},
                {"top", "behind", {5.0, 0.5}},
                {"bottom", "straight", {1.0, 0.1}},
                {"bottom", "behind", {2.0, 0.2}}};
  glow.hot_spots = {{"bottom", {0.08, 0.01}}};
  return glow;
}

inline Glow clear_blank() {
  Glow blank = glow();
  blank.viewers.clear();
  blank.hot_spots.clear();
  for (Share& share : blank.ledger) {
    if (share.name == "front.mark" || share.name == "back.mark") share.of_emitted = {};
  }
  return blank;
}

}  // namespace rimeglow::made_up
