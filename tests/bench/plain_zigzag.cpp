#include "plain_zigzag.h"

#include <cmath>

namespace rimeglow::bench {
namespace {

constexpr float kTwoPi = static_cast<float>(2.0 * kPi);

// PCG-XSH-RR 64/32 of O'Neill 2014.
struct Pcg {
  std::uint64_t state;

  // Never 0: a direction without any share along an axis would meet its wall nowhere.
  float next() {
    const std::uint64_t old = state;
    state = old * 6364136223846793005u + 1442695040888963407u;
    const auto mixed = static_cast<std::uint32_t>(((old >> 18u) ^ old) >> 27u);
    const auto turn = static_cast<std::uint32_t>(old >> 59u);
    const std::uint32_t word = (mixed >> turn) | (mixed << ((32u - turn) & 31u));
    return (static_cast<float>(word >> 9u) + 0.5f) * 0x1p-23f;
  }
};

// Reflected share of unpolarised light, 1 beyond the critical angle; `ratio` = index here / beyond.
float reflectance(float ratio, float cos_in) {
  const float sin2_out = ratio * ratio * (1.0f - cos_in * cos_in);
  if (sin2_out >= 1.0f) return 1.0f;
  const float cos_out = std::sqrt(1.0f - sin2_out);
  const float s = (ratio * cos_in - cos_out) / (ratio * cos_in + cos_out);
  const float p = (cos_in - ratio * cos_out) / (cos_in + ratio * cos_out);
  return 0.5f * (s * s + p * p);
}

struct Photon {
  std::array<float, 3> at;
  std::array<float, 3> way;
};

// Lambertian about +axis or -axis.
void scatter(Photon& photon, std::size_t axis, float sign, Pcg& random) {
  const float sin2 = random.next();
  const float azimuth = kTwoPi * random.next();
  photon.way[axis] = sign * std::sqrt(1.0f - sin2);
  photon.way[(axis + 1) % 3] = std::sqrt(sin2) * std::cos(azimuth);
  photon.way[(axis + 2) % 3] = std::sqrt(sin2) * std::sin(azimuth);
}

Photon emitted(const PlainPanel& panel, Pcg& random) {
  const auto leds = static_cast<float>(panel.leds);
  const float led = std::floor(random.next() * leds) - 0.5f * (leds - 1.0f);
  const float x = 0.5f * panel.size_mm[0] + led * panel.led_pitch_mm +
                  (random.next() - 0.5f) * panel.emitter_mm[0];
  const float z = 0.5f * panel.size_mm[2] + (random.next() - 0.5f) * panel.emitter_mm[1];
  Photon photon{{x, -panel.gap_mm, z}, {}};
  scatter(photon, 1, 1.0f, random);
  return photon;
}

bool enters(const PlainPanel& panel, Photon& photon, Pcg& random) {
  const float gap = panel.gap_mm / photon.way[1];
  photon.at = {photon.at[0] + gap * photon.way[0], 0.0f, photon.at[2] + gap * photon.way[2]};
  if (photon.at[2] < 0.0f || photon.at[2] > panel.size_mm[2]) return false;
  if (random.next() < reflectance(1.0f / panel.index, photon.way[1])) return false;
  photon.way[0] /= panel.index;
  photon.way[2] /= panel.index;
  photon.way[1] = std::sqrt(1.0f - photon.way[0] * photon.way[0] - photon.way[2] * photon.way[2]);
  return true;
}

bool is_engraved(const PlainPanel& panel, float x_mm, float y_mm) {
  const float u = (x_mm - panel.art_corner_mm[0]) * panel.pixels_per_mm;
  const float v = (y_mm - panel.art_corner_mm[1]) * panel.pixels_per_mm;
  if (u < 0.0f || v < 0.0f) return false;
  const int column = static_cast<int>(u);
  const int row = static_cast<int>(v);
  if (column >= panel.columns || row >= panel.rows) return false;
  return panel.engraved[static_cast<std::size_t>(row * panel.columns + column)] != 0;
}

void count_front_exit(const PlainPanel& panel, const Photon& photon, PlainCounts& counts) {
  const float x = panel.index * photon.way[0];
  const float y = panel.index * photon.way[1];
  if (1.0f - x * x - y * y < static_cast<float>(kEyeConeCos * kEyeConeCos)) return;
  counts.toward_eye.push_back({photon.at[0], photon.at[1]});
}

void follow(const PlainPanel& panel, Photon photon, Pcg& random, PlainCounts& counts) {
  float left_mm = -std::log(1.0f - random.next()) / panel.absorption_per_mm;
  while (true) {
    // The nearest of the six walls.
    std::size_t axis = 0;
    float distance = 1e30f;
    for (std::size_t k = 0; k < 3; ++k) {
      const float wall = photon.way[k] > 0.0f ? panel.size_mm[k] : 0.0f;
      const float there = (wall - photon.at[k]) / photon.way[k];
      if (there < distance) {
        distance = there;
        axis = k;
      }
    }
    left_mm -= distance;
    if (left_mm < 0.0f) {
      ++counts.absorbed;
      return;
    }
    for (std::size_t k = 0; k < 3; ++k) photon.at[k] += distance * photon.way[k];
    const bool far = photon.way[axis] > 0.0f;
    photon.at[axis] = far ? panel.size_mm[axis] : 0.0f;
    ++counts.surfaces_met;
    const std::size_t surface = 2 * axis + (far ? 1 : 0);

    if (surface == 4 && is_engraved(panel, photon.at[0], photon.at[1])) {
      if (random.next() < panel.frost_transmits) {
        ++counts.exits[surface];
        return;
      }
      scatter(photon, 2, 1.0f, random);
      continue;
    }
    const float reflected = reflectance(panel.index, std::abs(photon.way[axis]));
    if (reflected == 1.0f || random.next() < reflected) {
      photon.way[axis] = -photon.way[axis];
      continue;
    }
    ++counts.exits[surface];
    if (surface == 5) count_front_exit(panel, photon, counts);
    return;
  }
}

void draw_art(const Model& model, PlainPanel& panel) {
  const Coverage& coverage = model.layers.front().coverage;
  const Vec2 corner = coverage.lower_left_mm();
  panel.art_corner_mm = {static_cast<float>(corner.x()), static_cast<float>(corner.y())};
  panel.pixels_per_mm = static_cast<float>(1.0 / coverage.pixel_mm());
  panel.columns = coverage.columns();
  panel.rows = coverage.rows();
  for (int row = 0; row < panel.rows; ++row) {
    for (int column = 0; column < panel.columns; ++column) {
      const Vec2 middle = corner + Vec2(column + 0.5, row + 0.5) * coverage.pixel_mm();
      panel.engraved.push_back(coverage.at(middle.x(), middle.y()) >= 0.5 ? 1 : 0);
    }
  }
}

}  // namespace

PlainPanel plain_panel(const Model& model) {
  const auto plain = [](double value) { return static_cast<float>(value); };
  const LedRow& row = model.lamps.front();
  const double reflectance_of_frost = model.layers.front().mark.rough.frost_reflectance;
  PlainPanel panel;
  panel.size_mm = {plain(model.outline.size_mm.x()), plain(model.outline.size_mm.y()),
                   plain(model.thickness_mm)};
  panel.index = plain(model.sheet.index);
  panel.absorption_per_mm = plain(model.sheet.absorption_per_mm);
  panel.leds = row.count;
  panel.led_pitch_mm = plain(row.pitch_mm);
  panel.emitter_mm = {plain(row.emitter_mm.x()), plain(row.emitter_mm.y())};
  panel.gap_mm = plain(row.gap_mm);
  panel.frost_transmits =
      plain((1.0 - reflectance_of_frost) / (model.sheet.index * model.sheet.index));
  draw_art(model, panel);
  return panel;
}

PlainCounts plain_zigzag(const PlainPanel& panel, std::uint64_t seed, std::uint64_t photons) {
  Pcg random{seed * 0x9e3779b97f4a7c15u + 1};
  PlainCounts counts;
  for (std::uint64_t k = 0; k < photons; ++k) {
    Photon photon = emitted(panel, random);
    if (enters(panel, photon, random)) {
      follow(panel, photon, random, counts);
    } else {
      ++counts.missed;
    }
  }
  return counts;
}

}  // namespace rimeglow::bench
