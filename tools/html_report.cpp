#include "html_report.h"

#include "html.h"
#include "html_chart.h"
#include "html_inputs.h"
#include "html_page.h"
#include "html_tables.h"
#include "words.h"

namespace rimeglow {

namespace {

std::string question_of(const Verdict& verdict) {
  if (verdict.topic == "bright") return "Bright enough?";
  if (verdict.topic == "even") return "Even?";
  if (verdict.topic == "leds") return "Do the LEDs show?";
  if (verdict.topic == "light") return "Where does the light go?";
  return capitalised(verdict.topic);
}

// A sign for each level, so that none is told by its colour alone.
std::string_view sign_of(Level level) {
  switch (level) {
    case Level::good:
      return "+";
    case Level::fair:
      return "~";
    case Level::poor:
      return "!";
    case Level::note:
      return "i";
  }
  return "i";
}

Html verdict_item(const Verdict& verdict) {
  const std::string level(name_of(verdict.level));
  const Html sign = element("b", {{"aria-hidden", "true"}}, text(sign_of(verdict.level)));
  return element("li", {{"class", level}},
                 element("h3", text(question_of(verdict)) +
                                   element("span", {{"class", "level"}}, sign + text(level))) +
                     element("p", prose(verdict.text)));
}

Html verdicts(const Report& report) {
  Html items;
  for (const Verdict& verdict : report.verdicts) items += verdict_item(verdict);
  return section("verdicts", "In words", element("ul", {{"class", "verdicts"}}, items));
}

// What the pictures show, for readers who cannot see them.
std::string in_short(const Prediction& prediction) {
  const ViewerGlow* viewer = main_viewer(prediction.glow);
  if (!viewer) return "a clear panel without engraving";
  return "the engraving glows at " + spoken(viewer->mean_cd_m2.mean) + " cd/m2 on average" +
         (viewer->has_evenness()
              ? ", its darkest patch at " + percent(viewer->evenness.mean) + " of its brightest"
              : "");
}

Html pictures_section(const Prediction& prediction, const ReportPictures& pictures) {
  const std::string viewer = prediction.glow.viewers.empty()
                                 ? "seen straight on"
                                 : seen_by(prediction.glow.viewers.front().name);
  const Html eye = figure(
      pictures.glow_png, "The panel " + viewer + " in a dark room: " + in_short(prediction) + ".",
      "What the eye sees in a dark room, " + viewer + ": " + spoken(pictures.exposure.white_cd_m2) +
          " cd/m2 is drawn as white, half of that and less in proportion. Only the lamp's light is "
          "drawn; outline and sheet are hinted at.");
  const Html measured = figure(
      pictures.luminance_png,
      "The same panel in false colours from " + spoken(pictures.scale.low_cd_m2) + " to " +
          spoken(pictures.scale.high_cd_m2) + " cd/m2: " + in_short(prediction) + ".",
      "Luminance in false colours, " + viewer + ", logarithmic from " +
          spoken(pictures.scale.low_cd_m2) + " to " + spoken(pictures.scale.high_cd_m2) +
          " cd/m2; black where no light leaves toward the eye. Fine mottling is the noise of "
          "counting photons, not the engraving.");
  return section("pictures", "How it glows",
                 element("div", {{"class", "pictures"}}, eye + measured));
}

Html views_section(const StandardViews& shown) {
  if (shown.views.empty()) return {};
  Html figures;
  for (const StandardViews::View& view : shown.views) {
    figures += figure(view.png, "The panel in its base on a table, " + seen_by(view.name) + ".",
                      capitalised(seen_by(view.name)));
  }
  return section("views", "From where people look",
                 element("p", prose("Half a metre away, in a dark room, all at one exposure: " +
                                    spoken(shown.exposure.white_cd_m2) +
                                    " cd/m2 is drawn as white. Larger ones: rimeglow look.")) +
                     element("div", {{"class", "pictures"}}, figures));
}

Html engraving_sections(const Prediction& prediction) {
  const ViewerGlow* viewer = main_viewer(prediction.glow);
  if (!viewer) return {};
  const Html chart =
      element("p", "Luminance of the engraved area, row by row as on the panel, " +
                       seen_by(viewer->name) + ". The thin line is one standard error each way.") +
      row_chart(*viewer) +
      element("details", element("summary", "The same as a table") + rows_table(*viewer));
  return section("viewers", "For each viewer", viewers_table(prediction.glow)) +
         section("rows", "From the bottom up", chart) +
         section("patches", "Patch by patch", patches_table(*viewer));
}

Html body(const Prediction& prediction, const ReportPictures& pictures, const ReportPart& first) {
  const Html title = element("header", element("p", {{"class", "kind"}}, text(first.kind)) +
                                           element("h1", prediction.scene.title) +
                                           element("p", facts_in_short(prediction.scene)));
  Html main = first.sections + verdicts(prediction.report) +
              pictures_section(prediction, pictures) + views_section(prediction.views) +
              warnings_section(prediction.report.warnings) + engraving_sections(prediction) +
              section("light", "Where the light goes", ledger_table(prediction.glow));
  if (!prediction.glow.edges.empty()) {
    main += section("edges", "Glow of the edges", edges_table(prediction.glow));
  }
  main += section("inputs", "What went in", inputs_list(prediction.scene, *prediction.model));
  main += cautions();
  const Html provenance =
      section("provenance", "To get the same again", provenance_list(prediction.provenance));
  return title + element("main", main) + element("footer", provenance);
}

}  // namespace

std::string html_report(const Prediction& prediction, const ReportPictures& pictures,
                        const ReportPart& first) {
  return html_page(prediction.scene.title + " - " + first.kind, body(prediction, pictures, first));
}

}  // namespace rimeglow
