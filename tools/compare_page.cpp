#include "compare_page.h"

#include <algorithm>
#include <cmath>

#include "html_inputs.h"
#include "html_page.h"
#include "html_tables.h"
#include "report.h"
#include "words.h"

namespace rimeglow {

namespace {

Html glow_figures(const Comparing& comparing) {
  const Glow& base = comparing.designs.front().prediction.glow;
  const std::string seen =
      base.viewers.empty() ? "seen straight on" : seen_by(base.viewers.front().name);
  Html figures;
  for (const Design& design : comparing.designs) {
    figures +=
        figure(design.glow_png, design.title + ", " + seen + " in a dark room.", design.title);
  }
  return section("glow", "How they glow",
                 element("p", prose("In a dark room, " + seen + "; the same " +
                                    spoken(comparing.exposure.white_cd_m2) +
                                    " cd/m2 is drawn as white in all of them.")) +
                     element("div", {{"class", "pictures"}}, figures));
}

Html seated_figures(const Comparing& comparing) {
  Html figures;
  for (const Design& design : comparing.designs) {
    figures += figure(design.seated_png,
                      design.title + ", in its base, by a camera half a metre away and above it.",
                      design.title);
  }
  return section("seated", "From a seat, edges and all",
                 element("p", prose("By a camera half a metre away, 17.5 degrees above; the same " +
                                    spoken(comparing.seated_exposure.white_cd_m2) +
                                    " cd/m2 is drawn as white in all of them.")) +
                     element("div", {{"class", "pictures"}}, figures));
}

Html difference_figures(const Comparing& comparing) {
  Html figures;
  std::vector<std::string> without;
  for (std::size_t d = 1; d < comparing.designs.size(); ++d) {
    const Design& design = comparing.designs[d];
    if (!design.difference_png) {
      without.push_back("\"" + design.title + "\"");
      continue;
    }
    figures += figure(*design.difference_png,
                      design.title + ": where the engraving glows more or less than \"" +
                          comparing.designs.front().title + "\".",
                      design.title);
  }
  if (figures.empty()) return {};
  return section(
      "differences", "Where they differ",
      element("p", prose("Luminance of the engraving less that of \"" +
                         comparing.designs.front().title + "\", averaged over squares of " +
                         spoken(kSquare_mm) + " mm: " + kDifferenceColours + "." +
                         (without.empty() ? ""
                                          : " None for " + listed(without) +
                                                ": the art does not fill the same box there."))) +
          element("div", {{"class", "pictures"}}, figures));
}

std::string name_of(const Quantity& quantity) {
  switch (quantity.kind) {
    case Quantity::Kind::art:
      return "Art, cd/m2, " + seen_by(quantity.viewer);
    case Quantity::Kind::evenness:
      return "Evenness, " + seen_by(quantity.viewer);
    case Quantity::Kind::hot_spots:
      return "LEDs showing in the art";
    case Quantity::Kind::edge:
      return capitalised(edge_words(quantity.name)) + ", cd/m2, " + seen_by(quantity.viewer);
    case Quantity::Kind::light:
      return "Light: " + way_in_words({quantity.name, {}});
  }
  return "";
}

Estimate in_percent(const Estimate& share) {
  return {100.0 * share.mean, 100.0 * share.standard_error};
}

std::string value_text(const Quantity& quantity, const Compared& compared) {
  return quantity.is_luminance() ? with_error(compared.value)
                                 : with_error(in_percent(compared.value)) + " %";
}

std::string with_sign(const Estimate& difference) {
  return (difference.mean > 0.0 ? "+" : "") + with_error(difference);
}

std::string signed_percent(double share) {
  return (share > 0.0 ? "+" : "") + spoken(100.0 * share);
}

// "+3.5 ± 0.1 %", "+2 ± 1 points", and the span below it.
Html difference_cell(const Quantity& quantity, const Compared& compared) {
  if (!compared.difference) return element("td", {{"class", "number"}}, text("new"));
  std::string said;
  std::optional<Estimate> effect = compared.difference;
  if (quantity.is_luminance()) {
    said = with_sign(*compared.difference);
    if (compared.ratio) {
      effect = Estimate{compared.ratio->mean - 1.0, compared.ratio->standard_error};
      said += " (" + with_sign(in_percent(*effect)) + " %)";
    }
  } else {
    said = with_sign(in_percent(*compared.difference)) + " points";
  }
  if (compared.difference->mean == 0.0 && compared.difference->standard_error == 0.0) said = "none";
  Html content =
      element("span", {{"class", is_telling(*effect) ? "telling" : "untold"}}, text(said));
  if (compared.span) {
    const double unit = compared.ratio ? 1.0 : 0.0;
    const std::string low = signed_percent(compared.span->low - unit);
    const std::string high = signed_percent(compared.span->high - unit);
    if (low != high) {
      content += lone_element("br", {}) +
                 element("small", low + " to " + high + (compared.ratio ? " %" : " points"));
    }
  }
  return element("td", {{"class", "number"}}, content);
}

bool worth_showing(const ComparedRow& row) {
  return row.quantity.kind != Quantity::Kind::light ||
         std::any_of(row.designs.begin(), row.designs.end(), [](const auto& compared) {
           return compared && std::abs(compared->value.mean) > kSmallestShare;
         });
}

Html rows_table(const Comparing& comparing, const std::vector<Quantity::Kind>& kinds,
                const std::string& caption) {
  std::vector<std::string> heads;
  for (std::size_t d = 0; d < comparing.designs.size(); ++d) {
    heads.push_back(comparing.designs[d].title);
    if (d > 0) heads.push_back("Difference");
  }
  Html rows;
  for (const ComparedRow& row : comparing.comparison.rows) {
    const bool wanted = std::find(kinds.begin(), kinds.end(), row.quantity.kind) != kinds.end();
    if (!wanted || !worth_showing(row)) continue;
    Html cells = row_head(name_of(row.quantity));
    for (std::size_t d = 0; d < row.designs.size(); ++d) {
      const auto& compared = row.designs[d];
      cells += number(compared ? value_text(row.quantity, *compared) : "dark");
      if (d > 0) cells += compared ? difference_cell(row.quantity, *compared) : number("-");
    }
    rows += element("tr", cells);
  }
  return rows.empty() ? Html() : table(caption, table_head("", heads), rows);
}

Html tables(const Comparing& comparing) {
  const std::string how =
      "Plus or minus one standard error of the difference, from which the noise that the designs "
      "share has gone; faint where the difference is less than twice that. Below it in small, how "
      "far the difference leans on what nobody has measured.";
  Html content = rows_table(
      comparing, {Quantity::Kind::art, Quantity::Kind::evenness, Quantity::Kind::hot_spots},
      "The engraving. " + how);
  content += rows_table(comparing, {Quantity::Kind::edge},
                        "The edges themselves, for viewers who see them. \"Dark\" is exactly so: "
                        "toward that viewer the edge is a mirror.");
  content += rows_table(comparing, {Quantity::Kind::light},
                        "Where the light goes, as shares of all that the LEDs give.");
  return section("numbers", "In numbers", content);
}

Html verdicts(const Comparing& comparing) {
  Html items;
  for (const Design& design : comparing.designs) {
    if (!design.verdict.empty()) items += element("li", prose(design.verdict));
  }
  return section("verdicts", "In words", element("ul", items));
}

Html provenance(const Comparing& comparing) {
  Html entries;
  for (const Design& design : comparing.designs) {
    entries += element("h3", design.title) + provenance_list(design.prediction.provenance);
  }
  return section("provenance", "To get the same again", entries);
}

}  // namespace

std::string comparison_html(const Comparing& comparing) {
  const Html title = element("header", element("p", {{"class", "kind"}}, text("Designs compared")) +
                                           element("h1", comparing.title));
  const Html main = verdicts(comparing) + glow_figures(comparing) + seated_figures(comparing) +
                    difference_figures(comparing) + warnings_section(comparing.warnings) +
                    tables(comparing) + cautions();
  return html_page(comparing.title + " - designs compared",
                   title + element("main", main) + element("footer", provenance(comparing)));
}

}  // namespace rimeglow
