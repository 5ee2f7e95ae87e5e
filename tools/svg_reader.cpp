#include "svg_reader.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>

#include "svg_gate.h"

namespace rimeglow {
namespace {

using CairoSurface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Cairo = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;
using GlibError = std::unique_ptr<GError, decltype(&g_error_free)>;

// The side of the page, in CSS pixels, on which art without any size is laid out to be measured.
constexpr double kMeasuringPage = 1000.0;

[[noreturn]] void refuse(const std::string& what, GError* error, const char* mend = kSaveAgain) {
  const GlibError owner(error, &g_error_free);
  std::string reason = error != nullptr ? error->message : "no reason given";
  while (!reason.empty() && (reason.back() == '\n' || reason.back() == '.')) reason.pop_back();
  throw ArtError(what + " (" + reason + ")", mend);
}

RsvgHandle* parsed(std::string_view bytes) {
  GError* error = nullptr;
  RsvgHandle* const handle = rsvg_handle_new_from_data(
      reinterpret_cast<const guint8*>(bytes.data()), bytes.size(), &error);
  if (handle == nullptr) refuse("the SVG cannot be read", error);
  rsvg_handle_set_dpi(handle, kMmPerInch / kMmPerCssPixel);
  return handle;
}

// ---- size ----

struct Unit {
  double mm;  // 0 when the length depends on the page
  const char* name;
};

Unit unit_of(RsvgUnit unit) {
  switch (unit) {
    case RSVG_UNIT_MM:
      return {1.0, "mm"};
    case RSVG_UNIT_CM:
      return {10.0, "cm"};
    case RSVG_UNIT_IN:
      return {kMmPerInch, "inches"};
    case RSVG_UNIT_PT:
      return {kMmPerInch / 72.0, "points"};
    case RSVG_UNIT_PC:
      return {kMmPerInch / 6.0, "picas"};
    case RSVG_UNIT_PX:
      return {kMmPerCssPixel, "px"};
    case RSVG_UNIT_EM:
      return {16.0 * kMmPerCssPixel, "px"};  // CSS's medium font size
    case RSVG_UNIT_EX:
      return {8.0 * kMmPerCssPixel, "px"};
    case RSVG_UNIT_PERCENT:
    default:  // later versions of librsvg know more
      break;
  }
  return {0.0, ""};
}

// The page as the file gives it: width and height, one of them and the shape of its viewBox, or
// the viewBox alone. Zero when it gives none of these.
ArtSize page_size(RsvgHandle* handle) {
  RsvgLength width = {};
  RsvgLength height = {};
  RsvgRectangle view = {};
  gboolean has_width = FALSE;
  gboolean has_height = FALSE;
  gboolean has_view = FALSE;
  rsvg_handle_get_intrinsic_dimensions(handle, &has_width, &width, &has_height, &height, &has_view,
                                       &view);
  const Unit across = unit_of(width.unit);
  const Unit up = unit_of(height.unit);
  const bool is_shaped = has_view != FALSE && view.width > 0.0 && view.height > 0.0;
  const bool knows_width = across.mm > 0.0;
  const bool knows_height = up.mm > 0.0;
  Vec2 mm(width.length * across.mm, height.length * up.mm);
  if (!knows_width && !knows_height)
    return is_shaped
               ? ArtSize{Vec2(view.width, view.height) * kMmPerCssPixel, "96 px per inch", true}
               : ArtSize{};
  if (!(knows_width && knows_height) && !is_shaped) return {};
  if (!knows_width) mm.x() = mm.y() * view.width / view.height;
  if (!knows_height) mm.y() = mm.x() * view.height / view.width;
  const Unit& unit = knows_width ? across : up;
  if (unit.name == std::string_view("px")) return {mm, "96 px per inch", true};
  const char* const sides = !knows_height ? "width" : !knows_width ? "height" : "width and height";
  return {mm, std::string("its ") + sides + " in " + unit.name, false};
}

// The box of what is drawn on the page, in CSS pixels.
RsvgRectangle drawn_box(RsvgHandle* handle, const RsvgRectangle& page) {
  RsvgRectangle ink = {};
  RsvgRectangle logical = {};
  GError* error = nullptr;
  if (rsvg_handle_get_geometry_for_layer(handle, nullptr, &page, &ink, &logical, &error) == FALSE)
    refuse("the SVG cannot be measured", error);
  return ink;
}

// ---- selection ----

std::string reference(RsvgHandle* handle, const std::string& id) {
  const std::string name = "#" + id;
  if (rsvg_handle_has_sub(handle, name.c_str()) == FALSE)
    throw ArtError("the SVG has no element with the id \"" + id + "\"",
                   "give the element that id in the drawing program's object properties");
  return name;
}

// The id as a string of CSS (CSS Syntax 3, 4.3.7): whatever is special is written as a code.
std::string css_string(const std::string& id) {
  constexpr std::string_view kHexDigits = "0123456789abcdef";
  std::string text = "\"";
  for (const char letter : id) {
    const auto code = static_cast<unsigned char>(letter);
    if (code >= 0x20 && letter != '"' && letter != '\\') {
      text += letter;
    } else {
      text += '\\';
      text += kHexDigits[code >> 4];
      text += kHexDigits[code & 15];
      text += ' ';
    }
  }
  return text + '"';
}

void leave_out(RsvgHandle* handle, const std::vector<std::string>& ids) {
  std::string sheet;
  for (const std::string& id : ids) {
    reference(handle, id);
    sheet += "[id=" + css_string(id) + "] { display: none !important }\n";
  }
  GError* error = nullptr;
  if (rsvg_handle_set_stylesheet(handle, reinterpret_cast<const guint8*>(sheet.data()),
                                 sheet.size(), &error) == FALSE)
    refuse("elements of the SVG cannot be left out", error);
}

// ---- drawing ----

void check_drawn(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS)
    throw ArtError(
        std::string("the laser raster cannot be made (") + cairo_status_to_string(status) + ")",
        "make the art smaller or the raster coarser");
}

CairoSurface new_surface(const Drawing& raster) {
  CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_ARGB32, raster.columns, raster.rows),
                       &cairo_surface_destroy);
  check_drawn(cairo_surface_status(surface.get()));
  return surface;
}

// The origin comes to the art's middle on the raster, whose rows run down in cairo.
void place(cairo_t* cairo, const Drawing& raster, const Placement& placement) {
  const Vec2 centre = (placement.centre_mm - raster.origin_mm) / raster.pixel_mm;
  cairo_translate(cairo, centre.x(), raster.rows - centre.y());
  cairo_rotate(cairo, -placement.rotate_rad);
}

// How much finer than the laser's raster it is drawn before it is turned: what a mask or a filter
// made turns as a picture, and blurs by a pixel. None is larger than the largest raster.
double fineness(const Vec2& pixels) {
  return std::min({2.0, kMostLaserPixelsASide / pixels.maxCoeff(),
                   std::sqrt(kMostLaserPixels / pixels.prod())});
}

// Cairo keeps colours multiplied by alpha, which is luma times opacity just as it is needed.
std::uint8_t tone_at(std::uint32_t pixel, Engrave engrave) {
  const auto channel = [pixel](int shift) { return static_cast<int>(pixel >> shift & 0xFF); };
  const int light = luma(channel(16), channel(8), channel(0));
  const int tone = engrave == Engrave::dark ? channel(24) - light : light;
  return static_cast<std::uint8_t>(tone > 0 ? tone : 0);
}

Drawing tones_of(cairo_surface_t* surface, Drawing raster, Engrave engrave) {
  cairo_surface_flush(surface);
  const unsigned char* const data = cairo_image_surface_get_data(surface);
  const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
  const auto columns = static_cast<std::size_t>(raster.columns);
  for (std::size_t row = 0; row < static_cast<std::size_t>(raster.rows); ++row) {
    const std::size_t down = static_cast<std::size_t>(raster.rows) - 1 - row;
    for (std::size_t column = 0; column < columns; ++column) {
      std::uint32_t pixel = 0;
      std::memcpy(&pixel, data + down * stride + column * sizeof pixel, sizeof pixel);
      raster.tone[row * columns + column] = tone_at(pixel, engrave);
    }
  }
  return raster;
}

}  // namespace

SvgArt::SvgArt(std::string_view bytes, const SvgSelection& selection)
    : handle_(parsed(bytes)), size_(page_size(handle_.get())) {
  if (selection.only_id) only_ = reference(handle_.get(), *selection.only_id);
  if (!selection.without_ids.empty()) leave_out(handle_.get(), selection.without_ids);
  if (size_.from.empty()) {
    page_ = {0.0, 0.0, kMeasuringPage, kMeasuringPage};
    box_ = drawn_box(handle_.get(), page_);
    size_ = {Vec2(box_.width, box_.height) * kMmPerCssPixel,
             "the box of what it draws, 96 px per inch", true};
  } else {
    page_ = {0.0, 0.0, size_.mm.x() / kMmPerCssPixel, size_.mm.y() / kMmPerCssPixel};
    box_ = page_;
  }
}

// On so many pixels about the origin.
void SvgArt::draw(cairo_t* cairo, const Vec2& pixels) const {
  cairo_scale(cairo, pixels.x() / box_.width, pixels.y() / box_.height);
  cairo_translate(cairo, -box_.x - 0.5 * box_.width, -box_.y - 0.5 * box_.height);
  GError* error = nullptr;
  const gboolean is_drawn =
      only_.empty() ? rsvg_handle_render_document(handle_.get(), cairo, &page_, &error)
                    : rsvg_handle_render_layer(handle_.get(), cairo, only_.c_str(), &page_, &error);
  if (is_drawn == FALSE) refuse("the SVG cannot be drawn", error, kSimplify);
}

// librsvg sizes what it composes (opacity, masks, filters, blending) as if nothing were turned, and
// cuts the rest off. So it draws upright, and cairo turns the strokes that it drew.
void SvgArt::draw_turned(cairo_t* cairo, const Vec2& pixels) const {
  const double finer = fineness(pixels);
  const Vec2 size = finer * pixels;
  const CairoSurface upright(cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, nullptr),
                             &cairo_surface_destroy);
  const Cairo recorder(cairo_create(upright.get()), &cairo_destroy);
  cairo_translate(recorder.get(), 0.5 * size.x(), 0.5 * size.y());
  draw(recorder.get(), size);
  cairo_scale(cairo, 1.0 / finer, 1.0 / finer);
  cairo_set_source_surface(cairo, upright.get(), -0.5 * size.x(), -0.5 * size.y());
  cairo_paint(cairo);
  check_drawn(cairo_status(cairo));
}

Drawing SvgArt::drawn(const Drawing& raster, const Placement& placement, Engrave engrave) const {
  const CairoSurface surface = new_surface(raster);
  const Cairo cairo(cairo_create(surface.get()), &cairo_destroy);
  place(cairo.get(), raster, placement);
  const Vec2 pixels = placement.size_mm / raster.pixel_mm;
  if (placement.rotate_rad == 0.0) {
    draw(cairo.get(), pixels);
  } else {
    draw_turned(cairo.get(), pixels);
  }
  return tones_of(surface.get(), raster, engrave);
}

}  // namespace rimeglow
