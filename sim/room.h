// What the room adds to what an eye sees: of all light that reaches it from the engraving, or from
// the clear sheet beside it, how much comes from which side. By reciprocity light is sent the other
// way, from the eye into the panel, and followed to where it leaves.
#pragma once

#include <cstdint>
#include <vector>

#include "model.h"
#include "shape.h"
#include "tally.h"
#include "wanted.h"

namespace rimeglow {

// Shares of an eye's ray by where it leaves; what is missing to 1 ended in the sheet, on paint or
// in the base, which are dark. `error` is one standard error of `front`, the largest of the three.
struct Outlook {
  double front = 0.0;
  double back = 0.0;
  double edges = 0.0;
  double error = 0.0;
};

struct RoomView {
  Outlook mark;   // from the engraving
  Outlook clear;  // from the clear sheet beside it
};

// For each of the model's viewers, by `rays` each.
std::vector<RoomView> room_views(const Model& model, const Shape& shape, const ScoreMap& map,
                                 std::uint64_t seed, int rays, const IsWanted& is_wanted = always);

// The luminance seen through an outlook where the panel's own side of the room, the edges' and what
// stands behind have these luminances.
double luminance_of(const Outlook& outlook, double front_cd_m2, double back_cd_m2,
                    double edges_cd_m2);

}  // namespace rimeglow
