// What the workshop answers without changing anything: pictures, readings, files.
#include <charconv>
#include <cmath>
#include <optional>

#include <nlohmann/json.hpp>

#include "page_words.h"
#include "panel_picture.h"
#include "workshop.h"

namespace rimeglow {
namespace {

namespace fs = std::filesystem;

// All of a text as a number; none when it is no such number.
template <class Number>
std::optional<Number> number_in(const std::string& text) {
  Number value{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

double place_at(const HttpRequest& request, const std::string& name) {
  const double place = number_in<double>(request.at(name)).value_or(0.0);
  return std::isfinite(place) ? place : 0.0;
}

// The first piece unless another is asked for; none when nothing of it was seen so far.
std::optional<std::size_t> piece_at(const HttpRequest& request, const Sighting* sighting) {
  const std::string text = request.at("piece");
  const auto piece = text.empty() ? std::optional<std::size_t>(0) : number_in<std::size_t>(text);
  return piece && sighting && *piece < sighting->runs.size() ? piece : std::nullopt;
}

// The first viewer unless another is asked for.
int asked_viewer(const HttpRequest& request, const Model& model) {
  return static_cast<int>(model.viewer_named(request.at("viewer")).value_or(0));
}

// A file of the design's results, under the design's name.
HttpAnswer as_file(const std::string& design, const NamedFile& file) {
  const std::string ending = fs::path(file.name).extension().string();
  const std::string type = ending == ".html"   ? "text/html; charset=utf-8"
                           : ending == ".json" ? "application/json"
                           : ending == ".png"  ? "image/png"
                                               : "application/octet-stream";
  return {200, type, file.bytes, design + "-" + file.name};
}

}  // namespace

HttpAnswer Workshop::answer(const HttpRequest& request) {
  if (request.path == "picture") return picture(request);
  if (request.path == "photograph") return photograph(request);
  if (request.path == "difference") return difference_between();
  if (request.path == "meter") return meter(request);
  if (request.path == "even-file") return even_file(request.at("name"));
  if (request.path == "false-colours") return {200, "image/png", false_colours_png()};
  if (request.path == "small-picture") {
    const auto png = shelf_.picture(request.at("design"));
    return png ? HttpAnswer{200, "image/png", *png} : refusal(404, "no picture yet");
  }
  std::string design;
  {
    const std::lock_guard lock(mutex_);
    design = design_;
  }
  if (request.path == "scene") {
    const auto text = shelf_.scene_text(design);
    if (!text) return refusal(404, design + " is no longer in the folder of designs");
    return {200, "application/toml", *text, design + ".toml"};
  }
  return result_file(request);
}

HttpAnswer Workshop::picture(const HttpRequest& request) {
  const auto sighting = bench_.latest();
  const auto asked = piece_at(request, sighting.get());
  if (!asked) return refusal(404, "no picture yet");
  const std::size_t piece = *asked;
  const int viewer = asked_viewer(request, *sighting->runs[piece]->model);
  if (request.at("mode") == "measured") {
    PanelPicture made = measured_picture(sighting->runs, piece, viewer, kLargePicture);
    return {200, "image/png", std::move(made.png), {}, made.caption};
  }
  const double white = shared_white(sighting->runs, viewer);
  PanelPicture made = eye_picture(*sighting->runs[piece], viewer, kLargePicture, white);
  return {200, "image/png", std::move(made.png), {}, made.caption};
}

HttpAnswer Workshop::photograph(const HttpRequest& request) {
  std::shared_ptr<const Walk> walk;
  {
    const std::lock_guard lock(mutex_);
    const auto found = walks_.find(request.at("viewer"));
    if (found != walks_.end()) walk = found->second;
  }
  const auto piece = number_in<std::size_t>(request.at("piece"));
  if (!walk || !piece || *piece >= walk->photograph.pngs.size())
    return refusal(404, "no photograph yet");
  return {200, "image/png", walk->photograph.pngs[*piece], {}, walk->photograph.caption};
}

HttpAnswer Workshop::difference_between() const {
  const std::lock_guard lock(mutex_);
  if (!difference_) return refusal(404, "no picture of a difference");
  return {200, "image/png", difference_->png, {}, difference_->caption};
}

HttpAnswer Workshop::meter(const HttpRequest& request) {
  const auto sighting = bench_.latest();
  const auto asked = piece_at(request, sighting.get());
  if (!asked) return refusal(404, "no light yet");
  const std::size_t piece = *asked;
  const Run& run = *sighting->runs[piece];
  const int viewer = asked_viewer(request, *run.model);
  const Vec2 at_mm(place_at(request, "x"), place_at(request, "y"));
  const MeterReading reading = read_meter(metered(*sighting, piece, viewer), at_mm);
  return json_answer(
      {{"words", meter_words(run, *sighting->glows[piece], viewer, at_mm, reading)}});
}

const LuminanceMap& Workshop::metered(const Sighting& sighting, std::size_t piece, int viewer) {
  if (metered_round_ != sighting.round) metered_.clear();
  metered_round_ = sighting.round;
  const auto [found, is_new] = metered_.try_emplace({piece, viewer});
  if (is_new) found->second = luminance_map(*sighting.runs[piece], viewer, kMeterPixel_mm);
  return found->second;
}

HttpAnswer Workshop::even_file(const std::string& name) {
  const auto evening = latest_evening();
  if (!evening) return refusal(404, "there is no plan yet");
  for (const NamedFile& file : evening->files) {
    if (file.name == name) return as_file(evening->design + "-even", file);
  }
  return refusal(404, "there is nothing here");
}

HttpAnswer Workshop::result_file(const HttpRequest& request) {
  const auto sighting = bench_.latest();
  if (!sighting || sighting->predictions.empty()) return too_early();
  for (const NamedFile& file : files_of(*sighting->predictions.front())) {
    if (file.name == request.path) return as_file(sighting->pieces.front()->design, file);
  }
  return refusal(404, "there is nothing here");
}

}  // namespace rimeglow
