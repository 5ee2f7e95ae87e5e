// The table itself: one row a key.
#include <algorithm>
#include <array>

#include "outline_building.h"
#include "schema.h"

namespace rimeglow {
namespace {

using D = Dimension;
using T = SceneTarget;
using V = KeyValue;
constexpr KeyNeed kOptional = KeyNeed::optional;
constexpr KeyNeed kRequired = KeyNeed::required;

Side side_named(const V& value) { return value.text == "front" ? Side::front : Side::back; }

SlopeLaw law_named(const V& value) {
  return value.text == "beckmann" ? SlopeLaw::beckmann : SlopeLaw::ggx;
}

Stroke stroke_named(const V& value) {
  if (value.text == "along") return Stroke::along;
  return value.text == "across" ? Stroke::across : Stroke::circular;
}

EdgeSpec::Kind edge_kind(const std::string& word) {
  const auto is_said = [&](const EdgeWord& known) { return known.word == word; };
  return std::find_if(kEdgeWords.begin(), kEdgeWords.end(), is_said)->kind;  // one of the choices
}

void set_edge_kind(T& to, const V& value) {
  if (const auto grit = grit_in(value.text)) {
    to.edge->kind = EdgeSpec::Kind::sanded;
    to.edge->grit = *grit;
  } else {
    to.edge->kind = edge_kind(value.text);
  }
}

void set_chamfer_kind(T& to, const V& value) {
  const auto grit = grit_in(value.text);
  to.edge->chamfer_kind = grit ? EdgeSpec::Kind::sanded : edge_kind(value.text);
  to.edge->chamfer_grit = grit.value_or("");
}

// "polished|sanded P320|ground|..."
constexpr std::array<char, 128> kEdgeChoices = [] {
  std::array<char, 128> choices{};
  std::size_t end = 0;
  const auto add = [&](std::string_view text) {
    for (const char letter : text) choices[end++] = letter;
  };
  for (const EdgeWord& known : kEdgeWords) {
    if (end > 0) add("|");
    add(known.word);
    if (known.kind == EdgeSpec::Kind::sanded) add(" P320");
  }
  return choices;
}();

// Of any value, as far as its type goes.
constexpr Key unbounded(std::string_view path, KeyType type, KeyNeed need,
                        std::string_view fallback, std::string_view help,
                        void (*store)(T&, const V&), std::string_view choices = "") {
  return {path, type, need, {}, -kUnbounded, kUnbounded, choices, fallback, help, store};
}

constexpr Key edge_finish(std::string_view path, KeyNeed need, std::string_view fallback,
                          std::string_view help, void (*store)(T&, const V&) = set_edge_kind) {
  return unbounded(path, KeyType::edge_finish, need, fallback, help, store, kEdgeChoices.data());
}

constexpr Key words(std::string_view path, KeyNeed need, std::string_view fallback,
                    std::string_view help, void (*store)(T&, const V&)) {
  return unbounded(path, KeyType::text, need, fallback, help, store);
}

constexpr Key choice(std::string_view path, KeyNeed need, std::string_view choices,
                     std::string_view fallback, std::string_view help,
                     void (*store)(T&, const V&)) {
  return unbounded(path, KeyType::choice, need, fallback, help, store, choices);
}

constexpr Key number(std::string_view path, KeyNeed need, double low, double high,
                     std::string_view fallback, std::string_view help,
                     void (*store)(T&, const V&)) {
  return {path, KeyType::number, need, {}, low, high, "", fallback, help, store};
}

// From 1 on.
constexpr Key count(std::string_view path, KeyNeed need, double high, std::string_view fallback,
                    std::string_view help, void (*store)(T&, const V&)) {
  return {path, KeyType::count, need, {}, 1, high, "", fallback, help, store};
}

constexpr Key quantity(std::string_view path, KeyNeed need, Dimension dimension, double low,
                       double high, std::string_view fallback, std::string_view help,
                       void (*store)(T&, const V&)) {
  return {path, KeyType::quantity, need, dimension, low, high, "", fallback, help, store};
}

constexpr Key alphas(std::string_view path, std::string_view fallback, std::string_view help,
                     void (*store)(T&, const V&)) {
  return {path, KeyType::number_or_two, kOptional, {}, kLeastAlpha, kMostAlpha, "", fallback, help,
          store};
}

constexpr Key money(std::string_view path, KeyType type, std::string_view help,
                    void (*store)(T&, const V&)) {
  return unbounded(path, type, kOptional, "", help, store);
}

// Filled in before the scene is read, see shop.h.
constexpr Key from_shop(std::string_view path, std::string_view help) {
  return words(path, kOptional, "", help, [](T&, const V&) {});
}

const Key kSchema[] = {
    count("format", kOptional, 1, "1", "version of the scene format", [](T&, const V&) {}),
    words("title", kOptional, "the file's name", "what the panel is called in the report",
          [](T& to, const V& v) { to.scene.title = v.text; }),
    from_shop("use", "the shop file, beside the scene: blanks, bases, marks and prices"),

    from_shop("panel.use", "the shop's [panel.NAME] to start from"),
    quantity("panel.width", kOptional, D::length, kSmallestPanel_mm, kLargestPanel_mm,
             "a drawn outline's own; else required", "of the blank; scales a drawn outline",
             [](T& to, const V& v) { to.scene.panel.width_mm = v.number; }),
    quantity("panel.height", kOptional, D::length, kSmallestPanel_mm, kLargestPanel_mm,
             "a disc's or a drawn outline's own; else required", "of the blank, slot included",
             [](T& to, const V& v) { to.scene.panel.height_mm = v.number; }),
    quantity("panel.thickness", kRequired, D::length, 0.1, 50, "",
             "as measured: cast sheet varies by 0.7 mm at 3 mm",
             [](T& to, const V& v) { to.scene.panel.thickness_mm = v.number; }),
    quantity("panel.corner_radius", kOptional, D::length, 0, 1000, "0 mm", "of all four corners",
             [](T& to, const V& v) { to.scene.panel.corner_radius_mm = v.number; }),
    quantity("panel.flat", kOptional, D::length, 1, kLargestPanel_mm, "required of a disc",
             "the straight cut at a disc's bottom, where LEDs stand",
             [](T& to, const V& v) { to.scene.panel.flat_mm = v.number; }),
    Key{"panel.outline", KeyType::words_or_points, kOptional, D::length, -kLargestPanel_mm,
        kLargestPanel_mm, "", "\"rectangle\"",
        "\"rectangle\", \"disc\", an SVG file beside the scene with one closed shape and any holes "
        "in it, or the corners of a polygon. Straight lines and circular arcs are kept, other "
        "curves cut into straight pieces within 0.01 mm. A piece belongs to the edge its outward "
        "normal is nearest to (bottom or top where two are as near); LEDs stand at the straight "
        "piece of their edge that is farthest out",
        [](T& to, const V& v) {
          to.scene.panel.outline = v.text;
          to.scene.panel.corners_mm = v.points;
        }},
    choice("panel.sheet", kOptional, "cast acrylic", "cast acrylic", "what the blank is made of",
           [](T& to, const V& v) { to.scene.panel.sheet = v.text; }),
    number("panel.index", kOptional, 1.3, 2.4, "of acrylic at the lamp's colour",
           "refractive index, when known better",
           [](T& to, const V& v) { to.scene.panel.index = v.number; }),
    quantity("panel.absorption", kOptional, D::absorption, 0, 100, "0.3 /m",
             "of the sheet; uncertain by three times either way",
             [](T& to, const V& v) { to.scene.panel.absorption_per_m = v.number; }),
    quantity("panel.scattering", kOptional, D::absorption, 0, 1000, "0 /m",
             "of a hazy sheet: how much light is scattered on its way",
             [](T& to, const V& v) { to.scene.panel.scattering_per_m = v.number; }),
    number("panel.asymmetry", kOptional, -0.95, 0.99, "0.9",
           "mean cosine of that scattering: 1 straight on, 0 all ways alike",
           [](T& to, const V& v) { to.scene.panel.asymmetry = v.number; }),
    money("panel.price", KeyType::price, "of the blank, ready to engrave",
          [](T& to, const V& v) { to.scene.prices.blank = v.money; }),

    words("art.file", kOptional, "", "SVG, PNG or JPEG beside the scene file",
          [](T& to, const V& v) { to.scene.art->file = v.text; }),
    quantity("art.width", kOptional, D::length, 1, 2000, "the file's own",
             "of the art before it is turned",
             [](T& to, const V& v) { to.scene.art->width_mm = v.number; }),
    Key{"art.centre", KeyType::two_quantities, kOptional, D::length, -2000, 2000, "", "the panel's",
        "from the lower left corner as seen from the front",
        [](T& to, const V& v) { to.scene.art->centre_mm = v.two; }},
    quantity("art.rotate", kOptional, D::angle, radians(-360), radians(360), "0 deg",
             "counter-clockwise as seen from the front",
             [](T& to, const V& v) { to.scene.art->rotate_rad = v.number; }),
    choice("art.face", kOptional, "back|front", "back",
           "which face is engraved; art is drawn as seen from the front",
           [](T& to, const V& v) { to.scene.art->face = side_named(v); }),
    words("art.mark", kOptional, "the only mark", "the [mark.NAME] it is engraved with",
          [](T& to, const V& v) { to.scene.art->mark = v.text; }),
    choice("art.engrave", kOptional, "dark|light", "dark",
           "which parts glow: the ink, or the lights of a photograph",
           [](T& to, const V& v) { to.scene.art->light_is_engraved = v.text == "light"; }),
    choice("art.tones", kOptional, "as drawn|flat", "as drawn",
           "greys by the density of dots, or all that is darker than half in full",
           [](T& to, const V& v) { to.scene.art->flat = v.text == "flat"; }),
    words("art.density", kOptional, "burnt in full",
          "a PNG of how densely each place is burnt, white in full, over the art's box; `even` "
          "writes it",
          [](T& to, const V& v) { to.scene.art->density = v.text; }),
    words("art.region[].select", kRequired, "", "the SVG element with a mark of its own: \"#id\"",
          [](T& to, const V& v) { to.region->select = v.text; }),
    words("art.region[].mark", kRequired, "", "the [mark.NAME] it is engraved with",
          [](T& to, const V& v) { to.region->mark = v.text; }),

    from_shop("mark.*.use", "the shop's [mark.NAME] to start from"),
    choice("mark.*.kind", kOptional, "raster|scored", "raster",
           "how the laser draws it: line by line, or along outlines alone, which `even` leaves as "
           "drawn",
           [](T& to, const V& v) {
             to.mark->kind = v.text == "scored" ? MarkSpec::Kind::scored : MarkSpec::Kind::raster;
           }),
    quantity(
        "mark.*.spacing", kOptional, D::spacing, 0.005, 2, "400 dpi",
        "of raster lines, and of dots along them; how finely scored ones are reckoned and drawn",
        [](T& to, const V& v) { to.mark->spacing_mm = v.number; }),
    quantity("mark.*.direction", kOptional, D::angle, radians(-360), radians(360), "0 deg",
             "of the lines: a raster's 0 or 90 deg, scored ones' any",
             [](T& to, const V& v) { to.mark->direction_rad = v.number; }),
    quantity("mark.*.spot", kOptional, D::length, 0.01, 2, "0.12 mm",
             "diameter that the beam burns",
             [](T& to, const V& v) { to.mark->spot_mm = v.number; }),
    choice("mark.*.slope", kOptional, "ggx|beckmann", "ggx", "law of the burnt surface's slopes",
           [](T& to, const V& v) { to.mark->law = law_named(v); }),
    alphas("mark.*.alpha", "0.5",
           "roughness, uncalibrated: 0.3 to 1 is usual; two values: along and across the lines",
           [](T& to, const V& v) {
             to.mark->alpha_x = v.two.x();
             to.mark->alpha_y = v.two.y();
           }),
    number("mark.*.frost", kOptional, 0, 1, "0.3",
           "share of the burnt surface that is melted white",
           [](T& to, const V& v) { to.mark->frost = v.number; }),
    number("mark.*.frost_reflectance", kOptional, 0, 0.99, "0.3",
           "of that frost, seen from outside",
           [](T& to, const V& v) { to.mark->frost_reflectance = v.number; }),
    quantity("mark.*.depth", kOptional, D::length, 0, 5, "0 mm",
             "of the engraved grooves: an isolated one juts into the light and catches more",
             [](T& to, const V& v) { to.mark->depth_mm = v.number; }),

    edge_finish("edges.*", kOptional, "polished",
                "finish of the top, right, bottom or left edge, or of the holes, with any grit as "
                "\"P320\" or \"320 US\"; a table for its figures"),
    edge_finish("edges.*.kind", kRequired, "", "finish of the edge"),
    choice("edges.*.stroke", kOptional, "circular|along|across", "circular",
           "how a sanded edge was rubbed",
           [](T& to, const V& v) { to.edge->stroke = stroke_named(v); }),
    alphas("edges.*.alpha", "the finish's own",
           "roughness, uncalibrated; two values: along the edge and through the sheet",
           [](T& to, const V& v) { to.edge->alpha = v.two; }),
    choice("edges.*.slope", kOptional, "ggx|beckmann", "ggx", "law of a rough edge's slopes",
           [](T& to, const V& v) { to.edge->law = law_named(v); }),
    number("edges.*.reflectance", kOptional, 0, 1, "0.9", "of paint, tape or card",
           [](T& to, const V& v) { to.edge->reflectance = v.number; }),
    quantity("edges.*.chamfer_front", kOptional, D::length, 0, 50, "0 mm, square",
             "a flat cut along the edge: how far it sets back on the front face. A bevel is one "
             "that goes through most of the thickness",
             [](T& to, const V& v) { to.edge->chamfer_front_mm = v.number; }),
    quantity("edges.*.chamfer_back", kOptional, D::length, 0, 50, "0 mm, square",
             "the same at the back",
             [](T& to, const V& v) { to.edge->chamfer_back_mm = v.number; }),
    quantity("edges.*.chamfer_angle", kOptional, D::angle, radians(5), radians(85), "45 deg",
             "between the cuts and the faces: at 45 deg they are as deep as they are set back",
             [](T& to, const V& v) { to.edge->chamfer_angle_rad = v.number; }),
    edge_finish("edges.*.chamfer_finish", kOptional, "the edge's own", "finish of its chamfers",
                set_chamfer_kind),

    from_shop("lamp[].use", "the shop's [lamp.NAME] to start from"),
    choice("lamp[].edge", kOptional, "bottom|right|top|left", "bottom",
           "the edge the LEDs shine into", [](T& to, const V& v) { to.lamp->edge = v.text; }),
    count("lamp[].count", kRequired, 500, "", "LEDs in the row",
          [](T& to, const V& v) { to.lamp->count = static_cast<int>(v.number); }),
    quantity("lamp[].pitch", kOptional, D::length, 0.1, 2000, "evenly along the edge",
             "from LED to LED", [](T& to, const V& v) { to.lamp->pitch_mm = v.number; }),
    quantity("lamp[].centre", kOptional, D::length, 0, 2000, "the edge's middle",
             "of the row, from the edge's left or lower end",
             [](T& to, const V& v) { to.lamp->centre_mm = v.number; }),
    Key{"lamp[].emitter", KeyType::two_quantities, kOptional, D::length, 0.05, 100, "",
        "3.5 mm, 2.8 mm", "size of the light-giving area: along the edge, across the sheet",
        [](T& to, const V& v) { to.lamp->emitter_mm = v.two; }},
    quantity("lamp[].flux_each", kOptional, D::flux, 1e-3, 1e4,
             "guessed from current_each, or the distribution's own", "lumens of one LED",
             [](T& to, const V& v) { to.lamp->flux_each_lm = v.number; }),
    quantity("lamp[].current_each", kOptional, D::current, 0.1, 5000, "",
             "through one LED, when its lumens are not known",
             [](T& to, const V& v) { to.lamp->current_each_ma = v.number; }),
    quantity("lamp[].colour", kOptional, D::temperature, 1800, 12000, "6500 K",
             "colour temperature of white LEDs",
             [](T& to, const V& v) { to.lamp->colour_k = v.number; }),
    quantity("lamp[].wavelength", kOptional, D::wavelength, 400, 700, "white",
             "dominant wavelength of coloured LEDs; red, green and blue ones are three rows in "
             "one place",
             [](T& to, const V& v) { to.lamp->wavelength_nm = v.number; }),
    quantity("lamp[].beam_angle", kOptional, D::angle, radians(5), radians(175), "120 deg",
             "full angle between half intensities",
             [](T& to, const V& v) { to.lamp->beam_angle_rad = v.number; }),
    words("lamp[].distribution", kOptional, "by the beam angle",
          "an LM-63 file (.ies, type C) of one LED's measured light, beside the scene, instead of "
          "beam_angle: its far field, sent out from the whole emitter; its plane at 0 degrees "
          "stands along the edge, at 90 toward the front",
          [](T& to, const V& v) { to.lamp->distribution = v.text; }),
    quantity("lamp[].gap", kOptional, D::length, 0, 100, "0.5 mm", "air between LED and edge",
             [](T& to, const V& v) { to.lamp->gap_mm = v.number; }),

    from_shop("base.use", "the shop's [base.NAME] to start from"),
    money("base.price", KeyType::price, "of the base with its LEDs",
          [](T& to, const V& v) { to.scene.prices.base = v.money; }),
    quantity("base.slot_depth", kOptional, D::length, 0, 1000, "0 mm",
             "how deep the lit edge stands in the base",
             [](T& to, const V& v) { to.scene.slot_depth_mm = v.number; }),
    number("base.wall", kOptional, 0, 0.98, "0",
           "diffuse reflectance inside the base: LEDs, board and slot on average",
           [](T& to, const V& v) { to.scene.base_wall = v.number; }),
    number("base.contact", kOptional, 0, 1, "0",
           "share of the slot's walls that touches the panel; air leaves its light alone",
           [](T& to, const V& v) { to.scene.base_contact = v.number; }),

    from_shop("room.use", "the shop's [room.NAME] to start from"),
    quantity("room.luminance", kOptional, D::luminance, 0.01, 1e5, "30 cd/m2",
             "of what surrounds the panel: bedroom 1, evening room 30, office 100, shop window "
             "300",
             [](T& to, const V& v) { to.scene.room_cd_m2 = v.number; }),
    number("room.backdrop", kOptional, 0, 1, "none: the room is seen through the panel",
           "reflectance of a wall close behind",
           [](T& to, const V& v) { to.scene.backdrop = v.number; }),

    from_shop("machine.use", "the shop's [machine.NAME] to start from"),
    Key{"machine.bed", KeyType::two_quantities, kOptional, D::length, 10, 10000, "",
        "400 mm, 300 mm", "what the laser reaches",
        [](T& to, const V& v) { to.scene.machine->bed_mm = v.two; }},
    quantity("machine.speed", kOptional, D::speed, 1, 10000, "300 mm/s", "along a raster line",
             [](T& to, const V& v) {
               to.scene.machine->speed_mm_per_s = v.number;
               to.scene.machine->speed_said = true;
             }),
    quantity("machine.acceleration", kOptional, D::acceleration, 10, 1e6, "5 m/s2", "at the turns",
             [](T& to, const V& v) { to.scene.machine->acceleration_mm_per_s2 = v.number; }),
    unbounded("machine.two_way", KeyType::yes_no, kOptional, "true",
              "engraves on the way back as well",
              [](T& to, const V& v) { to.scene.machine->two_way = v.yes; }),
    Key{"machine.dpi", KeyType::quantities, kOptional, D::spacing, 0.005, 2, "", "any",
        "the resolutions it can be set to, as in [\"250 dpi\", \"500 dpi\"]",
        [](T& to, const V& v) { to.scene.machine->spacings_mm = v.all; }},
    quantity("machine.kerf", kOptional, D::length, 0, 2, "0 mm",
             "width that cutting the outline takes away; the outline is drawn larger by half",
             [](T& to, const V& v) { to.scene.machine->kerf_mm = v.number; }),
    money("machine.rate", KeyType::hourly, "what an hour of the laser costs",
          [](T& to, const V& v) { to.scene.prices.laser_per_h = v.money; }),

    quantity("bench.time", kOptional, D::time, 0, 6000, "",
             "by hand for one piece: film, edges, cleaning, packing",
             [](T& to, const V& v) { to.scene.prices.bench_min = v.number; }),
    money("bench.rate", KeyType::hourly, "what an hour of handiwork costs",
          [](T& to, const V& v) { to.scene.prices.bench_per_h = v.money; }),

    number("even.evenness", kOptional, 0.3, 0.99, "0.8",
           "the darkest patch over the brightest that `even` shall reach",
           [](T& to, const V& v) { to.scene.even.evenness = v.number; }),
    words("even.viewer", kOptional, "straight", "the eye for which it shall be even",
          [](T& to, const V& v) { to.scene.even.viewer = v.text; }),

    quantity("viewer.*.above", kOptional, D::angle, radians(-89), radians(89), "0 deg",
             "how far above the panel's normal another eye is",
             [](T& to, const V& v) { to.viewer->above_rad = v.number; }),
    quantity("viewer.*.left", kOptional, D::angle, radians(-89), radians(89), "0 deg",
             "how far to its left, standing in front",
             [](T& to, const V& v) { to.viewer->left_rad = v.number; }),
    choice("viewer.*.side", kOptional, "front|back", "front", "which side it is on",
           [](T& to, const V& v) { to.viewer->side = side_named(v); }),

    words("variant[].title", kRequired, "", "what the variant is called", [](T&, const V&) {}),
    unbounded(
        "variant[].set.*", KeyType::any, kOptional, "",
        "another key of the scene as this variant has it, as in `set.edges.top = \"sanded P320\"`",
        [](T&, const V&) {}),

    number("expect.*.value", kRequired, -kUnbounded, kUnbounded, "",
           "what numbers.json must say at this key",
           [](T& to, const V& v) { to.expectation->value = v.number; }),
    number("expect.*.tolerance", kRequired, 0, kUnbounded, "", "how far it may be off",
           [](T& to, const V& v) { to.expectation->tolerance = v.number; }),
    words("expect.*.source", kRequired, "", "where the value comes from; `frozen` proves nothing",
          [](T& to, const V& v) { to.expectation->source = v.text; }),
};

}  // namespace

std::span<const Key> schema() { return kSchema; }

}  // namespace rimeglow
