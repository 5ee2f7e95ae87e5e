// The scene checked, completed and frozen: everything the physics needs, in our units, and nothing
// it does not. Built once, then only read. Reads no file: the art comes as a drawing.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "artwork.h"
#include "document.h"
#include "engraving.h"
#include "finish.h"
#include "outline.h"
#include "ray.h"
#include "scene.h"
#include "spectrum.h"

namespace rimeglow {

// Acrylic at the lamp's wavelengths.
struct Sheet {
  double index = 1.49;  // relative to air
  double absorption_per_mm = 0.0;
  double scattering_per_mm = 0.0;  // of bulk haze
  double asymmetry = 0.0;          // its mean cosine (Henyey-Greenstein)
  bool absorption_guessed = false;
};

// One mark on the art's face and where it is. Deep grooves jut into the guide: they catch light
// over `coverage`, more than what is `burnt`. Of greys and of art dimmed by a plan only a part is
// burnt; an eye that does not see the single dots sees their light spread over what is `meant` to
// glow, and luminances are per area of that.
struct Layer {
  Finish mark;
  Coverage coverage;
  std::optional<Coverage> burnt{};          // where it differs
  std::shared_ptr<const Coverage> meant{};  // where it differs from what is burnt
  bool scored = false;                      // lines that the laser follows

  const Coverage& engraved() const { return burnt ? *burnt : coverage; }
  const Coverage& glowing() const { return meant ? *meant : engraved(); }
};

// A row of equal LEDs along one edge, facing it across an air gap. The emitter is a rectangle
// parallel to the edge, centred in the sheet's thickness, with intensity I0 cos^m or as measured.
struct LedRow {
  int edge = 0;                   // index into Outline::edges
  Vec2 centre_mm = Vec2::Zero();  // of the row: a point on the edge
  Vec2 along = Vec2::UnitX();     // the edge's direction, counter-clockwise about the panel
  int count = 0;
  double pitch_mm = 0.0;
  Vec2 emitter_mm = Vec2::Zero();  // along the edge, across the sheet
  double gap_mm = 0.0;
  double cosine_power = 1.0;                  // m
  std::shared_ptr<const FarField> far_field;  // measured, instead
  double flux_each_lm = 0.0;
  bool flux_guessed = false;
  std::size_t channel = 0;                    // index into Model::channels
  std::array<double, 2> cut_mm = {0.0, 0.0};  // what chamfers of its neighbours take of the edge

  Vec2 inward() const { return {-along.y(), along.x()}; }
  double above_edge_mm(const Vec2& point_mm) const { return (point_mm - centre_mm).dot(inward()); }
};

// Lamps of one colour. The light of each keeps its colour to the eye.
struct Channel {
  Tristimulus colour;  // at unit luminous flux
};

// What the lit edges stand in.
struct Base {
  double wall = 0.0;  // diffuse reflectance of LEDs, board and slot
  double slot_depth_mm = 0.0;
  double contact = 0.0;  // share of the slot's walls in optical contact with the faces
};

// What surrounds the panel.
struct Room {
  double cd_m2 = 0.0;
  std::optional<double> backdrop;  // reflectance of a wall close behind the panel
};

// An eye far away in direction `toward` (unit), as seen from the panel.
struct Viewer {
  std::string name;
  Vec3 toward;
};

struct Model {
  Outline outline;
  double thickness_mm = 0.0;
  Sheet sheet;
  std::vector<Finish> edge_finish;  // one per Outline edge
  Side art_side = Side::back;
  std::vector<Layer> layers;              // empty for a clear blank
  Vec2 art_lower_left_mm = Vec2::Zero();  // the art's box, patches and rows are counted in it
  Vec2 art_upper_right_mm = Vec2::Zero();
  std::vector<LedRow> lamps;
  std::vector<Channel> channels = {{{1.0, 1.0, 1.0}}};
  std::vector<Viewer> viewers;
  Base base;
  Room room;

  double flux_lm() const;  // of all lamps
  bool has_scored() const;
  bool has_rastered() const;
  std::optional<std::size_t> viewer_named(const std::string& name) const;
};

// Lumens of one LED: as said, or as measured, or guessed from its current by what parts of its
// colour give, within half to twice (data of 2835, 5050 and pixel LEDs: white 0.2 to 0.45 lm/mA,
// red 0.065, green 0.105, blue 0.03).
double flux_each_lm(const LampSpec& lamp);
bool is_flux_guessed(const LampSpec& lamp);
inline constexpr double kLeastGuess = 0.5;
inline constexpr double kMostGuess = 2.0;

Spectrum spectrum_of(const LampSpec& lamp);

// The marks of the art and of its regions, in this order: one a layer. Empty without art; none
// where the scene does not have or say the mark.
std::vector<const MarkSpec*> layer_marks(const Scene& scene);
// The name of one of them: where a scene has only one mark, it need not be said. Empty: none is.
std::string mark_name(const Scene& scene, std::size_t layer);

// Width of the strip along which a lone engraved line meets light: what the spot burns, and how far
// the groove's depth juts into the guide.
double catching_mm(const MarkSpec& mark);

// The roughness of a ground, sanded, cut or sawn edge, alpha as said or the kind's own.
Roughness roughness_of(const EdgeSpec& edge);

// The finish that a scene says of an edge of its outline, or of a chamfer there.
EdgeSpec edge_spec(const Scene& scene, const Outline& outline, int edge);

// What in a scene does not fit together, before its art is looked at.
std::vector<Problem> check_scene(const Scene& scene);

// One layer's art, ready to be burnt at any density. The drawing must outlive it.
struct LayerArt {
  const Drawing& drawing;
  Tone tone;
  MarkSpec mark;
  Side face;
  std::optional<Screen> screen{};  // none for line art that is burnt in full, and for scored
  std::shared_ptr<const Coverage> meant{};
};
enum class Burning { in_full, by_density };
std::vector<LayerArt> layer_art(const Scene& scene, const std::vector<Drawing>& drawings,
                                Burning burning, const IsWanted& is_wanted = always);

// The dots of a layer, and what they leave on the panel.
Drawing fired(const LayerArt& art, const Density& density, const IsWanted& is_wanted = always);
Layer burnt_layer(const LayerArt& art, const Drawing& dots, const IsWanted& is_wanted = always);

// The model of a scene that passed check_scene, or what is wrong with where its art lies.
// `drawings` are the art and its regions, each on the raster of its mark, for a scored one the
// lines that the laser follows; `densities` the plan of how densely they are burnt, 0 to 255 in
// equal cells over the box of the art, or none.
struct BuiltModel {
  std::shared_ptr<const Model> model;
  std::vector<Problem> problems;
};
BuiltModel build_model(const Scene& scene, const std::vector<Drawing>& drawings,
                       const std::optional<Drawing>& densities = {},
                       const IsWanted& is_wanted = always);

// Whether all that is drawn lies within the outline's rim; over holes it may.
bool fits_rim(const Drawing& drawing, const Outline& outline);

// A drawing without what lies over the outline's holes, or nearer to them than `clear_mm`; none
// when nothing does.
std::optional<Drawing> cut_at_holes(const Drawing& drawing, const Outline& outline,
                                    double clear_mm);

// The box of all drawings together, and a plan laid over it.
struct ArtBox {
  Vec2 lower_left_mm = Vec2::Zero();
  Vec2 upper_right_mm = Vec2::Zero();
};
ArtBox box_of(const std::vector<Drawing>& drawings);
// Of what is drawn, or fired; none of an empty drawing. And how far its near side is above the edge
// that a row of LEDs lights (below 0: beyond it).
std::optional<ArtBox> fired_box(const Drawing& drawing);
double above_edge_mm(const ArtBox& box, const LedRow& row);
Density density_over(const ArtBox& box, const Drawing& densities);

}  // namespace rimeglow
