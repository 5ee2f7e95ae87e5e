#include "html_chart.h"

#include <algorithm>
#include <cmath>

#include "report.h"
#include "words.h"

namespace rimeglow {

namespace {

constexpr double kWidth = 640.0;
constexpr double kLeft = 64.0;
constexpr double kRight = 24.0;
constexpr double kTop = 10.0;
constexpr double kRowStep = 14.0;
constexpr double kBarHeight = 9.0;
constexpr double kAxisRoom = 40.0;
constexpr int kRowsPerLabel = 4;

// About five marks along the axis, at 1, 2 or 5 times a power of ten.
double mark_step(double longest) {
  const double rough = longest / 5.0;
  const double decade = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double digit : {1.0, 2.0, 5.0}) {
    if (digit * decade >= rough) return digit * decade;
  }
  return 10.0 * decade;
}

std::string place(double pixels) { return fixed(pixels, 1); }

Html label(double x, double y, std::string_view anchor, std::string_view words) {
  return element("text", {{"x", place(x)}, {"y", place(y)}, {"text-anchor", std::string(anchor)}},
                 prose(words));
}

Html line(std::string_view kind, double x1, double y1, double x2, double y2) {
  return element("line",
                 {{"class", std::string(kind)},
                  {"x1", place(x1)},
                  {"y1", place(y1)},
                  {"x2", place(x2)},
                  {"y2", place(y2)}},
                 Html());
}

Html axis(double longest, double scale, double bottom) {
  Html marks;
  const double step = mark_step(longest);
  for (int i = 0; i * step <= longest; ++i) {
    const double x = kLeft + scale * i * step;
    marks += line("grid", x, kTop, x, bottom);
    marks += label(x, bottom + 16.0, "middle", spoken(i * step));
  }
  marks += label(kWidth - kRight, bottom + 34.0, "end", "cd/m2");
  return marks + label(kLeft - 8.0, bottom + 34.0, "end", "mm up");
}

Html bar(const RowGlow& row, double y, double scale) {
  const double middle = y + 0.5 * kBarHeight;
  const double end = kLeft + scale * row.cd_m2.mean;
  const double reach = scale * row.cd_m2.standard_error;
  return element("rect",
                 {{"class", "bar"},
                  {"x", place(kLeft)},
                  {"y", place(y)},
                  {"width", place(std::max(0.0, end - kLeft))},
                  {"height", place(kBarHeight)}},
                 Html()) +
         line("error", end - reach, middle, end + reach, middle);
}

}  // namespace

Html row_chart(const ViewerGlow& viewer) {
  double longest = 0.0;
  for (const RowGlow& row : viewer.rows) {
    longest = std::max(longest, row.cd_m2.mean + row.cd_m2.standard_error);
  }
  if (!(longest > 0.0)) return element("p", "No row of the art glows.");
  const double scale = (kWidth - kLeft - kRight) / longest;
  const int rows = static_cast<int>(viewer.rows.size());
  const double bottom = kTop + rows * kRowStep;
  Html drawing = axis(longest, scale, bottom);
  for (int i = 0; i < rows; ++i) {
    const RowGlow& row = viewer.rows[static_cast<std::size_t>(i)];
    const double y = bottom - (i + 1) * kRowStep + 0.5 * (kRowStep - kBarHeight);
    if (i % kRowsPerLabel == 0) {
      drawing += label(kLeft - 8.0, y + kBarHeight, "end", fixed(row.y_mm, 0));
    }
    if (row.engraved_mm2 > 0.0) drawing += bar(row, y, scale);
  }
  return element("svg",
                 {{"viewBox", "0 0 " + place(kWidth) + " " + place(bottom + kAxisRoom)},
                  {"role", "img"},
                  {"aria-label", "Luminance of each row of the art, " + seen_by(viewer.name) +
                                     "; the same numbers stand in the table below."}},
                 drawing);
}

}  // namespace rimeglow
