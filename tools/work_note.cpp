#include "work_note.h"

#include <cmath>

#include "html_inputs.h"
#include "html_page.h"
#include "laser_files.h"
#include "vet.h"
#include "words.h"

namespace rimeglow {
namespace {

Html item(const std::string& words) { return element("li", prose(words)); }

Html face_steps(const Scene& scene) {
  const bool back = scene.art->face == Side::back;
  Html items;
  items += item(back ? "Engrave the back: lay the blank with its front down. The files are "
                       "mirrored already; do not mirror them again."
                     : "Engrave the front: lay the blank with its front up. The files are not "
                       "mirrored.");
  items += item(
      "Film: take it off the face that is engraved, leave it on the other until the panel "
      "is in its base (common practice). Masking paper may stay on to keep smoke off, "
      "plastic film melts into the marks.");
  items +=
      item("Measure the bar below the panel in panel.svg: it must come out " + fixed(kRulerMm, 0) +
           " mm long. If not, the program that drives the laser has "
           "scaled the file.");
  return items;
}

Html mark_steps(const Scene& scene) {
  Html items;
  const std::vector<const MarkSpec*> marks = layer_marks(scene);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const MarkSpec& mark = *marks[i];
    const bool upright = std::abs(std::sin(mark.direction_rad)) > 0.5;
    const std::string spot = "spot " + spoken_mm(mark.spot_mm);
    items +=
        item(engraving_name(i, marks.size()) + ": mark " + mark_name(scene, i) + ", " +
             fixed(kMmPerInch / mark.spacing_mm, 0) + " dpi, lines " + spoken_mm(mark.spacing_mm) +
             " apart, running " + (upright ? "up and down" : "across") + " the panel, " + spot +
             (mark.depth_mm > 0.0 ? ", " + spoken_mm(mark.depth_mm) + " deep" : "") +
             ". One bit a pixel, black burns: no dithering, no grey, no resampling.");
  }
  return items;
}

Html machine_steps(const Scene& scene, std::optional<double> laser_min) {
  if (!scene.machine) return {};
  const MachineSpec& machine = *scene.machine;
  const double overscan_mm =
      machine.speed_mm_per_s * machine.speed_mm_per_s / (2.0 * machine.acceleration_mm_per_s2);
  Html items = item("Speed " + spoken(machine.speed_mm_per_s) + " mm/s, " +
                    (machine.two_way ? "both ways" : "one way") + "; it needs " +
                    spoken_mm(overscan_mm) + " beside the art to turn.");
  if (laser_min)
    items += item("About " + spoken(*laser_min) +
                  " minutes of engraving: rows times width over speed, and the turns.");
  if (machine.kerf_mm > 0.0)
    items += item("The outline is drawn " + spoken_mm(0.5 * machine.kerf_mm) +
                  " larger all round, half the kerf. Engrave first, cut last.");
  return items;
}

Html cleaning() {
  return item(
             "Clean with water and a drop of mild soap and a soft cloth. No alcohol, ammonia or "
             "other solvent: acrylic that the laser, a saw or a flame has heated cracks from them, "
             "sometimes days later.") +
         item("Dust and finger marks glow as well: wipe the panel before it goes into its base.");
}

}  // namespace

std::string engraving_name(std::size_t layer, std::size_t layers) {
  return layers == 1 ? "engraving.png" : "engraving-" + std::to_string(layer + 1) + ".png";
}

std::string work_note(const Scene& scene, const Outline& outline, std::optional<double> laser_min,
                      PlanState plan) {
  Html mind;
  if (plan == PlanState::unfinished)
    mind = element("p", element("strong",
                                "This plan is unfinished: do not engrave it. Its making was "
                                "interrupted; make it again."));
  const Html title =
      element("header", element("p", {{"class", "kind"}}, text("Work note")) +
                            element("h1", scene.title) + element("p", facts_in_short(scene)));
  const Html steps = section("face", "The blank", element("ul", face_steps(scene))) +
                     section("marks", "The marks",
                             element("ul", mark_steps(scene) + machine_steps(scene, laser_min))) +
                     section("edges", "The edges", element("dl", edge_entries(scene, outline))) +
                     section("cleaning", "Afterwards", element("ul", cleaning()));
  return html_page(scene.title + " - work note",
                   mind + title + element("main", steps + cautions()));
}

}  // namespace rimeglow
