#include "html_chart.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "report.h"
#include "round_numbers.h"
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

// About five marks along the axis.
double mark_step(double longest) { return round_up(longest / 5.0); }

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

Html curve_chart(std::string_view across, std::string_view up, const std::vector<Curve>& curves,
                 std::optional<double> mark) {
  constexpr double kHeight = 300.0;
  constexpr double kErrors = 2.0;  // standard errors each way
  double first = std::numeric_limits<double>::infinity();
  double last = -first;
  double highest = 0.0;
  for (const Curve& curve : curves) {
    for (const CurvePoint& point : curve.points) {
      first = std::min(first, point.at);
      last = std::max(last, point.at);
      highest = std::max(highest, point.value.mean + kErrors * point.value.standard_error);
    }
  }
  if (!(last > first) || !(highest > 0.0)) return element("p", "There is nothing to draw.");
  const double bottom = kTop + kHeight;
  const auto x = [&](double at) {
    return kLeft + (kWidth - kLeft - kRight) * (at - first) / (last - first);
  };
  const auto y = [&](double value) { return bottom - kHeight * value / (1.05 * highest); };
  Html drawing;
  const double rise = mark_step(highest);
  for (int i = 0; i * rise <= 1.05 * highest; ++i) {
    drawing += line("grid", kLeft, y(i * rise), kWidth - kRight, y(i * rise));
    drawing += label(kLeft - 8.0, y(i * rise) + 4.0, "end", spoken(i * rise));
  }
  const double step = mark_step(last - first);
  for (double at = std::ceil(first / step) * step; at <= last; at += step)
    drawing += label(x(at), bottom + 16.0, "middle", spoken(at));
  drawing += label(kWidth - kRight, bottom + 34.0, "end", across);
  drawing += label(kLeft - 8.0, bottom + 34.0, "end", up);
  if (mark) {
    drawing += line("mark", x(*mark), kTop, x(*mark), bottom);
    drawing += label(x(*mark) + 6.0, bottom - 8.0, "start", "knee");
  }
  for (std::size_t i = 0; i < curves.size(); ++i) {
    const Curve& curve = curves[i];
    if (curve.points.empty()) continue;
    std::string middle, band, back;
    for (const CurvePoint& point : curve.points) {
      const double reach = kErrors * point.value.standard_error;
      const std::string at = place(x(point.at)) + ",";
      middle += at + place(y(point.value.mean)) + " ";
      band += at + place(y(point.value.mean + reach)) + " ";
      back = at + place(y(point.value.mean - reach)) + " " + back;
    }
    drawing += element("polygon", {{"class", "band"}, {"points", band + back}}, Html());
    drawing += element("polyline",
                       {{"class", "curve"},
                        {"points", middle},
                        {"stroke-dasharray", i == 0 && curves.size() > 1 ? "6 4" : "none"}},
                       Html());
    const CurvePoint& end = curve.points.back();
    drawing +=
        label(x(end.at) - 4.0, y(end.value.mean) + (i == 0 ? -8.0 : 18.0), "end", curve.name);
  }
  return element("svg",
                 {{"viewBox", "0 0 " + place(kWidth) + " " + place(bottom + kAxisRoom)},
                  {"role", "img"},
                  {"aria-label", std::string(up) + " over " + std::string(across)}},
                 drawing);
}

}  // namespace rimeglow
