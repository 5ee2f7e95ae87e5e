// How far a prediction leans on what nobody has measured: slope law and roughness of marks and
// edges, frost, absorption, the lumens of a lamp. Each such input is taken to its low and high end
// in a short run of the same photons, so that what differs is the input and not the noise.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "glow.h"
#include "model.h"
#include "run.h"

namespace rimeglow {

// What an input does to a model: nothing; all light by one factor; or something to its ways.
enum class Leaning { none, brightness, ways };

// One end of one uncalibrated input, always in the same order.
struct InputEnd {
  std::string input;  // as sentences name it: "the roughness of the marks"
  std::function<Leaning(Model& model)> set;
};
std::vector<InputEnd> input_ends();

// A run like `usual` with an input at one end, none where its model does not lean on that. The
// room is seen through the marks as in `usual`. Where only the brightness changes, no photon is
// traced.
std::optional<Run> at_end(const Run& usual, const InputEnd& end);

// Where an input takes `value`, by what it did to the same metric in runs of the same photons; none
// where that is not told from noise.
enum class Carried { in_ratio, in_difference };
std::optional<double> carried(double value, const Replicates& usual, const Replicates& changed,
                              Carried how);

// Sets all spans of `glow`, which is the run's: over all ends, one input changed at a time; several
// together may do more. Costs `photons` for each end, of a clear blank an eighth.
void add_spans(Glow& glow, const Run& run, std::uint64_t photons);

}  // namespace rimeglow
