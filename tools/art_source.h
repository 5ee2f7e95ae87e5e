// What the readers of the art formats share: how they refuse a file, how large a file says its art
// is, which of its tones are engraved, and the limits that hold before any work is done.
#pragma once

#include <cstddef>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <utility>

#include "ray.h"
#include "units.h"

namespace rimeglow {

// The art cannot be used: `what()` says what is wrong with it, `mend()` how to mend it.
class ArtError : public std::runtime_error {
 public:
  ArtError(const std::string& what, std::string mend)
      : std::runtime_error(what), mend_(std::move(mend)) {}

  const std::string& mend() const { return mend_; }

 private:
  std::string mend_;
};

// The size of the art by its own file, and in words where that comes from.
struct ArtSize {
  Vec2 mm = Vec2::Zero();
  std::string from;      // "its width and height in mm", "its 300 dpi tag", "96 px per inch"
  bool guessed = false;  // the file does not say
};

// CSS Values and Units 4, 6.2: 1in = 96px. A file that gives no unit was seldom drawn with that in
// mind, which is why such a size counts as guessed.
inline constexpr double kMmPerCssPixel = kMmPerInch / 96.0;

enum class Engrave { dark, light };  // which tones glow: ink, or the lights of a photograph

// The engraved tone 0..255 of a pixel with this luma and opacity: nothing is drawn where the art is
// clear, so nothing is engraved there either way.
constexpr std::uint8_t engraved_tone(int luma, int alpha, Engrave engrave) {
  const int tone = engrave == Engrave::dark ? 255 - luma : luma;
  return static_cast<std::uint8_t>((tone * alpha + 127) / 255);
}

// Luma of gamma-encoded red, green and blue: ITU-R BT.709-6, item 3.2.
constexpr int luma(int red, int green, int blue) {
  return (2126 * red + 7152 * green + 722 * blue + 5000) / 10000;
}

inline constexpr const char* kSimplify =
    "simplify it in a drawing program (fewer copies of copies, filters and embedded pictures) or "
    "export it as a PNG";

inline constexpr std::size_t kMostFileBytes = 100'000'000;
inline constexpr std::size_t kMostSvgBytes = 25'000'000;
inline constexpr double kMostPicturePixels = 40e6;
inline constexpr double kMostLaserPixels = 64e6;
inline constexpr double kMostLaserPixelsASide = 32767;  // cairo's largest image

}  // namespace rimeglow
