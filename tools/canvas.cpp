#include "canvas.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <stdexcept>

#include <zlib.h>

#include "digits.h"

namespace {

// What stb calls to pack a picture, and frees: its own packing is slower and leaves larger files.
unsigned char* packed(unsigned char* bytes, int count, int* packed_count, int level) {
  uLongf size = compressBound(static_cast<uLong>(count));
  auto* const target = static_cast<unsigned char*>(std::malloc(size));
  if (target == nullptr) return nullptr;
  if (compress2(target, &size, bytes, static_cast<uLong>(count), level) == Z_OK) {
    *packed_count = static_cast<int>(size);
    return target;
  }
  std::free(target);
  return nullptr;
}

}  // namespace

#define STBIW_ZLIB_COMPRESS packed
#define STB_IMAGE_WRITE_IMPLEMENTATION
#define STBI_WRITE_NO_STDIO
#define STB_IMAGE_WRITE_STATIC
#include <stb/stb_image_write.h>

namespace rimeglow {

namespace {

constexpr int kChannels = 3;
constexpr int kLetterStep = kGlyphWidth + 1;

void append(void* text, void* data, int size) {
  static_cast<std::string*>(text)->append(static_cast<const char*>(data),
                                          static_cast<std::size_t>(size));
}

}  // namespace

std::uint8_t srgb_encoded(double linear) {
  const double light = std::clamp(linear, 0.0, 1.0);
  const double code =
      light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
  return static_cast<std::uint8_t>(std::lround(255.0 * code));
}

Canvas::Canvas(int width, int height, Rgb8 background) : width_(width), height_(height) {
  if (width <= 0 || height <= 0) throw std::invalid_argument("a picture needs pixels");
  bytes_.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * kChannels);
  fill(0, 0, width, height, background);
}

std::size_t Canvas::offset(int x, int y) const {
  return (static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) +
          static_cast<std::size_t>(x)) *
         kChannels;
}

Rgb8 Canvas::at(int x, int y) const {
  const std::size_t i = offset(x, y);
  return {bytes_.at(i), bytes_.at(i + 1), bytes_.at(i + 2)};
}

void Canvas::set(int x, int y, Rgb8 colour) {
  if (!inside(x, y)) return;
  const std::size_t i = offset(x, y);
  bytes_[i] = colour.red;
  bytes_[i + 1] = colour.green;
  bytes_[i + 2] = colour.blue;
}

void Canvas::lighten(int x, int y, Rgb8 colour) {
  if (!inside(x, y)) return;
  const Rgb8 there = at(x, y);
  set(x, y,
      {std::max(there.red, colour.red), std::max(there.green, colour.green),
       std::max(there.blue, colour.blue)});
}

void Canvas::fill(int x, int y, int width, int height, Rgb8 colour) {
  for (int row = y; row < y + height; ++row) {
    for (int column = x; column < x + width; ++column) set(column, row, colour);
  }
}

void Canvas::write(int x, int y, int scale, Rgb8 colour, std::string_view text) {
  for (const char character : text) {
    const Glyph glyph = glyph_of(character);
    for (int row = 0; row < kGlyphHeight; ++row) {
      for (int column = 0; column < kGlyphWidth; ++column) {
        if (!dot_at(glyph, column, row)) continue;
        fill(x + column * scale, y + row * scale, scale, scale, colour);
      }
    }
    x += kLetterStep * scale;
  }
}

int text_width(std::string_view text, int scale) {
  return text.empty() ? 0 : (static_cast<int>(text.size()) * kLetterStep - 1) * scale;
}

int text_height(int scale) { return kGlyphHeight * scale; }

std::string png_of(const Canvas& canvas) {
  std::string png;
  const int row_bytes = canvas.width() * kChannels;
  if (stbi_write_png_to_func(append, &png, canvas.width(), canvas.height(), kChannels,
                             canvas.bytes().data(), row_bytes) == 0) {
    throw std::runtime_error("the picture could not be packed");
  }
  return png;
}

}  // namespace rimeglow
