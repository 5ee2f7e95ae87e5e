#include "html_tables.h"

#include <algorithm>
#include <cmath>

#include "html_page.h"
#include "report.h"
#include "words.h"

namespace rimeglow {

namespace {

// How strongly the brightest patch's cell is lit; a number stands in every cell as well.
constexpr double kStrongestTint = 0.3;

}  // namespace

std::string share_with_error(const Estimate& share) {
  if (share.mean != 0.0 && std::abs(share.mean) + share.standard_error < kSmallestShare)
    return "under 0.0001 %";
  return with_error({100.0 * share.mean, 100.0 * share.standard_error}) + " %";
}

Html viewers_table(const Glow& glow) {
  const bool has_scored = !glow.viewers.empty() && glow.viewers.front().scored_cd_m2;
  Html rows;
  for (const ViewerGlow& viewer : glow.viewers) {
    const auto against = contrast(viewer);
    const bool has_patches = viewer.counted_patches() > 0;
    rows += element(
        "tr", row_head(capitalised(seen_by(viewer.name))) + number(with_error(viewer.mean_cd_m2)) +
                  number(has_patches ? with_error(viewer.darkest_cd_m2) : "none") +
                  number(has_patches ? with_error(viewer.brightest_cd_m2) : "none") +
                  number(viewer.has_evenness() ? share_with_error(viewer.evenness) : "none") +
                  number(spoken(viewer.room_cd_m2.mean)) +
                  number(spoken(viewer.beside_cd_m2.mean)) +
                  number(against                        ? with_error(*against)
                         : viewer.room_cd_m2.mean > 0.0 ? "no clear sheet"
                                                        : "no room light"));
  }
  return table(
      std::string("Luminance in cd/m2 of the engraved area") +
          (has_scored ? ", scored lines apart" : "") +
          ", mean of all and of the darkest and brightest patch; evenness is darkest over "
          "brightest; then what the room adds to the engraving and shows beside it, and the "
          "contrast of glow and room with what is beside. Plus or minus one standard error: the "
          "true value is nearer than that two times in three.",
      table_head("Viewer",
                 {"Mean", "Darkest", "Brightest", "Evenness", "Room", "Beside", "Contrast"}),
      rows);
}

Html rows_table(const ViewerGlow& viewer) {
  Html rows;
  for (auto row = viewer.rows.rbegin(); row != viewer.rows.rend(); ++row) {
    rows += element("tr", row_head(fixed(row->y_mm, 1)) + number(spoken(row->engraved_mm2)) +
                              number(row->engraved_mm2 > 0.0 ? with_error(row->cd_m2) : "none"));
  }
  return table("Rows of the art from its top down, " + seen_by(viewer.name) + ".",
               table_head("Height, mm", {"Engraved, mm2", "cd/m2"}), rows);
}

Html patches_table(const ViewerGlow& viewer) {
  double brightest = 0.0;
  for (const PatchGlow& patch : viewer.patches) {
    if (patch.counted) brightest = std::max(brightest, patch.cd_m2.mean);
  }
  Html rows;
  for (std::size_t row = viewer.patches.size() / kPatchesAcross; row-- > 0;) {
    Html cells;
    for (std::size_t column = 0; column < kPatchesAcross; ++column) {
      const PatchGlow& patch = viewer.patches[row * kPatchesAcross + column];
      const double light = patch.counted ? kStrongestTint * patch.cd_m2.mean / brightest : 0.0;
      cells +=
          element("td", {{"style", "background: rgba(143, 199, 221, " + fixed(light, 2) + ")"}},
                  text(patch.counted ? with_error(patch.cd_m2) : "-"));
    }
    rows += element("tr", cells);
  }
  const std::string caption = "The art in 25 patches as it stands, cd/m2 of their engraved area, " +
                              seen_by(viewer.name) +
                              ". A dash: engraved over less than 1 % or 1 mm2, not counted.";
  return element("div", {{"class", "wide"}},
                 element("table", {{"class", "patches"}},
                         element("caption", prose(caption)) + element("tbody", rows)));
}

Html ledger_table(const Glow& glow) {
  Html rows;
  for (const Share& share : glow.ledger) {
    if (share.of_emitted.mean == 0.0) continue;
    const double width = 100.0 * std::clamp(share.of_emitted.mean, 0.0, 1.0);
    const Html bar = element("i", {{"style", "width: " + fixed(width, 1) + "%"}}, Html());
    rows +=
        element("tr", row_head(way_in_words(share)) + number(share_with_error(share.of_emitted)) +
                          element("td", {{"class", "share"}, {"aria-hidden", "true"}}, bar));
  }
  return table("Of the " + spoken(glow.flux_lm) +
                   " lumens the LEDs give, toward all sides together; entries of nothing left "
                   "out.",
               table_head("What the light does", {"Share", ""}), rows);
}

Html edges_table(const Glow& glow) {
  Html rows;
  for (const EdgeGlow& edge : glow.edges) {
    const std::string low = edge.span ? spoken(edge.span->low) : "";
    const std::string high = edge.span ? spoken(edge.span->high) : "";
    const bool is_told = low != high && !edge.span->widest_input.empty();
    rows += element(
        "tr", row_head(capitalised(edge_words(edge.edge)) + ", " + seen_by(edge.viewer)) +
                  number(is_told ? low + " to " + high : "") + number(with_error(edge.cd_m2)) +
                  element("td", text(is_told ? edge.span->widest_input : "")));
  }
  return table(
      "Mean luminance of the edges themselves, for viewers who face them: first between what it "
      "may lie while some input is not measured (empty where none moves it), then what it is here, "
      "then the input that it depends on most.",
      table_head("Edge", {"From, to", "cd/m2", "Depends on"}), rows);
}

}  // namespace rimeglow
