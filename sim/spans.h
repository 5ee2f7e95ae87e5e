// How far a prediction leans on what nobody has measured: slope law and roughness of marks and
// edges, frost, absorption. Each such input is taken to its low and high end in a short run of the
// same photons, so that what differs is the input and not the noise.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "glow.h"
#include "model.h"
#include "run.h"

namespace rimeglow {

// One end of one uncalibrated input, always in the same order.
struct InputEnd {
  std::string input;                      // as sentences name it: "the roughness of the marks"
  std::function<bool(Model& model)> set;  // false where the model does not lean on it
};
std::vector<InputEnd> input_ends();

// The model with one uncalibrated input at one end.
struct Variant {
  std::string input;
  Model model;
};
std::vector<Variant> uncalibrated_variants(const Model& model);

// Sets the spans of every viewer's mean and evenness in `glow`, which is the run's: over all
// variants, one input changed at a time; several together may do more. Costs `photons` a variant.
void add_spans(Glow& glow, const Run& run, std::uint64_t photons);

}  // namespace rimeglow
