// What the user said, in our units, before anything is worked out from it. Plain values with the
// defaults of the schema; whether they fit together is the model's business.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "far_field.h"
#include "outline.h"
#include "quantity.h"
#include "ray.h"
#include "roughness.h"
#include "slopes.h"
#include "units.h"

namespace rimeglow {

struct PanelSpec {
  double width_mm = 0.0;  // 0: the outline's own
  double height_mm = 0.0;
  double thickness_mm = 0.0;
  double corner_radius_mm = 0.0;
  double flat_mm = 0.0;               // of a disc: what it stands on
  std::string outline = "rectangle";  // or "disc", or a file
  std::vector<Vec2> corners_mm;       // of a polygon, instead
  std::optional<Outline> shape;       // of all but rectangles
  std::string sheet = "cast acrylic";
  std::optional<double> index;             // overrides the sheet's dispersion
  std::optional<double> absorption_per_m;  // overrides the sheet's default
  double scattering_per_m = 0.0;           // of a hazy sheet
  double asymmetry = 0.9;                  // mean cosine of that scattering
};

// A part of the art with a mark of its own.
struct RegionSpec {
  std::string select;  // "#id" of an element
  std::string mark;
};

struct ArtSpec {
  std::string file;
  std::optional<double> width_mm;  // else the file's own size
  std::optional<Vec2> centre_mm;   // else the panel's centre
  double rotate_rad = 0.0;
  Side face = Side::back;
  std::string mark;
  bool light_is_engraved = false;  // photographs: the light parts glow
  bool flat = false;               // greys are burnt in full or not at all
  std::string density;             // the file of a plan, or none
  std::vector<RegionSpec> regions;
};

struct MarkSpec {
  enum class Kind { raster, scored };
  Kind kind = Kind::raster;
  double spacing_mm = kMmPerInch / 400.0;  // raster line and dot spacing
  double direction_rad = 0.0;              // of the lines
  double spot_mm = 0.12;
  double depth_mm = 0.0;
  double alpha_x = 0.5;  // along the lines
  double alpha_y = 0.5;  // across them
  SlopeLaw law = SlopeLaw::ggx;
  double frost = 0.3;
  double frost_reflectance = 0.3;

  bool scored() const { return kind == Kind::scored; }
  // Of a raster's lines: along y and not along x.
  bool upright() const { return std::abs(std::sin(direction_rad)) > 0.5; }
};

struct EdgeSpec {
  enum class Kind {
    polished,
    ground,
    sanded,
    laser_cut,
    sawn,
    painted,
    white_tape,
    mirror_tape,
    white_card
  };
  Kind kind = Kind::polished;
  std::string grit;  // sanded
  Stroke stroke = Stroke::circular;
  std::optional<Vec2> alpha;  // along the edge and through the sheet; else the kind's own
  SlopeLaw law = SlopeLaw::ggx;
  double reflectance = 0.9;       // painted, tapes, card
  double chamfer_front_mm = 0.0;  // set back on the face; 0: square
  double chamfer_back_mm = 0.0;
  double chamfer_angle_rad = radians(45.0);  // between cut and face
  std::optional<Kind> chamfer_kind;          // where it differs from the edge's, with its grit
  std::string chamfer_grit;

  bool is_chamfered() const { return chamfer_front_mm > 0.0 || chamfer_back_mm > 0.0; }
};

// What the finishes of edges are called in a scene; after "sanded" comes the grit.
struct EdgeWord {
  EdgeSpec::Kind kind;
  std::string_view word;
};
inline constexpr std::array<EdgeWord, 9> kEdgeWords = {{
    {EdgeSpec::Kind::polished, "polished"},
    {EdgeSpec::Kind::sanded, "sanded"},
    {EdgeSpec::Kind::ground, "ground"},
    {EdgeSpec::Kind::laser_cut, "laser-cut"},
    {EdgeSpec::Kind::sawn, "sawn"},
    {EdgeSpec::Kind::painted, "painted"},
    {EdgeSpec::Kind::white_tape, "white tape"},
    {EdgeSpec::Kind::mirror_tape, "mirror tape"},
    {EdgeSpec::Kind::white_card, "white card"},
}};
constexpr std::string_view word_of(EdgeSpec::Kind kind) {
  for (const EdgeWord& known : kEdgeWords) {
    if (known.kind == kind) return known.word;
  }
  return {};
}

struct LampSpec {
  std::string edge = "bottom";
  int count = 0;
  double pitch_mm = 0.0;            // the reader spreads the row evenly when not said
  std::optional<double> centre_mm;  // along the edge, from its left or lower end; else its middle
  Vec2 emitter_mm = {3.5, 2.8};     // along the edge, across the sheet
  double flux_each_lm = 0.0;
  std::optional<double> current_each_ma;      // from which the flux is guessed when it is not said
  double colour_k = 6500.0;                   // correlated colour temperature of white LEDs
  std::optional<double> wavelength_nm;        // dominant, of coloured LEDs
  double beam_angle_rad = radians(120.0);     // between half-intensity directions
  std::string distribution;                   // a file of measured light, instead
  std::shared_ptr<const FarField> far_field;  // what it holds
  double gap_mm = 0.5;
};

struct ViewerSpec {
  double above_rad = 0.0;  // eye above the panel's normal
  double left_rad = 0.0;   // eye to the viewer's left
  Side side = Side::front;
};

struct MachineSpec {
  Vec2 bed_mm = {400.0, 300.0};
  double speed_mm_per_s = 300.0;
  bool speed_said = false;
  double acceleration_mm_per_s2 = 5000.0;
  bool two_way = true;
  std::vector<double> spacings_mm;  // that it can be set to; empty: any
  double kerf_mm = 0.0;             // that cutting takes away
};

// Viewers that every scene has; its own have other names.
inline constexpr std::array<const char*, 4> kUsualViewers = {"straight", "seated", "left",
                                                             "behind"};
inline constexpr double kSeatedAbove_rad = radians(17.5);
inline constexpr double kFromLeft_rad = radians(30.0);

// What `even` shall reach, and for whom.
struct EvenSpec {
  double evenness = 0.8;
  std::string viewer = "straight";
};

// What things cost the shop; absent where nothing was said.
struct PriceSpec {
  std::optional<Money> blank;
  std::optional<Money> base;  // its LEDs included
  std::optional<Money> laser_per_h;
  std::optional<Money> bench_per_h;
  std::optional<double> bench_min;  // by hand: film, edges, cleaning, packing
};

// What a scene must come out as, for acceptance tests: `value` within `tolerance` of the number at
// `key` in numbers.json.
struct Expectation {
  std::string key;
  double value = 0.0;
  double tolerance = 0.0;
  std::string source;
};

struct Scene {
  std::string title;
  PanelSpec panel;
  std::optional<ArtSpec> art;
  std::map<std::string, MarkSpec> marks;
  std::map<std::string, EdgeSpec> edges;  // top, right, bottom, left; absent = polished
  std::vector<LampSpec> lamps;
  double slot_depth_mm = 0.0;
  double base_wall = 0.0;
  double base_contact = 0.0;
  double room_cd_m2 = 30.0;
  std::optional<double> backdrop;
  std::map<std::string, ViewerSpec> viewers;  // beside the four that every scene has
  std::optional<MachineSpec> machine;
  EvenSpec even;
  PriceSpec prices;
  std::vector<Expectation> expect;

  EdgeSpec edge(const std::string& name) const {
    const auto said = edges.find(name);
    return said == edges.end() ? EdgeSpec{} : said->second;
  }
  bool is_lit(const std::string& edge) const {
    return std::any_of(lamps.begin(), lamps.end(),
                       [&](const LampSpec& lamp) { return lamp.edge == edge; });
  }
};

}  // namespace rimeglow
