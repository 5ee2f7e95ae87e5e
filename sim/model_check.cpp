// What in a scene does not fit together: part of model.h.
#include <algorithm>
#include <cmath>

#include "model.h"
#include "panel_shape.h"
#include "schema.h"
#include "sides.h"
#include "units.h"

namespace rimeglow {
namespace {

class Checker {
 public:
  explicit Checker(const Scene& scene) : scene_(scene), outline_(scene_outline(scene)) {}

  std::vector<Problem> check() {
    check_panel();
    if (scene_.art) check_art(*scene_.art);
    for (std::size_t i = 0; i < scene_.lamps.size(); ++i) check_lamp(scene_.lamps[i], i);
    if (scene_.edges.count("holes") && outline_.holes == 0) {
      complain("edges.holes", "the panel has no holes",
               "leave the line away, or check panel.outline");
    }
    check_prices(scene_.prices);
    check_viewers();
    check_even();
    if (problems_.empty()) problems_ = check_chamfers(outline_, scene_.panel.thickness_mm);
    return std::move(problems_);
  }

 private:
  void complain(const std::string& key, std::string what, std::string mend) {
    problems_.push_back({key, 0, std::move(what), std::move(mend)});
  }

  void check_panel() {
    const PanelSpec& panel = scene_.panel;
    const double most = 0.5 * std::min(panel.width_mm, panel.height_mm);
    if (!panel.shape && panel.corner_radius_mm >= most) {
      complain("panel.corner_radius",
               length_text(panel.corner_radius_mm) + " leaves no straight edge",
               "it must be below half the shorter side, " + length_text(most));
    }
    for (const LampSpec& lamp : scene_.lamps) {
      const bool is_upright = lamp.edge == "left" || lamp.edge == "right";
      const double reach_mm = is_upright ? panel.width_mm : panel.height_mm;
      if (scene_.slot_depth_mm < reach_mm) continue;
      return complain("base.slot_depth",
                      "the slot at the " + lamp.edge + " edge swallows the whole panel",
                      std::string("it must be below the panel's ") +
                          (is_upright ? "width, " : "height, ") + length_text(reach_mm));
    }
  }

  static bool is_usual_viewer(const std::string& name) {
    return std::find(kUsualViewers.begin(), kUsualViewers.end(), name) != kUsualViewers.end();
  }

  void check_viewers() {
    for (const auto& [name, viewer] : scene_.viewers) {
      if (!is_usual_viewer(name)) continue;
      complain("viewer." + name, "every scene has a viewer of this name already",
               "give yours another name");
    }
  }

  void check_even() {
    const std::string& viewer = scene_.even.viewer;
    if (scene_.viewers.count(viewer) > 0 || is_usual_viewer(viewer)) return;
    complain("even.viewer", "the scene has no viewer \"" + viewer + "\"",
             "name straight, seated, left, behind or a [viewer.NAME] of the scene");
  }

  // Resolutions are quoted in whole dpi, which are no whole micrometres.
  bool machine_has(double spacing_mm) const {
    if (!scene_.machine || scene_.machine->spacings_mm.empty()) return true;
    constexpr double kRounding = 0.002;
    return std::any_of(
        scene_.machine->spacings_mm.begin(), scene_.machine->spacings_mm.end(),
        [&](double has_mm) { return std::abs(has_mm / spacing_mm - 1.0) < kRounding; });
  }

  void check_prices(const PriceSpec& prices) {
    const std::pair<const char*, const std::optional<Money>&> all[] = {
        {"panel.price", prices.blank},
        {"base.price", prices.base},
        {"machine.rate", prices.laser_per_h},
        {"bench.rate", prices.bench_per_h}};
    const Money* first = nullptr;
    for (const auto& [key, money] : all) {
      if (money && first && money->currency != first->currency) {
        complain(key, "is in " + money->currency + ", other prices in " + first->currency,
                 "say all prices in one currency; none is converted");
      }
      if (money && !first) first = &*money;
    }
  }

  void check_art(const ArtSpec& art) {
    if (art.file.empty()) {
      complain("art.file", "is missing: which art is engraved",
               "add it, as in file = \"star-map.svg\"");
    }
    const std::vector<const MarkSpec*> marks = layer_marks(scene_);
    check_mark("art.mark", art.mark, marks.front());
    for (std::size_t i = 0; i < art.regions.size(); ++i) {
      const std::string key = "art.region[" + std::to_string(i) + "]";
      const RegionSpec& region = art.regions[i];
      check_mark(key + ".mark", region.mark, marks[i + 1]);
      if (region.select.size() < 2 || region.select.front() != '#') {
        complain(key + ".select", "\"" + region.select + "\" names no element",
                 "write the id of an element of the SVG, as in select = \"#moon\"");
      }
    }
  }

  void check_mark(const std::string& key, const std::string& said, const MarkSpec* mark) {
    if (!mark) return complain_about_mark(key, said);
    const std::string name = said.empty() ? scene_.marks.begin()->first : said;
    const double turns = mark->direction_rad / (0.5 * kPi);
    if (mark->kind == MarkSpec::Kind::raster && std::abs(turns - std::round(turns)) > 1e-6) {
      complain("mark." + name + ".direction",
               quantity_text(mark->direction_rad, Dimension::angle) + " is no way a raster runs",
               "the machine scans along the panel's x or y: write 0 deg or 90 deg");
    }
    if (mark->kind == MarkSpec::Kind::raster && !machine_has(mark->spacing_mm)) {
      complain("mark." + name + ".spacing",
               quantity_text(mark->spacing_mm, Dimension::spacing) + ", " +
                   decimal_text(kMmPerInch / mark->spacing_mm, 0) +
                   " dpi, is none of the resolutions in machine.dpi",
               "choose one that the machine has, or add it there");
    }
    // Far beyond any use of a machine, and burning would take for ever.
    constexpr double kMostLinesPerSpot = 64.0;
    if (catching_mm(*mark) > kMostLinesPerSpot * mark->spacing_mm) {
      complain("mark." + name + ".spacing",
               length_text(mark->spacing_mm) + " puts more than 64 lines across a groove of " +
                   length_text(mark->spot_mm) + " spot and " + length_text(mark->depth_mm) +
                   " depth",
               "check spacing, spot and depth; lines at a third of the spot already overlap");
    }
  }

  void complain_about_mark(const std::string& key, const std::string& said) {
    if (said.empty()) {
      const std::string how = scene_.marks.empty() ? "add a table [mark.NAME]" : "name one of them";
      return complain(
          key, scene_.marks.empty() ? "no mark to engrave with" : "which mark is meant?", how);
    }
    std::vector<std::string_view> names;
    for (const auto& [name, mark] : scene_.marks) names.push_back(name);
    const auto near = nearest(said, names);
    complain(
        key, "the scene has no mark \"" + said + "\"",
        near ? "do you mean \"" + std::string(*near) + "\"?" : "add a table [mark." + said + "]");
  }

  void check_lamp(const LampSpec& lamp, std::size_t index) {
    const std::string key =
        scene_.lamps.size() > 1 ? "lamp[" + std::to_string(index) + "]" : "lamp";
    const auto seat = straight_piece(outline_, *outline_.edge_named(lamp.edge));
    if (!seat) {
      return complain(key + ".edge",
                      "the " + lamp.edge + " edge has no straight piece for LEDs to stand at",
                      "give the outline a flat tab or cut there, or move the lamp to another edge");
    }
    const double row_mm = (lamp.count - 1) * lamp.pitch_mm + lamp.emitter_mm.x();
    if (lamp.count > 1 && lamp.pitch_mm < lamp.emitter_mm.x()) {
      complain(key + ".pitch",
               "LEDs " + length_text(lamp.emitter_mm.x()) + " long overlap at a pitch of " +
                   length_text(lamp.pitch_mm),
               "make pitch at least the emitter's length, or check emitter");
    }
    if (row_mm > seat->length_mm) {
      const bool one = lamp.count == 1;
      complain(key + (one ? ".emitter" : ".count"),
               (one ? "one LED" : "a row of " + std::to_string(lamp.count) + " LEDs") + " is " +
                   length_text(row_mm) + " long, the " + lamp.edge + " edge's straight part " +
                   length_text(seat->length_mm),
               one ? "use a smaller one" : "use fewer LEDs or a smaller pitch");
    } else if (lamp.centre_mm && reaches_beyond(*seat, lamp, row_mm)) {
      complain(key + ".centre",
               "the row of LEDs reaches beyond the " + lamp.edge + " edge's straight part",
               "move it toward the middle");
    }
    const EdgeSpec edge = scene_.edge(lamp.edge);
    if (edge.is_chamfered() && (scene_.base_wall > 0.0 || scene_.base_contact > 0.0)) {
      complain("edges." + lamp.edge,
               "a chamfer on the lit edge is followed only in a black base that touches nothing",
               "leave the lit edge square, or leave out base.wall and base.contact");
    }
    if (!lets_light_in(edge.kind)) {
      complain("edges." + lamp.edge, "paint, tape or card on the lit edge keeps its light out",
               "leave the lit edge polished, sanded, cut or ground, or move the lamp");
    }
  }

  // Whether a row whose middle is given leaves its seat.
  static bool reaches_beyond(const OutlinePiece& seat, const LampSpec& lamp, double row_mm) {
    const int axis = lamp.edge == "bottom" || lamp.edge == "top" ? 0 : 1;
    const auto [low, high] = std::minmax(seat.start_mm[axis], seat.end_mm[axis]);
    const double half_mm = 0.5 * row_mm * (high - low) / seat.length_mm;
    return *lamp.centre_mm - half_mm < low || *lamp.centre_mm + half_mm > high;
  }

  static bool lets_light_in(EdgeSpec::Kind kind) {
    return kind != EdgeSpec::Kind::painted && kind != EdgeSpec::Kind::white_tape &&
           kind != EdgeSpec::Kind::mirror_tape && kind != EdgeSpec::Kind::white_card;
  }

  const Scene& scene_;
  const Outline outline_;
  std::vector<Problem> problems_;
};

}  // namespace

std::vector<Problem> check_scene(const Scene& scene) { return Checker(scene).check(); }

}  // namespace rimeglow
