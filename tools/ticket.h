// The job ticket: a scene in plain sentences whose fields are the scene's own keys, with both units
// beside each length. Pure, from a scene to words; the ranges, choices and meanings of fields come
// from the schema.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "document.h"
#include "scene.h"

namespace rimeglow {

struct TicketChoice {
  std::string value;  // as a scene has it
  std::string words;  // as the sentence has it
};

// Plain words of a sentence when `key` is empty; what can be done with the key when `does` says so,
// "add" another row ("lamp") or chamfer ("edges.top"), or "strike" one out ("lamp[1]"); else a
// field.
struct Segment {
  std::string words;
  std::string key{};    // "panel.width"
  std::string value{};  // what to begin with when it is changed: "140 mm"
  std::string both{};   // in both units: "140 mm = 5.51 in"
  std::string about{};  // what the field is, for a label
  std::vector<TicketChoice> choices{};
  bool is_free = true;  // anything may be written, not only a choice
  std::string does{};
};

struct TicketLine {
  std::string topic;  // "blank", "light", "art", "mark", "edges", "chamfer", "viewer", "place"
  std::vector<Segment> segments;
};

// `document` tells how the scene says its rows of LEDs: as one table or as a list.
std::vector<TicketLine> ticket_of(const Scene& scene, const Node& document);

// What was typed into a field, as TOML for the scene: "3.2" takes the unit of `standing`, the
// field's value so far. The problem has the key and how to mend it.
std::variant<std::string, Problem> toml_of(const std::string& key, std::string_view typed,
                                           std::string_view standing);

// A quantity, as TOML, in both units: "3.175 mm = 0.125 in"; nothing for what is none.
std::string in_both_units(const std::string& key, const std::string& toml);

// The schema's pattern of a key: "lamp[0].count" has "lamp[].count".
std::string pattern_of(std::string_view key);

}  // namespace rimeglow
