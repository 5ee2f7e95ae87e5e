// What in a scene does not fit together: part of model.h.
#include <algorithm>
#include <cmath>

#include "model.h"
#include "schema.h"
#include "units.h"

namespace rimeglow {
namespace {

std::string mm(double length_mm) { return quantity_text(length_mm, Dimension::length); }

double edge_length_mm(const PanelSpec& panel, const std::string& edge) {
  const bool across = edge == "bottom" || edge == "top";
  return (across ? panel.width_mm : panel.height_mm) - 2.0 * panel.corner_radius_mm;
}

class Checker {
 public:
  explicit Checker(const Scene& scene) : scene_(scene) {}

  std::vector<Problem> check() {
    check_panel();
    if (scene_.art) check_art(*scene_.art);
    for (std::size_t i = 0; i < scene_.lamps.size(); ++i) check_lamp(scene_.lamps[i], i);
    check_prices(scene_.prices);
    return std::move(problems_);
  }

 private:
  void complain(const std::string& key, std::string what, std::string mend) {
    problems_.push_back({key, 0, std::move(what), std::move(mend)});
  }

  void check_panel() {
    const PanelSpec& panel = scene_.panel;
    const double most = 0.5 * std::min(panel.width_mm, panel.height_mm);
    if (panel.corner_radius_mm >= most) {
      complain("panel.corner_radius", mm(panel.corner_radius_mm) + " leaves no straight edge",
               "it must be below half the shorter side, " + mm(most));
    }
    if (scene_.slot_depth_mm >= panel.height_mm) {
      complain("base.slot_depth", "the slot swallows the whole panel",
               "it must be below the panel's height, " + mm(panel.height_mm));
    }
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
    // Far beyond any use of a machine, and burning would take for ever.
    constexpr double kMostLinesPerSpot = 64.0;
    if (catching_mm(*mark) > kMostLinesPerSpot * mark->spacing_mm) {
      complain("mark." + name + ".spacing",
               mm(mark->spacing_mm) + " puts more than 64 lines across a groove of " +
                   mm(mark->spot_mm) + " spot and " + mm(mark->depth_mm) + " depth",
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
    const double edge_mm = edge_length_mm(scene_.panel, lamp.edge);
    const double row_mm = (lamp.count - 1) * lamp.pitch_mm + lamp.emitter_mm.x();
    if (lamp.count > 1 && lamp.pitch_mm < lamp.emitter_mm.x()) {
      complain(
          key + ".pitch",
          "LEDs " + mm(lamp.emitter_mm.x()) + " long overlap at a pitch of " + mm(lamp.pitch_mm),
          "make pitch at least the emitter's length, or check emitter");
    }
    if (row_mm > edge_mm) {
      complain(key + ".count",
               "a row of " + std::to_string(lamp.count) + " LEDs is " + mm(row_mm) + " long, the " +
                   lamp.edge + " edge's straight part " + mm(edge_mm),
               "use fewer LEDs or a smaller pitch");
    } else if (lamp.centre_mm &&
               (*lamp.centre_mm - 0.5 * row_mm < scene_.panel.corner_radius_mm ||
                *lamp.centre_mm + 0.5 * row_mm > scene_.panel.corner_radius_mm + edge_mm)) {
      complain(key + ".centre",
               "the row of LEDs reaches beyond the " + lamp.edge + " edge's straight part",
               "move it toward the middle");
    }
    const auto edge = scene_.edges.find(lamp.edge);
    if (edge == scene_.edges.end()) return;
    if (!lets_light_in(edge->second.kind)) {
      complain("edges." + lamp.edge, "paint, tape or card on the lit edge keeps its light out",
               "leave the lit edge polished, sanded, cut or ground, or move the lamp");
    }
  }

  static bool lets_light_in(EdgeSpec::Kind kind) {
    return kind != EdgeSpec::Kind::painted && kind != EdgeSpec::Kind::white_tape &&
           kind != EdgeSpec::Kind::mirror_tape && kind != EdgeSpec::Kind::white_card;
  }

  const Scene& scene_;
  std::vector<Problem> problems_;
};

}  // namespace

std::vector<Problem> check_scene(const Scene& scene) { return Checker(scene).check(); }

}  // namespace rimeglow
