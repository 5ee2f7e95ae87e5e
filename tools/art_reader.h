// A customer's art, whatever its format, placed on the panel as a drawing on the laser's raster,
// with what a person should know about it: which size was understood and from what, whether it is
// line art or grey, how much of it is engraved. Files are opened only by `read_art_file`.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "art_source.h"
#include "artwork.h"
#include "child.h"

namespace rimeglow {

struct ArtRequest {
  std::optional<double> width_mm;  // before it is turned; else the art's own
  Vec2 centre_mm = Vec2::Zero();
  double rotate_rad = 0.0;  // counter-clockwise as seen from the front
  double pixel_mm = kMmPerInch / 400.0;
  Engrave engrave = Engrave::dark;
  bool flat = false;                     // greys are burnt in full or not at all
  bool scored = false;                   // lines are followed, however thin and pale they are drawn
  std::optional<std::string> only_id;    // of an SVG: this element and nothing else
  std::vector<std::string> without_ids;  // of an SVG: all but these elements
};

enum class ArtFormat { svg, png, jpeg };

struct ArtInfo {
  ArtFormat format = ArtFormat::svg;
  ArtSize natural;              // by the file
  Vec2 used_mm = Vec2::Zero();  // before it is turned
  int picture_columns = 0;      // of a PNG or JPEG, else 0
  int picture_rows = 0;
  Tone tone = Tone::line_art;
  double engraved_share = 0.0;        // of the art's own box, by tone
  std::vector<std::string> warnings;  // whole sentences
};

struct Art {
  Drawing drawing;
  ArtInfo info;
};

// Throws ArtError. The drawing covers the box of the turned art, from its lower left corner on.
// Works in a process of its own, so that no file can harm or hold up the program.
Art read_art(std::string_view bytes, const ArtRequest& request, const ChildLimits& limits = {});

// The same in this process: what the other one runs.
Art decode_art(std::string_view bytes, const ArtRequest& request);

// The bytes of a file. Throws ArtError when it is missing, no plain file or too large, and
// std::system_error when the system will not give it.
std::string read_art_file(const std::filesystem::path& path);

}  // namespace rimeglow
