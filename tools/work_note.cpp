#include "work_note.h"

#include <algorithm>

#include "html_inputs.h"
#include "html_page.h"
#include "scored_lines.h"
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
      item("Measure the bar below the panel in panel.svg: it must come out " + fixed(kRuler_mm, 0) +
           " mm long. If not, the program that drives the laser has "
           "scaled the file.");
  return items;
}

// A blank that is laid into a jig has its shape already.
Html cutting_step(const Scene& scene, Jig jig) {
  if (jig == Jig::drawn)
    return item(
        "Jig: cut the part named jig in panel.svg from card or plywood, leave it where it "
        "lies, lay the blank into its window and engrave. The part named outline is not "
        "cut.");
  const double kerf_mm = scene.machine ? scene.machine->kerf_mm : 0.0;
  return item("Engrave first, cut last." +
              (kerf_mm > 0.0 ? " The outline is drawn " + mm_as_given(0.5 * kerf_mm) +
                                   " larger all round, half the kerf."
                             : " The outline is drawn as large as the panel: what is cut along it "
                               "comes out smaller by the kerf, which machine.kerf allows for.") +
              " A blank that has this shape already is not cut.");
}

std::string spot_in_words(const MarkSpec& mark) {
  return "spot " + mm_as_given(mark.spot_mm) +
         (mark.depth_mm > 0.0 ? ", " + mm_as_given(mark.depth_mm) + " deep" : "");
}

std::string raster_step(const MarkSpec& mark) {
  return fixed(kMmPerInch / mark.spacing_mm, 0) + " dpi, lines " + mm_as_given(mark.spacing_mm) +
         " apart, running " + (mark.upright() ? "up and down" : "across") + " the panel, " +
         spot_in_words(mark) +
         ". One bit a pixel, black burns: no dithering, no grey, no resampling.";
}

std::string score_step(const MarkSpec& mark) {
  return "scored: the beam follows each line once, " + spot_in_words(mark) +
         ". The lines are in no other file; they keep to the art within about " +
         spoken(kScoredOff_px * mark.spacing_mm) +
         " mm, the nearer the finer the spacing of the mark.";
}

Html mark_steps(const Scene& scene) {
  Html items;
  const std::vector<const MarkSpec*> marks = layer_marks(scene);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const bool scored = marks[i]->scored();
    items += item((scored ? "The part named " + scored_name(i) + " in panel.svg"
                          : engraving_name(i, marks.size())) +
                  ": mark " + mark_name(scene, i) + ", " +
                  (scored ? score_step(*marks[i]) : raster_step(*marks[i])));
  }
  return items;
}

Html speed_step(const MachineSpec& machine) {
  const std::string speed =
      as_given(machine.speed_mm_per_s) + " mm/s, " + (machine.two_way ? "both ways" : "one way");
  if (!machine.speed_said)
    return item(
        "Speed: the one your test piece was burnt at. The scene does not say it; minutes "
        "are reckoned with " +
        speed + ".");
  const double overscan_mm =
      machine.speed_mm_per_s * machine.speed_mm_per_s / (2.0 * machine.acceleration_mm_per_s2);
  return item("Speed " + speed + "; it needs " + spoken(overscan_mm) +
              " mm beside the art to turn.");
}

Html machine_steps(const Scene& scene, std::optional<double> laser_min) {
  if (!scene.machine) return {};
  const MachineSpec& machine = *scene.machine;
  const std::vector<const MarkSpec*> marks = layer_marks(scene);
  const bool has_scored =
      std::any_of(marks.begin(), marks.end(), [](const MarkSpec* mark) { return mark->scored(); });
  Html items = speed_step(machine);
  if (laser_min)
    items += item("About " + spoken(*laser_min) +
                  " minutes of engraving: rows times width over speed, and the turns" +
                  (has_scored ? "; of scored lines their length over speed." : "."));
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
                      PlanState plan, Jig jig) {
  Html mind;
  if (plan == PlanState::unfinished)
    mind = element("p", element("strong",
                                "This plan is unfinished: do not engrave it. Its making was "
                                "interrupted; make it again."));
  const Html title =
      element("header", element("p", {{"class", "kind"}}, text("Work note")) +
                            element("h1", scene.title) + element("p", facts_in_short(scene)));
  const Html steps =
      section("face", "The blank", element("ul", face_steps(scene) + cutting_step(scene, jig))) +
      section("marks", "The marks",
              element("ul", mark_steps(scene) + machine_steps(scene, laser_min))) +
      section("edges", "The edges", element("dl", edge_entries(scene, outline))) +
      section("cleaning", "Afterwards", element("ul", cleaning()));
  return html_page(scene.title + " - work note",
                   mind + title + element("main", steps + cautions()));
}

}  // namespace rimeglow
