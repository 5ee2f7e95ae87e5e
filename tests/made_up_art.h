// Art made in memory for tests: SVG around a body, PNG by libpng, JPEG by libjpeg, and what of a
// drawing is engraved.
#pragma once

#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>
#include <vector>

// Behind the standard headers, whose names it uses.
#include <jpeglib.h>
#include <png.h>

#include "art_reader.h"

namespace rimeglow {

inline std::string svg(const std::string& attributes, const std::string& body) {
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" "
         "xmlns:xlink=\"http://www.w3.org/1999/xlink\" " +
         attributes + ">" + body + "</svg>";
}

// Samples row by row from the top, as many a pixel as the format has channels.
struct MadePicture {
  int columns = 0;
  int rows = 0;
  std::vector<std::uint8_t> samples;
};

inline MadePicture made_picture(int columns, int rows, std::vector<std::uint8_t> pixel) {
  MadePicture picture{columns, rows, {}};
  for (int i = 0; i < columns * rows; ++i)
    picture.samples.insert(picture.samples.end(), pixel.begin(), pixel.end());
  return picture;
}

struct PngStyle {
  int colour_type = PNG_COLOR_TYPE_GRAY;
  int bit_depth = 8;
  bool interlaced = false;
  std::optional<double> dots_per_inch;
};

inline std::string png(const MadePicture& picture, const PngStyle& style) {
  std::string bytes;
  png_structp file = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(file);
  png_set_write_fn(
      file, &bytes,
      [](png_structp writer, png_bytep data, std::size_t size) {
        static_cast<std::string*>(png_get_io_ptr(writer))
            ->append(reinterpret_cast<const char*>(data), size);
      },
      nullptr);
  png_set_IHDR(file, info, static_cast<png_uint_32>(picture.columns),
               static_cast<png_uint_32>(picture.rows), style.bit_depth, style.colour_type,
               style.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  if (style.dots_per_inch) {
    const auto per_metre = static_cast<png_uint_32>(*style.dots_per_inch / 0.0254 + 0.5);
    png_set_pHYs(file, info, per_metre, per_metre, PNG_RESOLUTION_METER);
  }
  png_write_info(file, info);
  std::vector<std::uint8_t> samples = picture.samples;
  const std::size_t stride = samples.size() / static_cast<std::size_t>(picture.rows);
  std::vector<png_bytep> rows;
  for (std::size_t row = 0; row < static_cast<std::size_t>(picture.rows); ++row)
    rows.push_back(samples.data() + row * stride);
  png_write_image(file, rows.data());
  png_write_end(file, info);
  png_destroy_write_struct(&file, &info);
  return bytes;
}

struct JpegStyle {
  J_COLOR_SPACE colours = JCS_GRAYSCALE;
  int channels = 1;
  int dots_per_inch = 0;
  std::string exif;  // data of the camera's marker
  bool scan_by_channel = false;
};

inline std::string jpeg(const MadePicture& picture, const JpegStyle& style) {
  jpeg_compress_struct info = {};
  jpeg_error_mgr errors = {};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  unsigned char* data = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &data, &size);
  info.image_width = static_cast<JDIMENSION>(picture.columns);
  info.image_height = static_cast<JDIMENSION>(picture.rows);
  info.input_components = style.channels;
  info.in_color_space = style.colours;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, 95, TRUE);
  const jpeg_scan_info scans[] = {
      {1, {0}, 0, 63, 0, 0}, {1, {1}, 0, 63, 0, 0}, {1, {2}, 0, 63, 0, 0}};
  if (style.scan_by_channel) {
    info.scan_info = scans;
    info.num_scans = style.channels;
  }
  if (style.dots_per_inch > 0) {
    info.density_unit = 1;
    info.X_density = info.Y_density = static_cast<UINT16>(style.dots_per_inch);
  }
  jpeg_start_compress(&info, TRUE);
  if (!style.exif.empty())
    jpeg_write_marker(&info, JPEG_APP0 + 1, reinterpret_cast<const JOCTET*>(style.exif.data()),
                      static_cast<unsigned>(style.exif.size()));
  std::vector<std::uint8_t> samples = picture.samples;
  const std::size_t stride = samples.size() / static_cast<std::size_t>(picture.rows);
  while (info.next_scanline < info.image_height) {
    JSAMPROW row = samples.data() + info.next_scanline * stride;
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  jpeg_destroy_compress(&info);
  std::free(data);
  return bytes;
}

// Tone 0..1 of the laser pixel at a point of the panel.
inline double tone_at(const Drawing& drawing, double x_mm, double y_mm) {
  return Coverage(drawing).at(x_mm, y_mm);
}

struct InkBox {
  Vec2 lower_left_mm = Vec2::Constant(1e9);
  Vec2 upper_right_mm = Vec2::Constant(-1e9);
  double area_mm2 = 0.0;  // by tone
};

// The box of the pixels of at least half tone.
inline InkBox ink_box(const Drawing& drawing) {
  InkBox box;
  std::size_t next = 0;
  for (int row = 0; row < drawing.rows; ++row)
    for (int column = 0; column < drawing.columns; ++column) {
      const std::uint8_t tone = drawing.tone[next++];
      box.area_mm2 += tone / 255.0 * drawing.pixel_mm * drawing.pixel_mm;
      if (tone < 128) continue;
      const Vec2 corner = drawing.origin_mm + Vec2(column, row) * drawing.pixel_mm;
      box.lower_left_mm = box.lower_left_mm.cwiseMin(corner);
      box.upper_right_mm = box.upper_right_mm.cwiseMax(corner + Vec2::Constant(drawing.pixel_mm));
    }
  return box;
}

// The complaint about art that must be refused, as "what; mend", or "" when it was taken.
inline std::string complaint(const std::string& bytes, const ArtRequest& request) {
  try {
    read_art(bytes, request);
  } catch (const ArtError& error) {
    return std::string(error.what()) + "; " + error.mend();
  }
  return "";
}

}  // namespace rimeglow
