// PNG and JPEG pictures from bytes, as tones to engrave. Limits hold before anything is decoded;
// a picture that is cut off or damaged is refused, not half used. Opens no file.
#pragma once

#include <string_view>

#include "art_source.h"
#include "artwork.h"

namespace rimeglow {

// In the picture's own pixels, which need not be square on the panel: `size` has the last word,
// and the drawing's pixel and origin are left at 0.
struct Picture {
  Drawing tones;
  ArtSize size;
};

// Colours become luma; of 16 bits the upper 8 are kept.
Picture read_png(std::string_view bytes, Engrave engrave, double most_pixels = kMostPicturePixels);

// Turned upright as the camera's orientation tag says.
Picture read_jpeg(std::string_view bytes, Engrave engrave);

// The size of so many pixels at a resolution in dots per inch, or guessed when the resolution is
// missing (0) or cannot be meant.
ArtSize picture_size(int columns, int rows, const Vec2& dots_per_inch);

// Refuses a picture without pixels or with more than the limit, by its header alone.
void check_picture_pixels(double columns, double rows, double most = kMostPicturePixels);

}  // namespace rimeglow
