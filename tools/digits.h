// A small alphabet of our own, five dots wide and seven high, for the legends inside pictures:
// the machines this runs on need no fonts.
#pragma once

#include <array>
#include <cstdint>

namespace rimeglow {

inline constexpr int kGlyphWidth = 5;
inline constexpr int kGlyphHeight = 7;

// Rows from the top; in each, bit 4 is the leftmost dot.
using Glyph = std::array<std::uint8_t, kGlyphHeight>;

// Digits, small letters and the marks . / = + - %; an empty glyph for anything else.
Glyph glyph_of(char character);

constexpr bool dot_at(const Glyph& glyph, int column, int row) {
  return (glyph[static_cast<std::size_t>(row)] >> (kGlyphWidth - 1 - column) & 1) != 0;
}

}  // namespace rimeglow
