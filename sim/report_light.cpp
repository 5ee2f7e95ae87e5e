// The energy ledger in words: part of report.h.
#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

#include "report.h"
#include "words.h"

namespace rimeglow {

namespace {

// So many losses are told one by one, unless smaller than the share; the rest together.
constexpr std::size_t kToldLosses = 3;
constexpr double kTellableShare = 0.01;

constexpr std::string_view kEdgePrefix = "edges.";

// What an entry of the ledger is called, and what to do about a large one.
struct Way {
  std::string_view name;
  std::string_view goes;
  std::string_view means;
};

constexpr std::array<Way, 10> kWays = {{
    {"front.mark", "leave the engraving through the front", ""},
    {"back.mark", "leave the engraving through the back", ""},
    {"front.other", "leave the front through clear acrylic",
     "light that escapes through clear acrylic does not light the art"},
    {"back.other", "leave the back through clear acrylic",
     "light that escapes through clear acrylic does not light the art"},
    {"missed", "never enter the panel",
     "the LEDs shine past the edge; closer or smaller LEDs, or a thicker sheet, catch more"},
    {"base", "are swallowed by the base", "a whiter slot would return some of it"},
    {"finish", "are swallowed by paint, tape, card or marks",
     "a lighter tape or card, with an air gap, would keep more of it inside"},
    {"sheet", "are absorbed in the acrylic",
     "a clearer sheet, or a shorter way from the LEDs, would save some of it"},
    {"trapped", "were still inside when tracing stopped", "rays were cut short"},
    {"lost", "were lost by the program", "please report this scene to its makers"},
}};

std::string edge_in(const Share& share) {
  return share.name.starts_with(kEdgePrefix) ? share.name.substr(kEdgePrefix.size()) : "";
}

Way way_of(const Share& share) {
  const auto known = std::find_if(kWays.begin(), kWays.end(),
                                  [&share](const Way& way) { return way.name == share.name; });
  return known != kWays.end() ? *known : Way{share.name, "go elsewhere", ""};
}

std::string told(const Share& share) {
  return spoken(100.0 * share.of_emitted.mean) + " " + way_in_words(share);
}

std::string edge_advice(const std::string& name, const Model& model) {
  const auto edge = model.outline.edge_named(name);
  if (!edge || *edge >= kSides) return "";
  if (std::any_of(model.lamps.begin(), model.lamps.end(),
                  [&](const LedRow& lamp) { return lamp.edge == *edge; })) {
    return "it comes out where LEDs are; a whiter base would return some of it";
  }
  if (model.edge_finish[static_cast<std::size_t>(*edge)].backing) {
    return "it gets past what backs the " + name + " edge";
  }
  return "a white card behind the " + name +
         " edge, or white tape on it, would send much of it back";
}

bool leaves_the_engraving(const Share& share) {
  return share.name == "front.mark" || share.name == "back.mark";
}

std::vector<Share> losses_by_size(const Glow& glow) {
  std::vector<Share> losses;
  std::copy_if(glow.ledger.begin(), glow.ledger.end(), std::back_inserter(losses),
               [](const Share& share) { return !leaves_the_engraving(share); });
  std::stable_sort(losses.begin(), losses.end(), [](const Share& a, const Share& b) {
    return a.of_emitted.mean > b.of_emitted.mean;
  });
  return losses;
}

std::string losses_told(const std::vector<Share>& losses) {
  std::vector<std::string> parts;
  double rest = 0.0;
  for (const Share& loss : losses) {
    if (parts.size() < kToldLosses && loss.of_emitted.mean >= kTellableShare) {
      parts.push_back(told(loss));
    } else {
      rest += loss.of_emitted.mean;
    }
  }
  if (rest >= 0.5 * kTellableShare) parts.push_back(spoken(100.0 * rest) + " go other ways");
  return listed(parts);
}

// Of the emitted light, 0 where the ledger does not list it.
double share_named(const Glow& glow, std::string_view name) {
  for (const Share& share : glow.ledger) {
    if (share.name == name) return share.of_emitted.mean;
  }
  return 0.0;
}

std::string engraving_told(const Glow& glow) {
  if (glow.viewers.empty()) return "";
  return spoken(100.0 * share_named(glow, "front.mark")) +
         " leave the engraving through the front and " +
         spoken(100.0 * share_named(glow, "back.mark")) + " through the back. ";
}

std::string meaning_of(const Share& loss, const Model& model) {
  const std::string edge = edge_in(loss);
  const std::string meaning =
      edge.empty() ? std::string(way_of(loss).means) : edge_advice(edge, model);
  return meaning.empty() ? "" : " The biggest loss: " + meaning + ".";
}

}  // namespace

std::string way_in_words(const Share& share) {
  const std::string edge = edge_in(share);
  return edge.empty() ? std::string(way_of(share).goes) : "leave through the " + edge_words(edge);
}

std::string veil_in_words(const Glow& glow, const Model& model) {
  const double free_paths = model.sheet.scattering_per_mm * model.thickness_mm;
  if (free_paths == 0.0 || glow.viewers.empty()) return "";
  return "Haze in the sheet shines by itself: beside what leaves by the engraving, " +
         spoken(100.0 * share_named(glow, "front.other")) +
         " of every 100 lumens leave through the front's clear acrylic. That veil is in no "
         "luminance, picture or contrast told here, and haze costs thin strokes up to " +
         percent(-std::expm1(-free_paths)) + " of their light straight on.";
}

Verdict where_the_light_goes(const Glow& glow, const Model& model) {
  const std::vector<Share> losses = losses_by_size(glow);
  if (losses.empty()) return {"light", "No light was followed.", Level::note};
  return {"light",
          "Of every 100 lumens that the LEDs give (toward all sides, not to one viewer) " +
              engraving_told(glow) + losses_told(losses) + "." + meaning_of(losses.front(), model),
          Level::note};
}

}  // namespace rimeglow
