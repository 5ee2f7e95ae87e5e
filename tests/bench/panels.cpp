#include "panels.h"

#include <cmath>
#include <filesystem>
#include <stdexcept>

#include "scene_files.h"

namespace rimeglow::bench {
namespace {

constexpr double kPanel_mm = 127.0;
const Vec2 kArtLowerLeft_mm = {10.0, 16.0};
const Vec2 kArtUpperRight_mm = {117.0, 117.0};
constexpr double kLineShare = 0.084;  // of the art's box
constexpr int kAcross = 5;

Vec2 box_mm() { return kArtUpperRight_mm - kArtLowerLeft_mm; }

// A number in [0, 1) that looks random, from two whole numbers (Steele, Lea, Flood 2014's mixer).
double scattered(std::uint64_t a, std::uint64_t b) {
  std::uint64_t x = a * 0x9e3779b97f4a7c15u + b * 0xbf58476d1ce4e5b9u + 1;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
  x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
  return static_cast<double>((x ^ (x >> 31)) >> 11) * 0x1p-53;
}

}  // namespace

Art lines() {
  constexpr double kWidth_mm = 0.3;
  const Vec2 middle = 0.5 * (kArtLowerLeft_mm + kArtUpperRight_mm);
  return [middle](const Vec2& point_mm) {
    const double rings = (point_mm - middle).norm() * kLineShare / kWidth_mm;
    return rings - std::floor(rings) < kLineShare;
  };
}

Art discs() {
  constexpr double kShare = 0.34;
  const Vec2 patch = box_mm() / kAcross;
  const double radius2 = kShare * patch.x() * patch.y() / kPi;
  return [patch, radius2](const Vec2& point_mm) {
    const Vec2 at = (point_mm - kArtLowerLeft_mm).cwiseQuotient(patch);
    const Vec2 from_middle(at.x() - std::floor(at.x()) - 0.5, at.y() - std::floor(at.y()) - 0.5);
    return from_middle.cwiseProduct(patch).squaredNorm() < radius2;
  };
}

Art squares(int strokes) {
  const int across = static_cast<int>(std::lround(std::sqrt(strokes)));
  const Vec2 lot = box_mm() / across;
  const double side = std::sqrt(kLineShare);  // of its lot; somewhere in it
  return [lot, side](const Vec2& point_mm) {
    const Vec2 at = (point_mm - kArtLowerLeft_mm).cwiseQuotient(lot);
    const Vec2 corner(std::floor(at.x()), std::floor(at.y()));
    const auto column = static_cast<std::uint64_t>(corner.x());
    const auto row = static_cast<std::uint64_t>(corner.y());
    const double x = at.x() - corner.x() - scattered(2 * column, row) * (1.0 - side);
    const double y = at.y() - corner.y() - scattered(2 * column + 1, row) * (1.0 - side);
    return x >= 0.0 && x < side && y >= 0.0 && y < side;
  };
}

Drawing drawn(const Art& art, double dots_per_inch) {
  Drawing drawing;
  drawing.pixel_mm = kMmPerInch / dots_per_inch;
  drawing.origin_mm = kArtLowerLeft_mm;
  drawing.columns = static_cast<int>(box_mm().x() / drawing.pixel_mm);
  drawing.rows = static_cast<int>(box_mm().y() / drawing.pixel_mm);
  for (int row = 0; row < drawing.rows; ++row) {
    for (int column = 0; column < drawing.columns; ++column) {
      const Vec2 point = drawing.origin_mm + Vec2(column + 0.5, row + 0.5) * drawing.pixel_mm;
      drawing.tone.push_back(art(point) ? 255 : 0);
    }
  }
  return drawing;
}

Finish standard_mark() {
  Finish mark;
  mark.kind = Finish::Kind::rough;
  mark.rough = {{0.5, 0.5}, 0.3, 0.3};
  return mark;
}

Finish frost() {
  Finish mark = standard_mark();
  mark.rough.frost_share = 1.0;
  return mark;
}

std::shared_ptr<const Model> panel(const Drawing& drawing, const Finish& mark) {
  Model model;
  model.outline = rounded_rectangle(kPanel_mm, kPanel_mm, 0.0);
  model.thickness_mm = 3.0;
  model.sheet = {1.49, 0.3e-3};
  model.edge_finish.resize(model.outline.edges.size());
  model.art_side = Side::back;
  model.layers.push_back({mark, Coverage(drawing)});
  model.art_lower_left_mm = kArtLowerLeft_mm;
  model.art_upper_right_mm = kArtUpperRight_mm;
  LedRow row;
  row.centre_mm = {0.5 * kPanel_mm, 0.0};
  row.count = 6;
  row.pitch_mm = 21.17;
  row.emitter_mm = {2.8, 2.8};
  row.gap_mm = 0.5;
  row.flux_each_lm = 9.0;
  model.lamps.push_back(row);
  const auto eye = [](double up, double left) {
    return Vec3(-left, up, std::sqrt(1.0 - up * up - left * left));
  };
  model.viewers = {{"straight", eye(0.0, 0.0)},
                   {"seated", eye(0.3, 0.0)},
                   {"left", eye(0.0, 0.5)},
                   {"behind", -Vec3::UnitZ()}};
  return std::make_shared<const Model>(std::move(model));
}

std::shared_ptr<const Model> star_map() {
  const LoadedScene scene =
      load_scene(std::filesystem::path(RIMEGLOW_SCENES_DIR) / "star-map.toml", {});
  if (!scene.model) throw std::runtime_error(problems_text(scene));
  return scene.model;
}

std::optional<std::size_t> patch_at(const Model& model, double x_mm, double y_mm) {
  const Vec2 box = model.art_upper_right_mm - model.art_lower_left_mm;
  const double u = (x_mm - model.art_lower_left_mm.x()) / box.x() * kAcross;
  const double v = (y_mm - model.art_lower_left_mm.y()) / box.y() * kAcross;
  if (!(u >= 0.0 && v >= 0.0 && u < kAcross && v < kAcross)) return std::nullopt;
  return static_cast<std::size_t>(v) * kAcross + static_cast<std::size_t>(u);
}

}  // namespace rimeglow::bench
