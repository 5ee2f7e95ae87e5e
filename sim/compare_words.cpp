// A comparison in words: part of compare.h.
#include <algorithm>
#include <cmath>

#include "compare.h"
#include "report.h"
#include "words.h"

namespace rimeglow {
namespace {

// What a difference must come to before words are made of it; our own choice, no source. Luminances
// as shares of the base's, evenness and hot spots as differences.
constexpr double kSameLight = 0.005;
constexpr double kSameEvenness = 0.02;
constexpr double kSameSpots = 0.03;
// From here on a ratio is told as "times", below it in per cent.
constexpr double kTimes = 1.5;

// How an edge looks to someone who faces it.
enum class Look { glints, line, nothing };

Look look_of(const Finish& finish) {
  if (finish.backing || finish.kind == Finish::Kind::painted) return Look::nothing;
  return finish.kind == Finish::Kind::rough ? Look::line : Look::glints;
}

// Of what is not covered.
std::string name_of(Look look) { return look == Look::line ? "the even line" : "the LED glints"; }

// "2 to 10", or one of them where both are said alike.
std::string range(double low, double high) {
  const std::string from = spoken(low);
  const std::string to = spoken(high);
  return from == to ? from : from + " to " + to;
}

// " (here 3.5 +- 0.1 %)".
std::string here(double value, double error, const std::string& unit) {
  return " (here " + with_error({value, error}) + unit + ")";
}

Span span_of(const Compared& compared, const Estimate& effect) {
  return compared.span.value_or(Span{effect.mean, effect.mean});
}

const Compared* find(const Comparison& comparison, const Quantity& quantity, std::size_t design) {
  for (const ComparedRow& row : comparison.rows) {
    if (!(row.quantity == quantity) || !row.designs[design]) continue;
    return &*row.designs[design];
  }
  return nullptr;
}

bool is_scored_throughout(const Model& model) {
  return model.has_scored() && !model.has_rastered();
}

// What luminances of two designs are of (see whole_art): nothing where lines are set against areas.
std::string compared_art(const Model& base, const Model& here) {
  if (is_scored_throughout(base) != is_scored_throughout(here)) return "";
  const bool is_scored = base.has_scored() || here.has_scored();
  return is_scored && !is_scored_throughout(base) ? "the rastered part" : "the art";
}

// "gives the art 2 to 10 % more light, seen straight on (here 3.5 +- 0.1 %)".
std::string what_art_gains(const Comparison& comparison, const std::string& name,
                           const std::string& viewer, std::size_t design) {
  const Compared* art = find(comparison, {Quantity::Kind::art, "", viewer}, design);
  if (!art || !art->ratio) return "";
  if (name.empty())
    return "sets scored lines against rastered areas, whose light is no measure of each other";
  const Estimate& ratio = *art->ratio;
  const Span span = span_of(*art, ratio);
  const std::string seen = " " + seen_by(viewer);
  const double error = ratio.standard_error;
  if (std::max(span.high - 1.0, 1.0 - span.low) < std::max(kSameLight, kTelling * error)) {
    return "leaves " + name + " as bright as it was" + seen + " (within " +
           percent(std::max(kSameLight, kTelling * error)) + ")";
  }
  if (span.low >= kTimes) {
    return "makes " + name + " " + range(span.low, span.high) + " times as bright" + seen +
           here(ratio.mean, error, "");
  }
  if (span.high <= 1.0 / kTimes) {
    return "makes " + name + " " + range(1.0 / span.high, 1.0 / span.low) + " times dimmer" + seen +
           here(1.0 / ratio.mean, error / (ratio.mean * ratio.mean), "");
  }
  const std::string change = here(100.0 * (ratio.mean - 1.0), 100.0 * error, " %");
  if (span.low >= 1.0) {
    return "gives " + name + " " + range(100.0 * (span.low - 1.0), 100.0 * (span.high - 1.0)) +
           " % more light" + seen + change;
  }
  if (span.high <= 1.0) {
    return "takes " + range(100.0 * (1.0 - span.high), 100.0 * (1.0 - span.low)) + " % of " + name +
           "'s light" + seen + here(100.0 * (1.0 - ratio.mean), 100.0 * error, " %");
  }
  return "may take " + spoken(100.0 * (1.0 - span.low)) + " % of " + name + "'s light or give it " +
         spoken(100.0 * (span.high - 1.0)) + " % more" + seen + ", depending most on " +
         art->span->widest_input + change;
}

std::string how_even(const Comparison& comparison, const std::string& art,
                     const std::string& viewer, std::size_t design) {
  const Quantity evenness{Quantity::Kind::evenness, "", viewer};
  const Compared* here = find(comparison, evenness, design);
  const Compared* base = find(comparison, evenness, 0);
  if (art.empty() || !here || !base || !here->difference || !is_telling(*here->difference))
    return "";
  const std::string glow = art == "the art" ? "the glow" : "the glow of " + art;
  const double by = here->difference->mean;
  if (std::abs(by) < kSameEvenness) return "";
  return " It makes " + glow + (by > 0.0 ? " more even" : " less even") +
         ": the darkest patch has " + percent(here->value.mean) + " of the brightest instead of " +
         percent(base->value.mean) + ".";
}

std::string how_leds_show(const Comparison& comparison, std::size_t design) {
  const Quantity spots{Quantity::Kind::hot_spots, "", ""};
  const Compared* here = find(comparison, spots, design);
  const Compared* base = find(comparison, spots, 0);
  if (!here || !base || !here->difference || !is_telling(*here->difference)) return "";
  if (std::abs(here->difference->mean) < kSameSpots) return "";
  return " Along the engraving nearest the LEDs " +
         std::string(band_of(kHotSpotBands, here->value.mean).words) +
         ": the glow rises and falls by " + percent(here->value.mean) + " instead of " +
         percent(base->value.mean) + ".";
}

// Where the room is not the same: what the art stands out from.
std::string how_it_stands_out(const std::vector<Run>& runs, const std::string& art,
                              const std::string& viewer, std::size_t design) {
  const Room& before = runs.front().model->room;
  const Room& after = runs[design].model->room;
  if (before.cd_m2 == after.cd_m2 && before.backdrop == after.backdrop) return "";
  const auto contrast_in = [&](const Run& run) -> std::string {
    const auto number = run.model->viewer_named(viewer);
    if (!number) return "";
    const auto known = contrast(viewer_glow_of(run, *number));
    return known ? spoken(known->mean) : "none";
  };
  const std::string here = contrast_in(runs[design]);
  if (here.empty() || art.empty()) return "";
  const std::string whose = art == "the art" ? "its contrast" : "the contrast of " + art;
  return " Against the room " + whose + " is " + here + " instead of " + contrast_in(runs.front()) +
         ".";
}

// Whose brightness it is comes first: "it", "the left edge".
std::string brightness_against(const Compared& edge, const std::string& subject,
                               const std::string& before) {
  const Estimate& ratio = *edge.ratio;
  const Span span = span_of(edge, ratio);
  if (!is_telling({ratio.mean - 1.0, ratio.standard_error})) {
    return "more photons are needed to tell " + subject + " from " + before;
  }
  if (span.high < 1.0) {
    return subject + " is " + range(1.0 / span.high, 1.0 / std::max(span.low, 1e-6)) +
           " times dimmer than " + before;
  }
  if (span.low > 1.0) {
    return subject + " is " + range(span.low, span.high) + " times as bright as " + before;
  }
  return subject + " may be dimmer or brighter than " + before + " (" + range(span.low, span.high) +
         " times), depending most on " + edge.span->widest_input;
}

// "; seen from a seat it is 2 to 5 times dimmer than the LED glints", for the first viewer who
// faces the edge in both designs, and a word for those who see it only now or no longer.
std::string seen_on_edge(const Comparison& comparison, const std::vector<Run>& runs,
                         std::size_t edge, std::size_t design, const std::string& subject) {
  const Model& base = *runs.front().model;
  const std::string& name = base.outline.edges[edge].name;
  const std::string before = name_of(look_of(base.edge_finish[edge]));
  std::string text;
  std::vector<std::string> only_here;
  std::vector<std::string> no_longer;
  for (const Viewer& viewer : base.viewers) {
    const Quantity quantity{Quantity::Kind::edge, name, viewer.name};
    const Compared* there = find(comparison, quantity, 0);
    const Compared* here = find(comparison, quantity, design);
    if (text.empty() && here && here->ratio)
      text = "; " + seen_by(viewer.name) + " " + brightness_against(*here, subject, before);
    if (here && !there) only_here.push_back(seen_by(viewer.name));
    if (there && !here) no_longer.push_back(seen_by(viewer.name));
  }
  if (!only_here.empty()) {
    text += "; " + listed(only_here) + " " + subject +
            " shows through the face, where the polished edge is dark";
  }
  if (!no_longer.empty()) text += "; " + listed(no_longer) + " " + subject + " goes dark";
  return text;
}

// Edges that look alike before and after.
struct Turned {
  Look before;
  Look after;
  std::vector<std::size_t> edges;
};

std::vector<Turned> turned_edges(const Model& base, const Model& here) {
  std::vector<Turned> all;
  for (std::size_t e = 0; e < base.edge_finish.size(); ++e) {
    const auto same = here.outline.edge_named(base.outline.edges[e].name);
    if (!same) continue;
    const Look before = look_of(base.edge_finish[e]);
    const Look after = look_of(here.edge_finish[static_cast<std::size_t>(*same)]);
    if (before == after) continue;
    const auto alike = std::find_if(all.begin(), all.end(), [&](const Turned& turned) {
      return turned.before == before && turned.after == after;
    });
    if (alike == all.end()) {
      all.push_back({before, after, {e}});
    } else {
      alike->edges.push_back(e);
    }
  }
  return all;
}

// "turns the LED glints of the top edge into an even line", once for all edges of which it is so.
std::vector<std::string> what_edges_do(const Comparison& comparison, const std::vector<Run>& runs,
                                       std::size_t design) {
  const Model& base = *runs.front().model;
  std::vector<std::string> deeds;
  for (const Turned& turned : turned_edges(base, *runs[design].model)) {
    std::vector<std::string> names;
    for (const std::size_t e : turned.edges)
      names.push_back("the " + edge_words(base.outline.edges[e].name));
    const std::string of_edges = " of " + listed(names);
    const std::string shows = turned.after == Look::line ? "an even line" : "LED glints";
    if (turned.after == Look::nothing) {
      deeds.push_back("hides " + name_of(turned.before) + of_edges);
    } else if (turned.before == Look::nothing) {
      deeds.push_back("uncovers " + shows + of_edges);
    } else {
      std::string seen;
      for (std::size_t i = 0; i < names.size(); ++i) {
        seen += seen_on_edge(comparison, runs, turned.edges[i], design,
                             names.size() > 1 ? names[i] : "it");
      }
      deeds.push_back("turns " + name_of(turned.before) + of_edges + " into " + shows + seen);
    }
  }
  return deeds;
}

// A deed may hold an "and" of its own.
std::string one_after_another(const std::vector<std::string>& deeds) {
  std::string text;
  for (const std::string& deed : deeds) text += (text.empty() ? "" : ", and ") + deed;
  return text;
}

}  // namespace

std::string verdict_on(const Comparison& comparison, const std::vector<Run>& runs,
                       std::size_t design, const std::string& deed) {
  const auto& viewers = runs.front().model->viewers;
  const std::string viewer = viewers.empty() ? "" : viewers.front().name;
  std::vector<std::string> deeds = what_edges_do(comparison, runs, design);
  const std::string art = compared_art(*runs.front().model, *runs[design].model);
  const std::string gain = what_art_gains(comparison, art, viewer, design);
  if (!gain.empty()) deeds.insert(deeds.begin(), gain);
  if (deeds.empty()) deeds = {"changes nothing that is compared"};
  return capitalised(deed) + " " + one_after_another(deeds) + "." +
         how_even(comparison, art, viewer, design) + how_leds_show(comparison, design) +
         how_it_stands_out(runs, art, viewer, design);
}

}  // namespace rimeglow
