#include "pictures.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "colour_map.h"
#include "round_numbers.h"
#include "strokes.h"
#include "words.h"

namespace rimeglow {

namespace {

// Share of the lit pixels that may be brighter than white, or than the scale's end.
constexpr double kBeyondWhite = 0.005;
constexpr double kAboveScale = 0.001;
// Share of the lit pixels that may be darker than the scale's other end: rims of strokes.
constexpr double kBelowScale = 0.25;
constexpr double kLongestScale = 1000.0;
constexpr double kShortestScale = 10.0;

// For orientation only, as linear light: far below any luminance worth drawing.
constexpr double kRoomLight = 0.0012;
constexpr double kSheetLight = 0.0035;
constexpr double kOutlineLight = 0.045;
constexpr Rgb8 kOutlineGrey = {96, 96, 96};
constexpr Rgb8 kNotTold = {70, 70, 70};
constexpr Rgb8 kLegendWhite = {235, 235, 235};

// Calls visit(column, row, pixel) wherever there is light.
template <class Visit>
void for_each_lit(const LuminanceMap& map, const Visit& visit) {
  for (int row = 0; row < map.rows; ++row) {
    for (int column = 0; column < map.columns; ++column) {
      const std::size_t pixel = map.index(column, row);
      if (map.cd_m2[pixel] > 0.0F) visit(column, row, pixel);
    }
  }
}

// Luminance that all lit pixels but this share stay below; 0 without any light.
double luminance_below_which(const LuminanceMap& map, double share) {
  std::vector<float> lit;
  std::copy_if(map.cd_m2.begin(), map.cd_m2.end(), std::back_inserter(lit),
               [](float cd_m2) { return cd_m2 > 0.0F; });
  if (lit.empty()) return 0.0;
  const auto place = static_cast<std::ptrdiff_t>(share * static_cast<double>(lit.size() - 1) + 0.5);
  std::nth_element(lit.begin(), lit.begin() + place, lit.end());
  return static_cast<double>(lit[static_cast<std::size_t>(place)]);
}

// Where the panel stands in a picture, and how large its letters are.
struct Layout {
  int width;
  int height;
  int left;
  int top;
  int letters;  // pixels a dot
};

Layout layout_of(const LuminanceMap& map, int lines_below) {
  const int longest = std::max(map.columns, map.rows);
  const int letters = std::max(2, longest / 400);
  const int margin = std::max(12, longest / 20);
  const int line = 2 * text_height(letters);
  const int narrowest = text_width("white = 88888 cd/m2", letters) + 2 * margin;
  const int width = std::max(map.columns + 2 * margin, narrowest);
  return {width, map.rows + 2 * margin + lines_below * line, (width - map.columns) / 2, margin,
          letters};
}

ToCanvas on_canvas(const LuminanceMap& map, const Layout& layout) {
  return {static_cast<double>(layout.left), static_cast<double>(layout.top + map.rows),
          map.pixel_mm};
}

Rgb8 encoded(const LinearRgb& light) {
  return {srgb_encoded(light.red), srgb_encoded(light.green), srgb_encoded(light.blue)};
}

// Light of a tint, at its full strength the brightest that a screen can show, over a grey.
Rgb8 lit(double light, const LinearRgb& tint, double grey = 0.0) {
  const double strongest = std::max({tint.red, tint.green, tint.blue});
  return encoded({grey + light * (tint.red / strongest), grey + light * (tint.green / strongest),
                  grey + light * (tint.blue / strongest)});
}

double tone_at(const LuminanceMap& map, std::size_t pixel, const Exposure& exposure) {
  return tone(static_cast<double>(map.cd_m2[pixel]) / exposure.white_cd_m2);
}

// Black but for the panel's outline.
Canvas outlined_on_black(const LuminanceMap& map, const Outline& outline, const Layout& layout) {
  Canvas canvas(layout.width, layout.height, {0, 0, 0});
  trace_outline(outline, on_canvas(map, layout),
                [&](int x, int y, double ink) { canvas.lighten(x, y, dimmed(kOutlineGrey, ink)); });
  return canvas;
}

// A length that fits a scale bar of at most a third of the panel.
int bar_mm(const Outline& outline) {
  return static_cast<int>(std::max(1.0, round_down(outline.size_mm.x() / 3.0)));
}

// The bar of false colours with its labels, and a bar to measure by.
void draw_legend(Canvas& canvas, const Layout& layout, const LuminanceMap& map,
                 const Outline& outline, const LuminanceScale& scale) {
  const int letters = layout.letters;
  const int line = text_height(letters);
  const int top = layout.top + map.rows + layout.top / 2;
  const int left = layout.top;
  const int length = layout.width - 2 * left;

  canvas.write(left, top, letters, kLegendWhite, "cd/m2");
  const int bar = static_cast<int>(bar_mm(outline) / map.pixel_mm);
  const std::string bar_label = std::to_string(bar_mm(outline)) + " mm";
  canvas.fill(left + length - bar, top + line - letters, bar, letters, kLegendWhite);
  canvas.write(left + length - bar - text_width(bar_label + " ", letters) - letters, top, letters,
               kLegendWhite, bar_label);

  const int bar_top = top + line + line / 2;
  for (int i = 0; i < length; ++i) {
    canvas.fill(left + i, bar_top, 1, line, false_colour(i / (length - 1.0)));
  }
  int free_from = 0;
  for (double decade = decade_of(scale.low_cd_m2); decade <= scale.high_cd_m2; decade *= 10.0) {
    for (const double step : kRoundDigits) {
      const double place = scale.place(step * decade);
      if (place < -1e-9 || place > 1.0 + 1e-9) continue;
      const int x = left + static_cast<int>(std::lround(place * (length - 1)));
      canvas.fill(x - letters / 2, bar_top + line, letters, letters * 2, kLegendWhite);
      const std::string label = spoken(step * decade);
      const int wide = text_width(label, letters);
      const int from = std::clamp(x - wide / 2, left, left + length - wide);
      if (from < free_from) continue;
      canvas.write(from, bar_top + line + letters * 3, letters, kLegendWhite, label);
      free_from = from + wide + 3 * letters;
    }
  }
}

// The bar of difference colours between its ends.
void draw_difference_legend(Canvas& canvas, const Layout& layout, const LuminanceMap& map,
                            double end_cd_m2) {
  const int letters = layout.letters;
  const int line = text_height(letters);
  const int top = layout.top + map.rows + layout.top / 2;
  const int left = layout.top;
  const int length = layout.width - 2 * left;
  canvas.write(left, top, letters, kLegendWhite, "difference in cd/m2");
  const int bar_top = top + line + line / 2;
  for (int i = 0; i < length; ++i) {
    const double place = 2.0 * i / (length - 1.0) - 1.0;
    canvas.fill(left + i, bar_top, 1, line, difference_colour(place));
  }
  for (const double place : {-1.0, 0.0, 1.0}) {
    const std::string label = (place > 0.0 ? "+" : "") + spoken(place * end_cd_m2);
    const int wide = text_width(label, letters);
    const int x = left + static_cast<int>(std::lround(0.5 * (place + 1.0) * (length - 1)));
    canvas.write(std::clamp(x - wide / 2, left, left + length - wide), bar_top + line + letters * 3,
                 letters, kLegendWhite, label);
  }
}

}  // namespace

Exposure exposure_of(const LuminanceMap& map) {
  const double bright = luminance_below_which(map, 1.0 - kBeyondWhite);
  if (!(bright > 0.0)) return {};
  return {up_to_two_figures(bright)};
}

double tone(double share_of_white) {
  // A line from 0 and a parabola that reaches 1 level at white; both have value and slope in
  // common at the knee (derived).
  constexpr double kKnee = 0.5;
  constexpr double kSlope = 2.0 / (1.0 + kKnee);
  const double share = std::clamp(share_of_white, 0.0, 1.0);
  if (share <= kKnee) return kSlope * share;
  const double left = (1.0 - share) / (1.0 - kKnee);
  return 1.0 - 0.5 * kSlope * (1.0 - kKnee) * left * left;
}

Rgb8 shown(const Tristimulus& light, const Exposure& exposure) {
  return lit(tone(light.y / exposure.white_cd_m2), tint(light));
}

Canvas glow_picture(const LuminanceMap& map, const Outline& outline, const Exposure& exposure,
                    const std::function<LinearRgb(std::size_t pixel)>& tint) {
  const Layout layout = layout_of(map, 1);
  const auto grey = [](double light) { return encoded({light, light, light}); };
  const Rgb8 unlit = grey(kSheetLight);
  Canvas canvas(layout.width, layout.height, grey(kRoomLight));
  fill_outline(outline, map.pixel_mm, map.columns, map.rows, [&](int column, int row) {
    const std::size_t pixel = map.index(column, row);
    canvas.set(layout.left + column, layout.top + map.rows - 1 - row,
               map.cd_m2[pixel] > 0.0F
                   ? lit(tone_at(map, pixel, exposure), tint(pixel), kSheetLight)
                   : unlit);
  });
  trace_outline(outline, on_canvas(map, layout),
                [&](int x, int y, double ink) { canvas.lighten(x, y, grey(ink * kOutlineLight)); });
  canvas.write(layout.left, layout.top + map.rows + layout.top, layout.letters, kCaptionGrey,
               "white = " + spoken(exposure.white_cd_m2) + " cd/m2");
  return canvas;
}

Canvas light_picture(const LuminanceMap& map, const Exposure& exposure,
                     const std::function<LinearRgb(std::size_t pixel)>& tint) {
  Canvas canvas(map.columns, map.rows, {0, 0, 0});
  for_each_lit(map, [&](int column, int row, std::size_t pixel) {
    canvas.set(column, map.rows - 1 - row, lit(tone_at(map, pixel, exposure), tint(pixel)));
  });
  return canvas;
}

double LuminanceScale::place(double cd_m2) const {
  return std::log(cd_m2 / low_cd_m2) / std::log(high_cd_m2 / low_cd_m2);
}

LuminanceScale scale_of(const LuminanceMap& map) {
  const double bright = luminance_below_which(map, 1.0 - kAboveScale);
  if (!(bright > 0.0)) return {};
  const double high = round_up(bright);
  const double low = round_down(luminance_below_which(map, kBelowScale));
  return {std::clamp(low, high / kLongestScale, high / kShortestScale), high};
}

Canvas luminance_picture(const LuminanceMap& map, const Outline& outline,
                         const LuminanceScale& scale) {
  const Layout layout = layout_of(map, 3);
  Canvas canvas = outlined_on_black(map, outline, layout);
  for_each_lit(map, [&](int column, int row, std::size_t pixel) {
    canvas.set(layout.left + column, layout.top + map.rows - 1 - row,
               false_colour(scale.place(static_cast<double>(map.cd_m2[pixel]))));
  });
  draw_legend(canvas, layout, map, outline, scale);
  return canvas;
}

double end_of_differences(const DifferenceMap& differences) {
  double largest = 0.0;
  for (const auto& difference : differences.cd_m2) {
    if (difference && is_telling(*difference)) {
      largest = std::max(largest, std::abs(difference->mean));
    }
  }
  return largest > 0.0 ? round_up(largest) : 1.0;
}

Canvas difference_picture(const LuminanceMap& map, const Outline& outline,
                          const DifferenceMap& differences, double end_cd_m2) {
  const Layout layout = layout_of(map, 3);
  Canvas canvas = outlined_on_black(map, outline, layout);
  const int dash = 3 * layout.letters;
  for_each_lit(map, [&](int column, int row, std::size_t) {
    const auto difference = differences.at(map.pixel_mm * Vec2(column + 0.5, row + 0.5));
    if (!difference) return;
    Rgb8 colour = kNotTold;
    if (is_telling(*difference)) {
      colour = difference_colour(difference->mean / end_cd_m2);
      if (difference->mean < 0.0 && (column + row) % dash < layout.letters) {
        colour = dimmed(colour, 0.4);
      }
    }
    canvas.set(layout.left + column, layout.top + map.rows - 1 - row, colour);
  });
  draw_difference_legend(canvas, layout, map, end_cd_m2);
  return canvas;
}

Canvas false_light_picture(const LuminanceMap& map, const LuminanceScale& scale) {
  Canvas canvas(map.columns, map.rows, {0, 0, 0});
  for_each_lit(map, [&](int column, int row, std::size_t pixel) {
    canvas.set(column, map.rows - 1 - row,
               false_colour(scale.place(static_cast<double>(map.cd_m2[pixel]))));
  });
  return canvas;
}

std::string pfm_of(const LuminanceMap& map) {
  static_assert(sizeof(float) == 4);
  std::string bytes =
      "Pf\n" + std::to_string(map.columns) + " " + std::to_string(map.rows) + "\n-1.0\n";
  bytes.reserve(bytes.size() + 4 * map.cd_m2.size());
  for (const float value : map.cd_m2) {
    const auto bits = std::bit_cast<std::uint32_t>(value);
    for (const int shift : {0, 8, 16, 24}) bytes.push_back(static_cast<char>(bits >> shift));
  }
  return bytes;
}

}  // namespace rimeglow
