#include "photon_picture.h"

#include <algorithm>
#include <cmath>

#include "strokes.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr double kPanel_pixels = 1000.0;     // the longer side
constexpr double kThickness_pixels = 200.0;  // at most, unless it is more by itself
constexpr int kLetters = 2;
constexpr int kMargin = 56;
constexpr int kLine = 24;
constexpr double kBeyond_mm = 7.0;  // drawn of the way outside
constexpr double kArtGrey = 80.0;

// Orange, sky blue and bluish green of Okabe and Ito's palette, told apart by nearly everyone.
constexpr Rgb8 kLight = {230, 159, 0};
constexpr Rgb8 kScattered = {86, 180, 233};
constexpr Rgb8 kEntered = {0, 158, 115};
constexpr Rgb8 kEnded = {255, 255, 255};
constexpr Rgb8 kOutline = {110, 110, 110};
constexpr Rgb8 kSheet = {14, 14, 16};

// Both views: where the panel's lower left corner is in each, and their common scale.
struct Views {
  double pixel_mm;
  double stretch;
  int panel_width, panel_height, thickness;  // in pixels

  explicit Views(const Model& model)
      : pixel_mm(model.outline.size_mm.maxCoeff() / kPanel_pixels),
        stretch(std::max(1.0, std::floor(kThickness_pixels * pixel_mm / model.thickness_mm))),
        panel_width(static_cast<int>(std::lround(model.outline.size_mm.x() / pixel_mm))),
        panel_height(static_cast<int>(std::lround(model.outline.size_mm.y() / pixel_mm))),
        thickness(static_cast<int>(std::lround(stretch * model.thickness_mm / pixel_mm))) {}

  int side_left() const { return 2 * kMargin + panel_width; }
  int bottom() const { return kMargin + panel_height; }
  int width() const { return side_left() + thickness + kMargin; }
  int height() const { return bottom() + kMargin + 3 * kLine; }

  ToCanvas plan() const {
    return {static_cast<double>(kMargin), static_cast<double>(bottom()), pixel_mm};
  }
  ToCanvas side() const {
    return {static_cast<double>(side_left()), static_cast<double>(bottom()), pixel_mm};
  }
  Vec2 in_plan(const Vec3& point_mm) const { return plan()(point_mm.head<2>()); }
  Vec2 in_side(const Vec3& point_mm) const {
    return side()(Vec2(stretch * point_mm.z(), point_mm.y()));
  }
};

void draw_art(Canvas& canvas, const Model& model, const Views& views) {
  const auto draw = [&](int column, int row) {
    const Vec2 at_mm = views.pixel_mm * Vec2(column + 0.5, row + 0.5);
    double coverage = 0.0;
    for (const Layer& layer : model.layers) coverage += layer.engraved().at(at_mm.x(), at_mm.y());
    const auto grey = static_cast<std::uint8_t>(std::lround(kArtGrey * std::min(1.0, coverage)));
    const int x = kMargin + column;
    const int y = kMargin + views.panel_height - 1 - row;
    canvas.set(x, y, kSheet);
    canvas.lighten(x, y, {grey, grey, grey});
  };
  fill_outline(model.outline, views.pixel_mm, views.panel_width, views.panel_height, draw);
}

void draw_panel(Canvas& canvas, const Model& model, const Views& views) {
  const auto outline = [&](int x, int y, double ink) {
    canvas.lighten(x, y, dimmed(kOutline, ink));
  };
  draw_art(canvas, model, views);
  trace_outline(model.outline, views.plan(), outline);
  canvas.fill(views.side_left(), kMargin, views.thickness, views.panel_height, kSheet);
  const Vec2 low(views.side_left(), views.bottom());
  const Vec2 high(views.side_left() + views.thickness, kMargin);
  for (const auto& [from, to] :
       {std::pair(low, Vec2(high.x(), low.y())), std::pair(Vec2(high.x(), low.y()), high),
        std::pair(high, Vec2(low.x(), high.y())), std::pair(Vec2(low.x(), high.y()), low)}) {
    trace_line(from, to, outline);
  }
}

// Parts of the way outside the panel are drawn at half the brightness.
void draw_way(Canvas& canvas, const Views& views, const std::vector<Vec3>& corners, bool leaves) {
  for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
    const bool outside = i == 0 || (leaves && i + 2 == corners.size());
    const Rgb8 colour = dimmed(kLight, outside ? 0.5 : 1.0);
    const auto light = [&](int x, int y, double ink) { canvas.lighten(x, y, dimmed(colour, ink)); };
    trace_line(views.in_plan(corners[i]), views.in_plan(corners[i + 1]), light);
    trace_line(views.in_side(corners[i]), views.in_side(corners[i + 1]), light);
  }
}

void draw_dot(Canvas& canvas, const Vec2& at, double radius, Rgb8 colour) {
  const int reach = static_cast<int>(std::ceil(radius));
  const int x = static_cast<int>(std::floor(at.x()));
  const int y = static_cast<int>(std::floor(at.y()));
  for (int row = y - reach; row <= y + reach; ++row) {
    for (int column = x - reach; column <= x + reach; ++column) {
      const double away = std::hypot(column + 0.5 - at.x(), row + 0.5 - at.y());
      if (away <= radius) canvas.set(column, row, colour);
    }
  }
}

constexpr double kDot = 4.5;

void draw_events(Canvas& canvas, const Views& views, const History& history) {
  const auto dot = [&](const Vec3& at_mm, Rgb8 colour, double radius) {
    draw_dot(canvas, views.in_plan(at_mm), radius, colour);
    draw_dot(canvas, views.in_side(at_mm), radius, colour);
  };
  for (const Event& event : history.events) {
    if (event.order > 0) dot(event.hit.position_mm, kScattered, kDot);
  }
  if (history.events.empty()) return;
  dot(history.events.front().hit.position_mm, kEntered, kDot);
  const Vec3& end_mm = history.events.back().hit.position_mm;
  dot(end_mm, kEnded, kDot + 1.0);
  if (history.events.back().order > 0) dot(end_mm, kScattered, kDot - 1.5);
}

// A dot and its meaning; where the next may begin.
int draw_key(Canvas& canvas, int x, int y, Rgb8 colour, const std::string& meaning) {
  draw_dot(canvas, Vec2(x + kDot, y + 0.5 * text_height(kLetters)), kDot, colour);
  const int text = x + 16;
  canvas.write(text, y, kLetters, kCaptionGrey, meaning);
  return text + text_width(meaning, kLetters) + 28;
}

void draw_words(Canvas& canvas, const Views& views, const std::string& caption) {
  const int below = views.bottom() + kMargin;
  canvas.write(kMargin, kMargin / 3, kLetters, kCaptionGrey, "from the front");
  canvas.write(views.side_left(), kMargin / 3, kLetters, kCaptionGrey, "from the left");
  canvas.write(views.side_left(), below, kLetters, kCaptionGrey, "back");
  const int front = views.side_left() + views.thickness - text_width("front", kLetters);
  canvas.write(front, below, kLetters, kCaptionGrey, "front");
  const std::string stretch = "x " + spoken(views.stretch);
  canvas.write(views.side_left() + (views.thickness - text_width(stretch, kLetters)) / 2,
               below + kLine, kLetters, kCaptionGrey, stretch);
  canvas.write(kMargin, below, kLetters, kCaptionGrey, caption);
  int x = draw_key(canvas, kMargin, below + kLine, kEntered, "in");
  x = draw_key(canvas, x, below + kLine, kScattered, "scattered");
  draw_key(canvas, x, below + kLine, kEnded, "end");
}

}  // namespace

Canvas photon_picture(const Model& model, const History& history, const std::string& caption) {
  const Views views(model);
  Canvas canvas(views.width(), views.height(), {0, 0, 0});
  draw_panel(canvas, model, views);
  const std::vector<Vec3> corners = corners_of(history, model.thickness_mm, kBeyond_mm);
  const bool leaves = !history.events.empty() && goes_outside(history.events.back());
  draw_way(canvas, views, corners, leaves);
  draw_events(canvas, views, history);
  draw_words(canvas, views, caption);
  return canvas;
}

}  // namespace rimeglow
