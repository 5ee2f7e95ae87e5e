#include "surroundings.h"

#include <algorithm>
#include <cmath>

#include "base.h"
#include "measures.h"
#include "sampling.h"

namespace rimeglow {
namespace {

// A base of wood or dark plastic about the slot, on a wooden table, and how far behind a wall close
// behind is.
constexpr double kRim_mm = 9.0;
constexpr double kBelow_mm = 14.0;
constexpr double kBody = 0.2;
constexpr double kTable = 0.35;
constexpr double kBackdrop_mm = 40.0;
constexpr double kOnBlock_mm = 1e-6;
// Table and backdrop end so far away that an eye a metre above the table misses a thousandth of a
// pixel of it below the horizon.
constexpr double kEnd_mm = 1e9;

// Two facets. As seen by who they face, the corners go round to the left.
void add_rectangle(const std::array<Vec3, 4>& corners, Surroundings::Thing thing,
                   std::vector<Triangle>& triangles) {
  const auto& [a, b, c, d] = corners;
  const Vec3 normal = (b - a).cross(c - b).normalized();
  triangles.push_back({{a, b, c}, normal, static_cast<int>(thing)});
  triangles.push_back({{a, c, d}, normal, static_cast<int>(thing)});
}

// What a base's walls keep, 1 - R of what meets them, says what they throw back, by channel: spread
// evenly over them.
std::vector<double> lit_walls_cd_m2(const Run& run, const LedRow& row) {
  const Model& model = *run.model;
  const BatchTotals kept(run, &BatchSums::walls);
  const double area_mm2 =
      straight_piece(model.outline, row.edge)->length_mm * Cavity(row, model.thickness_mm).walls_mm;
  const double cd_m2_per_share = model.base.wall / (1.0 - model.base.wall) * model.flux_lm() *
                                 kLedgerUnit / (kPi * area_mm2 * kM2PerMm2);
  std::vector<double> cd_m2;
  for (std::size_t channel = 0; channel < model.channels.size(); ++channel) {
    const std::size_t index =
        channel * model.outline.edges.size() + static_cast<std::size_t>(row.edge);
    cd_m2.push_back(cd_m2_per_share * kept.per_photon(index, kEveryBatch));
  }
  return cd_m2;
}

}  // namespace

Surroundings::Surroundings(const Run& run)
    : run_(run), blocks_(blocks_of(*run.model)), facets_(triangles()), back_lm_(back_lm(run)) {
  if (!reflects(run.model->base)) return;
  for (Block& block : blocks_) block.walls_cd_m2 = lit_walls_cd_m2(run, *block.row);
}

std::vector<Surroundings::Block> Surroundings::blocks_of(const Model& model) {
  std::vector<Block> blocks;
  for (const LedRow& row : model.lamps) {
    const bool known = std::any_of(blocks.begin(), blocks.end(),
                                   [&](const Block& block) { return block.row->edge == row.edge; });
    const auto line = straight_piece(model.outline, row.edge);
    if (known || !line) continue;
    Block block;
    block.row = &row;
    block.frame = base_frame(row);
    const Vec2 middle = 0.5 * (line->start_mm + line->end_mm);
    block.origin_mm = Vec3(middle.x(), middle.y(), 0.5 * model.thickness_mm);
    // As wide as the whole panel along this edge, rounded corners and all.
    const double half = 0.5 * std::abs(row.along.dot(model.outline.size_mm)) + kRim_mm;
    const double depth = 0.5 * model.thickness_mm + kRim_mm;
    block.low_mm = Vec3(-half, -depth, -row.gap_mm - kBelow_mm);
    block.high_mm = Vec3(half, depth, model.base.slot_depth_mm);
    blocks.push_back(block);
  }
  return blocks;
}

std::array<Vec3, 8> Surroundings::Block::corners_mm() const {
  std::array<Vec3, 8> corners = box_corners(low_mm, high_mm);
  for (Vec3& corner : corners) corner = origin_mm + frame.to_world(corner);
  return corners;
}

std::vector<Vec3> base_corners(const Model& model) {
  std::vector<Vec3> all;
  for (const Surroundings::Block& block : Surroundings::blocks_of(model)) {
    const std::array<Vec3, 8> corners = block.corners_mm();
    all.insert(all.end(), corners.begin(), corners.end());
  }
  return all;
}

std::vector<Triangle> Surroundings::triangles() const {
  std::vector<Triangle> triangles;
  double table_y_mm = 0.0;
  for (const Block& block : blocks_) {
    const std::array<Vec3, 8> corner = block.corners_mm();
    for (const unsigned k : {0U, 1U, 2U}) {
      const unsigned out = 1U << k;
      const unsigned a = 1U << (k + 1) % 3;
      const unsigned b = 1U << (k + 2) % 3;
      add_rectangle({corner[0], corner[b], corner[a | b], corner[a]}, Thing::body, triangles);
      add_rectangle({corner[out], corner[out | a], corner[7], corner[out | b]}, Thing::body,
                    triangles);
    }
    table_y_mm = std::min(table_y_mm, (block.origin_mm + block.low_mm.z() * block.frame.z).y());
  }
  const auto add_endless = [&](const Vec3& middle, const Vec3& right, const Vec3& up, Thing thing) {
    const Vec3 x = kEnd_mm * right;
    const Vec3 y = kEnd_mm * up;
    add_rectangle({middle - x - y, middle + x - y, middle + x + y, middle - x + y}, thing,
                  triangles);
  };
  if (!blocks_.empty()) {
    add_endless({0.0, table_y_mm, 0.0}, Vec3::UnitX(), -Vec3::UnitZ(), Thing::table);
  }
  if (run_.model->room.backdrop) {
    add_endless({0.0, 0.0, -kBackdrop_mm}, Vec3::UnitX(), Vec3::UnitY(), Thing::backdrop);
  }
  return triangles;
}

std::optional<Surroundings::Met> Surroundings::ahead(const Ray& ray, double reach_mm) const {
  const Facets::Ahead ahead = facets_.ahead(ray, Crossing::inward, reach_mm);
  if (ahead.distance_mm >= reach_mm || ahead.facet == nullptr) return std::nullopt;
  return Met{ahead.distance_mm, ahead.facet->normal, static_cast<Thing>(ahead.facet->id)};
}

double Surroundings::reflectance(Thing thing) const {
  if (thing == Thing::body) return kBody;
  return thing == Thing::table ? kTable : *run_.model->room.backdrop;
}

// Illuminance by the panel's back as a Lambertian rectangle of even light: the form factor from a
// point before one of its corners, summed over the four corners (Siegel and Howell, Thermal
// Radiation Heat Transfer, appendix of configuration factors).
double Surroundings::back_lm_per_mm2(const Vec3& point_mm, const Vec2& size_mm) const {
  const double gap = std::abs(point_mm.z());
  const auto corner = [gap](double a, double b) {
    const double x = std::abs(a) / gap;
    const double y = std::abs(b) / gap;
    const double rx = std::sqrt(1.0 + x * x);
    const double ry = std::sqrt(1.0 + y * y);
    const double factor = (x / rx * std::atan(y / rx) + y / ry * std::atan(x / ry)) / (2.0 * kPi);
    return std::copysign(factor, a) * (b < 0.0 ? -1.0 : 1.0);
  };
  const double left = point_mm.x();
  const double right = size_mm.x() - point_mm.x();
  const double below = point_mm.y();
  const double above = size_mm.y() - point_mm.y();
  const double seen =
      corner(left, below) + corner(right, below) + corner(left, above) + corner(right, above);
  return std::max(0.0, seen) * back_lm_ / (size_mm.x() * size_mm.y());
}

// Light seen out of the lit edge: an LED, or the walls of the cavity.
void Surroundings::add_inside(const Block& block, const Ray& ray, double factor,
                              std::span<double> light) const {
  const Model& model = *run_.model;
  const Vec3 point = block.frame.to_local(ray.origin_mm - block.origin_mm);
  const Vec3 direction = block.frame.to_local(ray.direction);
  const auto line = straight_piece(model.outline, block.row->edge);
  const bool at_edge = point.z() <= kOnBlock_mm;
  // Between sheet and LEDs, where a chamfer leaves room.
  const bool at_chamfer = std::abs(point.x()) < 0.5 * line->length_mm - kOnBlock_mm &&
                          std::abs(point.y()) < 0.5 * model.thickness_mm - kOnBlock_mm;
  if (direction.z() >= 0.0 || !(at_edge || at_chamfer)) return;  // a slot's wall beside the panel
  for (const LedRow& row : model.lamps) {
    if (row.edge != block.row->edge) continue;
    const Vec3 there = point + direction * ((-row.gap_mm - point.z()) / direction.z());
    const Vec3 centre = block.frame.to_local(
        Vec3(row.centre_mm.x(), row.centre_mm.y(), block.origin_mm.z()) - block.origin_mm);
    const double along = there.x() - centre.x() + 0.5 * (row.count - 1) * row.pitch_mm;
    const double led = std::clamp(std::round(along / row.pitch_mm), 0.0, row.count - 1.0);
    if (std::abs(along - led * row.pitch_mm) > 0.5 * row.emitter_mm.x() ||
        std::abs(there.y()) > 0.5 * row.emitter_mm.y()) {
      continue;
    }
    // Back along the ray, in the lamp's own frame, whose y is the panel's z.
    const Vec3 out(-direction.x(), direction.y(), -direction.z());
    const double density =
        row.far_field ? row.far_field->pdf(out) : pdf_cosine_power(row.cosine_power, out);
    const double area_m2 = row.emitter_mm.x() * row.emitter_mm.y() * kM2PerMm2;
    light[row.channel] += factor * row.flux_each_lm * density / (out.z() * area_m2);
    return;
  }
  for (std::size_t channel = 0; channel < block.walls_cd_m2.size(); ++channel) {
    light[channel] += factor * block.walls_cd_m2[channel];
  }
}

void Surroundings::add(const Ray& ray, double factor, std::span<double> light) const {
  const Model& model = *run_.model;
  double& room = light.back();
  for (const Block& block : blocks_) {
    const Vec3 point = block.frame.to_local(ray.origin_mm - block.origin_mm);
    const bool within = (point - block.low_mm).minCoeff() > -kOnBlock_mm &&
                        (block.high_mm - point).minCoeff() > -kOnBlock_mm;
    if (within) return add_inside(block, ray, factor, light);
  }
  const std::optional<Met> met = ahead(ray);
  if (!met) {
    room += factor * model.room.cd_m2;
    return;
  }
  // Upright things see half room and half table.
  const double open = 0.5 * (1.0 + std::clamp(met->normal.y(), -1.0, 1.0));
  const double around = open + (1.0 - open) * (blocks_.empty() ? 1.0 : kTable);
  const double returned = factor * reflectance(met->thing);
  room += returned * around * model.room.cd_m2;
  if (met->thing == Thing::backdrop) {
    const Vec3 point = ray.origin_mm + met->distance_mm * ray.direction;
    const double lux = back_lm_per_mm2(point, model.outline.size_mm) / kM2PerMm2;
    // The lamps' channels share it by their flux.
    for (const LedRow& row : model.lamps) {
      light[row.channel] += returned * lux / kPi * row.count * row.flux_each_lm / model.flux_lm();
    }
  }
}

}  // namespace rimeglow
