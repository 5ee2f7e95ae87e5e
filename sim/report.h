// The answers a sign maker asked for, in plain words: bright enough for this room, even, can every
// LED be seen, where did the light go, and how far all that may be trusted. Pure: from a Glow and
// the Model behind it to sentences; every sentence about luminance names its viewer.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "estimate.h"
#include "glow.h"
#include "model.h"

namespace rimeglow {

enum class Level { good, fair, poor, note };

std::string_view name_of(Level level);

struct Verdict {
  std::string topic;  // "bright", "even", "leds", "light"
  std::string text;
  Level level = Level::note;
};

struct Report {
  std::vector<Verdict> verdicts;
  std::vector<std::string> warnings;
};

// From `from` upward a number earns these words.
struct Band {
  double from;
  Level level;
  std::string_view words;
};

// Contrast with what is seen beside the engraving. Common practice, no source.
inline constexpr std::array<Band, 4> kContrastBands = {{{0.0, Level::poor, "hard to see"},
                                                        {1.5, Level::fair, "visible"},
                                                        {3.0, Level::good, "reads well"},
                                                        {10.0, Level::good, "bright"}}};

// Darkest over brightest patch. Common practice, no source; 0.75 is also what a monitor's data
// sheet promises over nine points (Philips 220CW8 manual, p. 78).
inline constexpr std::array<Band, 3> kEvennessBands = {{{0.0, Level::poor, "plainly uneven"},
                                                        {0.5, Level::fair, "noticeably uneven"},
                                                        {0.75, Level::good, "even"}}};

// Michelson contrast along the engraving nearest the LEDs. Our own choice, no source.
inline constexpr std::array<Band, 3> kHotSpotBands = {
    {{0.0, Level::good, "no LED stands out"},
     {0.05, Level::fair, "the LEDs show as soft ripples"},
     {0.15, Level::poor, "the LEDs can be counted"}}};

const Band& band_of(std::span<const Band> bands, double value);

// The viewer whom the first sentences are about: "straight" where there is one, else the first.
// None for a clear blank.
const ViewerGlow* main_viewer(const Glow& glow);

// "seen straight on", "seen from a seat": how a sentence names a viewer.
std::string seen_by(std::string_view viewer);

// "300 to 1400 cd/m2, depending most on the roughness of the marks, here ", to stand before a value
// that is `factor` times the span's.
std::string span_first(const std::optional<Span>& span, double factor, const std::string& unit);

// What the light of an entry of the ledger does: "leave through the top edge".
std::string way_in_words(const Share& share);

// Where the light went, the large shares in words, and what the biggest loss means.
Verdict where_the_light_goes(const Glow& glow, const Model& model);

// What haze does to the engraving's glow; nothing where there is none.
std::string veil_in_words(const Glow& glow, const Model& model);

Report report_on(const Glow& glow, const Model& model);

}  // namespace rimeglow
