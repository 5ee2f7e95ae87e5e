#include "html_page.h"

#include <cmath>

#include "html_style.h"
#include "quantity.h"
#include "words.h"

namespace rimeglow {

namespace {

// Nothing may be fetched and nothing may run, even if a browser is asked to.
constexpr std::string_view kPolicy =
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; "
    "form-action 'none'";

Html column_head(std::string_view plain) {
  return element("th", {{"scope", "col"}, {"class", "number"}}, prose(plain));
}

}  // namespace

std::string html_page(std::string_view title, const Html& body) {
  const Html head =
      lone_element("meta", {{"charset", "utf-8"}}) +
      lone_element("meta",
                   {{"http-equiv", "Content-Security-Policy"}, {"content", std::string(kPolicy)}}) +
      lone_element("meta", {{"name", "viewport"}, {"content", "width=device-width"}}) +
      element("title", title) + element("style", Html::trusted(kReportStyle));
  const Html page =
      element("html", {{"lang", "en-GB"}}, element("head", head) + element("body", body));
  return "<!DOCTYPE html>\n" + page.markup();
}

Html section(std::string_view id, std::string_view title, const Html& content) {
  return element("section", {{"aria-labelledby", std::string(id)}},
                 element("h2", {{"id", std::string(id)}}, text(title)) + content);
}

Html figure(std::string_view png, const std::string& alternative, const std::string& caption) {
  return element("figure", lone_element("img", {{"src", png_address(png)}, {"alt", alternative}}) +
                               element("figcaption", prose(caption)));
}

Html warnings_section(const std::vector<std::string>& warnings) {
  if (warnings.empty()) return {};
  Html items;
  for (const std::string& warning : warnings) items += element("li", prose(warning));
  return section("warnings", "How far to trust it", element("ul", items));
}

Html number(std::string_view plain) { return element("td", {{"class", "number"}}, text(plain)); }

Html row_head(std::string_view plain) { return element("th", {{"scope", "row"}}, prose(plain)); }

Html table_head(std::string_view names, const std::vector<std::string>& numbers) {
  Html cells = element("th", {{"scope", "col"}}, text(names));
  for (const std::string& column : numbers) cells += column_head(column);
  return element("thead", element("tr", cells));
}

Html table(std::string_view caption, const Html& head, const Html& rows) {
  return element(
      "div", {{"class", "wide"}},
      element("table", element("caption", prose(caption)) + head + element("tbody", rows)));
}

std::string as_given(double value) {
  return without_trailing_zeros(fixed(value, std::abs(value) < 1.0 ? 3 : 2));
}

std::string mm_as_given(double length_mm) { return as_given(length_mm) + " mm"; }

}  // namespace rimeglow
