// The table of keys as people read it.
#include <array>
#include <cmath>

#include "schema.h"

namespace rimeglow {
namespace {

constexpr std::string_view kIntroduction =
    R"(# What a scene file may say

Printed by `rimeglow keys`, from the table that the program itself reads by; `rimeglow keys lamp` prints one part. A scene is a text file in TOML: `key = value` lines under `[table]` headers, remarks after `#`. Start from a copy of one of the examples here.

* Quantities are text with a unit: `"3 mm"`, `"1/8 in"`, `"0.118 in"`, `"400 dpi"`, `"30 deg"`. A bare number where a unit belongs is refused, not guessed, and so is a comma.
* Two quantities are a list: `centre = ["70 mm", "65 mm"]`. Places are counted from the panel's lower left corner as seen from the front.
* A scene that says `use = "shop.toml"` at its top takes in a shop file, written like a scene: what stands there under a header as in a scene (`[machine]`, `[mark.frost-400]`) holds for every scene unless the scene says otherwise; a table with a name of its own (`[panel."A6 plaque"]`, `[lamp."warm strip"]`) only where a table of the scene says `use = "A6 plaque"`. `shop.toml` here is an example. `format` and `title` are the file's own; `[art]`, `[expect]` and `use` have no place in it.
* Money is an amount and a currency by its three letters (ISO 4217), one currency in all: `"12.50 EUR"`, `"38 EUR/h"`.
* To change a key for one call, say `--set panel.thickness=5mm`, `--set 'lamp[0].gap=1 mm'`.

)";

constexpr std::array kSections = {
    Section{"", "At the top, before any table", "What the scene as a whole is."},
    Section{"panel", "[panel]", "The blank."},
    Section{"art", "[art]", "What is engraved. Without it the panel is a clear blank."},
    Section{"art.region[]", "[[art.region]]", "A part of the art with a mark of its own."},
    Section{"mark.*", "[mark.NAME]",
            "How the laser engraves, under a name of your own that `art.mark` chooses."},
    Section{"edges", "[edges]",
            "What is done to an edge: a word, or a table as in "
            "`top = { kind = \"ground\", alpha = 0.4 }`.",
            "EDGE"},
    Section{"lamp[]", "[[lamp]]", "One row of LEDs. Repeat the table for more rows."},
    Section{"base", "[base]", "What the panel stands in."},
    Section{"room", "[room]", "Where it is looked at."},
    Section{"machine", "[machine]", "The laser, for its time and its bed."},
    Section{"bench", "[bench]", "Work by hand, for the price."},
    Section{"even", "[even]", "What `rimeglow even` shall reach."},
    Section{"viewer.*", "[viewer.NAME]",
            "Another eye than the four that every scene has, under a name of your own."},
    Section{
        "variant[]", "[[variant]]",
        "A design that `rimeglow compare` sets against the scene as it stands. Repeat the table "
        "for more, up to five.",
        "KEY"},
    Section{"expect", "[expect]",
            "What an example must come out as, for tests: the number's place in `numbers.json` in "
            "quotes, as in `\"glow.evenness\" = { value = 0.7, tolerance = 0.05, source = "
            "\"frozen\" }`.",
            "\"NUMBER\""},
};

// The section a path belongs to: of those it lies in, the innermost.
const Section& section_of(std::string_view path) {
  const Section* innermost = &kSections.front();
  for (const Section& section : kSections) {
    const std::size_t length = section.path.size();
    const bool inside =
        path.size() > length && path.starts_with(section.path) && path[length] == '.';
    if (inside && length > innermost->path.size()) innermost = &section;
  }
  return *innermost;
}

std::string quoted_words(std::string_view choices) {
  std::string text = "`\"";
  for (const char c : choices) text += c == '|' ? "\"`, `\"" : std::string(1, c);
  text += "\"`";
  const std::size_t last = text.rfind(", ");
  if (last != std::string::npos) text.replace(last, 2, " or ");
  return text;
}

std::string example(Dimension dimension) {
  std::string text = "`" + std::string(example_of(dimension)) + "`";
  const std::size_t between = text.find(" or ");
  if (between != std::string::npos) text.replace(between, 4, "` or `");
  return text;
}

std::string two_of(Dimension dimension) {
  const std::string_view one = example_of(dimension).substr(0, example_of(dimension).find(" or "));
  return "`[" + std::string(one) + ", " + std::string(one) + "]`";
}

std::string takes(const Key& key) {
  switch (key.type) {
    case KeyType::choice:
      return quoted_words(key.choices);
    case KeyType::edge_finish:
      return quoted_words(key.choices) + ", sanded with any grit";
    case KeyType::yes_no:
      return "`true` or `false`";
    case KeyType::text:
      return "text in quotes";
    case KeyType::count:
      return "a whole number";
    case KeyType::number:
      return "a number";
    case KeyType::number_or_two:
      return "a number or two, as in `[0.3, 0.6]`";
    case KeyType::quantity:
      return example(*key.dimension);
    case KeyType::two_quantities:
      return two_of(*key.dimension);
    case KeyType::words_or_points:
      return "text, or a list of points as in `[[\"0 mm\", \"0 mm\"], [\"80 mm\", \"0 mm\"], [\"40 "
             "mm\", "
             "\"60 mm\"]]`, in mm";
    case KeyType::quantities:
      return "a list of any length, each " + example(*key.dimension);
    case KeyType::price:
      return "`" + std::string(example_of(MoneyPer::piece)) + "`";
    case KeyType::hourly:
      return "`" + std::string(example_of(MoneyPer::hour)) + "`";
    case KeyType::any:
      return "what that key takes";
  }
  return {};
}

std::string name_in(const Key& key, const Section& section) {
  std::string name(key.path.substr(section.path.empty() ? 0 : section.path.size() + 1));
  const std::size_t star = name.find('*');
  if (star != std::string::npos) name.replace(star, 1, section.any);
  return name;
}

std::string key_entry(const Key& key, const Section& section) {
  std::string text =
      "* `" + name_in(key, section) + "`: " + std::string(key.help) + ".\n  Takes " + takes(key);
  if (std::isfinite(key.low) || std::isfinite(key.high)) text += ", " + range_text(key);
  if (key.need == KeyNeed::required) text += "; required";
  if (!key.fallback.empty()) text += "; left out: " + std::string(key.fallback);
  return text + ".\n";
}

std::string section_text(const Section& section) {
  const std::string header(section.header);
  std::string text = "## " + (section.path.empty() ? header : "`" + header + "`") + "\n\n" +
                     std::string(section.help) + "\n\n";
  for (const Key& key : schema()) {
    if (&section_of(key.path) == &section) text += key_entry(key, section);
  }
  return text;
}

// "lamp" for lamp[], "mark" for mark.*, "art" for art.region[] as well.
std::string_view plain_name(const Section& section) {
  return section.path.substr(0, section.path.find_first_of(".["));
}

}  // namespace

std::span<const Section> sections() { return kSections; }

std::string key_reference() {
  std::string text(kIntroduction);
  for (const Section& section : kSections) {
    if (&section != &kSections.front()) text += "\n";
    text += section_text(section);
  }
  return text;
}

std::string key_reference(std::string_view name) {
  std::string text;
  for (const Section& section : kSections) {
    if (section.path.empty() || plain_name(section) != name) continue;
    text += (text.empty() ? "" : "\n") + section_text(section);
  }
  return text;
}

}  // namespace rimeglow
