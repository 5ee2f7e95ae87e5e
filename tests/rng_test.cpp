// Laws of sim/rng: the published generator, and draws that are a function of their address alone.
#include "rng.h"

#include <gtest/gtest.h>

#include <set>

#include "statistics.h"

namespace rimeglow::rng_test {
namespace {

using Words = std::array<std::uint32_t, 4>;

// Back from uniforms to the generator's words, exactly.
Words words_of(const Uniforms& uniforms) {
  Words words;
  for (std::size_t i = 0; i < 4; ++i) {
    words[i] = static_cast<std::uint32_t>(uniforms[i] * 0x1p32 - 0.5);
  }
  return words;
}

Words words_at(std::uint64_t seed, std::uint64_t photon, std::uint32_t event, std::uint32_t block) {
  return words_of(Draws(seed, photon, event).at(block));
}

// Known answers for philox4x32 of 10 rounds published with Random123 1.14 (tests/kat_vectors;
// Salmon, Moraes, Dror, Shaw 2011): counter words c0 c1 = photon, c2 = event, c3 = block.
TEST(Rng, GivesTheKnownAnswersOfThePublishedGenerator) {
  EXPECT_EQ(words_at(0, 0, 0, 0), (Words{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}));

  const std::uint64_t ones = ~std::uint64_t{0};
  Draws draws(ones, ones, 0xffffffff);
  draws.next_pass();  // the last address of all is that of a later pass
  EXPECT_EQ(words_of(draws.at(0xffffffff - (1u << 16))),
            (Words{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}));

  // Digits of pi.
  EXPECT_EQ(words_at(0x299f31d0a4093822, 0x85a308d3243f6a88, 0x13198a2e, 0x03707344),
            (Words{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}));
}

TEST(Rng, EveryPartOfAnAddressChangesTheDraw) {
  std::set<Words> seen;
  int asked = 0;
  for (const std::uint64_t seed : {1ull, 2ull, 1ull << 32}) {
    for (const std::uint64_t photon : {0ull, 1ull, 64ull, 1ull << 32}) {
      for (const std::uint32_t event : {0u, 1u, 20000u}) {
        Draws draws(seed, photon, event);
        for (int pass = 0; pass < 3; ++pass) {
          for (std::uint32_t block = 0; block < 40; ++block, ++asked) {
            seen.insert(words_of(draws.at(block)));
          }
          draws.next_pass();
        }
      }
    }
  }
  EXPECT_EQ(static_cast<int>(seen.size()), asked);
}

TEST(Rng, TheNextEventBeginsItsPassesAnew) {
  Draws draws(5, 17);
  draws.next_pass();
  draws.next_pass();
  draws.next_event();
  EXPECT_EQ(draws.at(kChoiceDraws), Draws(5, 17, 1).at(kChoiceDraws));
}

TEST(Rng, ARememberedDrawIsTheFreshOne) {
  Draws draws(9, 3);
  for (int round = 0; round < 3; ++round) {
    for (const std::uint32_t block : {4u, 4u, 1u, 4u, 16u, 16u}) {
      Draws fresh(9, 3);
      for (int pass = 0; pass < round; ++pass) fresh.next_pass();
      EXPECT_EQ(draws.at(block), fresh.at(block)) << "block " << block << ", pass " << round;
    }
    draws.next_pass();  // must not answer from the pass before
  }
}

TEST(Rng, AskingForOtherDrawsBetweenChangesNothing) {
  const Draws quiet(2, 8, 3);
  const Draws busy(2, 8, 3);
  for (std::uint32_t block = 0; block < 100; ++block) busy.at(block);
  EXPECT_EQ(busy.at(kDiffuseDraws), quiet.at(kDiffuseDraws));
}

// Each block of a photon must be uniform over photons: chi-square over 64 cells of each of the four
// uniforms and of 16 x 16 cells of neighbouring pairs. False-alarm level 1e-4 in all; sees a cell
// that holds 3 % too many.
TEST(Rng, DrawsOfNeighbouringPhotonsAreUniformAndUnrelated) {
  constexpr int kBlocks = 3;
  constexpr int kTests = 2 * 4 * kBlocks;
  const int photons = statistics::samples(1 << 18);
  for (std::uint32_t block = 0; block < kBlocks; ++block) {
    std::array<std::array<double, 64>, 4> alone{};
    std::array<std::array<double, 256>, 4> paired{};
    Uniforms before = Draws(statistics::kSeed, 0).at(block);
    for (int k = 1; k <= photons; ++k) {
      const Uniforms u = Draws(statistics::kSeed, static_cast<std::uint64_t>(k)).at(block);
      for (std::size_t i = 0; i < 4; ++i) {
        ASSERT_TRUE(u[i] > 0.0 && u[i] < 1.0);
        alone[i][static_cast<std::size_t>(u[i] * 64.0)] += 1.0;
        const double other = i == 0 ? before[0] : u[i - 1];  // photon to photon, draw to draw
        paired[i][static_cast<std::size_t>(u[i] * 16.0) * 16 +
                  static_cast<std::size_t>(other * 16.0)] += 1.0;
      }
      before = u;
    }
    std::array<double, 64> even64;
    std::array<double, 256> even256;
    even64.fill(photons / 64.0);
    even256.fill(photons / 256.0);
    const double level = statistics::sidak(statistics::kFalseAlarm, kTests);
    for (std::size_t i = 0; i < 4; ++i) {
      EXPECT_GT(statistics::chi_square(alone[i], even64).tail, level) << block << ' ' << i;
      EXPECT_GT(statistics::chi_square(paired[i], even256).tail, level) << block << ' ' << i;
    }
  }
}

}  // namespace
}  // namespace rimeglow::rng_test
