#include "page_words.h"

#include <algorithm>
#include <cmath>

#include <nlohmann/json.hpp>

#include "even_plan.h"
#include "html_inputs.h"
#include "panel_picture.h"
#include "report.h"
#include "ticket.h"
#include "vet.h"
#include "words.h"

namespace rimeglow {
namespace {

nlohmann::json segment_json(const Segment& segment) {
  if (segment.key.empty()) return segment.words;
  if (!segment.does.empty())
    return {{"does", segment.does}, {"key", segment.key}, {"words", segment.words}};
  nlohmann::json choices = nlohmann::json::array();
  for (const TicketChoice& choice : segment.choices)
    choices.push_back({{"value", choice.value}, {"words", choice.words}});
  return {{"key", segment.key},     {"words", segment.words}, {"value", segment.value},
          {"both", segment.both},   {"about", segment.about}, {"choices", choices},
          {"free", segment.is_free}};
}

nlohmann::json lines_json(const LoadedScene& scene, const Node& document) {
  nlohmann::json lines = nlohmann::json::array();
  for (const TicketLine& line : ticket_of(scene.scene, document)) {
    nlohmann::json segments = nlohmann::json::array();
    for (const Segment& segment : line.segments) segments.push_back(segment_json(segment));
    lines.push_back({{"topic", line.topic}, {"segments", segments}});
  }
  return lines;
}

nlohmann::json box(const Vec2& from, const Vec2& to) {
  return {from.x(), from.y(), to.x(), to.y()};
}

// Pieces of an outline as SVG path data, in mm from the upper left of its box.
template <class IsWanted>
std::string path_data_of(const Outline& outline, IsWanted&& is_wanted) {
  std::string path;
  const auto place = [&](const Vec2& mm) {
    return fixed(mm.x(), 3) + " " + fixed(outline.size_mm.y() - mm.y(), 3);
  };
  const OutlinePiece* before = nullptr;
  for (const OutlinePiece& piece : outline.pieces) {
    if (!is_wanted(piece)) continue;
    if (!before || (before->end_mm - piece.start_mm).norm() > 1e-6)
      path += "M" + place(piece.start_mm);
    const std::string radius = fixed(std::abs(piece.radius_mm), 3);
    path += piece.round()
                ? "A" + radius + " " + radius + (piece.radius_mm > 0.0 ? " 0 0 0 " : " 0 0 1 ")
                : "L";
    path += place(piece.end_mm);
    before = &piece;
  }
  return path;
}

nlohmann::json shape_json(const Outline& outline) {
  nlohmann::json told = {{"path", path_data_of(outline, [](const auto&) { return true; })},
                         {"edges", nlohmann::json::object()}};
  for (std::size_t e = 0; e < outline.edges.size(); ++e) {
    const std::string path = path_data_of(
        outline, [&](const OutlinePiece& piece) { return piece.edge == static_cast<int>(e); });
    if (!path.empty()) told["edges"][outline.edges[e].name] = path;
  }
  return told;
}

// How far chamfers set back the rectangle's faces, in the order of CSS; none where there are none.
nlohmann::json cuts_json(const Scene& scene) {
  nlohmann::json front, back;
  for (const char* edge : {"top", "right", "bottom", "left"}) {
    const EdgeSpec spec = scene.edge(edge);
    front.push_back(spec.chamfer_front_mm);
    back.push_back(spec.chamfer_back_mm);
  }
  const auto is_cut = [](const auto& edge) { return edge.second.is_chamfered(); };
  if (std::none_of(scene.edges.begin(), scene.edges.end(), is_cut)) return nullptr;
  return {{"front", front}, {"back", back}};
}

// What the page draws the panel by.
nlohmann::json panel_json(const LoadedScene& scene) {
  const PanelSpec& panel = scene.scene.panel;
  nlohmann::json told = {{"width", panel.width_mm},
                         {"height", panel.height_mm},
                         {"thickness", panel.thickness_mm},
                         {"corner_radius", panel.corner_radius_mm},
                         {"slot_depth", scene.scene.slot_depth_mm},
                         {"cuts", panel.shape ? nullptr : cuts_json(scene.scene)}};
  if (panel.shape) told["shape"] = shape_json(*panel.shape);
  if (scene.model && !scene.model->layers.empty()) {
    const Model& model = *scene.model;
    const Vec2 centre = scene.scene.art->centre_mm.value_or(0.5 * model.outline.size_mm);
    told["art"] = {{"box", box(model.art_lower_left_mm, model.art_upper_right_mm)},
                   {"centre", {centre.x(), centre.y()}}};
  }
  return told;
}

// Where the panel can be looked at from, as the page turns it.
nlohmann::json places_json(const Model& model) {
  nlohmann::json told = nlohmann::json::array();
  for (const Viewer& viewer : model.viewers) {
    const Vec3& toward = viewer.toward;
    told.push_back({{"name", viewer.name},
                    {"words", seen_by(viewer.name)},
                    {"above_deg", degrees(std::asin(toward.y()))},
                    {"left_deg", degrees(std::atan2(-toward.x(), std::abs(toward.z())))},
                    {"behind", toward.z() < 0.0}});
  }
  return told;
}

const char* name_of(Sighting::Phase phase) {
  if (phase == Sighting::Phase::sketch) return "sketch";
  return phase == Sighting::Phase::tracing ? "tracing" : "known";
}

nlohmann::json answers_json(const Report& report) {
  nlohmann::json told = nlohmann::json::array();
  for (const Verdict& verdict : report.verdicts) {
    told.push_back({{"words", verdict.text}, {"level", name_of(verdict.level)}});
  }
  return told;
}

nlohmann::json edges_json(const Glow& glow) {
  nlohmann::json told = nlohmann::json::array();
  for (const EdgeGlow& edge : glow.edges) {
    told.push_back({{"edge", edge.edge},
                    {"viewer", edge.viewer},
                    {"cd_m2", edge.cd_m2.mean},
                    {"words", span_first(edge.span, 1.0, " cd/m2") + spoken(edge.cd_m2.mean) +
                                  " cd/m2, " + good_to(edge.cd_m2)}});
  }
  return told;
}

nlohmann::json piece_json(const Piece& piece, const Glow& glow, const Prediction* known) {
  const Report report = known ? known->report : report_on(glow, *piece.scene.model);
  return {{"design", piece.design},
          {"title", piece.scene.scene.title},
          {"panel", panel_json(piece.scene)},
          {"answers", answers_json(report)},
          {"warnings", known ? nlohmann::json(report.warnings) : nlohmann::json::array()},
          {"edges", edges_json(glow)}};
}

// The first against the second, seen straight on: a ratio with its noise, or nothing to compare.
std::string difference(const Glow& first, const Glow& second) {
  const ViewerGlow* mine = main_viewer(first);
  const ViewerGlow* other = main_viewer(second);
  if (!mine || !other || !(other->mean_cd_m2.mean > 0.0) || !(mine->mean_cd_m2.mean > 0.0))
    return {};
  const auto relative = [](const Estimate& e) { return e.standard_error / e.mean; };
  const double ratio = mine->mean_cd_m2.mean / other->mean_cd_m2.mean;
  const double error = ratio * std::hypot(relative(mine->mean_cd_m2), relative(other->mean_cd_m2));
  const bool alike = !is_telling({ratio - 1.0, error});
  const std::string brightness = alike ? "the two glow alike, as far as this much light can tell"
                                       : "the left piece glows " + percent(std::abs(ratio - 1.0)) +
                                             (ratio > 1.0 ? " brighter" : " dimmer") +
                                             " than the right";
  return capitalised(seen_by(mine->name)) + ", " + brightness + " (give or take " + percent(error) +
         "); evenness is " + percent(mine->evenness.mean) + " on the left, " +
         percent(other->evenness.mean) + " on the right.";
}

std::string progress_words(const Sighting& sighting) {
  if (sighting.error <= 0.0) return "a clear panel";
  const std::string good = "good to " + percent(sighting.error);
  if (sighting.phase == Sighting::Phase::known) return good;
  if (sighting.seconds_left < 1.0) return good + ", getting finer";
  return good + ", " + spoken(std::ceil(sighting.seconds_left)) + " s to go";
}

}  // namespace

std::string line_of(const nlohmann::json& what) {
  return what.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

HttpAnswer done() { return json_answer(nlohmann::json::object()); }

HttpAnswer too_early() {
  return refusal(409, "the light is still being followed; a few seconds more");
}

HttpAnswer json_answer(const nlohmann::json& what) {
  return {200, "application/json", line_of(what)};
}

HttpAnswer mistaken(const Problem& problem) {
  const nlohmann::json said = {
      {"problem", problem.what}, {"mend", problem.mend}, {"key", problem.key}};
  return {422, "application/json", line_of(said)};
}

HttpAnswer mistaken(const std::vector<Problem>& problems) { return mistaken(problems.front()); }

nlohmann::json ticket_json(const LoadedScene& scene, const Node* document) {
  const std::string shop = scene.shop_file.filename().string();
  nlohmann::json problems = nlohmann::json::array();
  for (const Problem& problem : scene.problems) {
    problems.push_back({{"key", problem.key},
                        {"line", problem.line.number},
                        {"shop", problem.line.file == Line::shop ? shop : std::string()},
                        {"words", problem.what},
                        {"mend", problem.mend}});
  }
  nlohmann::json told = {
      {"title", scene.scene.title}, {"problems", problems}, {"cautions", caution_words()}};
  told["lines"] =
      document && scene.problems.empty() ? lines_json(scene, *document) : nlohmann::json::array();
  if (!scene.problems.empty()) return told;
  told["panel"] = panel_json(scene);
  told["viewers"] = places_json(*scene.model);
  told["can_even"] = even_problems(scene).empty();
  told["looks"] = second_looks(scene);
  return told;
}

nlohmann::json round_json(const Sighting& sighting) {
  nlohmann::json pieces = nlohmann::json::array();
  for (std::size_t i = 0; i < sighting.runs.size(); ++i) {
    const Prediction* known =
        i < sighting.predictions.size() ? sighting.predictions[i].get() : nullptr;
    pieces.push_back(piece_json(*sighting.pieces[i], *sighting.glows[i], known));
  }
  nlohmann::json told = {{"round", sighting.round},
                         {"phase", name_of(sighting.phase)},
                         {"progress", progress_words(sighting)},
                         {"pieces", pieces},
                         {"white", nlohmann::json::object()}};
  const auto& viewers = sighting.runs.front()->model->viewers;
  for (std::size_t i = 0; i < viewers.size(); ++i)
    told["white"][viewers[i].name] = shared_white(sighting.runs, static_cast<int>(i));
  if (sighting.runs.size() == 2)
    told["difference"] = difference(*sighting.glows[0], *sighting.glows[1]);
  return told;
}

}  // namespace rimeglow
