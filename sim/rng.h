// Random numbers as data: every draw has an address (seed, photon, event, block), so a history is
// a function of its photon's number, whoever traces it and in whatever order.
// Philox 4x32-10 of Salmon, Moraes, Dror, Shaw 2011, "Parallel random numbers: as easy as 1, 2, 3",
// from the Random123 library.
#pragma once

#include <array>
#include <cstdint>

#include <Random123/philox.h>

namespace rimeglow {

// Four uniforms in the open interval (0, 1), 32 bits each.
using Uniforms = std::array<double, 4>;

// What a block of draws is for. Facets of a rough surface take consecutive blocks from kFacetDraws.
enum DrawBlock : std::uint32_t {
  kEmissionDraws = 0,
  kChoiceDraws = 1,    // which mark, frost or slope, reflect or transmit
  kDiffuseDraws = 2,   // direction from a Lambertian layer
  kBackingDraws = 3,   // a card or tape behind the surface
  kRouletteDraws = 4,
  kFacetDraws = 16,
};

// The draws of one event of one photon.
struct Draws {
  std::uint64_t seed = 0;
  std::uint64_t photon = 0;
  std::uint32_t event = 0;
  std::uint32_t pass = 0;  // a light that meets the same finish again from behind

  Uniforms at(std::uint32_t block) const {
    using Philox = r123::Philox4x32;
    const Philox::ctr_type counter = {{static_cast<std::uint32_t>(photon),
                                       static_cast<std::uint32_t>(photon >> 32), event,
                                       block + (pass << 16)}};
    const Philox::key_type key = {
        {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)}};
    const Philox::ctr_type words = Philox()(counter, key);
    Uniforms uniforms;
    for (std::size_t i = 0; i < 4; ++i) uniforms[i] = (words[i] + 0.5) * 0x1p-32;
    return uniforms;
  }
};

}  // namespace rimeglow
