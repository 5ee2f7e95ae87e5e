#include "laser_files.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include <png.h>

#include "beam_way.h"
#include "html.h"
#include "raster_reader.h"
#include "words.h"

namespace rimeglow {
namespace {

// ---- PNG

[[noreturn]] void give_up(png_structp, png_const_charp what) { throw std::runtime_error(what); }

class PngWriter {
 public:
  PngWriter(int columns, int rows, double pixel_mm) {
    file_ = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, give_up, nullptr);
    info_ = file_ ? png_create_info_struct(file_) : nullptr;
    if (!info_) throw std::runtime_error("libpng cannot write a picture");
    png_set_write_fn(
        file_, &bytes_,
        [](png_structp writer, png_bytep data, std::size_t size) {
          static_cast<std::string*>(png_get_io_ptr(writer))
              ->append(reinterpret_cast<const char*>(data), size);
        },
        nullptr);
    png_set_IHDR(file_, info_, static_cast<png_uint_32>(columns), static_cast<png_uint_32>(rows), 1,
                 PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    const auto per_metre = static_cast<png_uint_32>(std::lround(kMmPerM / pixel_mm));
    png_set_pHYs(file_, info_, per_metre, per_metre, PNG_RESOLUTION_METER);
    png_write_info(file_, info_);
  }
  ~PngWriter() { png_destroy_write_struct(&file_, &info_); }
  PngWriter(const PngWriter&) = delete;
  PngWriter& operator=(const PngWriter&) = delete;

  void write_row(const std::vector<std::uint8_t>& bits) { png_write_row(file_, bits.data()); }

  std::string finish() {
    png_write_end(file_, info_);
    return std::move(bytes_);
  }

 private:
  png_structp file_ = nullptr;
  png_infop info_ = nullptr;
  std::string bytes_;
};

int pixels(double length_mm, double pixel_mm) {
  return static_cast<int>(std::lround(length_mm / pixel_mm));
}

// ---- SVG

// From the panel to the page: y down, mirrored for the back.
class Page {
 public:
  Page(const Vec2& panel_mm, Side face, double margin_mm)
      : panel_mm_(panel_mm), mirrored_(face == Side::back), margin_mm_(margin_mm) {}

  bool mirrored() const { return mirrored_; }
  std::string at(const Vec2& point_mm) const {
    const double x = mirrored_ ? panel_mm_.x() - point_mm.x() : point_mm.x();
    return fixed(margin_mm_ + x, 4) + " " + fixed(margin_mm_ + panel_mm_.y() - point_mm.y(), 4);
  }

 private:
  Vec2 panel_mm_;
  bool mirrored_;
  double margin_mm_;
};

// A closed path. Arcs turn left for a radius above 0, as the outline does; the mirrored page turns
// them round.
std::string closed_path(const Page& page, const std::vector<OutlinePiece>& pieces) {
  std::string path = "M " + page.at(pieces.front().start_mm);
  for (const OutlinePiece& piece : pieces) {
    if (piece.round()) {
      const bool is_left = (piece.radius_mm > 0.0) != page.mirrored();
      const std::string radius = fixed(std::abs(piece.radius_mm), 4);
      path += " A " + radius + " " + radius + (is_left ? " 0 0 0 " : " 0 0 1 ");
    } else {
      path += " L ";
    }
    path += page.at(piece.end_mm);
  }
  return path + " Z";
}

std::string outline_path(const Outline& outline, const Page& page, double outward_mm) {
  std::string path;
  for (const auto& way : beam_ways(outline, outward_mm))
    path += (path.empty() ? "" : " ") + closed_path(page, way);
  return path;
}

std::string scored_path(const std::vector<ScoredLine>& lines, const Page& page) {
  std::string path;
  for (const ScoredLine& line : lines)
    for (const Vec2& point : line)
      path += (&point == &line.front() ? "M " : "L ") + page.at(point) + " ";
  return path;
}

constexpr double kJigRim_mm = 15.0;

std::string group(const std::string& id, const std::string& content) {
  return "<g id=\"" + id + "\">\n" + content + "</g>\n";
}

std::string path_element(const std::string& path) { return "<path d=\"" + path + "\"/>\n"; }

}  // namespace

std::string engraving_png(const Drawing& dots, const Vec2& panel_mm, Side face) {
  const int columns = pixels(panel_mm.x(), dots.pixel_mm);
  const int rows = pixels(panel_mm.y(), dots.pixel_mm);
  const int left = pixels(dots.origin_mm.x(), dots.pixel_mm);
  const int bottom = pixels(dots.origin_mm.y(), dots.pixel_mm);
  PngWriter writer(columns, rows, dots.pixel_mm);
  std::vector<std::uint8_t> bits(static_cast<std::size_t>((columns + 7) / 8));
  for (int row = rows; row-- > 0;) {
    std::fill(bits.begin(), bits.end(), std::uint8_t{0xFF});
    const int from = row - bottom;
    if (from >= 0 && from < dots.rows) {
      const std::uint8_t* const line = dots.tone.data() + dots.index(0, from);
      for (int i = 0; i < dots.columns; ++i) {
        if (line[i] == 0) continue;
        const int column = face == Side::back ? columns - 1 - (left + i) : left + i;
        if (column < 0 || column >= columns)
          throw std::length_error("the dots reach beyond the panel");
        bits[static_cast<std::size_t>(column / 8)] &=
            static_cast<std::uint8_t>(~(0x80U >> (column % 8)));
      }
    }
    writer.write_row(bits);
  }
  return writer.finish();
}

Drawing dots_in_png(std::string_view png, double pixel_mm, Side face) {
  constexpr double kAnyPanel = 1e9;
  Drawing dots = read_png(png, Engrave::dark, kAnyPanel).tones;
  dots.pixel_mm = pixel_mm;
  if (face == Side::back) {
    for (auto line = dots.tone.begin(); line != dots.tone.end(); line += dots.columns)
      std::reverse(line, line + dots.columns);
  }
  return dots;
}

std::string scored_name(std::size_t layer) { return "scored-" + std::to_string(layer + 1); }

Vec2 jig_size_mm(const Vec2& panel_mm) { return panel_mm + Vec2::Constant(2.0 * kJigRim_mm); }

std::string laser_svg(const Outline& outline, Side face, double kerf_mm,
                      std::span<const Engraving> engravings, Jig jig) {
  const Vec2 panel = outline.size_mm;
  const double margin = 20.0;  // room for the jig's rim and a little beside it
  const Page page(panel, face, margin);
  const std::string width = fixed(panel.x(), 4);
  const std::string height = fixed(panel.y(), 4);
  std::string images;
  std::string scored;
  for (std::size_t i = 0; i < engravings.size(); ++i) {
    if (engravings[i].png.empty()) {
      scored += group(scored_name(i), path_element(scored_path(engravings[i].lines, page)));
      continue;
    }
    images += "<image id=\"engraving-" + std::to_string(i + 1) + "\" x=\"" + fixed(margin, 4) +
              "\" y=\"" + fixed(margin, 4) + "\" width=\"" + width + "\" height=\"" + height +
              "\" preserveAspectRatio=\"none\" href=\"" + png_address(engravings[i].png) + "\"/>\n";
  }
  const double ruler_y = margin + panel.y() + 10.0;
  const std::string left = fixed(margin, 4);
  const std::string right = fixed(margin + kRuler_mm, 4);
  const std::string ruler = "M " + left + " " + fixed(ruler_y - 2.0, 4) + " V " +
                            fixed(ruler_y + 2.0, 4) + " M " + left + " " + fixed(ruler_y, 4) +
                            " H " + right + " M " + right + " " + fixed(ruler_y - 2.0, 4) + " V " +
                            fixed(ruler_y + 2.0, 4);
  const std::string page_width = fixed(std::max(panel.x(), kRuler_mm) + 2.0 * margin, 4);
  const std::string page_height = fixed(panel.y() + 2.0 * margin, 4);
  std::string svg =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "
      "width=\"" +
      page_width + "mm\" height=\"" + page_height + "mm\" viewBox=\"0 0 " + page_width + " " +
      page_height + "\" fill=\"none\" stroke=\"black\" stroke-width=\"0.1\">\n";
  if (!images.empty()) svg += group("engraving", images);
  svg += scored;
  svg += group("outline", path_element(outline_path(outline, page, 0.5 * kerf_mm)));
  svg += group("ruler-50-mm", path_element(ruler));
  if (jig == Jig::drawn) {
    const Vec2 low = Vec2::Constant(margin - kJigRim_mm);
    const Vec2 high = low + jig_size_mm(panel);
    const std::string frame = "M " + fixed(low.x(), 4) + " " + fixed(low.y(), 4) + " H " +
                              fixed(high.x(), 4) + " V " + fixed(high.y(), 4) + " H " +
                              fixed(low.x(), 4) + " Z";
    svg += group("jig",
                 path_element(frame) + path_element(outline_path(outline, page, -0.5 * kerf_mm)));
  }
  return svg + "</svg>\n";
}

}  // namespace rimeglow
