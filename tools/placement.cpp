#include "placement.h"

#include <algorithm>
#include <cmath>

#include "art_source.h"
#include "words.h"

namespace rimeglow {
namespace {

// Tone at a point of the picture, in its pixels from its lower left corner, straight between the
// middles of neighbouring pixels; 0 outside.
double tone_between(const Drawing& picture, double u, double v) {
  if (!(u >= 0.0 && v >= 0.0 && u < picture.columns && v < picture.rows)) return 0.0;
  const double across = std::clamp(u - 0.5, 0.0, picture.columns - 1.0);
  const double up = std::clamp(v - 0.5, 0.0, picture.rows - 1.0);
  const auto left = static_cast<std::size_t>(across);
  const auto low = static_cast<std::size_t>(up);
  const auto columns = static_cast<std::size_t>(picture.columns);
  const std::size_t right = std::min(left + 1, columns - 1);
  const std::size_t high = std::min(low + 1, static_cast<std::size_t>(picture.rows) - 1);
  const double part = across - static_cast<double>(left);
  const auto in_row = [&](std::size_t row) {
    const std::uint8_t* const line = picture.tone.data() + row * columns;
    return line[left] + part * (line[right] - line[left]);
  };
  const double below = in_row(low);
  return below + (up - static_cast<double>(low)) * (in_row(high) - below);
}

// From the panel to the picture's pixels.
struct ToPicture {
  Vec2 centre_mm;
  Vec2 u, v;  // picture pixels per mm along the panel's x and y
  Vec2 middle_px;

  Vec2 operator()(const Vec2& point_mm) const {
    const Vec2 away = point_mm - centre_mm;
    return {middle_px.x() + u.dot(away), middle_px.y() + v.dot(away)};
  }
};

ToPicture to_picture(const Drawing& picture, const Placement& placement) {
  const double cosine = std::cos(placement.rotate_rad);
  const double sine = std::sin(placement.rotate_rad);
  const Vec2 pixels(picture.columns, picture.rows);
  const Vec2 per_mm = pixels.cwiseQuotient(placement.size_mm);
  return {placement.centre_mm, Vec2(cosine, sine) * per_mm.x(), Vec2(-sine, cosine) * per_mm.y(),
          0.5 * pixels};
}

}  // namespace

Drawing raster_for(const Placement& placement, double pixel_mm) {
  const double kRounding = 1e-6;  // of a pixel: a quarter turn shall not add a column
  const double cosine = std::abs(std::cos(placement.rotate_rad));
  const double sine = std::abs(std::sin(placement.rotate_rad));
  const Vec2 size = placement.size_mm;
  const Vec2 box(size.x() * cosine + size.y() * sine, size.x() * sine + size.y() * cosine);
  const double columns = std::max(1.0, std::ceil(box.x() / pixel_mm - kRounding));
  const double rows = std::max(1.0, std::ceil(box.y() / pixel_mm - kRounding));
  const double excess = std::max(std::sqrt(columns * rows / kMostLaserPixels),
                                 std::max(columns, rows) / kMostLaserPixelsASide);
  if (excess > 1.0)
    throw ArtError("at a raster spacing of " + spoken(pixel_mm) + " mm the art of " +
                       size_in_words(box) + " takes " + fixed(columns, 0) + " x " + fixed(rows, 0) +
                       " laser pixels; at most " + fixed(kMostLaserPixels / 1e6, 0) +
                       " million and " + fixed(kMostLaserPixelsASide, 0) + " a side are worked on",
                   "make the art " + spoken(excess) + " times smaller or the spacing " +
                       spoken(excess) + " times coarser");
  Drawing raster{static_cast<int>(columns),
                 static_cast<int>(rows),
                 pixel_mm,
                 placement.centre_mm - 0.5 * box,
                 {}};
  raster.tone.assign(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows), 0);
  return raster;
}

double picture_pixels_per_laser_pixel(const Drawing& picture, const Drawing& raster,
                                      const Placement& placement) {
  const ToPicture map = to_picture(picture, placement);
  return raster.pixel_mm * std::max(map.u.norm(), map.v.norm());
}

// From n x n points in each laser pixel, no further apart than the picture's pixels: all of these
// are counted, and where the laser is finer, it is smoothed.
Drawing resampled(const Drawing& picture, Drawing raster, const Placement& placement) {
  const double kRounding = 1e-6;
  const ToPicture map = to_picture(picture, placement);
  const double pixels_apart = picture_pixels_per_laser_pixel(picture, raster, placement);
  const int points = std::max(1, static_cast<int>(std::ceil(pixels_apart - kRounding)));
  const double step_mm = raster.pixel_mm / points;
  const Vec2 across(map.u.x() * step_mm, map.v.x() * step_mm);
  std::size_t next = 0;
  for (int row = 0; row < raster.rows; ++row) {
    for (int column = 0; column < raster.columns; ++column) {
      const Vec2 corner = raster.origin_mm + Vec2(column, row) * raster.pixel_mm;
      double sum = 0.0;
      for (int j = 0; j < points; ++j) {
        Vec2 at = map(corner + Vec2(0.5, j + 0.5) * step_mm);
        for (int i = 0; i < points; ++i, at += across) sum += tone_between(picture, at.x(), at.y());
      }
      raster.tone[next++] = static_cast<std::uint8_t>(sum / (points * points) + 0.5);
    }
  }
  return raster;
}

}  // namespace rimeglow
