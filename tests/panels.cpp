#include "panels.h"

#include <cmath>
#include <memory>

#include "sides.h"

namespace rimeglow::panels {

Model clear_panel(const Vec2& size_mm, double thickness_mm, double index, double corner_radius_mm) {
  Model model;
  model.outline = rounded_rectangle(size_mm.x(), size_mm.y(), corner_radius_mm);
  model.thickness_mm = thickness_mm;
  model.sheet = {index, 0.0};
  model.edge_finish.resize(model.outline.edges.size());
  return model;
}

Model panel_of(const Outline& outline, double thickness_mm, double index) {
  Model model;
  model.outline = outline;
  model.thickness_mm = thickness_mm;
  model.sheet = {index, 0.3 / kMmPerM};
  model.edge_finish.resize(outline.edges.size());
  return model;
}

LedRow six_leds(const Outline& outline) {
  const OutlinePiece seat = *straight_piece(outline, kBottom);
  LedRow row;
  row.centre_mm = 0.5 * (seat.start_mm + seat.end_mm);
  row.along = (seat.end_mm - seat.start_mm).normalized();
  row.count = 6;
  row.pitch_mm = seat.length_mm / 6.0;
  row.emitter_mm = {std::min(2.8, row.pitch_mm), 2.8};
  row.gap_mm = 0.5;
  row.flux_each_lm = 9.0;
  row.cut_mm = cut_from_seat_mm(outline, kBottom);
  return row;
}

LedRow strip_light(const Model& model, const Vec2& emitter_mm, double gap_mm) {
  LedRow row;
  row.centre_mm = {0.5 * model.outline.size_mm.x(), 0.0};
  row.count = 1;
  row.pitch_mm = emitter_mm.x();
  row.emitter_mm = emitter_mm;
  row.gap_mm = gap_mm;
  row.flux_each_lm = 100.0;
  return row;
}

LedRow whole_edge_light(const Model& model) {
  const OutlinePiece line = *straight_piece(model.outline, kBottom);
  return strip_light(model, {line.length_mm, model.thickness_mm}, 0.0);
}

Model sign_blank() {
  Model model = clear_panel({127.0, 127.0}, 3.0, 1.49);
  model.sheet.absorption_per_mm = 0.3 / kMmPerM;
  model.sheet.absorption_guessed = true;
  LedRow row = strip_light(model, {2.8, 2.8}, 0.5);
  row.count = 6;
  row.pitch_mm = 21.17;
  row.flux_each_lm = 9.0;
  model.lamps = {row};
  return model;
}

namespace {

double fraction(double value) { return value - std::floor(value); }

bool on_line(double along_mm) {
  constexpr double kPitch_mm = 7.0;
  return fraction(along_mm / kPitch_mm) * kPitch_mm < 0.3;
}

}  // namespace

Art lines() {
  return [](double x, double y) { return on_line(x) || on_line(y) ? 1.0 : 0.0; };
}

Art squares() {
  constexpr double kPitch_mm = 20.0;
  constexpr double kSide_mm = 11.7;
  return [](double x, double y) {
    const double right = fraction(x / kPitch_mm) * kPitch_mm;
    const double up = fraction(y / kPitch_mm) * kPitch_mm;
    return right < kSide_mm && up < kSide_mm ? 1.0 : 0.0;
  };
}

Art mixed() {
  return [line = lines(), square = squares()](double x, double y) {
    return x < 63.5 ? line(x, y) : square(x, y);
  };
}

Art everywhere() {
  return [](double, double) { return 1.0; };
}

Coverage burnt(const Art& art, const Vec2& lower_left_mm, const Vec2& upper_right_mm,
               double pixel_mm) {
  const Vec2 size_mm = upper_right_mm - lower_left_mm;
  Drawing drawing;
  drawing.columns = static_cast<int>(std::lround(size_mm.x() / pixel_mm));
  drawing.rows = static_cast<int>(std::lround(size_mm.y() / pixel_mm));
  drawing.pixel_mm = pixel_mm;
  drawing.origin_mm = lower_left_mm;
  for (int row = 0; row < drawing.rows; ++row) {
    for (int column = 0; column < drawing.columns; ++column) {
      const double x_mm = lower_left_mm.x() + (column + 0.5) * pixel_mm;
      const double y_mm = lower_left_mm.y() + (row + 0.5) * pixel_mm;
      drawing.tone.push_back(static_cast<std::uint8_t>(std::lround(255.0 * art(x_mm, y_mm))));
    }
  }
  return Coverage(std::move(drawing));
}

void engrave(Model& model, Side side, const Finish& mark, const Art& art, const Vec2& lower_left_mm,
             const Vec2& upper_right_mm) {
  model.art_side = side;
  model.art_lower_left_mm = lower_left_mm;
  model.art_upper_right_mm = upper_right_mm;
  model.layers.push_back({mark, burnt(art, lower_left_mm, upper_right_mm)});
}

Finish ground(double alpha, double frost_share) {
  Finish finish;
  finish.kind = Finish::Kind::rough;
  finish.rough.slopes = {alpha, alpha, SlopeLaw::ggx};
  finish.rough.frost_share = frost_share;
  finish.rough.frost_reflectance = 0.3;
  return finish;
}

Finish black_paint() {
  Finish finish;
  finish.kind = Finish::Kind::painted;
  finish.paint_reflectance = 0.0;
  return finish;
}

Finish backed(const Finish& interface, Backing::Kind kind, double reflectance) {
  Finish finish = interface;
  finish.backing = Backing{kind, reflectance};
  return finish;
}

Viewer eye(double up_deg, double left_deg, Side side) {
  const double out = side == Side::front ? 1.0 : -1.0;
  const double up = radians(up_deg);
  const double left = radians(left_deg);
  const Vec3 toward(
      -std::sin(left), std::sin(up),
      out * std::sqrt(1.0 - std::sin(left) * std::sin(left) - std::sin(up) * std::sin(up)));
  const std::string face = side == Side::front ? "front" : "back";
  return {face + ", " + std::to_string(std::lround(up_deg)) + " up, " +
              std::to_string(std::lround(left_deg)) + " left",
          toward};
}

Run traced(const Model& model, int photons, std::uint64_t seed) {
  RunSettings settings;
  settings.seed = seed;
  settings.threads = 1;
  settings.response_walks = table_walks(kTableWalks);
  settings.room_rays = kFewRoomRays;
  Run run = start(std::make_shared<const Model>(model), settings);
  advance(run, static_cast<std::uint64_t>(photons));
  return run;
}

Estimate ledger_share(const Run& run, int entry) {
  return glow_of(run).ledger[static_cast<std::size_t>(entry)].of_emitted;
}

Estimate edge_share(const Run& run, int edge) { return ledger_share(run, kFirstEdgeEntry + edge); }

}  // namespace rimeglow::panels
