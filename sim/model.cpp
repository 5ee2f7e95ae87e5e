#include "model.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "panel_shape.h"
#include "sides.h"
#include "spectrum.h"
#include "units.h"

namespace rimeglow {
namespace {

Finish finish_of(const EdgeSpec& edge) {
  Finish finish;
  switch (edge.kind) {
    case EdgeSpec::Kind::polished:
      break;
    case EdgeSpec::Kind::ground:
    case EdgeSpec::Kind::sanded:
    case EdgeSpec::Kind::laser_cut:
    case EdgeSpec::Kind::sawn: {
      const Roughness roughness = roughness_of(edge);
      finish.kind = Finish::Kind::rough;
      finish.rough.slopes = {roughness.alpha.x(), roughness.alpha.y(), edge.law};
      finish.rough.alpha_span = roughness.span;
      break;
    }
    case EdgeSpec::Kind::painted:
    case EdgeSpec::Kind::white_tape:  // its glue wets the edge
      finish.kind = Finish::Kind::painted;
      finish.paint_reflectance = edge.reflectance;
      break;
    case EdgeSpec::Kind::mirror_tape:
      finish.backing = Backing{Backing::Kind::mirror, edge.reflectance};
      break;
    case EdgeSpec::Kind::white_card:
      finish.backing = Backing{Backing::Kind::white, edge.reflectance};
      break;
  }
  return finish;
}

// A row stands at the seat of its edge, its middle where the place along the panel's x or y says.
LedRow row_of(const LampSpec& lamp, const Outline& outline) {
  LedRow row;
  row.edge = *outline.edge_named(lamp.edge);
  const OutlinePiece seat = *straight_piece(outline, row.edge);
  row.along = (seat.end_mm - seat.start_mm).normalized();
  row.centre_mm = 0.5 * (seat.start_mm + seat.end_mm);
  if (lamp.centre_mm) {
    const int axis = row.edge % 2 == 0 ? 0 : 1;
    row.centre_mm += (*lamp.centre_mm - row.centre_mm[axis]) / row.along[axis] * row.along;
  }
  row.count = lamp.count;
  row.pitch_mm = lamp.pitch_mm;
  row.emitter_mm = lamp.emitter_mm;
  row.gap_mm = lamp.gap_mm;
  // Half of the intensity at half the beam angle: cos^m = 1/2.
  row.cosine_power = -std::log(2.0) / std::log(std::cos(0.5 * lamp.beam_angle_rad));
  if (std::abs(row.cosine_power - 1.0) < 1e-12) row.cosine_power = 1.0;  // 120 degrees, Lambertian
  row.far_field = lamp.far_field;
  row.flux_each_lm = flux_each_lm(lamp);
  row.flux_guessed = is_flux_guessed(lamp);
  if (outline.chamfered()) row.cut_mm = cut_from_seat_mm(outline, row.edge);
  return row;
}

void add_lamps(const Scene& scene, Model& model) {
  model.channels.clear();
  std::vector<Spectrum> spectra;
  for (const LampSpec& lamp : scene.lamps) {
    LedRow row = row_of(lamp, model.outline);
    const Spectrum spectrum = spectrum_of(lamp);
    const auto known = std::find(spectra.begin(), spectra.end(), spectrum);
    row.channel = static_cast<std::size_t>(known - spectra.begin());
    if (known == spectra.end()) {
      spectra.push_back(spectrum);
      model.channels.push_back({tristimulus(spectrum)});
    }
    model.lamps.push_back(row);
  }
}

Sheet sheet_of(const Scene& scene) {
  double index = 0.0;
  double flux_lm = 0.0;
  for (const LampSpec& lamp : scene.lamps) {
    const double row_lm = lamp.count * flux_each_lm(lamp);
    index += row_lm * luminous_index(spectrum_of(lamp));
    flux_lm += row_lm;
  }
  const double absorption_per_m =
      scene.panel.absorption_per_m.value_or(kCastAcrylicAbsorption.usual_per_m);
  return {scene.panel.index.value_or(index / flux_lm), absorption_per_m / kMmPerM,
          scene.panel.scattering_per_m / kMmPerM, scene.panel.asymmetry,
          !scene.panel.absorption_per_m};
}

std::vector<Viewer> viewers_of(const Scene& scene) {
  const auto toward = [](double above_rad, double left_rad, Side side) {
    const double z = std::cos(above_rad) * std::cos(left_rad);
    return Vec3(-std::cos(above_rad) * std::sin(left_rad), std::sin(above_rad),
                side == Side::front ? z : -z);
  };
  const auto& [straight, seated, left, behind] = kUsualViewers;
  std::vector<Viewer> viewers = {{straight, toward(0.0, 0.0, Side::front)},
                                 {seated, toward(kSeatedAbove_rad, 0.0, Side::front)},
                                 {left, toward(0.0, kFromLeft_rad, Side::front)},
                                 {behind, toward(0.0, 0.0, Side::back)}};
  for (const auto& [name, viewer] : scene.viewers) {
    viewers.push_back({name, toward(viewer.above_rad, viewer.left_rad, viewer.side)});
  }
  return viewers;
}

// Up to the next tenth of a millimetre: nobody places art more finely, and to move it by as much is
// enough.
std::string reach_text(double reach_mm) {
  return length_text(std::max(1.0, std::ceil(10.0 * reach_mm - 1e-6)) / 10.0);
}

// Whether what is fired lies inside the four sides of the panel's box, and above the slots.
std::vector<Problem> check_reach(const Scene& scene, const Model& model, const ArtBox& fired) {
  std::vector<Problem> problems;
  const Vec2 low = fired.lower_left_mm;
  const Vec2 high = model.outline.size_mm - fired.upper_right_mm;
  const std::array<double, kSides> inside_mm = {low.y(), high.x(), high.y(), low.x()};
  for (std::size_t side = 0; side < kSides; ++side) {
    if (inside_mm[side] >= 0.0) continue;
    problems.push_back({"art.centre", 0,
                        "the art reaches " + reach_text(-inside_mm[side]) + " beyond the panel's " +
                            model.outline.edges[side].name + " edge",
                        "move art.centre or make art.width smaller"});
  }
  for (std::size_t i = 0; i < model.lamps.size(); ++i) {
    const double above_mm = above_edge_mm(fired, model.lamps[i]);
    const int edge = model.lamps[i].edge;
    const bool told = std::any_of(model.lamps.begin(), model.lamps.begin() + static_cast<long>(i),
                                  [&](const LedRow& lamp) { return lamp.edge == edge; });
    const bool beyond = inside_mm[static_cast<std::size_t>(edge)] < 0.0;
    if (told || beyond || above_mm >= scene.slot_depth_mm) continue;
    problems.push_back({"art.centre", 0,
                        "the art reaches " + reach_text(scene.slot_depth_mm - above_mm) +
                            " into the slot at the " + scene.lamps[i].edge +
                            " edge, where nobody sees it",
                        "move art.centre, make art.width smaller, or check base.slot_depth"});
  }
  return problems;
}

Problem beyond_the_rim(const Scene& scene) {
  if (scene.panel.shape) {
    return {"art.centre", 0, "the art reaches beyond the panel's outline",
            "move art.centre or make art.width smaller"};
  }
  return {"art.centre", 0, "the art is cut off by a rounded corner",
          "move art.centre, make art.width or panel.corner_radius smaller"};
}

Problem over_a_chamfer() {
  return {"art.centre", 0, "the art reaches over a chamfer of the face it is engraved on",
          "move art.centre, make art.width or the chamfer smaller, or engrave the other face"};
}

}  // namespace

bool is_flux_guessed(const LampSpec& lamp) { return !(lamp.flux_each_lm > 0.0) && !lamp.far_field; }

double flux_each_lm(const LampSpec& lamp) {
  if (lamp.flux_each_lm > 0.0) return lamp.flux_each_lm;
  if (lamp.far_field) return lamp.far_field->flux_lm();
  if (!lamp.current_each_ma) return 0.0;
  constexpr double kWhite = 0.35, kRed = 0.065, kGreen = 0.105, kBlue = 0.03;  // lm/mA
  const double wavelength_nm = lamp.wavelength_nm.value_or(0.0);
  const double lm_per_ma = !lamp.wavelength_nm     ? kWhite
                           : wavelength_nm < 495.0 ? kBlue
                           : wavelength_nm < 575.0 ? kGreen
                                                   : kRed;
  return lm_per_ma * *lamp.current_each_ma;
}

Spectrum spectrum_of(const LampSpec& lamp) {
  return lamp.wavelength_nm ? coloured_led(*lamp.wavelength_nm) : white_led(lamp.colour_k);
}

double Model::flux_lm() const {
  double sum = 0.0;
  for (const LedRow& row : lamps) sum += row.count * row.flux_each_lm;
  return sum;
}

bool Model::has_scored() const {
  return std::any_of(layers.begin(), layers.end(), [](const Layer& layer) { return layer.scored; });
}

bool Model::has_rastered() const {
  return std::any_of(layers.begin(), layers.end(),
                     [](const Layer& layer) { return !layer.scored; });
}

std::optional<std::size_t> Model::viewer_named(const std::string& name) const {
  for (std::size_t i = 0; i < viewers.size(); ++i) {
    if (viewers[i].name == name) return i;
  }
  return std::nullopt;
}

EdgeSpec edge_spec(const Scene& scene, const Outline& outline, int edge) {
  const auto& chamfer = outline.edges[static_cast<std::size_t>(edge)].chamfer;
  const int of = chamfer ? chamfer->of : edge;
  EdgeSpec spec = scene.edge(outline.edges[static_cast<std::size_t>(of)].name);
  if (chamfer && spec.chamfer_kind) {
    spec.kind = *spec.chamfer_kind;
    spec.grit = spec.chamfer_grit;
    spec.alpha = {};
  }
  return spec;
}

Roughness roughness_of(const EdgeSpec& edge) {
  Roughness roughness{{0.3, 0.3}};
  if (edge.kind == EdgeSpec::Kind::sanded) roughness = sanded(*grain_um(edge.grit), edge.stroke);
  if (edge.kind == EdgeSpec::Kind::laser_cut) roughness = laser_cut();
  if (edge.kind == EdgeSpec::Kind::sawn) roughness = sawn();
  if (edge.alpha) roughness = {*edge.alpha};
  return roughness;
}

BuiltModel build_model(const Scene& scene, const std::vector<Drawing>& drawings,
                       const std::optional<Drawing>& densities, const IsWanted& is_wanted) {
  auto model = std::make_shared<Model>();
  model->outline = scene_outline(scene);
  model->thickness_mm = scene.panel.thickness_mm;
  model->sheet = sheet_of(scene);
  for (std::size_t e = 0; e < model->outline.edges.size(); ++e) {
    model->edge_finish.push_back(finish_of(edge_spec(scene, model->outline, static_cast<int>(e))));
  }
  add_lamps(scene, *model);
  model->viewers = viewers_of(scene);
  model->base = {scene.base_wall, scene.slot_depth_mm, scene.base_contact};
  model->room = {scene.room_cd_m2, scene.backdrop};

  if (drawings.empty()) return {std::move(model), {}};
  const ArtBox box = box_of(drawings);
  const Density density = densities ? density_over(box, *densities) : Density{};
  model->art_lower_left_mm = box.lower_left_mm;
  model->art_upper_right_mm = box.upper_right_mm;
  model->art_side = scene.art->face;
  const Outline face = face_outline(model->outline, model->art_side, kCoarseSagitta_mm);
  for (const LayerArt& art :
       layer_art(scene, drawings, densities ? Burning::by_density : Burning::in_full, is_wanted)) {
    const Drawing dots = fired(art, density, is_wanted);
    const std::optional<ArtBox> reached = fired_box(dots);
    std::vector<Problem> problems;
    if (reached) problems = check_reach(scene, *model, *reached);
    if (problems.empty() && !fits_rim(dots, face)) {
      problems.push_back(fits_rim(dots, model->outline) ? over_a_chamfer() : beyond_the_rim(scene));
    }
    if (!problems.empty()) return {nullptr, std::move(problems)};
    model->layers.push_back(burnt_layer(art, dots, is_wanted));
  }
  return {std::move(model), {}};
}

}  // namespace rimeglow
