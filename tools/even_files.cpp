#include "even_files.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <utility>

#include <nlohmann/json.hpp>

#include "close_up.h"
#include "html_even.h"
#include "html_report.h"
#include "noisy.h"
#include "numbers.h"
#include "scene_writer.h"
#include "work_note.h"

namespace rimeglow {
namespace {

using Json = nlohmann::ordered_json;

// ---- the plan, as a picture to look at and one to read back

// One pixel a cell, as `art.density` reads it.
std::string density_png(const Density& plan) {
  Canvas canvas(plan.columns, plan.rows, {});
  for (int row = 0; row < plan.rows; ++row)
    for (int column = 0; column < plan.columns; ++column) {
      const auto tone =
          static_cast<std::uint8_t>(std::lround(255.0 * plan.share[plan.index(column, row)]));
      canvas.set(column, plan.rows - 1 - row, {tone, tone, tone});
    }
  return png_of(canvas);
}

std::string plan_picture(const Density& plan) {
  constexpr int kSide = 640;
  constexpr int kLegend = 28;
  constexpr Rgb8 kBeside = {38, 44, 60};  // no tone of a plan
  const Vec2 size_mm = Vec2(plan.columns, plan.rows).cwiseProduct(plan.cell_mm);
  const double pixel_mm = size_mm.maxCoeff() / kSide;
  const int width = static_cast<int>(std::lround(size_mm.x() / pixel_mm));
  const int height = static_cast<int>(std::lround(size_mm.y() / pixel_mm));
  Canvas canvas(kSide, height + kLegend, kBeside);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const Vec2 at = plan.lower_left_mm + pixel_mm * Vec2(x + 0.5, height - y - 0.5);
      const auto tone = static_cast<std::uint8_t>(std::lround(255.0 * plan.at(at)));
      canvas.set(x, y, {tone, tone, tone});
    }
  constexpr Rgb8 kInk = {235, 235, 235};
  for (int percent = 0; percent <= 100; percent += 25) {
    const auto tone = static_cast<std::uint8_t>(255 * percent / 100);
    const int left = 8 + percent * 5;
    canvas.fill(left, height + 8, 14, 14, kInk);
    canvas.fill(left + 1, height + 9, 12, 12, {tone, tone, tone});
    canvas.write(left + 20, height + 11, 1, kInk, std::to_string(percent) + " %");
  }
  return png_of(canvas);
}

// The middle of the plan's cell with strokes in it that is thinnest.
Vec2 thinnest_place(const Density& plan, const Model& before) {
  constexpr double kDrawn = 0.05;
  Vec2 place = plan.lower_left_mm;
  double least = 2.0;
  for (int row = 0; row < plan.rows; ++row)
    for (int column = 0; column < plan.columns; ++column) {
      const double share = plan.share[plan.index(column, row)];
      const Vec2 from = plan.lower_left_mm + plan.cell_mm.cwiseProduct(Vec2(column, row));
      double drawn_mm2 = 0.0;
      for (const Layer& layer : before.layers)
        drawn_mm2 += layer.engraved().burnt_area_mm2(from, from + plan.cell_mm);
      if (share >= least || drawn_mm2 < kDrawn * plan.cell_mm.prod()) continue;
      least = share;
      place = from + 0.5 * plan.cell_mm;
    }
  return place;
}

// ---- the planned scene

// Files that the scene names come along, so that the folder can be taken anywhere: every text that
// is the name of a file beside the scene. The density plan of before is left behind.
class TakeAlong {
 public:
  TakeAlong(std::filesystem::path beside, std::vector<NamedFile>& files)
      : beside_(std::move(beside)), files_(files) {}

  void take(Node& node) {
    if (auto* table = std::get_if<Node::Table>(&node.value)) {
      for (auto& [key, child] : *table)
        if (key != "title" && key != "density") take(child);
    } else if (auto* list = std::get_if<Node::List>(&node.value)) {
      for (Node& child : *list) take(child);
    } else if (auto* text = std::get_if<std::string>(&node.value)) {
      std::error_code unknown;
      const std::filesystem::path file = beside_ / *text;
      if (text->find('.') != std::string::npos && std::filesystem::is_regular_file(file, unknown))
        *text = taken(file);
    }
  }

 private:
  // The name of its copy, which files of one name in several folders do not share.
  std::string taken(const std::filesystem::path& file) {
    std::string& copy = copies_[file.lexically_normal()];
    for (int i = 1; copy.empty(); ++i) {
      const std::string name =
          (i == 1 ? "scene-" : "scene-" + std::to_string(i) + "-") + file.filename().string();
      const auto is_there = [&](const NamedFile& other) { return other.name == name; };
      if (std::any_of(files_.begin(), files_.end(), is_there)) continue;
      files_.push_back({name, read_art_file(file)});
      copy = name;
    }
    return copy;
  }

  std::filesystem::path beside_;
  std::vector<NamedFile>& files_;
  std::map<std::filesystem::path, std::string> copies_;
};

std::string planned_scene(const LoadedScene& scene, std::vector<NamedFile>& files) {
  Node document = scene.document;
  for (const char* left_behind : {"use", "expect", "variant", "title"}) document.take(left_behind);
  Node title;
  title.value = scene.scene.title;  // which may have been the name of its file
  auto& top = std::get<Node::Table>(document.value);
  top.insert(top.begin(), {"title", std::move(title)});
  TakeAlong(scene.file.parent_path(), files).take(document);
  set_value(document, "art", "density", "density.png");
  return "# Written by `rimeglow even`: this panel, engraved by the plan in density.png.\n" +
         toml_of(document);
}

// ---- numbers

Json outcome_json(const EvenOutcome& outcome) {
  return {{"what", outcome.what},
          {"mean_cd_m2", noisy(outcome.mean_cd_m2)},
          {"evenness", noisy(outcome.evenness)}};
}

Json glow_json(const ViewerGlow& glow) {
  return {{"mean_cd_m2", noisy(glow.mean_cd_m2, glow.mean_span)},
          {"darkest_cd_m2", noisy(glow.darkest_cd_m2)},
          {"brightest_cd_m2", noisy(glow.brightest_cd_m2)},
          {"evenness", noisy(glow.evenness, glow.evenness_span)}};
}

Json minutes_json(const std::optional<double>& minutes) {
  return minutes ? Json(*minutes) : Json(nullptr);
}

Json even_part(const EvenResult& result, const LoadedScene& scene) {
  Json rounds = Json::array(), bench = Json::array(), curve = Json::array(), advice = Json::array();
  for (const EvenRound& round : result.rounds)
    rounds.push_back({{"evenness", round.evenness}, {"mean_cd_m2", round.mean_cd_m2}});
  for (const EvenOutcome& outcome : result.bench) bench.push_back(outcome_json(outcome));
  for (const DensityPoint& point : result.curve)
    curve.push_back({{"density", point.density},
                     {"mean_cd_m2", noisy(point.outcome.mean_cd_m2)},
                     {"evenness", noisy(point.outcome.evenness)}});
  for (const PricedOutcome& option : result.advice) {
    advice.push_back(outcome_json(option.outcome));
    advice.back()["laser_min"] = minutes_json(option.laser_min);
  }
  return {{"viewer", scene.scene.even.viewer},
          {"wanted_evenness", scene.scene.even.evenness},
          {"reached", result.glow_after().evenness.mean >= scene.scene.even.evenness},
          {"interrupted", result.interrupted},
          {"verdict", even_verdict(result, scene)},
          {"level_cd_m2", result.level_cd_m2},
          {"before", glow_json(result.glow_before())},
          {"after", glow_json(result.glow_after())},
          {"tone_error_before", result.tone_error_before},
          {"tone_error_after", result.tone_error_after},
          {"laser_min", minutes_json(result.laser_min)},
          {"rounds", rounds},
          {"bench", bench},
          {"density",
           {{"knee", result.knee ? Json(result.curve[*result.knee].density) : Json(nullptr)},
            {"curve", curve}}},
          {"advice", advice},
          {"helps_most", result.helps_most ? outcome_json(*result.helps_most) : Json(nullptr)}};
}

EvenPictures pictures_of(const EvenResult& result, const ReportPictures& after,
                         const PictureScales& scales, const IsWanted& is_wanted) {
  const ReportPictures before = pictures_of(result.before, scales, is_wanted);
  go_on_if(is_wanted);
  const Model& full = *result.before.model;
  return {plan_picture(result.plan),
          close_up_png(full, *result.after.model, thinnest_place(result.plan, full)),
          before.glow_png,
          after.glow_png,
          before.luminance_png,
          after.luminance_png};
}

PictureScales common_scales(const EvenResult& result) {
  PictureScales scales = scales_of(result.before.seen);
  const PictureScales after = scales_of(result.after.seen);
  scales.exposure.white_cd_m2 = std::max(scales.exposure.white_cd_m2, after.exposure.white_cd_m2);
  scales.luminance.low_cd_m2 = std::min(scales.luminance.low_cd_m2, after.luminance.low_cd_m2);
  scales.luminance.high_cd_m2 = std::max(scales.luminance.high_cd_m2, after.luminance.high_cd_m2);
  return scales;
}

}  // namespace

std::string even_json(const EvenResult& result, const LoadedScene& scene) {
  Json numbers = Json::parse(numbers_json(result.after));
  numbers["even"] = even_part(result, scene);
  return numbers.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::vector<NamedFile> even_files(const EvenResult& result, const LoadedScene& scene, Jig jig,
                                  const IsWanted& is_wanted) {
  const PictureScales scales = common_scales(result);
  const ReportPictures after = pictures_of(result.after, scales, is_wanted);
  const EvenPictures pictures = pictures_of(result, after, scales, is_wanted);
  go_on_if(is_wanted);
  const ReportPart first{"Made even", even_sections(result, scene, pictures)};
  const Outline& outline = result.after.model->outline;
  const double kerf_mm = scene.scene.machine ? scene.scene.machine->kerf_mm : 0.0;
  std::vector<NamedFile> files = {
      {"numbers.json", even_json(result, scene)},
      {"report.html", html_report(result.after, after, first)},
      {"work-note.html",
       work_note(scene.scene, outline, result.laser_min,
                 result.unfinished ? PlanState::unfinished : PlanState::finished, jig)},
      {"panel.svg", laser_svg(outline, scene.scene.art->face, kerf_mm, result.engravings, jig)},
      {"glow-before.png", pictures.before_png},
      {"glow.png", after.glow_png},
      {"luminance-before.png", pictures.luminance_before_png},
      {"luminance.png", after.luminance_png},
      {"close-up.png", pictures.close_up_png},
      {"density.png", density_png(result.plan)}};
  const std::string plan = planned_scene(scene, files);
  files.push_back({"plan.toml", plan});
  for (std::size_t i = 0; i < result.engravings.size(); ++i) {
    const std::string& png = result.engravings[i].png;
    if (!png.empty()) files.push_back({engraving_name(i, result.engravings.size()), png});
  }
  return files;
}

}  // namespace rimeglow
