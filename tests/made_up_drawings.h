// Drawings to burn, pixel by pixel, at 400 dots per inch.
#pragma once

#include "artwork.h"

namespace rimeglow::made_up {

inline constexpr double kPixelMm = 0.0635;

inline Drawing blank(int columns, int rows) {
  Drawing drawing{columns, rows, kPixelMm, Vec2(10.0, 20.0), {}};
  drawing.tone.assign(drawing.index(0, rows), kOff);
  return drawing;
}

inline std::uint8_t& pixel(Drawing& drawing, int column, int row) {
  return drawing.tone[drawing.index(column, row)];
}

inline Drawing filled(Drawing drawing, int left, int bottom, int columns, int rows,
                      std::uint8_t tone = kOn) {
  for (int row = bottom; row < bottom + rows; ++row)
    for (int column = left; column < left + columns; ++column) pixel(drawing, column, row) = tone;
  return drawing;
}

}  // namespace rimeglow::made_up
