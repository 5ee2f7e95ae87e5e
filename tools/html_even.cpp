#include "html_even.h"

#include "html_chart.h"
#include "html_page.h"
#include "html_tables.h"
#include "words.h"

namespace rimeglow {
namespace {

// A table whose first column names its rows.
Html table(std::string_view caption, const std::vector<std::string>& head,
           const std::vector<std::vector<std::string>>& rows) {
  Html body;
  for (const std::vector<std::string>& row : rows) {
    Html cells = row_head(row.front());
    for (std::size_t i = 1; i < row.size(); ++i) cells += number(row[i]);
    body += element("tr", cells);
  }
  return table(caption, table_head(head.front(), {head.begin() + 1, head.end()}), body);
}

std::string span_text(const std::optional<Span>& span, double factor) {
  return span ? spoken(factor * span->low) + " to " + spoken(factor * span->high) : "";
}

std::vector<std::string> glow_row(const std::string& name, const ViewerGlow& glow) {
  return {name,
          with_error(glow.mean_cd_m2),
          span_text(glow.mean_span, 1.0),
          with_error(glow.darkest_cd_m2),
          with_error(glow.brightest_cd_m2),
          share_with_error(glow.evenness),
          span_text(glow.evenness_span, 100.0)};
}

Curve profile(const std::string& name, const ViewerGlow& glow) {
  constexpr double kLeastDrawn_mm2 = 1.0;
  Curve curve{name, {}};
  for (const RowGlow& row : glow.rows)
    if (row.engraved_mm2 >= kLeastDrawn_mm2) curve.points.push_back({row.y_mm, row.cd_m2});
  return curve;
}

Html before_and_after(const EvenResult& result, const LoadedScene& scene,
                      const EvenPictures& pictures) {
  const ViewerGlow& before = result.glow_before();
  const ViewerGlow& after = result.glow_after();
  const std::string seen = seen_by(result.after.glow.viewers.front().name);
  const auto both = [&](const std::string& one, const std::string& other, const std::string& what) {
    return element("div", {{"class", "pictures"}},
                   figure(one, "Before: " + what, "Before: " + what) +
                       figure(other, "After: " + what, "After: " + what + ", same scale"));
  };
  const Html numbers =
      table("Luminance in cd/m2 per area meant to glow, " + seen_by(after.name) +
                ", both by the same fresh photons, the second from the bitmap the laser gets. Low "
                "to high: what nobody has measured at its ends.",
            {"", "Mean", "Low to high", "Darkest", "Brightest", "Evenness", "Low to high, %"},
            {glow_row("Burnt in full", before), glow_row("By the plan", after)});
  const std::string tones = "Over squares of 3 mm the glow keeps to the art within " +
                            percent(result.tone_error_after) + " (root mean square; " +
                            percent(result.tone_error_before) + " burnt in full).";
  return section("even", "Made even",
                 element("p", prose(even_verdict(result, scene))) + numbers +
                     element("p", prose(tones))) +
         section("even-pictures", "Before and after",
                 both(pictures.before_png, pictures.after_png,
                      "what the eye sees in a dark room, " + seen) +
                     both(pictures.luminance_before_png, pictures.luminance_after_png,
                          "luminance in false colours, " + seen)) +
         section("even-rows", "Row by row, before and after",
                 element("p", prose("Luminance of the rows of the art, from the bottom up; "
                                    "the bands are two standard errors each way.")) +
                     curve_chart("mm up", "cd/m2",
                                 {profile("before", before), profile("after", after)}));
}

Html plan(const EvenResult& result, const EvenPictures& pictures) {
  std::vector<std::vector<std::string>> rounds;
  for (std::size_t i = 0; i < result.rounds.size(); ++i)
    rounds.push_back({std::to_string(i + 1), percent(result.rounds[i].evenness),
                      spoken(result.rounds[i].mean_cd_m2)});
  return section(
      "plan", "The plan",
      element("div", {{"style", "max-width: 30rem"}},
              figure(pictures.plan_png, "How densely each place of the art is engraved",
                     "How densely each place of the art is engraved: white in full, black "
                     "not at all. Areas are thinned by dots, thin strokes by lines left "
                     "out.")) +
          element("div", {{"style", "max-width: 50rem"}},
                  figure(pictures.close_up_png,
                         "Burnt strokes, in full and by the plan, close up and from 500 mm",
                         "What is burnt where the plan is thinnest: in full and by the "
                         "plan, close up and as an eye that resolves one arc minute sees it "
                         "from 500 mm.")) +
          table("Rounds of the search, by the photons they were made with",
                {"Round", "Evenness", "Mean, cd/m2"}, rounds));
}

Html bench(const EvenResult& result) {
  std::vector<std::vector<std::string>> rows;
  for (const EvenOutcome& outcome : result.bench)
    rows.push_back(
        {outcome.what, share_with_error(outcome.evenness), with_error(outcome.mean_cd_m2)});
  if (rows.empty()) return {};
  return section(
      "bench", "If the bench is not as said",
      table("The same bitmap, one thing off at a time", {"", "Evenness", "Mean, cd/m2"}, rows));
}

Html density(const EvenResult& result) {
  if (result.curve.size() < 2) return {};
  Curve mean{"mean", {}};
  std::vector<std::vector<std::string>> rows;
  for (std::size_t i = 0; i < result.curve.size(); ++i) {
    const DensityPoint& point = result.curve[i];
    mean.points.push_back({100.0 * point.density, point.outcome.mean_cd_m2});
    rows.push_back({percent(point.density) + (result.knee == i ? " (knee)" : ""),
                    with_error(point.outcome.mean_cd_m2),
                    share_with_error(point.outcome.evenness)});
  }
  std::optional<double> at;
  if (result.knee) at = 100.0 * result.curve[*result.knee].density;
  const std::string words =
      at ? "Beyond the knee, at " + fixed(*at, 0) +
               " %, more density gives less and less: it lies farthest above the straight line "
               "between the ends."
         : "There is no knee: brightness goes with density up to the end.";
  return section("density", "Denser or thinner",
                 element("p", prose("The same density all over. " + words)) +
                     curve_chart("% of full density", "cd/m2", {mean}, at) +
                     table("Brightness and evenness by density",
                           {"Density", "Mean, cd/m2", "Evenness"}, rows));
}

Html advice(const EvenResult& result) {
  if (result.advice.size() < 2) return {};
  std::vector<std::vector<std::string>> rows;
  for (const PricedOutcome& option : result.advice)
    rows.push_back({option.outcome.what, with_error(option.outcome.mean_cd_m2),
                    share_with_error(option.outcome.evenness),
                    option.laser_min ? spoken(*option.laser_min) : "-"});
  return section(
      "advice", "What would help most",
      table(
          "Each change alone, made even anew in a few rounds of the same photons; the panel as it "
          "is first, then from the best on. A few rounds leave a plan less even than it can be: "
          "compare the rows with one another. " +
              std::string(result.helps_most ? "The one named above is the first of them whose "
                                              "plan, made with care, was even enough. "
                                            : "") +
              "Laser: minutes of engraving.",
          {"", "Mean, cd/m2", "Evenness", "Laser, min"}, rows));
}

}  // namespace

Html even_sections(const EvenResult& result, const LoadedScene& scene,
                   const EvenPictures& pictures) {
  return before_and_after(result, scene, pictures) + plan(result, pictures) + advice(result) +
         density(result) + bench(result);
}

}  // namespace rimeglow
