#include "photon_words.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <nlohmann/json.hpp>

#include "units.h"
#include "words.h"

namespace rimeglow {
namespace {

using Json = nlohmann::ordered_json;

std::string edge_of(const Model& model, SurfaceId surface) {
  return model.outline.edges[static_cast<std::size_t>(surface - kFirstEdge)].name;
}

std::string surface_name(const Model& model, SurfaceId surface) {
  if (surface == kBackFace) return "back";
  if (surface == kFrontFace) return "front";
  if (surface == kWithin) return "sheet";
  return edge_of(model, surface);
}

// What is there: "engraved" or "clear" on a face, an edge's finish.
std::string state_of(const FollowedPhoton& which, const Event& event) {
  if (event.hit.surface == kWithin) return "haze";
  if (event.hit.surface >= kFirstEdge)
    return which.finishes[static_cast<std::size_t>(event.hit.surface - kFirstEdge)];
  return event.finish && event.finish->scatters() ? "engraved" : "clear";
}

bool from_outside(const Event& event) { return event.before.dot(event.hit.normal) < 0.0; }

std::string deed_of(const Event& event) {
  if (event.hit.surface == kWithin) return "strayed";
  if (!event.finish) return "total reflection";
  if (event.fate == Fate::absorbed) return "absorbed";
  const bool in = !goes_outside(event);
  if (event.from_base) return "in from the base";
  if (event.order > 0) {
    return std::string("scattered ") + (in ? "inside" : "out") + ", order " +
           std::to_string(event.order);
  }
  if (from_outside(event)) return in ? "refracted in" : "reflected away";
  return in ? "reflected" : "refracted out";
}

double degrees_between(const Vec3& a, const Vec3& b) {
  return std::acos(std::clamp(a.dot(b), -1.0, 1.0)) / radians(1.0);
}

// From the surface's normal; in haze, by how much the light turned.
std::optional<double> angle_deg(const Event& event) {
  if (event.from_base) return std::nullopt;
  if (event.hit.surface == kWithin) return degrees_between(event.before, event.after);
  const double from_outward = degrees_between(event.before, event.hit.normal);
  return std::min(from_outward, 180.0 - from_outward);
}

// Which LED of its row, from 1 on, counter-clockwise about the panel.
int led_number(const Model& model, const History& history) {
  const LedRow& row = model.lamps[history.row];
  const double along_mm = (history.departure.origin_mm.head<2>() - row.centre_mm).dot(row.along);
  return static_cast<int>(std::lround(along_mm / row.pitch_mm + 0.5 * (row.count - 1))) + 1;
}

std::string ending(const Model& model, const History& history) {
  const std::string left = percent(history.end().weight) + " of its light";
  switch (history.end().entry) {
    case kFrontMark:
      return "left through the front straight from the engraving, with " + left;
    case kBackMark:
      return "left through the back straight from the engraving, with " + left;
    case kFrontOther:
      return "left the front through clear acrylic, with " + left;
    case kBackOther:
      return "left the back through clear acrylic, with " + left;
    case kMissed:
      return history.events.empty() ? "missed the edge" : "was thrown back by the edge";
    case kBaseLoss:
      return "was swallowed by the base, with " + left;
    case kFinishLoss:
      return "was swallowed by a mark, paint, tape or card, with " + left;
    case kSheetLoss:
      return "was absorbed in the acrylic";
    case kTrapped:
      return "was given up inside: too little light left to follow";
    case kLost:
      return "was lost by the program; please report this scene and photon";
    default: {
      const std::string edge = edge_of(model, kFirstEdge + history.end().entry - kFirstEdgeEntry);
      return "left through " + (edge == "holes" ? "a hole" : "the " + edge_words(edge)) +
             ", with " + left;
    }
  }
}

std::string padded_left(const std::string& text, std::size_t width) {
  return (text.size() < width ? std::string(width - text.size(), ' ') : "") + text;
}

std::string padded(const std::string& text, std::size_t width) {
  return text + (text.size() < width ? std::string(width - text.size(), ' ') : "");
}

std::string three(const Vec3& v, int decimals, std::size_t width) {
  std::string text;
  for (int i = 0; i < 3; ++i) text += padded_left(fixed(v[i], decimals), width);
  return text;
}

// Of what was met: chamfers have long names.
std::size_t met_width(const Model& model) { return model.outline.chamfered() ? 29 : 20; }

struct Row {
  std::string number, met;
  Vec3 position_mm, direction;
  std::string angle, deed, weight;
};

std::string row_text(const Row& row, std::size_t met) {
  return padded_left(row.number, 4) + "  " + padded(row.met, met) + three(row.position_mm, 2, 8) +
         "  " + three(row.direction, 2, 6) + padded_left(row.angle, 7) + "  " +
         padded(row.deed, 24) + padded_left(row.weight, 8) + "\n";
}

std::string header_text(std::size_t met) {
  return padded_left("#", 4) + "  " + padded("met", met) + padded_left("x", 8) +
         padded_left("y", 8) + padded_left("z", 8) + "  " + padded_left("toward x, y, z", 18) +
         padded_left("angle", 7) + "  " + padded("what became of it", 24) +
         padded_left("light", 8) + "\n";
}

// Bounces off smooth faces on the way to the next line.
std::string bounces_text(int count) {
  if (count == 0) return {};
  return "      (" + counted(static_cast<std::size_t>(count), "total reflection") +
         " between the faces)\n";
}

std::string event_text(const FollowedPhoton& which, const Model& model, const Event& event,
                       int number) {
  const std::string surface = surface_name(model, event.hit.surface);
  const std::optional<double> angle = angle_deg(event);
  return row_text({std::to_string(number), surface + ", " + state_of(which, event),
                   event.hit.position_mm, event.after, angle ? fixed(*angle, 0) : "",
                   deed_of(event), fixed(100.0 * event.weight, 1) + " %"},
                  met_width(model));
}

Json vector_json(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

Json event_json(const FollowedPhoton& which, const Model& model, const Event& event) {
  const std::optional<double> angle = angle_deg(event);
  Json json = {{"surface", surface_name(model, event.hit.surface)},
               {"state", state_of(which, event)},
               {"position_mm", vector_json(event.hit.position_mm)},
               {"before", event.from_base ? Json(nullptr) : vector_json(event.before)},
               {"after", vector_json(event.after)},
               {"angle_deg", angle ? Json(*angle) : Json(nullptr)},
               {"became", deed_of(event)},
               {"order", event.order},
               {"folded_reflections_before", event.faces_between},
               {"weight", event.weight}};
  if (event.fate == Fate::absorbed) json["after"] = nullptr;
  return json;
}

}  // namespace

std::string photon_text(const FollowedPhoton& which, const Model& model, const History& history) {
  std::string text = which.title + ", photon " + std::to_string(which.photon) + " of seed " +
                     std::to_string(which.seed) + ": " + ending(model, history) + "\n\n" +
                     header_text(met_width(model));
  text +=
      row_text({"0",
                "LED " + std::to_string(led_number(model, history)) + " of row " +
                    std::to_string(history.row + 1),
                history.departure.origin_mm, history.departure.direction, "", "set off", "100.0 %"},
               met_width(model));
  int number = 0;
  int bounces = 0;
  for (const Event& event : history.events) {
    ++number;
    bounces += event.faces_between;
    if (is_bounce(event)) {
      ++bounces;
      continue;
    }
    text += bounces_text(bounces) + event_text(which, model, event, number);
    bounces = 0;
  }
  text += bounces_text(bounces);
  text +=
      "\nx from the left, y from the bottom, z from the back face, in mm; angle from the "
      "surface's normal, in degrees\n";
  if (const double sheet = history.booked(kSheetLoss); sheet > 0.0) {
    text += "The acrylic absorbed " + percent(sheet) + " on the way\n";
  }
  return text;
}

std::string photon_json(const FollowedPhoton& which, const Model& model, const History& history) {
  const std::vector<std::string> names = ledger_names(model.outline);
  Json ledger = Json::object();
  for (std::size_t entry = 0; entry < names.size(); ++entry) {
    const double weight = history.booked(static_cast<LedgerEntry>(entry));
    if (weight != 0.0) ledger[names[entry]] = weight;
  }
  Json events = Json::array();
  for (const Event& event : history.events) events.push_back(event_json(which, model, event));
  const Json json = {{"schema", std::string(kPhotonSchema)},
                     {"scene", which.title},
                     {"inputs", which.inputs},
                     {"version", which.version},
                     {"seed", which.seed},
                     {"photon", which.photon},
                     {"led", {{"row", history.row + 1}, {"number", led_number(model, history)}}},
                     {"departure",
                      {{"position_mm", vector_json(history.departure.origin_mm)},
                       {"direction", vector_json(history.departure.direction)}}},
                     {"events", events},
                     {"end", names[static_cast<std::size_t>(history.end().entry)]},
                     {"ledger", ledger}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rimeglow
