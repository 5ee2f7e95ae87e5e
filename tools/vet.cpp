#include "vet.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "beam_way.h"
#include "laser_files.h"
#include "laser_time.h"
#include "quantity.h"
#include "units.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr double kAcrylicGramsPerMm3 = 1.19e-3;  // ASTM D792, as sheet makers' data quote it

std::string size_text(const Vec2& size_mm) {
  return size_in_words(size_mm) + " (" + fixed(size_mm.x() / kMmPerInch, 2) + " x " +
         fixed(size_mm.y() / kMmPerInch, 2) + " in)";
}

// How far it reaches beyond the bed's two sides, lying the way that suits it better.
Vec2 beyond_bed_mm(const Vec2& size_mm, const MachineSpec& machine) {
  const Vec2 as_it_is = size_mm - machine.bed_mm;
  const Vec2 turned = Vec2(size_mm.y(), size_mm.x()) - machine.bed_mm;
  return turned.maxCoeff() < as_it_is.maxCoeff() ? turned : as_it_is;
}

double burnt_mm2(const Layer& layer) {
  const Coverage& burnt = layer.engraved();
  return burnt.burnt_area_mm2(burnt.lower_left_mm(), burnt.upper_right_mm());
}

double engraved_mm2(const Model& model) {
  double sum = 0.0;
  for (const Layer& layer : model.layers) sum += burnt_mm2(layer);
  return sum;
}

// From the seat of a row of LEDs to the nearest of what is drawn.
double way_to_lamp_mm(const std::vector<Drawing>& drawings, const LedRow& row) {
  double nearest_mm = std::numeric_limits<double>::infinity();
  for (const Drawing& drawing : drawings) {
    if (const auto fired = fired_box(drawing))
      nearest_mm = std::min(nearest_mm, above_edge_mm(*fired, row));
  }
  return nearest_mm;
}

// What is known of a piece's cost, part by part.
class Cost {
 public:
  explicit Cost(const PriceSpec& prices) {
    add("blank", prices.blank);
    add("base", prices.base);
  }

  void add_time(const std::string& work, std::optional<double> minutes,
                const std::optional<Money>& per_hour) {
    if (!minutes || !per_hour) return add("work " + work, std::nullopt);
    add(spoken(*minutes) + " min " + work,
        Money{*minutes / 60.0 * per_hour->amount, per_hour->currency});
  }

  std::string text() const {
    if (parts_.empty()) return {};
    std::string without;
    if (!unpriced_.empty())
      without = ", without the " + listed(unpriced_) + ", which " +
                (unpriced_.size() == 1 ? "has" : "have") + " no price";
    return "Cost: " + money_text(sum_) + ", from " + listed(parts_) + without + "\n";
  }

 private:
  void add(const std::string& what, const std::optional<Money>& money) {
    if (!money) return unpriced_.push_back(what);
    // In hundredths, as it is shown, so that the parts shown give the sum.
    const Money shown{std::round(100.0 * money->amount) / 100.0, money->currency};
    parts_.push_back(what + " " + money_text(shown));
    sum_ = {sum_.amount + shown.amount, shown.currency};
  }

  std::vector<std::string> parts_;
  std::vector<std::string> unpriced_;
  Money sum_;
};

std::string guess_in_words(const Model& model) {
  double guessed_lm = 0.0;
  bool is_all = true;
  for (const LedRow& row : model.lamps) {
    if (row.flux_guessed) guessed_lm += row.count * row.flux_each_lm;
    is_all = is_all && row.flux_guessed;
  }
  if (guessed_lm == 0.0) return "";
  return ", " + (is_all ? "" : spoken(guessed_lm) + " of them ") +
         "guessed from current_each: it may be half or twice that";
}

// A line for each file, whichever rows it gives their light.
std::string far_fields_in_words(const std::vector<LampSpec>& lamps) {
  std::string text;
  std::vector<std::string> files;
  for (const LampSpec& lamp : lamps) {
    if (!lamp.far_field || std::find(files.begin(), files.end(), lamp.distribution) != files.end())
      continue;
    files.push_back(lamp.distribution);
    std::vector<std::string> brought_to;
    for (const LampSpec& other : lamps)
      if (other.distribution == lamp.distribution)
        add_once(brought_to, spoken(flux_each_lm(other)));
    const std::string measured = spoken(lamp.far_field->flux_lm());
    const bool is_as_measured = brought_to == std::vector<std::string>{measured};
    text += "Light: " + lamp.distribution + ", a far field of " + measured + " lm" +
            (is_as_measured ? "" : ", brought to " + listed(brought_to)) +
            " an LED; measured from far away: at a small gap trust its angles, not its places\n";
  }
  return text;
}

// Greys are burnt in dots that allow for the spot; strokes are not. Scored lines have no width of
// their own.
std::string growth_in_words(const LoadedScene& scene) {
  constexpr double kTold = 1.1;
  const std::vector<const MarkSpec*> marks = layer_marks(scene.scene);
  double drawn = 0.0;
  double burnt = 0.0;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (marks[i]->scored()) continue;
    drawn += drawn_mm2(scene.drawings[i]);
    burnt += burnt_mm2(scene.model->layers[i]);
  }
  const double times = drawn > 0.0 ? burnt / drawn : 0.0;
  if (scene.art->tone != Tone::line_art || !(times > kTold)) return "";
  return "; that is " + spoken(times) + " times what is drawn, for the spot reaches beyond strokes";
}

std::string art_facts(const LoadedScene& scene) {
  const ArtInfo& art = *scene.art;
  std::string text = art_size_text(scene) + "\n";
  text += std::string("Art: treated as ") +
          (art.tone == Tone::line_art ? "line art" : "grey tones") + ", burnt over " +
          spoken(engraved_mm2(*scene.model)) + " mm2, " +
          percent(engraved_mm2(*scene.model) / area_mm2(scene.model->outline)) + " of the panel" +
          growth_in_words(scene) + "\n";
  return text;
}

void look_at_lamps(const LoadedScene& scene, std::vector<std::string>& looks) {
  const double thickness_mm = scene.model->thickness_mm;
  for (std::size_t i = 0; i < scene.model->lamps.size(); ++i) {
    const LedRow& row = scene.model->lamps[i];
    const std::string& edge = scene.scene.lamps[i].edge;
    if (row.emitter_mm.y() > thickness_mm) {
      add_once(looks, "the LEDs of the " + edge + " edge shine over " +
                          length_text(row.emitter_mm.y()) + ", the sheet is only " +
                          length_text(thickness_mm) +
                          " thick: light beside it is lost, or glares; narrower LEDs or a "
                          "thicker sheet take more of it in");
    }
    // Spots of single LEDs have run together 0.9 pitches from them (derived by tracing).
    const double clear_mm = way_to_lamp_mm(scene.drawings, row);
    if (row.count > 1 && clear_mm < 0.9 * row.pitch_mm) {
      add_once(looks, "the art begins " + fixed(clear_mm, 1) + " mm from the LEDs of the " + edge +
                          " edge; nearer than 0.9 pitches (" + fixed(0.9 * row.pitch_mm, 1) +
                          " mm) single LEDs may show in it");
    }
  }
}

void look_at_marks(const Scene& scene, std::vector<std::string>& looks) {
  const std::vector<const MarkSpec*> marks = layer_marks(scene);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const MarkSpec& mark = *marks[i];
    if (mark.scored() || mark.spot_mm <= 2.5 * mark.spacing_mm) continue;
    looks.push_back("the spot of " + mark_name(scene, i) +
                    " is more than 2.5 times its raster spacing: fine detail fills in, and " +
                    fixed(kMmPerInch / mark.spacing_mm, 0) +
                    " dpi burns little more than a coarser raster would");
  }
}

void look_at_cutting(const Model& model, const MachineSpec& machine,
                     std::vector<std::string>& looks) {
  const Vec2 cut_mm = model.outline.size_mm + Vec2::Constant(machine.kerf_mm);
  if (!fits_bed(cut_mm, machine)) {
    looks.push_back(beyond_bed("the outline as it is cut", cut_mm, machine) +
                    "; cut it on a larger machine, or check machine.bed");
  }
  const std::size_t left = beam_ways(model.outline, 0.5 * machine.kerf_mm).size();
  const std::size_t lost = 1 + static_cast<std::size_t>(model.outline.holes) - left;
  if (lost > 0) {
    looks.push_back(counted(lost, "hole") + " narrower than the kerf cannot be cut and " +
                    (lost == 1 ? "is" : "are") + " left out of panel.svg; widen or drill " +
                    (lost == 1 ? "it" : "them"));
  }
}

}  // namespace

std::string facts_text(const LoadedScene& scene) {
  const PanelSpec& panel = scene.scene.panel;
  const Model& model = *scene.model;
  std::string text = "Panel: " + size_text(model.outline.size_mm) + ", " +
                     fixed(panel.thickness_mm, 2) + " mm thick, about " +
                     spoken(area_mm2(model.outline) * panel.thickness_mm * kAcrylicGramsPerMm3) +
                     " g\n";
  if (panel.shape) text += "Outline: " + outline_in_words(panel) + "\n";
  if (scene.art) text += art_facts(scene);
  text += "Light: " + spoken(model.flux_lm()) + " lm in all" + guess_in_words(model) + "\n";
  text += far_fields_in_words(scene.scene.lamps);
  const PriceSpec& prices = scene.scene.prices;
  Cost cost(prices);
  const auto minutes = laser_minutes(scene.scene, scene.drawings, model);
  if (minutes) text += "Laser: about " + spoken(*minutes) + " minutes of engraving\n";
  if (scene.art) cost.add_time("by laser", minutes, prices.laser_per_h);
  cost.add_time("by hand", prices.bench_min, prices.bench_per_h);
  text += cost.text();
  for (const std::string& look : second_looks(scene)) text += "Mind: " + look + "\n";
  return text;
}

std::optional<double> laser_minutes(const Scene& scene, const std::vector<Drawing>& drawings,
                                    const Model& model) {
  if (!scene.machine || !scene.art) return std::nullopt;
  const std::vector<const MarkSpec*> marks = layer_marks(scene);
  double minutes = 0.0;
  for (std::size_t i = 0; i < drawings.size(); ++i) {
    const auto fired = fired_box(drawings[i]);
    if (!fired) continue;
    minutes += marks[i]->scored()
                   ? scored_minutes(burnt_mm2(model.layers[i]), *marks[i], *scene.machine)
                   : raster_minutes(fired->upper_right_mm - fired->lower_left_mm, *marks[i],
                                    *scene.machine);
  }
  return minutes;
}

bool fits_bed(const Vec2& size_mm, const MachineSpec& machine) {
  return beyond_bed_mm(size_mm, machine).maxCoeff() <= 0.0;
}

std::string beyond_bed(const std::string& what, const Vec2& size_mm, const MachineSpec& machine) {
  std::vector<std::string> by;
  for (const double beyond_mm : beyond_bed_mm(size_mm, machine))
    if (beyond_mm > 0.0) by.push_back(length_text(beyond_mm));
  return what + ", " + size_in_words(size_mm) + ", is larger than the machine's bed of " +
         size_in_words(machine.bed_mm) + " by " + listed(by);
}

std::string art_size_text(const LoadedScene& scene) {
  const ArtInfo& art = *scene.art;
  return "Art: " + scene.scene.art->file + ", " + size_text(art.used_mm) +
         " as engraved; the file itself is " + size_text(art.natural.mm) + " by " +
         art.natural.from + (art.natural.guessed ? " (a guess)" : "");
}

std::string outline_in_words(const PanelSpec& panel) {
  const Outline& shape = *panel.shape;
  const std::string name = panel.corners_mm.empty() ? panel.outline : "polygon";
  std::string words = name + ", " + counted(shape.pieces.size(), "piece");
  if (shape.holes > 0) words += ", " + counted(static_cast<std::size_t>(shape.holes), "hole");
  return words;
}

std::vector<std::string> second_looks(const LoadedScene& scene) {
  std::vector<std::string> looks = scene.warnings;
  if (scene.art) looks.insert(looks.end(), scene.art->warnings.begin(), scene.art->warnings.end());
  look_at_lamps(scene, looks);
  if (!scene.art) return looks;
  look_at_marks(scene.scene, looks);
  if (scene.scene.machine) look_at_cutting(*scene.model, *scene.scene.machine, looks);
  return looks;
}

std::vector<std::string> scene_warnings(const LoadedScene& scene) {
  std::vector<std::string> warnings = second_looks(scene);
  for (std::string& warning : warnings) {
    warning = capitalised(warning);
    if (warning.back() != '.') warning += ".";
  }
  for (const LampSpec& lamp : scene.scene.lamps) {
    if (!is_flux_guessed(lamp)) continue;
    add_once(warnings,
             "The lumens of the LEDs along the " + lamp.edge +
                 " are guessed from their current and may be half or twice that: every cd/m2 with "
                 "them. Give flux_each when you know it.");
  }
  return warnings;
}

std::optional<std::string> jig_warning(const LoadedScene& scene) {
  const auto& machine = scene.scene.machine;
  const Vec2 size_mm = jig_size_mm(scene.model->outline.size_mm);
  if (!machine || fits_bed(size_mm, *machine)) return std::nullopt;
  return capitalised(beyond_bed("the jig", size_mm, *machine)) +
         "; cut it on a larger machine, lay the blanks against two stops instead, or check "
         "machine.bed.";
}

}  // namespace rimeglow
