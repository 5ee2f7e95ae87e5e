#include "html_inputs.h"

#include <algorithm>

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

std::string place_in_words(const Vec2& place_mm) {
  return as_given(place_mm.x()) + ", " + mm_as_given(place_mm.y());
}

std::string angle_in_words(double angle_rad) { return as_given(degrees(angle_rad)) + " deg"; }

std::string law_in_words(SlopeLaw law) {
  return law == SlopeLaw::beckmann ? ", Beckmann slopes" : "";
}

std::string sheet_in_words(const Scene& scene, const Model& model) {
  const Sheet& sheet = model.sheet;
  std::string words = scene.panel.sheet + ", index " + fixed(sheet.index, 4) + ", absorption " +
                      spoken(sheet.absorption_per_mm * kMmPerM) + " per metre";
  if (sheet.scattering_per_mm > 0.0) {
    words += ", haze that scatters " + spoken(sheet.scattering_per_mm * kMmPerM) +
             " per metre (mean cosine " + as_given(sheet.asymmetry) + ")";
  }
  return words;
}

std::string roughness_in_words(const EdgeSpec& edge) {
  const Vec2 alpha = roughness_of(edge).alpha;
  const std::string law = law_in_words(edge.law);
  if (alpha.x() == alpha.y()) return ", roughness " + spoken(alpha.x()) + law;
  return ", roughness " + spoken(alpha.x()) + " along and " + spoken(alpha.y()) +
         " through the sheet" + law;
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
  std::string words = art.file;
  words += art.width_mm ? ", " + mm_as_given(*art.width_mm) + " wide" : ", in its own size";
  words += art.centre_mm ? ", its middle at " + place_in_words(*art.centre_mm)
                         : ", in the panel's middle";
  if (art.rotate_rad != 0.0) words += ", turned " + angle_in_words(art.rotate_rad);
  words += std::string(", on the ") + (art.face == Side::back ? "back" : "front") + ", mark " +
           mark_name(scene, 0);
  for (const RegionSpec& region : art.regions) words += ", " + region.select + " " + region.mark;
  if (art.light_is_engraved) words += ", light parts engraved";
  if (art.flat) words += ", greys in full or not at all";
  if (!art.density.empty()) words += ", burnt as densely as " + art.density + " says";
  return words;
}

std::string mark_in_words(const MarkSpec& mark) {
  std::string words = mark.scored() ? "scored, " : "";
  words += as_given(kMmPerInch / mark.spacing_mm) + " dpi";
  if (mark.direction_rad != 0.0) words += ", lines at " + angle_in_words(mark.direction_rad);
  words += ", spot " + mm_as_given(mark.spot_mm);
  if (mark.depth_mm > 0.0) words += ", " + mm_as_given(mark.depth_mm) + " deep";
  return words + ", roughness " + as_given(mark.alpha_x) + " and " + as_given(mark.alpha_y) +
         " (not measured)" + law_in_words(mark.law) + ", frost " + percent(mark.frost) +
         " (returns " + percent(mark.frost_reflectance) + ")";
}

std::string beam_in_words(const LampSpec& lamp) {
  if (!lamp.far_field) return ", beam " + angle_in_words(lamp.beam_angle_rad);
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
         ", pitch " + mm_as_given(lamp.pitch_mm) +
         (lamp.centre_mm ? ", middle of the row at " + mm_as_given(*lamp.centre_mm) : "") +
         ", emitter " + as_given(lamp.emitter_mm.x()) + kTimes + mm_as_given(lamp.emitter_mm.y()) +
         ", gap " + mm_as_given(lamp.gap_mm) + ", " +
         (lamp.wavelength_nm ? as_given(*lamp.wavelength_nm) + " nm"
                             : as_given(lamp.colour_k) + " K") +
         beam_in_words(lamp);
}

// Empty where the panel stands on nothing that matters.
std::string base_in_words(const Scene& scene) {
  std::vector<std::string> parts;
  if (scene.slot_depth_mm > 0.0)
    parts.push_back("takes the panel in by " + mm_as_given(scene.slot_depth_mm));
  if (scene.base_wall > 0.0)
    parts.push_back("its inside returns " + percent(scene.base_wall) + " of the light");
  if (scene.base_contact > 0.0)
    parts.push_back(percent(scene.base_contact) + " of its slot's walls touch the panel");
  return listed(parts);
}

std::string viewer_in_words(const ViewerSpec& viewer) {
  return angle_in_words(viewer.above_rad) + " above, " + angle_in_words(viewer.left_rad) +
         " to the left, " + (viewer.side == Side::front ? "in front" : "behind");
}

}  // namespace

std::string facts_in_short(const Scene& scene) {
  std::vector<LampSpec> edges;  // rows of one edge as one
  for (const LampSpec& lamp : scene.lamps) {
    const auto same = std::find_if(edges.begin(), edges.end(),
                                   [&](const LampSpec& other) { return other.edge == lamp.edge; });
    if (same == edges.end()) {
      edges.push_back(lamp);
    } else {
      same->count += lamp.count;
    }
  }
  std::vector<std::string> lamps;
  for (const LampSpec& edge : edges) lamps.push_back(row_in_words(edge));
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
  if (const std::string base = base_in_words(scene); !base.empty()) entries += entry("Base", base);
  for (const auto& [name, viewer] : scene.viewers)
    entries += entry("Viewer " + name, viewer_in_words(viewer));
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
