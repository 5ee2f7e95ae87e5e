#include "ticket.h"

#include "model.h"
#include "panel_shape.h"
#include "ticket_fields.h"
#include "ticket_rows.h"
#include "words.h"

namespace rimeglow {
namespace {

class Line {
 public:
  explicit Line(std::string topic) { line_.topic = std::move(topic); }

  Line& say(std::string words) {
    line_.segments.push_back({std::move(words)});
    return *this;
  }
  Line& field(Segment segment) {
    line_.segments.push_back(std::move(segment));
    return *this;
  }
  operator TicketLine() const { return line_; }

 private:
  TicketLine line_;
};

std::string side_words(const std::string& edge) {
  if (edge == "bottom") return "below";
  return edge == "top" ? "above" : "the " + edge;
}

// What the scene's text has at a key, when it is text.
const std::string* written_at(const Node& document, std::string_view key);

// One size of an outline that is drawn follows from the other.
TicketLine shaped_blank_line(const Scene& scene, const Node& document) {
  const PanelSpec& panel = scene.panel;
  const Segment width = length_field("panel.width", panel.width_mm);
  const Segment height = length_field("panel.height", panel.height_mm);
  const bool is_by_height =
      written_at(document, "panel.height") && !written_at(document, "panel.width");
  Line line("blank");
  line.say("A ");
  is_by_height ? line.say(width.words) : line.field(width);
  line.say(" wide, ");
  is_by_height ? line.field(height) : line.say(height.words);
  line.say(" high, ")
      .field(length_field("panel.thickness", panel.thickness_mm))
      .say(" thick blank of ")
      .field(choice_field("panel.sheet", panel.sheet));
  if (panel.outline == kDisc) {
    line.say(", cut as a disc on a flat of ").field(length_field("panel.flat", panel.flat_mm));
  } else {
    line.say(panel.corners_mm.empty() ? ", cut as " + panel.outline + " draws it"
                                      : ", cut as a polygon of its own corners");
  }
  return std::move(line.say("."));
}

TicketLine blank_line(const Scene& scene, const Node& document) {
  const PanelSpec& panel = scene.panel;
  if (panel.shape) return shaped_blank_line(scene, document);
  return Line("blank")
      .say("A ")
      .field(length_field("panel.width", panel.width_mm))
      .say(" wide, ")
      .field(length_field("panel.height", panel.height_mm))
      .say(" high, ")
      .field(length_field("panel.thickness", panel.thickness_mm))
      .say(" thick blank of ")
      .field(choice_field("panel.sheet", panel.sheet))
      .say(", corners rounded by ")
      .field(length_field("panel.corner_radius", panel.corner_radius_mm))
      .say(".");
}

Segment edge_side_field(const std::string& key, const std::string& edge) {
  Segment segment = choice_field(key, edge);
  for (TicketChoice& choice : segment.choices) choice.words = side_words(choice.value);
  segment.words = side_words(edge);
  return segment;
}

TicketLine lamp_line(const LampSpec& lamp, const std::string& row, bool is_first) {
  const bool one = lamp.count == 1;
  const std::string leds = one ? "LED" : "LEDs";
  Line line("light");
  line.say(is_first ? "Lit from " : "And from ")
      .field(edge_side_field(row + "edge", lamp.edge))
      .say(" by ")
      .field(plain_field(row + "count", std::to_string(lamp.count)));
  if (lamp.wavelength_nm) {
    line.say(" " + leds + " of ")
        .field(quantity_field(row + "wavelength", *lamp.wavelength_nm, Dimension::wavelength));
  } else {
    line.say(" white " + leds + " of ")
        .field(quantity_field(row + "colour", lamp.colour_k, Dimension::temperature));
  }
  if (!one) line.say(", ").field(length_field(row + "pitch", lamp.pitch_mm)).say(" apart");
  if (lamp.flux_each_lm > 0.0) {
    line.say(", ").field(quantity_field(row + "flux_each", lamp.flux_each_lm, Dimension::flux));
    if (!one) line.say(" each");
  } else {
    line.say(", ")
        .field(quantity_field(row + "current_each", lamp.current_each_ma.value_or(20.0),
                              Dimension::current))
        .say(one ? " through it" : " through each");
  }
  return std::move(
      line.say(", ").field(length_field(row + "gap", lamp.gap_mm)).say(" from the edge."));
}

std::vector<TicketChoice> mark_choices(const Scene& scene) {
  std::vector<TicketChoice> choices;
  for (const auto& [name, mark] : scene.marks) choices.push_back({name, name});
  return choices;
}

// As the scene says them: a list, or a table for one alone.
void say_regions(Line& line, const Scene& scene, const Node& document) {
  const Node* art = document.child("art");
  const Node* rows = art ? art->child("region") : nullptr;
  const bool is_list = rows && rows->list();
  const std::vector<RegionSpec>& regions = scene.art->regions;
  for (std::size_t i = 0; i < regions.size(); ++i) {
    const std::string row = is_list ? "art.region[" + std::to_string(i) + "]" : "art.region";
    Segment mark = choice_field(row + ".mark", regions[i].mark);
    mark.choices = mark_choices(scene);
    line.say(", " + regions[i].select + " with ").field(mark);
  }
}

TicketLine art_line(const Scene& scene, const Node& document) {
  if (!scene.art) {
    return Line("art").say(
        "Nothing is engraved yet. Drop an SVG, PNG or JPEG on the panel, or choose a file.");
  }
  const ArtSpec& art = *scene.art;
  const Vec2 centre =
      art.centre_mm.value_or(Vec2(0.5 * scene.panel.width_mm, 0.5 * scene.panel.height_mm));
  Segment mark_field = choice_field("art.mark", mark_name(scene, 0));
  mark_field.choices = mark_choices(scene);
  Segment engrave = choice_field("art.engrave", art.light_is_engraved ? "light" : "dark");
  Line line("art");
  line.say(art.file);
  if (art.width_mm) {
    line.say(", ").field(length_field("art.width", *art.width_mm)).say(" wide");
  } else {
    line.say(", ").field(blank_field("art.width", "as wide as its file says"));
  }
  line.say(", its middle at ")
      .field(place_field("art.centre", centre))
      .say(" from the lower left corner, turned by ")
      .field(quantity_field("art.rotate", art.rotate_rad, Dimension::angle))
      .say(", engraved on the ")
      .field(choice_field("art.face", art.face == Side::back ? "back" : "front"))
      .say(" with ")
      .field(mark_field);
  say_regions(line, scene, document);
  if (!art.density.empty()) line.say(", as densely as " + art.density + " has it");
  return line.say(". Its ").field(engrave).say(" parts will glow.");
}

TicketLine mark_line(const std::string& name, const MarkSpec& mark) {
  const std::string key = "mark." + name + ".";
  const std::string kind = mark.scored() ? "scored" : "raster";
  Segment alpha = plain_field(key + "alpha", short_number(mark.alpha_x));
  if (mark.alpha_x != mark.alpha_y)
    alpha.value = alpha.words = alpha.words + ", " + short_number(mark.alpha_y);
  return Line("mark")
      .say(name + " is ")
      .field(choice_field(key + "kind", kind))
      .say(kind == "raster" ? ", lines at " : ", dots at ")
      .field(quantity_field(key + "spacing", mark.spacing_mm, Dimension::spacing))
      .say(", a spot of ")
      .field(length_field(key + "spot", mark.spot_mm))
      .say("; roughness ")
      .field(alpha)
      .say(", ")
      .field(plain_field(key + "frost", short_number(mark.frost)))
      .say(" of it melted white.");
}

TicketLine edges_line(const Scene& scene) {
  Line line("edges");
  const char* between = "Top edge ";
  for (const std::string& edge : edges_of(scene)) {
    const EdgeSpec finish = scene.edge(edge);
    line.say(between).field(finish_field("edges." + edge, finish.kind, finish.grit));
    between = edge == "top"      ? ", left "
              : edge == "left"   ? ", right "
              : edge == "bottom" ? ", holes "
                                 : ", bottom ";
  }
  return line.say(".");
}

TicketLine chamfer_line(const Scene& scene, const std::string& edge) {
  const std::string key = "edges." + edge + ".chamfer_";
  const EdgeSpec cut = scene.edge(edge);
  Segment finish = finish_field(key + "finish", cut.chamfer_kind.value_or(cut.kind),
                                cut.chamfer_kind ? cut.chamfer_grit : cut.grit);
  if (!cut.chamfer_kind) {
    finish.words = edge == "holes" ? "finished as they are" : "finished as it is";
    finish.value.clear();
  }
  return Line("chamfer")
      .say(edge == "holes" ? "Holes chamfered by " : capitalised(edge) + " edge chamfered by ")
      .field(length_field(key + "front", cut.chamfer_front_mm))
      .say(" at the front and by ")
      .field(length_field(key + "back", cut.chamfer_back_mm))
      .say(" at the back, at ")
      .field(quantity_field(key + "angle", cut.chamfer_angle_rad, Dimension::angle))
      .say(" to the faces, ")
      .field(finish)
      .say(".");
}

TicketLine place_line(const Scene& scene) {
  Segment room = quantity_field("room.luminance", scene.room_cd_m2, Dimension::luminance);
  room.choices = {{"1 cd/m2", "dark bedroom"},
                  {"30 cd/m2", "evening room"},
                  {"100 cd/m2", "office"},
                  {"300 cd/m2", "shop window"}};
  return Line("place")
      .say("It stands ")
      .field(length_field("base.slot_depth", scene.slot_depth_mm))
      .say(" deep in its base, in surroundings of ")
      .field(room)
      .say(".");
}

TicketLine viewer_line(const std::string& name, const ViewerSpec& viewer) {
  const std::string key = "viewer." + name + ".";
  return Line("viewer")
      .say("It is looked at as well, as " + name + ", from ")
      .field(quantity_field(key + "above", viewer.above_rad, Dimension::angle))
      .say(" above and ")
      .field(quantity_field(key + "left", viewer.left_rad, Dimension::angle))
      .say(" to the left, on its ")
      .field(choice_field(key + "side", viewer.side == Side::back ? "back" : "front"))
      .say(".");
}

const std::string* written_at(const Node& document, std::string_view key) {
  const Node* node = &document;
  while (!key.empty()) {
    const std::string_view name = key.substr(0, key.find_first_of(".["));
    key.remove_prefix(name.size());
    const Node* next = node->child(name);
    if (next && !key.empty() && key.front() == '[') {
      const auto row = static_cast<std::size_t>(std::stoul(std::string(key.substr(1))));
      key.remove_prefix(key.find(']') + 1);
      next = next->list() && row < next->list()->size() ? &(*next->list())[row] : nullptr;
    }
    if (!next) return nullptr;
    node = next;
    if (!key.empty()) key.remove_prefix(1);
  }
  return node->text();
}

void offer_to_strike(TicketLine& line, const std::string& key, const Scene& scene,
                     const Node& document) {
  if (!can_strike_out(key, scene, document)) return;
  Segment deed{"Strike it out", key};
  deed.does = "strike";
  line.segments.push_back(std::move(deed));
}

void offer_another(TicketLine& line, std::string words, const std::string& of) {
  Segment deed{std::move(words), of};
  deed.does = "add";
  line.segments.push_back(std::move(deed));
}

// A quantity stands as its writer wrote it, in inches or millimetres.
void keep_units(std::vector<TicketLine>& lines, const Node& document) {
  for (TicketLine& line : lines) {
    for (Segment& segment : line.segments) {
      if (segment.both.empty()) continue;
      if (const std::string* written = written_at(document, segment.key))
        segment.words = segment.value = *written;
    }
  }
}

}  // namespace

std::vector<TicketLine> ticket_of(const Scene& scene, const Node& document) {
  std::vector<TicketLine> lines = {blank_line(scene, document)};
  const Node* rows = document.child(kLampRows);
  const bool is_list = rows && rows->list();
  for (std::size_t i = 0; i < scene.lamps.size(); ++i) {
    const std::string row = is_list ? "lamp[" + std::to_string(i) + "]" : "lamp";
    lines.push_back(lamp_line(scene.lamps[i], row + ".", i == 0));
    offer_to_strike(lines.back(), row, scene, document);
  }
  if (can_light_another_edge(scene))
    offer_another(lines.back(), "Light another edge too", kLampRows);
  lines.push_back(art_line(scene, document));
  if (scene.art) {
    for (const auto& [name, mark] : scene.marks) lines.push_back(mark_line(name, mark));
  }
  lines.push_back(edges_line(scene));
  for (const std::string& edge : edges_of(scene)) {
    if (can_chamfer(edge, scene))
      offer_another(lines.back(), "Chamfer the " + edge_words(edge), "edges." + edge);
  }
  for (const std::string& edge : edges_of(scene)) {
    if (!scene.edge(edge).is_chamfered()) continue;
    lines.push_back(chamfer_line(scene, edge));
    offer_to_strike(lines.back(), "edges." + edge, scene, document);
  }
  lines.push_back(place_line(scene));
  for (const auto& [name, viewer] : scene.viewers) {
    lines.push_back(viewer_line(name, viewer));
    offer_to_strike(lines.back(), "viewer." + name, scene, document);
  }
  offer_another(lines.back(), "Look from another place too", kViewers);
  keep_units(lines, document);
  return lines;
}

}  // namespace rimeglow
