// A small 8-bit RGB picture to draw on, and its PNG. Pixel (0, 0) is at the upper left. Drawing
// outside is allowed and leaves nothing.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace rimeglow {

struct Rgb8 {
  std::uint8_t red = 0;
  std::uint8_t green = 0;
  std::uint8_t blue = 0;

  friend bool operator==(const Rgb8&, const Rgb8&) = default;
};

// 0..1 of linear light as the 8-bit code of sRGB (IEC 61966-2-1).
std::uint8_t srgb_encoded(double linear);

class Canvas {
 public:
  Canvas(int width, int height, Rgb8 background);

  int width() const { return width_; }
  int height() const { return height_; }
  Rgb8 at(int x, int y) const;

  void set(int x, int y, Rgb8 colour);
  // In each channel the brighter of the colour and what is there.
  void lighten(int x, int y, Rgb8 colour);
  void fill(int x, int y, int width, int height, Rgb8 colour);
  // Text in our small alphabet, its upper left at (x, y), each dot `scale` pixels wide.
  void write(int x, int y, int scale, Rgb8 colour, std::string_view text);

  const std::vector<std::uint8_t>& bytes() const { return bytes_; }

 private:
  bool inside(int x, int y) const { return x >= 0 && y >= 0 && x < width_ && y < height_; }
  std::size_t offset(int x, int y) const;

  int width_;
  int height_;
  std::vector<std::uint8_t> bytes_;  // red, green, blue; row by row from the top
};

// For words about a picture, on a dark ground.
inline constexpr Rgb8 kCaptionGrey = {150, 150, 150};

// Width and height in pixels of a text at this scale.
int text_width(std::string_view text, int scale);
int text_height(int scale);

// The picture as the bytes of a PNG file.
std::string png_of(const Canvas& canvas);

}  // namespace rimeglow
