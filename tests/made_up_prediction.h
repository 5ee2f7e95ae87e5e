// A whole made-up prediction about the made-up glow, for tests of the files that tell it.
#pragma once

#include <memory>

#include "made_up_glow.h"
#include "prediction.h"

namespace rimeglow::made_up {

inline Scene scene() {
  Scene scene;
  scene.title = "Winter sky plaque";
  scene.panel.width_mm = 140.0;
  scene.panel.height_mm = 120.0;
  scene.panel.thickness_mm = 3.0;
  scene.panel.corner_radius_mm = 4.0;
  scene.art = ArtSpec{};
  scene.art->file = "winter-sky.svg";
  scene.art->mark = "frost-400";
  scene.marks["frost-400"] = MarkSpec{};
  EdgeSpec sanded;
  sanded.kind = EdgeSpec::Kind::ground;
  scene.edges["top"] = sanded;
  LampSpec lamp;
  lamp.edge = "bottom";
  lamp.count = 6;
  lamp.pitch_mm = 20.0;
  lamp.flux_each_lm = 9.0;
  scene.lamps = {lamp};
  return scene;
}

// A map over the panel's box: one bright bar, fading upward.
inline LuminanceMap map() {
  LuminanceMap map{140, 120, 1.0, std::vector<float>(140 * 120, 0.0F)};
  for (std::size_t row = 20; row < 110; ++row) {
    for (std::size_t column = 60; column < 80; ++column) {
      map.cd_m2[row * 140 + column] = 220.0F - 1.6F * static_cast<float>(row);
    }
  }
  return map;
}

inline Prediction prediction(const Glow& glow) {
  Prediction prediction;
  prediction.scene = scene();
  prediction.model = std::make_shared<const Model>(model());
  prediction.glow = glow;
  prediction.report = report_on(glow, *prediction.model);
  prediction.provenance = {"0.1.0", "fnv1a64:0123456789abcdef", 7, 250000};
  prediction.seen = map();
  return prediction;
}

}  // namespace rimeglow::made_up
