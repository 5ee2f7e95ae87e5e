// The yardstick: light in an edge-lit panel as one would write it in an hour, in single precision,
// with marks that scatter like frost and an eye that waits for light to come its way. It shares
// nothing with the library but the panel's measures; rounded corners it takes for square.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "panels.h"

namespace rimeglow::bench {

struct PlainPanel {
  std::array<float, 3> size_mm{};
  float index = 0.0f;
  float absorption_per_mm = 0.0f;
  int leds = 0;
  float led_pitch_mm = 0.0f;
  std::array<float, 2> emitter_mm{};
  float gap_mm = 0.0f;
  float frost_transmits = 0.0f;
  std::array<float, 2> art_corner_mm{};
  float pixels_per_mm = 0.0f;
  int columns = 0;
  int rows = 0;
  std::vector<std::uint8_t> engraved;
};

// A panel with one row of LEDs below and one mark on its back.
PlainPanel plain_panel(const Model& model);

struct PlainExit {
  float x_mm, y_mm;
};

struct PlainCounts {
  std::array<std::uint64_t, 6> exits{};  // left, right, bottom, top, back, front
  std::uint64_t missed = 0;
  std::uint64_t absorbed = 0;
  std::uint64_t surfaces_met = 0;
  std::vector<PlainExit> toward_eye;  // left the front within 10 deg of its normal
};

// Half angle of the cone in which light counts as going to the eye straight in front: 10 deg.
inline constexpr double kEyeConeCos = 0.98480775301220806;

PlainCounts plain_zigzag(const PlainPanel& panel, std::uint64_t seed, std::uint64_t photons);

}  // namespace rimeglow::bench
