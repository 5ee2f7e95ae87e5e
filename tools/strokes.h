// Thin lines on a canvas, soft at their borders: straight ones and a panel's outline; and what lies
// within one. What a stroke does to a pixel is the caller's: draw(x, y, ink), ink 0..1 for how much
// of the pixel a line of one pixel covers there. The same pixel may come several times.
#pragma once

#include <algorithm>
#include <cmath>

#include "canvas.h"
#include "outline.h"
#include "walls.h"

namespace rimeglow {

// From the panel's mm to pixels, y up to y down: where its lower left corner is, and the scale.
struct ToCanvas {
  double left = 0.0;
  double bottom = 0.0;
  double pixel_mm = 1.0;

  Vec2 operator()(const Vec2& point_mm) const {
    const Vec2 pixels = point_mm / pixel_mm;
    return {left + pixels.x(), bottom - pixels.y()};
  }
};

inline Rgb8 dimmed(Rgb8 colour, double share) {
  const auto part = [share](std::uint8_t code) {
    return static_cast<std::uint8_t>(std::lround(share * code));
  };
  return {part(colour.red), part(colour.green), part(colour.blue)};
}

// A point of the stroke, in pixels.
template <class Draw>
void dab(const Vec2& at, const Draw& draw) {
  const double x = at.x() - 0.5;
  const double y = at.y() - 0.5;
  for (int row = static_cast<int>(std::floor(y)); row <= std::floor(y) + 1; ++row) {
    for (int column = static_cast<int>(std::floor(x)); column <= std::floor(x) + 1; ++column) {
      draw(column, row, std::clamp(1.0 - std::hypot(x - column, y - row), 0.0, 1.0));
    }
  }
}

inline constexpr double kDabsApart_pixels = 0.25;

template <class Draw>
void trace_line(const Vec2& from, const Vec2& to, const Draw& draw) {
  const int steps = static_cast<int>((to - from).norm() / kDabsApart_pixels) + 1;
  for (int i = 0; i <= steps; ++i) dab(from + static_cast<double>(i) / steps * (to - from), draw);
}

template <class Draw>
void trace_outline(const Outline& outline, const ToCanvas& to_canvas, const Draw& draw) {
  for (const OutlinePiece& piece : outline.pieces) {
    const int steps =
        static_cast<int>(piece.length_mm / (kDabsApart_pixels * to_canvas.pixel_mm)) + 1;
    for (int i = 0; i <= steps; ++i) {
      dab(to_canvas(point_on(piece, static_cast<double>(i) / steps)), draw);
    }
  }
}

// Calls draw(column, row) for the pixels of a raster over the outline's box, its lowest row first,
// whose middle is in the acrylic.
template <class Draw>
void fill_outline(const Outline& outline, double pixel_mm, int columns, int rows,
                  const Draw& draw) {
  const Walls walls(outline);
  const auto first_from = [&](double x_mm) {
    return std::clamp(static_cast<int>(std::ceil(x_mm / pixel_mm - 0.5)), 0, columns);
  };
  for (int row = 0; row < rows; ++row) {
    const std::vector<double> crossings = walls.crossings_mm((row + 0.5) * pixel_mm);
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
      const int end = first_from(crossings[i + 1]);
      for (int column = first_from(crossings[i]); column < end; ++column) draw(column, row);
    }
  }
}

}  // namespace rimeglow
