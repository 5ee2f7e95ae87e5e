// Art read in a process of its own: a line of JSON comes back, behind it the tones; or a line that
// says why not. What comes back is believed as little as the file itself.
#include <nlohmann/json.hpp>

#include "art_reader.h"

namespace rimeglow {
namespace {

nlohmann::json list(const Vec2& pair) { return {pair.x(), pair.y()}; }

Vec2 pair(const nlohmann::json& list) {
  return {list.at(0).get<double>(), list.at(1).get<double>()};
}

std::string packed(const nlohmann::json& head, std::string_view tones) {
  // An id or a library's message may hold bytes that are no UTF-8.
  std::string bytes = head.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
  return bytes.append(tones);
}

std::string packed(const Art& art) {
  const Drawing& drawing = art.drawing;
  const ArtInfo& info = art.info;
  const nlohmann::json head = {{"columns", drawing.columns},
                               {"rows", drawing.rows},
                               {"pixel_mm", drawing.pixel_mm},
                               {"origin_mm", list(drawing.origin_mm)},
                               {"format", info.format},
                               {"natural_mm", list(info.natural.mm)},
                               {"from", info.natural.from},
                               {"guessed", info.natural.guessed},
                               {"used_mm", list(info.used_mm)},
                               {"picture", {info.picture_columns, info.picture_rows}},
                               {"tone", info.tone},
                               {"engraved_share", info.engraved_share},
                               {"warnings", info.warnings}};
  return packed(head, {reinterpret_cast<const char*>(drawing.tone.data()), drawing.tone.size()});
}

Art unpacked(const nlohmann::json& head, std::string_view tones) {
  Art art;
  Drawing& drawing = art.drawing;
  drawing.columns = head.at("columns").get<int>();
  drawing.rows = head.at("rows").get<int>();
  drawing.pixel_mm = head.at("pixel_mm").get<double>();
  drawing.origin_mm = pair(head.at("origin_mm"));
  const bool fits = drawing.columns > 0 && drawing.rows > 0 &&
                    tones.size() == static_cast<std::size_t>(drawing.columns) *
                                        static_cast<std::size_t>(drawing.rows);
  if (!fits) throw std::length_error("tones do not fill the raster");
  drawing.tone.assign(tones.begin(), tones.end());
  ArtInfo& info = art.info;
  info.format = head.at("format").get<ArtFormat>();
  info.natural = {pair(head.at("natural_mm")), head.at("from").get<std::string>(),
                  head.at("guessed").get<bool>()};
  info.used_mm = pair(head.at("used_mm"));
  info.picture_columns = head.at("picture").at(0).get<int>();
  info.picture_rows = head.at("picture").at(1).get<int>();
  info.tone = head.at("tone").get<Tone>();
  info.engraved_share = head.at("engraved_share").get<double>();
  info.warnings = head.at("warnings").get<std::vector<std::string>>();
  return art;
}

std::string decoded_and_packed(std::string_view bytes, const ArtRequest& request) {
  try {
    return packed(decode_art(bytes, request));
  } catch (const ArtError& error) {
    return packed({{"refused", error.what()}, {"mend", error.mend()}}, {});
  }
}

[[noreturn]] void give_up(const std::string& failure) {
  throw ArtError("the art cannot be read: " + failure, kSimplify);
}

}  // namespace

Art read_art(std::string_view bytes, const ArtRequest& request, const ChildLimits& limits) {
  const ChildAnswer answer =
      run_in_child([&] { return decoded_and_packed(bytes, request); }, limits);
  if (!answer.bytes) give_up(answer.failure);
  const std::string_view all = *answer.bytes;
  const std::size_t end = std::min(all.find('\n'), all.size());
  try {
    const nlohmann::json head = nlohmann::json::parse(all.substr(0, end));
    if (!head.contains("refused")) return unpacked(head, all.substr(std::min(end + 1, all.size())));
    throw ArtError(head.at("refused").get<std::string>(), head.at("mend").get<std::string>());
  } catch (const nlohmann::json::exception&) {
    give_up("the process that reads it answered nonsense");
  } catch (const std::length_error&) {
    give_up("the process that reads it answered nonsense");
  }
}

}  // namespace rimeglow
