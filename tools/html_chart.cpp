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

// A drawing as high as its lower axis needs.
Html chart(double bottom, std::string words, const Html& drawing) {
  return element("svg",
                 {{"viewBox", "0 0 " + place(kWidth) + " " + place(bottom + kAxisRoom)},
                  {"role", "img"},
                  {"aria-label", std::move(words)}},
                 drawing);
}

constexpr double kErrors = 2.0;  // standard errors that a curve's band goes each way

// Where the values of curves stand in their drawing.
struct CurveFrame {
  static constexpr double kHeight = 300.0;
  static constexpr double kBottom = kTop + kHeight;
  static constexpr double kAbove = 1.05;  // of the highest value
  double first = std::numeric_limits<double>::infinity();
  double last = -std::numeric_limits<double>::infinity();
  double highest = 0.0;

  explicit CurveFrame(const std::vector<Curve>& curves) {
    for (const Curve& curve : curves) {
      for (const CurvePoint& point : curve.points) {
        first = std::min(first, point.at);
        last = std::max(last, point.at);
        highest = std::max(highest, point.value.mean + kErrors * point.value.standard_error);
      }
    }
  }
  bool is_empty() const { return !(last > first) || !(highest > 0.0); }
  double x(double at) const {
    return kLeft + (kWidth - kLeft - kRight) * (at - first) / (last - first);
  }
  double y(double value) const { return kBottom - kHeight * value / (kAbove * highest); }
};

Html grid(const CurveFrame& frame, std::string_view across, std::string_view up) {
  Html marks;
  const double rise = mark_step(frame.highest);
  for (int i = 0; i * rise <= CurveFrame::kAbove * frame.highest; ++i) {
    const double y = frame.y(i * rise);
    marks += line("grid", kLeft, y, kWidth - kRight, y);
    marks += label(kLeft - 8.0, y + 4.0, "end", spoken(i * rise));
  }
  const double step = mark_step(frame.last - frame.first);
  for (double at = std::ceil(frame.first / step) * step; at <= frame.last; at += step)
    marks += label(frame.x(at), CurveFrame::kBottom + 16.0, "middle", spoken(at));
  marks += label(kWidth - kRight, CurveFrame::kBottom + 34.0, "end", across);
  return marks + label(kLeft - 8.0, CurveFrame::kBottom + 34.0, "end", up);
}

Html knee_line(const CurveFrame& frame, double at) {
  const double x = frame.x(at);
  return line("mark", x, kTop, x, CurveFrame::kBottom) +
         label(x + 6.0, CurveFrame::kBottom - 8.0, "start", "knee");
}

// With its name `below_px` its end.
Html drawn(const CurveFrame& frame, const Curve& curve, std::string dashes, double below_px) {
  std::string middle, band, back;
  for (const CurvePoint& point : curve.points) {
    const double reach = kErrors * point.value.standard_error;
    const std::string at = place(frame.x(point.at)) + ",";
    middle += at + place(frame.y(point.value.mean)) + " ";
    band += at + place(frame.y(point.value.mean + reach)) + " ";
    back = at + place(frame.y(point.value.mean - reach)) + " " + back;
  }
  const CurvePoint& end = curve.points.back();
  return element("polygon", {{"class", "band"}, {"points", band + back}}, Html()) +
         element("polyline",
                 {{"class", "curve"}, {"points", middle}, {"stroke-dasharray", std::move(dashes)}},
                 Html()) +
         label(frame.x(end.at) - 4.0, frame.y(end.value.mean) + below_px, "end", curve.name);
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
  return chart(bottom,
               "Luminance of each row of the art, " + seen_by(viewer.name) +
                   "; the same numbers stand in the table below.",
               drawing);
}

Html curve_chart(std::string_view across, std::string_view up, const std::vector<Curve>& curves,
                 std::optional<double> mark) {
  const CurveFrame frame(curves);
  if (frame.is_empty()) return element("p", "There is nothing to draw.");
  Html drawing = grid(frame, across, up);
  if (mark) drawing += knee_line(frame, *mark);
  for (std::size_t i = 0; i < curves.size(); ++i) {
    if (curves[i].points.empty()) continue;
    const bool is_former = i == 0 && curves.size() > 1;
    drawing += drawn(frame, curves[i], is_former ? "6 4" : "none", i == 0 ? -8.0 : 18.0);
  }
  return chart(CurveFrame::kBottom, std::string(up) + " over " + std::string(across), drawing);
}

}  // namespace rimeglow
