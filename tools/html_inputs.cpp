#include "html_inputs.h"

#include <algorithm>
#include <cmath>

#include "html_page.h"
#include "vet.h"
#include "words.h"

namespace rimeglow {

namespace {

constexpr const char* kTimes = " \u00d7 ";

Html entry(std::string_view name, std::string_view value) {
  return element("dt", name) + element("dd", value);
}

std::string size_of(const PanelSpec& panel) {
  return as_given(panel.width_mm) + kTimes + as_given(panel.height_mm) + kTimes +
         mm_as_given(panel.thickness_mm);
}

std::string sheet_in_words(const Scene& scene, const Model& model) {
  return scene.panel.sheet + ", index " + fixed(model.sheet.index, 4) + ", absorption " +
         spoken(model.sheet.absorption_per_mm * kMmPerM) + " per metre";
}

std::string roughness_in_words(const EdgeSpec& edge) {
  const Vec2 alpha = roughness_of(edge).alpha;
  if (alpha.x() == alpha.y()) return ", roughness " + spoken(alpha.x());
  return ", roughness " + spoken(alpha.x()) + " along and " + spoken(alpha.y()) +
         " through the sheet";
}

std::string cut_in_words(const Chamfer& chamfer) {
  return ", set back " + mm_as_given(chamfer.setback_mm) + ", " + mm_as_given(chamfer.depth_mm) +
         " deep";
}

std::string finish_in_words(const EdgeSpec& edge) {
  const std::string reflectance = " (returns " + percent(edge.reflectance) + ")";
  switch (edge.kind) {
    case EdgeSpec::Kind::polished:
      return "polished";
    case EdgeSpec::Kind::ground:
      return "ground" + roughness_in_words(edge);
    case EdgeSpec::Kind::sanded:
      return "sanded with " + edge.grit + roughness_in_words(edge);
    case EdgeSpec::Kind::laser_cut:
      return "laser-cut" + roughness_in_words(edge);
    case EdgeSpec::Kind::sawn:
      return "sawn" + roughness_in_words(edge);
    case EdgeSpec::Kind::painted:
      return "painted" + reflectance;
    case EdgeSpec::Kind::white_tape:
      return "white tape" + reflectance;
    case EdgeSpec::Kind::mirror_tape:
      return "mirror tape" + reflectance;
    case EdgeSpec::Kind::white_card:
      return "white card behind an air gap" + reflectance;
  }
  return "";
}

std::string art_in_words(const Scene& scene) {
  if (!scene.art) return "none: a clear blank";
  const ArtSpec& art = *scene.art;
  return art.file + ", on the " + (art.face == Side::back ? "back" : "front") + ", mark " +
         mark_name(scene, 0) + (art.light_is_engraved ? ", light parts engraved" : "");
}

std::string mark_in_words(const MarkSpec& mark) {
  const std::string kind = mark.kind == MarkSpec::Kind::scored ? "scored, " : "";
  const std::string depth = mark.depth_mm > 0.0 ? ", " + mm_as_given(mark.depth_mm) + " deep" : "";
  return kind + fixed(kMmPerInch / mark.spacing_mm, 0) + " dpi, spot " + mm_as_given(mark.spot_mm) +
         depth + ", roughness " + as_given(mark.alpha_x) + " and " + as_given(mark.alpha_y) +
         " (not measured), frost " + percent(mark.frost);
}

std::string beam_in_words(const LampSpec& lamp) {
  if (!lamp.far_field) return ", beam " + fixed(degrees(lamp.beam_angle_rad), 0) + " deg";
  return ", measured light of " + lamp.distribution +
         " (measured from far away: at a small gap trust its angles, not its places)";
}

std::string row_in_words(const LampSpec& lamp) {
  return counted(static_cast<std::size_t>(lamp.count), "LED") + " along the " + lamp.edge;
}

std::string lamp_in_words(const LampSpec& lamp) {
  return row_in_words(lamp) + ", " +
         (lamp.flux_each_lm > 0.0 ? as_given(lamp.flux_each_lm) + " lm each"
                                  : spoken(flux_each_lm(lamp)) + " lm each" +
                                        (is_flux_guessed(lamp) ? " (guessed)" : " (by its file)")) +
         ", pitch " + mm_as_given(lamp.pitch_mm) + ", gap " + mm_as_given(lamp.gap_mm) + ", " +
         (lamp.wavelength_nm ? fixed(*lamp.wavelength_nm, 0) + " nm"
                             : fixed(lamp.colour_k, 0) + " K") +
         beam_in_words(lamp);
}

}  // namespace

std::string facts_in_short(const Scene& scene) {
  std::vector<std::string> lamps;
  for (const LampSpec& lamp : scene.lamps) lamps.push_back(row_in_words(lamp));
  return size_of(scene.panel) + (lamps.empty() ? "" : ", lit by " + listed(lamps));
}

Html edge_entries(const Scene& scene, const Outline& outline) {
  Html entries;
  for (std::size_t e = 0; e < outline.edges.size(); ++e) {
    const OutlineEdge& edge = outline.edges[e];
    entries += entry(capitalised(edge_words(edge.name)),
                     finish_in_words(edge_spec(scene, outline, static_cast<int>(e))) +
                         (edge.chamfer ? cut_in_words(*edge.chamfer) : ""));
  }
  return entries;
}

Html inputs_list(const Scene& scene, const Model& model) {
  const std::string form =
      scene.panel.shape ? ", outline " + outline_in_words(scene.panel)
                        : ", corners " + mm_as_given(scene.panel.corner_radius_mm) + " round";
  Html entries = entry("Panel", size_of(scene.panel) + form);
  entries += entry("Sheet", sheet_in_words(scene, model));
  entries += entry("Art", art_in_words(scene));
  const std::vector<const MarkSpec*> used = layer_marks(scene);
  for (const auto& [name, mark] : scene.marks)
    if (std::find(used.begin(), used.end(), &mark) != used.end())
      entries += entry("Mark " + name, mark_in_words(mark));
  entries += edge_entries(scene, model.outline);
  for (const LampSpec& lamp : scene.lamps) entries += entry("Lamp", lamp_in_words(lamp));
  entries += entry(
      "Room", as_given(model.room.cd_m2) + " cd/m2 all round" +
                  (model.room.backdrop
                       ? ", a wall that returns " + percent(*model.room.backdrop) + " close behind"
                       : ""));
  if (scene.base_wall > 0.0) {
    entries += entry("Base", "its inside returns " + percent(scene.base_wall) + " of the light");
  }
  return element("dl", entries);
}

std::vector<std::string> caution_words() {
  return {
      "Laser fumes and fire: cutting and engraving acrylic gives off harmful, flammable vapour. "
      "Exhaust it outdoors, never leave the machine alone, keep an extinguisher at hand.",
      "Never laser PVC or vinyl: it gives off hydrogen chloride, which harms lungs and machine.",
      "Eyes: keep the laser's housing closed and interlocks working, and do not stare into bright "
      "LEDs.",
      "Dust: wet sanding or extraction, and a mask rated for fine dust.",
      "Solvents: no alcohol, ammonia or other solvent on acrylic that is hot or has been heated by "
      "laser, saw or flame; it cracks. Wash with mild soap and water.",
      "Electricity: use a listed low-voltage supply, fuse it, and leave mains wiring to a licensed "
      "electrician."};
}

Html cautions() {
  Html items;
  for (const std::string& words : caution_words()) items += element("li", words);
  return element("section", {{"class", "cautions"}, {"aria-labelledby", "cautions"}},
                 element("h2", {{"id", "cautions"}}, text("Before you work")) +
                     element("ul", items) +
                     element("p",
                             "Local codes and licensed practice come before anything said "
                             "here."));
}

Html provenance_list(const Provenance& provenance) {
  return element("dl", entry("Program", "Rimeglow " + provenance.version) +
                           entry("Inputs", provenance.inputs) +
                           entry("Seed", std::to_string(provenance.seed)) +
                           entry("Photons", std::to_string(provenance.photons)));
}

}  // namespace rimeglow
