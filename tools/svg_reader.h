// SVG from bytes, drawn straight onto the laser's raster by librsvg and cairo. It has no base
// address, so it can reach neither other files nor the network. Opens no file. Sets no limits:
// bytes come through `vet_svg`, and `read_art` works in a process of its own.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <librsvg/rsvg.h>

#include "art_source.h"
#include "artwork.h"
#include "placement.h"

namespace rimeglow {

// Which elements of a drawing count, by id without the "#": one alone, or all but some.
struct SvgSelection {
  std::optional<std::string> only_id;
  std::vector<std::string> without_ids;
};

class SvgArt {
 public:
  SvgArt(std::string_view bytes, const SvgSelection& selection);

  const ArtSize& size() const { return size_; }

  // The drawing on an empty raster: every pixel takes the tone of its covered area.
  Drawing drawn(const Drawing& raster, const Placement& placement, Engrave engrave) const;

 private:
  struct Release {
    void operator()(RsvgHandle* handle) const { g_object_unref(handle); }
  };

  void draw(cairo_t* cairo, const Vec2& pixels) const;
  void draw_turned(cairo_t* cairo, const Vec2& pixels) const;

  std::unique_ptr<RsvgHandle, Release> handle_;
  std::string only_;         // "#id", or empty for all
  RsvgRectangle page_ = {};  // on which the drawing is laid out, in CSS pixels
  RsvgRectangle box_ = {};   // of the art on it: all of it, or what is drawn when it has no size
  ArtSize size_;
};

}  // namespace rimeglow
