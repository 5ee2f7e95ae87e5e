#include "report.h"

#include <algorithm>
#include <cmath>

#include "spectrum.h"
#include "units.h"
#include "words.h"

namespace rimeglow {

namespace {

// A patch known worse than this makes evenness a guess.
constexpr double kRestlessPatch = 0.05;

// What is not known comes before the noise of what is. Nothing for a span too narrow to mention.
std::string span_in_words(const std::optional<Span>& span, double factor, const std::string& unit,
                          bool with_input) {
  constexpr double kTold = 0.02;
  if (!span || !(span->high - span->low >= kTold * span->high && span->high > 0.0)) return "";
  return spoken(factor * span->low) + " to " + spoken(factor * span->high) + unit +
         (with_input ? ", depending most on " + span->widest_input : "") + ", here ";
}

// "300 to 1400 cd/m2, here ".
std::string range_first(const std::optional<Span>& span, double factor, const std::string& unit) {
  return span_in_words(span, factor, unit, false);
}

// What a value earns, and what it may earn at the worse end of its span.
struct Judgement {
  Level level;
  std::string words;
};

Judgement judged(std::span<const Band> bands, double value, const std::optional<Span>& span,
                 double Span::* worse_end) {
  const Band& here = band_of(bands, value);
  const Band& worst = span ? band_of(bands, (*span).*worse_end) : here;
  if (worst.level <= here.level) return {here.level, std::string(here.words)};
  return {Level::fair, std::string(here.words) + ", or at worst " + std::string(worst.words)};
}

// ---- bright enough?

std::string in_other_eyes(const Glow& glow, const ViewerGlow& main) {
  std::vector<std::string> parts;
  for (const ViewerGlow& viewer : glow.viewers) {
    if (viewer.name == main.name) continue;
    const auto other = contrast(viewer);
    if (!other) continue;
    parts.push_back(seen_by(viewer.name) + (parts.empty() ? " the contrast is " : " ") +
                    range_first(viewer.contrast_span, 1.0, "") + spoken(other->mean) + " (" +
                    std::string(band_of(kContrastBands, other->mean).words) + ")");
  }
  return parts.empty() ? "" : " " + capitalised(listed(parts)) + ".";
}

Verdict how_bright(const Glow& glow, const Model& model) {
  const ViewerGlow* viewer = main_viewer(glow);
  if (!viewer) {
    return {"bright", "There is no engraving to glow.", Level::note};
  }
  const std::string seen = capitalised(seen_by(viewer->name));
  const std::string glows =
      seen + ", the engraving glows at " + span_first(viewer->mean_span, 1.0, " cd/m2") +
      spoken(viewer->mean_cd_m2.mean) + " cd/m2 (" + good_to(viewer->mean_cd_m2) + ")" +
      (viewer->scored_cd_m2 ? ", its scored lines at " + spoken(viewer->scored_cd_m2->mean) : "");
  const auto against = contrast(*viewer);
  if (!against && viewer->room_cd_m2.mean > 0.0) {
    return {"bright", glows + "; no clear sheet is left beside it to stand out from.", Level::note};
  }
  if (!against) return {"bright", glows + "; in a room without light it stands out.", Level::good};
  const Judgement contrasts =
      judged(kContrastBands, against->mean, viewer->contrast_span, &Span::low);
  const bool as_mean = viewer->mean_span && viewer->contrast_span &&
                       viewer->mean_span->widest_input == viewer->contrast_span->widest_input;
  return {"bright",
          glows + (model.room.backdrop ? ", and room and backdrop add " : ", and the room adds ") +
              spoken(viewer->room_cd_m2.mean) + ". Beside it " + spoken(viewer->beside_cd_m2.mean) +
              " cd/m2 " + (model.room.backdrop ? "of room and backdrop" : "of the room") +
              " are seen, a contrast of " +
              (as_mean ? range_first(viewer->contrast_span, 1.0, "")
                       : span_first(viewer->contrast_span, 1.0, "")) +
              spoken(against->mean) + ": " + contrasts.words + "." + in_other_eyes(glow, *viewer),
          contrasts.level};
}

// ---- even?

// A part of the art: mean luminance per engraved area. The error is at most the mean of its parts'
// errors, however they are correlated (triangle inequality, derived).
struct Part {
  std::string name;
  double engraved_mm2 = 0.0;
  double luminous = 0.0;  // sum of luminance times area
  double doubtful = 0.0;  // sum of standard error times area

  double mean() const { return luminous / engraved_mm2; }
  double relative_error() const { return doubtful / luminous; }
};

void add(Part& part, double engraved_mm2, const Estimate& cd_m2) {
  if (!(engraved_mm2 > 0.0) || !std::isfinite(cd_m2.mean)) return;
  part.engraved_mm2 += engraved_mm2;
  part.luminous += engraved_mm2 * cd_m2.mean;
  part.doubtful += engraved_mm2 * cd_m2.standard_error;
}

std::vector<Part> thirds(const ViewerGlow& viewer, const Model& model) {
  std::vector<Part> parts = {{"bottom third"}, {"middle third"}, {"top third"}};
  const double bottom_mm = model.art_lower_left_mm.y();
  const double height_mm = model.art_upper_right_mm.y() - bottom_mm;
  for (const RowGlow& row : viewer.rows) {
    const int third = static_cast<int>(3.0 * (row.y_mm - bottom_mm) / height_mm);
    add(parts[static_cast<std::size_t>(std::clamp(third, 0, 2))], row.engraved_mm2, row.cd_m2);
  }
  return parts;
}

// Left and right as the viewer in front has them.
std::vector<Part> columns(const ViewerGlow& viewer) {
  static_assert(kPatchesAcross == 5);
  std::vector<Part> parts = {{"left-hand fifth"},
                             {"fifth beside the left-hand one"},
                             {"middle fifth"},
                             {"fifth beside the right-hand one"},
                             {"right-hand fifth"}};
  for (std::size_t i = 0; i < viewer.patches.size(); ++i) {
    add(parts[i % kPatchesAcross], viewer.patches[i].engraved_mm2, viewer.patches[i].cd_m2);
  }
  return parts;
}

bool lit_from_the_sides(const Model& model) {
  return !model.lamps.empty() &&
         std::all_of(model.lamps.begin(), model.lamps.end(), [](const LedRow& lamp) {
           return std::abs(lamp.along.y()) > std::abs(lamp.along.x());
         });
}

// "the top third glows at 41 % of the bottom third (good to 3 % or better)"
std::string darkest_against_brightest(std::vector<Part> parts) {
  std::erase_if(parts, [](const Part& part) { return !(part.luminous > 0.0); });
  if (parts.size() < 2) return "";
  const auto dimmer = [](const Part& a, const Part& b) { return a.mean() < b.mean(); };
  const auto [dark, bright] = std::minmax_element(parts.begin(), parts.end(), dimmer);
  return "the " + dark->name + " glows at " + percent(dark->mean() / bright->mean()) + " of the " +
         bright->name + " (good to " + percent(dark->relative_error() + bright->relative_error()) +
         " or better)";
}

Verdict how_even(const Glow& glow, const Model& model) {
  const ViewerGlow* viewer = main_viewer(glow);
  if (!viewer) return {"even", "There is no engraving to be even or uneven.", Level::note};
  const std::string seen = capitalised(seen_by(viewer->name)) + ", ";
  if (!viewer->has_evenness()) {
    return {"even", seen + "too little is engraved to tell whether it glows evenly.", Level::note};
  }
  const Judgement evenness =
      judged(kEvennessBands, viewer->evenness.mean, viewer->evenness_span, &Span::low);
  const std::string parts = darkest_against_brightest(
      lit_from_the_sides(model) ? columns(*viewer) : thirds(*viewer, model));
  const std::string patches = "the darkest of " + std::to_string(viewer->counted_patches()) +
                              " patches has " + span_first(viewer->evenness_span, 100.0, " %") +
                              percent(viewer->evenness.mean) + " of the brightest (" +
                              good_to(viewer->evenness) + "): " + evenness.words + "." +
                              (viewer->scored_cd_m2 ? " Scored lines are no part of this." : "");
  return {"even", seen + (parts.empty() ? patches : parts + "; " + patches), evenness.level};
}

// ---- can every LED be seen?

bool lit_at_several_edges(const Model& model) {
  return std::any_of(model.lamps.begin(), model.lamps.end(),
                     [&](const LedRow& lamp) { return lamp.edge != model.lamps.front().edge; });
}

Verdict how_spotty(const Glow& glow, const Model& model) {
  if (glow.viewers.empty())
    return {"leds", "There is no engraving that could show the LEDs.", Level::note};
  const HotSpots* worst = glow.worst_spots();
  if (!worst)
    return {"leds",
            "Whether single LEDs show cannot be told: that takes several of them and engraving all "
            "along the row.",
            Level::note};
  const Estimate& spots = worst->contrast;
  const std::string seen = capitalised(seen_by(glow.viewers.front().name)) + ", ";
  const std::string leds =
      lit_at_several_edges(model) ? "the LEDs at the " + edge_words(worst->edge) : "the LEDs";
  if (half_width_95(spots) > kHotSpotBands.back().from) {
    return {"leds", seen + "more photons are needed to tell whether " + leds + " show.",
            Level::note};
  }
  const Judgement shown = judged(kHotSpotBands, spots.mean, worst->span, &Span::high);
  return {"leds",
          seen + "along the engraving nearest " + leds +
              (glow.hot_spots.size() > 1 ? ", where they show most, " : " ") + shown.words +
              ": the glow rises and falls by " + span_first(worst->span, 100.0, " %") +
              percent(spots.mean) + " about its middle (give or take " +
              percent(spots.standard_error) + ").",
          shown.level};
}

// ---- how far to trust it

std::string absorption_warning(const Model& model) {
  if (!model.sheet.absorption_guessed) return "";
  const double reach_m = model.outline.size_mm.maxCoeff() / kMmPerM;
  const auto lost = [reach_m](double per_m) { return percent(1.0 - std::exp(-per_m * reach_m)); };
  const AbsorptionSpan& span = kCastAcrylicAbsorption;
  return "The acrylic's absorption (" + spoken(span.usual_per_m) +
         " per metre) is uncertain by three times either way: light crossing the whole panel once "
         "loses between " +
         lost(span.low_per_m) + " and " + lost(span.high_per_m) + ".";
}

bool restless(const Glow& glow) {
  for (const ViewerGlow& viewer : glow.viewers) {
    for (const PatchGlow& patch : viewer.patches) {
      if (patch.counted && patch.cd_m2.standard_error > kRestlessPatch * patch.cd_m2.mean) {
        return true;
      }
    }
  }
  return false;
}

std::vector<std::string> warnings_about(const Glow& glow, const Model& model) {
  std::vector<std::string> warnings;
  if (!glow.viewers.empty()) {
    warnings.push_back(
        "The roughness of the marks has not been measured on your machine: trust comparisons "
        "between two designs, and take cd/m2 as a rough figure until a test piece has been "
        "measured. Spans change one such input at a time.");
  }
  const std::string absorption = absorption_warning(model);
  if (!absorption.empty()) warnings.push_back(absorption);
  const std::string veil = veil_in_words(glow, model);
  if (!veil.empty()) warnings.push_back(veil);
  if (restless(glow)) {
    warnings.push_back("Some patches are known to no better than " + percent(kRestlessPatch) +
                       ": more photons would settle how even it is.");
  }
  return warnings;
}

}  // namespace

std::string_view name_of(Level level) {
  switch (level) {
    case Level::good:
      return "good";
    case Level::fair:
      return "fair";
    case Level::poor:
      return "poor";
    case Level::note:
      return "note";
  }
  return "note";
}

const Band& band_of(std::span<const Band> bands, double value) {
  const Band* band = &bands.front();
  for (const Band& next : bands) {
    if (value >= next.from) band = &next;
  }
  return *band;
}

const ViewerGlow* main_viewer(const Glow& glow) {
  for (const ViewerGlow& viewer : glow.viewers) {
    if (viewer.name == "straight") return &viewer;
  }
  return glow.viewers.empty() ? nullptr : &glow.viewers.front();
}

std::string seen_by(std::string_view viewer) {
  if (viewer == "straight") return "seen straight on";
  if (viewer == "seated") return "seen from a seat";
  if (viewer == "left") return "seen from the left";
  if (viewer == "behind") return "seen from behind";
  return "seen by \"" + std::string(viewer) + "\"";
}

std::string span_first(const std::optional<Span>& span, double factor, const std::string& unit) {
  return span_in_words(span, factor, unit, true);
}

Report report_on(const Glow& glow, const Model& model) {
  return {{how_bright(glow, model), how_even(glow, model), how_spotty(glow, model),
           where_the_light_goes(glow, model)},
          warnings_about(glow, model)};
}

}  // namespace rimeglow
