// PNG through libpng's simplified interface, which brings every kind of PNG to 8 bits.
#include <memory>
#include <vector>

#include <png.h>

#include "raster_reader.h"
#include "words.h"

namespace rimeglow {
namespace {

struct FreeImage {
  void operator()(png_image* image) const { png_image_free(image); }
};

[[noreturn]] void refuse(const png_image& image) {
  throw ArtError("the PNG is cut off or damaged (" + std::string(image.message) + ")",
                 "export or copy it again; the file may not have been copied to its end");
}

std::uint32_t big_endian(std::string_view bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) value = value << 8 | static_cast<std::uint8_t>(bytes[at + i]);
  return value;
}

// Dots per inch from the chunk pHYs (PNG, third edition, 11.3.4.3), or 0: a chunk is its length,
// its name, its data and a check sum.
Vec2 resolution(std::string_view bytes) {
  const std::size_t kHead = 8;
  const std::size_t kSum = 4;
  std::size_t at = 8;  // behind the signature
  while (at + kHead <= bytes.size()) {
    const std::size_t length = big_endian(bytes, at);
    const std::string_view name = bytes.substr(at + 4, 4);
    if (name == "IDAT" || length > bytes.size() - at - kHead) break;
    const std::string_view data = bytes.substr(at + kHead, length);
    if (name == "pHYs" && length == 9 && data[8] == 1)  // unit: per metre
      return Vec2(big_endian(data, 0), big_endian(data, 4)) * kMmPerInch / kMmPerM;
    at += kHead + length + kSum;
  }
  return Vec2::Zero();
}

// Grey, grey and alpha, red green blue, or these and alpha: what the file has, so that no more
// memory is used than it needs.
std::uint8_t tone_at(const std::uint8_t* pixel, std::uint32_t format, Engrave engrave) {
  const bool has_colour = (format & PNG_FORMAT_FLAG_COLOR) != 0;
  const bool has_alpha = (format & PNG_FORMAT_FLAG_ALPHA) != 0;
  const int grey = has_colour ? luma(pixel[0], pixel[1], pixel[2]) : pixel[0];
  const int alpha = has_alpha ? pixel[has_colour ? 3 : 1] : 255;
  return engraved_tone(grey, alpha, engrave);
}

}  // namespace

Picture read_png(std::string_view bytes, Engrave engrave, double most_pixels) {
  png_image image = {};
  image.version = PNG_IMAGE_VERSION;
  const std::unique_ptr<png_image, FreeImage> owner(&image);
  if (png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) == 0) refuse(image);
  check_picture_pixels(image.width, image.height, most_pixels);

  image.format &= PNG_FORMAT_FLAG_COLOR | PNG_FORMAT_FLAG_ALPHA;
  image.flags |= PNG_IMAGE_FLAG_16BIT_sRGB;  // without it 16 bits would be taken as linear light
  std::vector<std::uint8_t> pixels(PNG_IMAGE_SIZE(image));
  // A negative stride stores the lowest row first.
  const auto stride = -static_cast<png_int_32>(PNG_IMAGE_ROW_STRIDE(image));
  if (png_image_finish_read(&image, nullptr, pixels.data(), stride, nullptr) == 0) refuse(image);

  const std::size_t channels = PNG_IMAGE_PIXEL_CHANNELS(image.format);
  Picture picture;
  picture.tones.columns = static_cast<int>(image.width);
  picture.tones.rows = static_cast<int>(image.height);
  picture.tones.tone.resize(pixels.size() / channels);
  for (std::size_t i = 0; i < picture.tones.tone.size(); ++i)
    picture.tones.tone[i] = tone_at(pixels.data() + i * channels, image.format, engrave);
  picture.size = picture_size(picture.tones.columns, picture.tones.rows, resolution(bytes));
  return picture;
}

ArtSize picture_size(int columns, int rows, const Vec2& dots_per_inch) {
  const double kLeast = 10.0;
  const double kMost = 20000.0;
  const double kMostElongated = 4.0;  // a pixel; those of facsimile are 2 to 1
  const Vec2 pixels(columns, rows);
  const double least = dots_per_inch.minCoeff();
  const double most = dots_per_inch.maxCoeff();
  if (!(least >= kLeast && most <= kMost && most <= kMostElongated * least))
    return {pixels * kMmPerCssPixel, "96 px per inch", true};
  const std::string across = fixed(dots_per_inch.x(), 0);
  const std::string up = fixed(dots_per_inch.y(), 0);
  return {pixels.cwiseQuotient(dots_per_inch) * kMmPerInch,
          "its " + (across == up ? across : across + " x " + up) + " dpi tag", false};
}

void check_picture_pixels(double columns, double rows, double most) {
  const std::string size = fixed(columns, 0) + " x " + fixed(rows, 0) + " pixels";
  if (columns < 1.0 || rows < 1.0)
    throw ArtError("the picture has no pixels (" + size + ")", "export it again");
  if (columns * rows > most)
    throw ArtError("the picture has " + size + ", " + fixed(columns * rows / 1e6, 0) +
                       " million; at most " + fixed(most / 1e6, 0) + " million are read",
                   "scale it down; 600 dpi at its size on the panel is more than the laser shows");
}

}  // namespace rimeglow
