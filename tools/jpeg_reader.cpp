// JPEG through libjpeg. Its errors come by longjmp, so the decoder keeps everything that needs a
// destructor outside of the frames that are jumped over.
#include <array>
#include <csetjmp>
#include <cstddef>
#include <cstdio>
#include <utility>
#include <vector>

// Behind the standard headers, whose names it uses.
#include <jerror.h>
#include <jpeglib.h>

#include "raster_reader.h"

namespace rimeglow {
namespace {

constexpr int kExifMarker = JPEG_APP0 + 1;
// A progressive picture of 8 bits is complete after about 10; a small file may hold thousands, each
// of which costs as much as the whole picture.
constexpr int kMostScans = 100;

class JpegDecoder {
 public:
  explicit JpegDecoder(std::string_view bytes) : bytes_(bytes) {
    info_.err = jpeg_std_error(&errors_);
    info_.client_data = this;
    errors_.error_exit = &JpegDecoder::leave;
    errors_.emit_message = &JpegDecoder::note;
    progress_.progress_monitor = &JpegDecoder::count_scans;
  }
  ~JpegDecoder() { jpeg_destroy_decompress(&info_); }
  JpegDecoder(const JpegDecoder&) = delete;
  JpegDecoder& operator=(const JpegDecoder&) = delete;

  void read_header() {
    if (!try_header()) refuse();
  }

  // Tones, lowest row first.
  std::vector<std::uint8_t> read_tones(Engrave engrave) {
    if (info_.jpeg_color_space == JCS_CMYK || info_.jpeg_color_space == JCS_YCCK)
      throw ArtError("the JPEG holds printing inks (CMYK)", "save it in RGB or in greys");
    engrave_ = engrave;
    // The grey channel alone, or colours, so that they are weighed by the same luma as in a PNG.
    info_.out_color_space = info_.jpeg_color_space == JCS_GRAYSCALE ? JCS_GRAYSCALE : JCS_RGB;
    tones_.resize(std::size_t{info_.image_width} * info_.image_height);
    row_.resize(std::size_t{info_.image_width} * 3);
    if (!try_rows()) refuse();
    return std::move(tones_);
  }

  int columns() const { return static_cast<int>(info_.image_width); }
  int rows() const { return static_cast<int>(info_.image_height); }

  // JFIF 1.02: unit 1 is dots per inch, 2 per centimetre.
  Vec2 dots_per_inch() const {
    if (info_.saw_JFIF_marker == 0 || info_.density_unit == 0) return Vec2::Zero();
    const double per_unit = info_.density_unit == 2 ? kMmPerInch / 10.0 : 1.0;
    return Vec2(info_.X_density, info_.Y_density) * per_unit;
  }

  // The data of the camera's marker, or nothing.
  std::string_view exif() const {
    for (auto marker = info_.marker_list; marker != nullptr; marker = marker->next)
      if (marker->marker == kExifMarker)
        return {reinterpret_cast<const char*>(marker->data), marker->data_length};
    return {};
  }

 private:
  static void leave(j_common_ptr info) {
    auto* const self = static_cast<JpegDecoder*>(info->client_data);
    info->err->format_message(info, self->message_.data());
    std::longjmp(self->way_out_, 1);
  }

  // libjpeg only warns of missing and bad data and fills in grey; that is no art to burn.
  static void note(j_common_ptr info, int level) {
    const int code = info->err->msg_code;
    const bool is_harmless = level >= 0 || code == JWRN_EXTRANEOUS_DATA ||
                             code == JWRN_ADOBE_XFORM || code == JWRN_JFIF_MAJOR;
    if (!is_harmless) leave(info);
  }

  static void count_scans(j_common_ptr info) {
    auto* const self = static_cast<JpegDecoder*>(info->client_data);
    if (self->info_.input_scan_number <= kMostScans) return;
    std::snprintf(self->message_.data(), self->message_.size(), "more than %d scans", kMostScans);
    std::longjmp(self->way_out_, 1);
  }

  bool try_header() {
    if (setjmp(way_out_) != 0) return false;
    jpeg_create_decompress(&info_);
    info_.progress = &progress_;
    jpeg_save_markers(&info_, kExifMarker, 0xFFFF);
    jpeg_mem_src(&info_, reinterpret_cast<const unsigned char*>(bytes_.data()), bytes_.size());
    return jpeg_read_header(&info_, TRUE) == JPEG_HEADER_OK;
  }

  bool try_rows() {
    if (setjmp(way_out_) != 0) return false;
    jpeg_start_decompress(&info_);
    while (info_.output_scanline < info_.output_height) {
      const std::size_t up = info_.output_height - 1 - info_.output_scanline;
      JSAMPROW row = row_.data();
      jpeg_read_scanlines(&info_, &row, 1);
      store_row(up * info_.output_width);
    }
    jpeg_finish_decompress(&info_);
    return true;
  }

  void store_row(std::size_t first) {
    const bool is_grey = info_.output_components == 1;
    for (std::size_t i = 0; i < info_.output_width; ++i) {
      const int value = is_grey ? row_[i] : luma(row_[3 * i], row_[3 * i + 1], row_[3 * i + 2]);
      tones_[first + i] = engraved_tone(value, 255, engrave_);
    }
  }

  [[noreturn]] void refuse() const {
    throw ArtError("the JPEG is cut off or damaged (" + std::string(message_.data()) + ")",
                   "save or copy it again; the file may not have been copied to its end");
  }

  std::string_view bytes_;
  jpeg_decompress_struct info_ = {};
  jpeg_error_mgr errors_ = {};
  jpeg_progress_mgr progress_ = {};
  std::jmp_buf way_out_;
  std::array<char, JMSG_LENGTH_MAX> message_ = {};
  Engrave engrave_ = Engrave::dark;
  std::vector<std::uint8_t> tones_;
  std::vector<std::uint8_t> row_;
};

// A number of `size` bytes in the byte order of the tag block.
unsigned tag_number(std::string_view block, std::size_t at, std::size_t size) {
  const bool is_little = block[0] == 'I';
  unsigned value = 0;
  for (std::size_t i = 0; i < size; ++i) {
    const std::size_t byte = is_little ? size - 1 - i : i;
    value = value << 8 | static_cast<unsigned char>(block[at + byte]);
  }
  return value;
}

// Orientation 1..8, tag 0x0112 of the first directory (TIFF 6.0, part 1; Exif 2.32, 4.6.4 A);
// 1, upright, when there is none.
int orientation(std::string_view exif) {
  const std::string_view kName("Exif\0\0", 6);
  if (!exif.starts_with(kName)) return 1;
  const std::string_view block = exif.substr(kName.size());
  if (block.size() < 8) return 1;
  const std::size_t directory = tag_number(block, 4, 4);
  if (directory > block.size() - 2) return 1;
  const std::size_t count = tag_number(block, directory, 2);
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t entry = directory + 2 + 12 * i;
    if (entry + 12 > block.size()) break;
    if (tag_number(block, entry, 2) != 0x0112) continue;
    const unsigned value = tag_number(block, entry + 8, 2);
    return value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
  }
  return 1;
}

// Where the stored picture's first row and first column are to be seen, by orientation (TIFF 6.0):
// 1 top left, 2 top right, 3 bottom right, 4 bottom left; 5 to 8 the same with rows standing up:
// left top, right top, right bottom, left bottom.
Drawing upright(const Drawing& stored, int orientation) {
  if (orientation == 1) return stored;
  const bool stands = orientation >= 5;
  const bool from_right =
      orientation == 2 || orientation == 3 || orientation == 6 || orientation == 7;
  const bool from_bottom =
      orientation == 3 || orientation == 4 || orientation == 7 || orientation == 8;
  Drawing seen = stored;
  if (stands) std::swap(seen.columns, seen.rows);
  std::size_t next = 0;
  for (int up = 0; up < seen.rows; ++up) {
    const int down = from_bottom ? up : seen.rows - 1 - up;  // from where the first row is seen
    for (int right = 0; right < seen.columns; ++right) {
      const int along = from_right ? seen.columns - 1 - right : right;
      const int stored_row = stands ? along : down;
      const int stored_column = stands ? down : along;
      seen.tone[next++] = stored.tone[stored.index(stored_column, stored.rows - 1 - stored_row)];
    }
  }
  return seen;
}

}  // namespace

Picture read_jpeg(std::string_view bytes, Engrave engrave) {
  JpegDecoder decoder(bytes);
  decoder.read_header();
  check_picture_pixels(decoder.columns(), decoder.rows());
  // What the header says goes when the rows have been read.
  const int turn = orientation(decoder.exif());
  const Vec2 dots_per_inch = decoder.dots_per_inch();
  Drawing stored;
  stored.columns = decoder.columns();
  stored.rows = decoder.rows();
  stored.tone = decoder.read_tones(engrave);
  Picture picture;
  picture.tones = upright(stored, turn);
  picture.size = picture_size(picture.tones.columns, picture.tones.rows,
                              turn >= 5 ? dots_per_inch.reverse().eval() : dots_per_inch);
  return picture;
}

}  // namespace rimeglow
