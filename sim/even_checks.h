// What else can be asked of an even plan, each answered by a run of the same photons, none of which
// the plan was made with: whether it survives what varies at the bench, how brightness and evenness
// go with density, and what other change of the panel would help most.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "even.h"

namespace rimeglow {

struct EvenOutcome {
  std::string what;
  Estimate mean_cd_m2;
  Estimate evenness;
};

// ---- at the bench

// Factors on the spot and on the marks' roughness, and a change of the sheet's thickness.
struct Shake {
  std::string what;
  double spot = 1.0;
  double alpha = 1.0;
  double thicker_mm = 0.0;
};
std::vector<Shake> shakes(const Model& model);
EvenOutcome shaken(const EvenSearch& search, const std::vector<Drawing>& dots, const Shake& shake,
                   std::uint64_t photons);

// ---- density

// The same density everywhere.
EvenOutcome at_density(const EvenSearch& search, double density, std::uint64_t photons);

// Where more density begins to give less: the point farthest above the straight line from the first
// to the last, both axes scaled to their ends (our definition). None where all lie close to that
// line, or where either axis ends as it began.
std::optional<std::size_t> knee(std::span<const double> density,
                                std::span<const double> brightness);

// ---- other changes

struct Advice {
  std::string what;
  Scene scene;
  Vec2 moved_mm = Vec2::Zero();  // the art
  double most_density = 1.0;
};
std::vector<Advice> advice_for(const Scene& scene);

// What the panel comes to when it is changed so and made even anew, in so many rounds; none when it
// cannot be built so. A few rounds leave it less even than it could be.
inline constexpr int kFewEvenRounds = 4;
std::optional<EvenOutcome> tried(const Advice& advice, const std::vector<Drawing>& drawings,
                                 const RunSettings& settings, const EvenWish& wish, int rounds);

}  // namespace rimeglow
