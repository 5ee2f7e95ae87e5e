#include "art_reader.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <fstream>
#include <system_error>
#include <utility>

#include "engraving.h"
#include "engraving_strokes.h"
#include "placement.h"
#include "raster_reader.h"
#include "svg_gate.h"
#include "svg_reader.h"
#include "words.h"

namespace rimeglow {
namespace {

using namespace std::string_view_literals;

// ---- which format ----

struct Signature {
  std::string_view start;
  const char* name;
};

// Formats that customers send and that are not read, by the first bytes (from memory).
constexpr std::array<Signature, 8> kOtherFormats = {{{"%PDF", "a PDF"},
                                                     {"%!PS", "PostScript"},
                                                     {"GIF8", "a GIF"},
                                                     {"BM", "a BMP"},
                                                     {"RIFF", "a WebP"},
                                                     {"II*\0"sv, "a TIFF"},
                                                     {"MM\0*"sv, "a TIFF"},
                                                     {"\x1F\x8B", "a compressed file (SVGZ)"}}};

// The first bytes as a person can compare them with another program's words: as text where they
// are text, else as numbers.
std::string first_bytes(std::string_view bytes) {
  constexpr std::string_view kHexDigits = "0123456789ABCDEF";
  const std::string_view head = bytes.substr(0, 8);
  const bool is_text =
      std::all_of(head.begin(), head.end(), [](char c) { return c >= ' ' && c <= '~'; });
  if (is_text) return "\"" + std::string(head) + "\"";
  std::string text = "the bytes";
  for (const char letter : head) {
    const auto code = static_cast<unsigned char>(letter);
    text += {' ', kHexDigits[code >> 4], kHexDigits[code & 15]};
  }
  return text;
}

[[noreturn]] void refuse_format(std::string_view bytes) {
  std::string what = "the file is no SVG, PNG or JPEG: it begins with " + first_bytes(bytes);
  for (const Signature& other : kOtherFormats)
    if (bytes.starts_with(other.start)) what += std::string(", which looks like ") + other.name;
  throw ArtError(what, "export it as plain SVG (drawings) or as PNG or JPEG (pictures)");
}

ArtFormat format_of(std::string_view bytes) {
  if (bytes.empty()) throw ArtError("the file is empty", "save or copy it again");
  if (bytes.starts_with("\x89PNG\r\n\x1A\n")) return ArtFormat::png;
  if (bytes.starts_with("\xFF\xD8\xFF")) return ArtFormat::jpeg;
  std::string_view text = bytes;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);  // byte order mark of UTF-8
  text.remove_prefix(std::min(text.find_first_not_of(" \t\r\n"), text.size()));
  if (text.empty() || text.front() != '<') refuse_format(bytes);
  if (text.find("<svg") == std::string_view::npos && text.find(":svg") == std::string_view::npos)
    throw ArtError("the file is marked-up text (XML or HTML) without an <svg> element",
                   "export the drawing as plain SVG");
  return ArtFormat::svg;
}

// ---- where it goes ----

void check_request(const ArtRequest& request) {
  const auto is_size = [](double mm) { return std::isfinite(mm) && mm > 0.0; };
  if (request.width_mm && !is_size(*request.width_mm))
    throw ArtError("the art's width is " + spoken(*request.width_mm) + " mm",
                   "give a width above 0, or none for the file's own size");
  if (!is_size(request.pixel_mm))
    throw ArtError("the raster spacing is " + spoken(request.pixel_mm) + " mm",
                   "give a spacing above 0");
  if (!request.centre_mm.allFinite() || !std::isfinite(request.rotate_rad))
    throw ArtError("the art's place on the panel is not a number",
                   "give its centre in mm and its turn in degrees");
}

Placement placed(const ArtSize& natural, const ArtRequest& request) {
  // Smaller than any mark, and larger than any number of pixels could serve.
  const double kLeast_mm = 1e-3;
  const double kMost_mm = 1e6;
  Vec2 size = natural.mm;
  if (!(size.minCoeff() > 0.0) || !size.allFinite())
    throw ArtError("the art has no size: " + size_in_words(size) + " by " + natural.from,
                   "set its width, height and viewBox (SVG) in the drawing program");
  if (request.width_mm) size *= *request.width_mm / size.x();
  if (size.minCoeff() < kLeast_mm || size.maxCoeff() > kMost_mm)
    throw ArtError("the art would be " + size_in_words(size), "give it a width that fits a panel");
  return {size, request.centre_mm, request.rotate_rad};
}

// ---- what to know about it ----

// What the file holds that is read otherwise than meant comes first.
[[noreturn]] void refuse_empty(const ArtRequest& request,
                               const std::vector<std::string>& warnings) {
  if (!request.only_id && !request.without_ids.empty())
    throw ArtError(
        "nothing is left to engrave beside the art's regions",
        "delete one [[art.region]] and write its mark in art.mark, which engraves what no "
        "region names");
  std::string mend;
  for (const std::string& warning : warnings) mend += warning + " ";
  mend += mend.empty() ? "" : "Else ";
  if (request.engrave == Engrave::light)
    throw ArtError("nothing would be engraved: the art is black or clear throughout",
                   mend + "engrave its dark parts instead, or look whether it was saved empty");
  throw ArtError("nothing would be engraved: the art is white or clear throughout",
                 mend +
                     "draw it in black, engrave its light parts instead, or look whether it was "
                     "saved empty");
}

// Whether a pixel or one beside it is as strong as this.
bool is_near(int tone, const Drawing& drawing, int column, int row) {
  for (int y = std::max(0, row - 1); y <= std::min(drawing.rows - 1, row + 1); ++y)
    for (int x = std::max(0, column - 1); x <= std::min(drawing.columns - 1, column + 1); ++x)
      if (drawing.tone[drawing.index(x, y)] >= tone) return true;
  return false;
}

constexpr int kLeastMeant = 25;  // tone that is meant: the noise of a JPEG file is fainter

// What is drawn where nothing fires.
double vanished_mm2(const Drawing& drawing, const Drawing& fired) {
  double sum = 0.0;
  for (int row = 0; row < drawing.rows; ++row)
    for (int column = 0; column < drawing.columns; ++column) {
      const std::uint8_t tone = drawing.tone[drawing.index(column, row)];
      if (tone >= kLeastMeant && !is_near(kOn, fired, column, row)) sum += tone;
    }
  return sum / kOn * drawing.pixel_mm * drawing.pixel_mm;
}

// Line art loses what covers less than half a laser pixel: small writing beside large areas is a
// small part of what is drawn.
std::vector<std::string> lost_hairlines(const Drawing& drawing) {
  constexpr double kNoticed = 0.3;  // of the drawn area; antialiased edges lose and gain alike
  constexpr double kVanished = 0.01;
  const double drawn = drawn_mm2(drawing);
  const Drawing fired = engraved_in_full(drawing);
  const double left = drawn_mm2(fired);
  const std::string reason = "strokes thinner than half a raster spacing (" +
                             spoken(0.5 * drawing.pixel_mm) + " mm) or paler than half tone";
  if (left <= 0.0)
    throw ArtError("nothing would be engraved: there are only " + reason,
                   "draw the strokes thicker and darker, or make the art larger or the raster "
                   "finer");
  const double lost = 1.0 - left / drawn;
  const double vanished = vanished_mm2(drawing, fired) / drawn;
  if (lost <= kNoticed && vanished <= kVanished) return {};
  return {percent(std::max(lost, vanished)) + " of the drawn area is lost: " + reason +
          " do not fire."};
}

std::vector<std::string> guessed_size(const ArtSize& natural, const ArtRequest& request) {
  if (!natural.guessed || request.width_mm) return {};
  return {"The file does not say how large the art is; " + size_in_words(natural.mm) +
          " was guessed from " + natural.from + ". Give the art's width."};
}

void append(std::vector<std::string>& all, const std::vector<std::string>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

// Tones just within the art's border, all the way round, in order of strength.
std::vector<std::uint8_t> border_tones(const Drawing& drawing, const Placement& placement) {
  constexpr int kSamplesASide = 250;
  constexpr double kInset = 0.49;  // of the sides, from the middle
  const Eigen::Rotation2Dd turn(placement.rotate_rad);
  std::vector<std::uint8_t> tones;
  const auto sample = [&](double across, double up) {
    const Vec2 mm = placement.centre_mm + turn * placement.size_mm.cwiseProduct(Vec2(across, up));
    const Vec2 pixel = (mm - drawing.origin_mm) / drawing.pixel_mm;
    const int column = std::clamp(static_cast<int>(pixel.x()), 0, drawing.columns - 1);
    const int row = std::clamp(static_cast<int>(pixel.y()), 0, drawing.rows - 1);
    tones.push_back(drawing.tone[drawing.index(column, row)]);
  };
  for (int i = 0; i < kSamplesASide; ++i) {
    const double along = kInset * (2.0 * i / kSamplesASide - 1.0);
    sample(along, -kInset);
    sample(kInset, along);
    sample(-along, kInset);
    sample(-kInset, -along);
  }
  std::sort(tones.begin(), tones.end());
  return tones;
}

// A drawing in greys is burnt as dots, and strokes that nowhere fill a pixel with it.
std::vector<std::string> broken_hairlines(const Drawing& drawing) {
  constexpr int kFull = 230;
  constexpr int kThin_px = 3;
  constexpr double kNoticed = 0.01;  // of the pixels that are drawn on
  Drawing drawn = drawing;
  for (std::uint8_t& tone : drawn.tone) tone = tone >= kLeastMeant ? kOn : kOff;
  const StrokeMap strokes(drawn, kThin_px);
  int broken = 0;
  for (int row = 0; row < drawing.rows; ++row)
    for (int column = 0; column < drawing.columns; ++column) {
      const StrokeMap::Part part = strokes.at(column, row);
      if ((part == StrokeMap::along_x || part == StrokeMap::along_y) &&
          !is_near(kFull, drawing, column, row))
        ++broken;
    }
  const double share =
      broken / static_cast<double>(std::count(drawn.tone.begin(), drawn.tone.end(), kOn));
  if (!(share > kNoticed)) return {};
  return {"Strokes that are pale or thinner than a raster line (" + spoken(drawing.pixel_mm) +
          " mm), " + percent(share) +
          " of what is drawn, come out as rows of dots, as there are greys in the art. Draw them "
          "black and thicker, or give them a mark of their own by [[art.region]]."};
}

// The middle of a hairline: upright or across, no pixel beside it is stronger, and both together
// are hardly so. Along the border of an area, tones rise and fall by less.
bool is_ridge(const Drawing& drawing, int column, int row) {
  constexpr double kHardly = 1.5;
  const auto tone = [&](int x, int y) -> int {
    const bool is_on = x >= 0 && y >= 0 && x < drawing.columns && y < drawing.rows;
    return is_on ? drawing.tone[drawing.index(x, y)] : kOff;
  };
  const int here = tone(column, row);
  const auto stands_out = [here](int before, int after) {
    return here > before && here >= after && before + after <= kHardly * here;
  };
  return stands_out(tone(column - 1, row), tone(column + 1, row)) ||
         stands_out(tone(column, row - 1), tone(column, row + 1));
}

// Followed is all of a drawing: its darker half, what is too thin to be of it, and where a hairline
// passes from one row of pixels to the next and fills neither.
Drawing with_hairlines(const Drawing& drawing) {
  constexpr int kThinnest = 13;  // tone of a twentieth of a pixel, or of a tenth between two
  const Drawing darker = engraved_in_full(drawing);
  Drawing lines = darker;
  for (int row = 0; row < drawing.rows; ++row)
    for (int column = 0; column < drawing.columns; ++column) {
      const std::size_t here = drawing.index(column, row);
      if (drawing.tone[here] >= kThinnest &&
          (!is_near(kOn, darker, column, row) || is_ridge(drawing, column, row)))
        lines.tone[here] = kOn;
    }
  return lines;
}

// The tone of scanned paper, white to the eye only; 0 where there is none. A photograph that fills
// its frame is left alone: its border has many tones, or strong ones. What counts as one light tone
// is our choice.
constexpr int kPaperAlike = 32;  // tones of 255
int paper_tone(const Drawing& drawing, const Placement& placement) {
  constexpr int kFaintest = 5;
  constexpr int kStrongest = 100;
  const std::vector<std::uint8_t> border = border_tones(drawing, placement);
  const int tone = border[border.size() / 2];
  const int spread = border[border.size() * 19 / 20] - border[border.size() / 20];
  return tone < kFaintest || tone > kStrongest || spread > kPaperAlike ? 0 : tone;
}

Drawing without_paper(Drawing drawing, int paper) {
  for (std::uint8_t& tone : drawing.tone)
    if (tone <= paper + kPaperAlike) tone = kOff;
  return drawing;
}

std::vector<std::string> grey_paper(const Drawing& drawing, const Placement& placement,
                                    Engrave engrave) {
  constexpr double kMostLeftClear = 0.1;  // of the art
  const int tone = paper_tone(drawing, placement);
  const auto burnt = static_cast<double>(
      std::count_if(drawing.tone.begin(), drawing.tone.end(), [](int t) { return t > 0; }));
  const double burnt_mm2 = burnt * drawing.pixel_mm * drawing.pixel_mm;
  if (tone == 0 || burnt_mm2 < (1.0 - kMostLeftClear) * placement.size_mm.prod()) return {};
  const bool dark = engrave == Engrave::dark;
  return {"Hardly any of the art is left clear: its " +
          (dark ? "paper is grey (tone " + std::to_string(255 - tone) + ", white is 255)"
                : "ground is grey (tone " + std::to_string(tone) + ", black is 0)") +
          " and burns as a veil of dots over " + percent(tone / 255.0) + " of it. " +
          (dark ? "Lift the whites" : "Lower the blacks") + " in a picture editor until it is " +
          (dark ? "white" : "black") + ", or write tones = \"flat\" below [art] for line art."};
}

Art completed(Drawing drawing, ArtInfo info, const Placement& placement,
              const ArtRequest& request) {
  if (drawn_mm2(drawing) <= 0.0) refuse_empty(request, info.warnings);
  info.used_mm = placement.size_mm;
  append(info.warnings, guessed_size(info.natural, request));
  if (request.scored && info.format == ArtFormat::svg) {
    info.tone = Tone::line_art;
    drawing = with_hairlines(drawing);
  } else if (request.flat || request.scored) {
    info.tone = Tone::line_art;
    const int paper = paper_tone(drawing, placement);
    append(info.warnings, lost_hairlines(paper > 0 ? without_paper(drawing, paper) : drawing));
    drawing = engraved_in_full(drawing);  // what is paler is nowhere, and makes no box larger
  } else {
    append(info.warnings, info.tone == Tone::line_art
                              ? lost_hairlines(drawing)
                              : grey_paper(drawing, placement, request.engrave));
    if (info.tone == Tone::grey && info.format == ArtFormat::svg)
      append(info.warnings, broken_hairlines(drawing));
  }
  info.engraved_share = drawn_mm2(drawing) / info.used_mm.prod();
  return {std::move(drawing), std::move(info)};
}

Art read_svg(std::string_view bytes, const ArtRequest& request) {
  std::vector<std::string> warnings = vet_svg(bytes);
  const SvgArt svg(bytes, {request.only_id, request.without_ids});
  const Placement placement = placed(svg.size(), request);
  Drawing drawing = svg.drawn(raster_for(placement, request.pixel_mm), placement, request.engrave);
  ArtInfo info;
  info.format = ArtFormat::svg;
  info.natural = svg.size();
  info.tone = tone_of(drawing);
  info.warnings = std::move(warnings);
  return completed(std::move(drawing), std::move(info), placement, request);
}

Art read_picture(std::string_view bytes, ArtFormat format, const ArtRequest& request) {
  if (request.only_id || !request.without_ids.empty())
    throw ArtError("elements of a PNG or JPEG cannot be told apart",
                   "save the drawing as SVG, with an id on the element");
  const Picture picture = format == ArtFormat::png ? read_png(bytes, request.engrave)
                                                   : read_jpeg(bytes, request.engrave);
  const Placement placement = placed(picture.size, request);
  const Drawing raster = raster_for(placement, request.pixel_mm);
  Drawing drawing = resampled(picture.tones, raster, placement);
  ArtInfo info;
  info.format = format;
  info.natural = picture.size;
  info.picture_columns = picture.tones.columns;
  info.picture_rows = picture.tones.rows;
  // On the coarser of both rasters, where the edge of a stroke is one pixel wide.
  const bool laser_is_coarser =
      picture_pixels_per_laser_pixel(picture.tones, raster, placement) > 1.0;
  info.tone = tone_of(laser_is_coarser ? drawing : picture.tones);
  return completed(std::move(drawing), std::move(info), placement, request);
}

}  // namespace

Art decode_art(std::string_view bytes, const ArtRequest& request) {
  check_request(request);
  const ArtFormat format = format_of(bytes);
  return format == ArtFormat::svg ? read_svg(bytes, request) : read_picture(bytes, format, request);
}

std::string read_art_file(const std::filesystem::path& path) {
  const std::filesystem::file_status status = std::filesystem::status(path);
  if (!std::filesystem::exists(status))
    throw ArtError("the file is not there", "look at its name and folder");
  if (!std::filesystem::is_regular_file(status))
    throw ArtError("this is a folder or device, no file", "name the art file itself");
  const auto size = std::filesystem::file_size(path);
  if (size > kMostFileBytes)
    throw ArtError("the file has " + fixed(static_cast<double>(size) / 1e6, 0) +
                       " million bytes; at most " +
                       fixed(static_cast<double>(kMostFileBytes) / 1e6, 0) + " million are read",
                   "export it with fewer pixels");
  std::ifstream file(path, std::ios::binary);
  std::string bytes(static_cast<std::size_t>(size), '\0');
  if (!file.read(bytes.data(), static_cast<std::streamsize>(bytes.size())))
    throw std::system_error(errno, std::generic_category(), "cannot read " + path.string());
  return bytes;
}

}  // namespace rimeglow
