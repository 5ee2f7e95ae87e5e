// How rough the shop's tools leave acrylic. Nobody publishes measured slopes of sanded, sawn or
// laser-cut acrylic, so these are defaults of ours, common practice, no source; spans.h tries how
// far a verdict rests on them.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "finish.h"

namespace rimeglow {

// Roughness alpha along an edge and across it (through the sheet), and how far it may be off.
struct Roughness {
  Vec2 alpha;
  AlphaSpan span{};
};

// Mean grain of an abrasive in micrometres: "P320" is FEPA/ISO 6344, "320 US" is CAMI; the two part
// above 220, so a bare number says too little. None for a grade that neither lists.
std::optional<double> grain_um(std::string_view grit);

// All grades in both systems, as grain_um takes them.
std::vector<std::string> grits();

enum class Stroke { circular, along, across };

// Scratches of coarser grains are deeper but hardly steeper: alpha grows as the fourth root of the
// grain, through 0.3 at P320. Straight strokes leave grooves, a third as rough along themselves.
Roughness sanded(double grain_um, Stroke stroke);

// A laser-cut edge is melted nearly smooth, with striations through the sheet: hardly any where the
// laser went slowly, plain ones where it went fast
// (lightobject.com/blog/acrylicpmma-laser-parameter; that slow cuts are smoother: Ninikas,
// Kechagias and Salonitis 2021, J. Manuf. Mater. Process. 5, 74), which is further apart than two
// hands' sanding with one grit.
Roughness laser_cut();

// A saw leaves the marks of its teeth through the sheet, finer or coarser as its blade is.
Roughness sawn();

}  // namespace rimeglow
