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
  kChoiceDraws = 1,   // reflect or transmit, frost or facets, which mark, the first facet's height
  kDiffuseDraws = 2,  // direction from a Lambertian layer
  kBackingDraws = 3,  // a card or tape behind the surface
  kRouletteDraws = 4,
  kHazeDraws = 5,  // way to the next scattering in the sheet, direction from this one
  kFacetDraws = 16,
};

// The draws of one photon, event by event. Asked again for the block it gave last, it remembers
// it: a block costs as much as tracing to the next surface.
class Draws {
 public:
  Draws(std::uint64_t seed, std::uint64_t photon, std::uint32_t event = 0)
      : seed_(seed), photon_(photon), event_(event) {}

  std::uint64_t photon() const { return photon_; }

  void next_event(std::uint32_t events = 1) {
    event_ += events;
    pass_ = 0;
    remembered_ = kNothing;
  }

  // The light meets the same finish again, from behind.
  void next_pass() {
    ++pass_;
    remembered_ = kNothing;
  }

  const Uniforms& at(std::uint32_t block) const {
    if (block != remembered_) {
      uniforms_ = draw(block);
      remembered_ = block;
    }
    return uniforms_;
  }

 private:
  static constexpr std::uint32_t kNothing = ~std::uint32_t{0};
  static constexpr int kPassShift = 16;  // facets of one pass stay below 2^16 blocks

  Uniforms draw(std::uint32_t block) const {
    using Philox = r123::Philox4x32;
    const Philox::ctr_type counter = {{static_cast<std::uint32_t>(photon_),
                                       static_cast<std::uint32_t>(photon_ >> 32), event_,
                                       block + (pass_ << kPassShift)}};
    const Philox::key_type key = {
        {static_cast<std::uint32_t>(seed_), static_cast<std::uint32_t>(seed_ >> 32)}};
    const Philox::ctr_type words = Philox()(counter, key);
    Uniforms uniforms;
    for (std::size_t i = 0; i < 4; ++i) uniforms[i] = (words[i] + 0.5) * 0x1p-32;
    return uniforms;
  }

  std::uint64_t seed_;
  std::uint64_t photon_;
  std::uint32_t event_;
  std::uint32_t pass_ = 0;
  mutable std::uint32_t remembered_ = kNothing;
  mutable Uniforms uniforms_{};
};

}  // namespace rimeglow
