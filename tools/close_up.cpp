#include "close_up.h"

#include <algorithm>
#include <cmath>

#include "canvas.h"

namespace rimeglow {
namespace {

constexpr double kPixel_mm = 0.03;
const Vec2 kSize_mm(12.0, 8.0);
constexpr int kGap = 8;
constexpr int kCaptionHeight = 18;

void draw(Canvas& canvas, const BurntField& field, int left, int top) {
  for (int row = 0; row < field.rows; ++row)
    for (int column = 0; column < field.columns; ++column) {
      const std::uint8_t code =
          srgb_encoded(field.share[static_cast<std::size_t>(row * field.columns + column)]);
      canvas.set(left + column, top + field.rows - 1 - row, {code, code, code});
    }
}

// Along rows, then, turned, along columns.
std::vector<double> blurred_along(const std::vector<double>& share, int columns, int rows,
                                  const std::vector<double>& weights) {
  const int reach = static_cast<int>(weights.size()) - 1;
  std::vector<double> turned(share.size());
  for (int row = 0; row < rows; ++row)
    for (int column = 0; column < columns; ++column) {
      double sum = 0.0;
      for (int k = -reach; k <= reach; ++k) {
        const int at = std::clamp(column + k, 0, columns - 1);
        sum += weights[static_cast<std::size_t>(std::abs(k))] *
               share[static_cast<std::size_t>(row * columns + at)];
      }
      turned[static_cast<std::size_t>(column * rows + row)] = sum;
    }
  return turned;
}

}  // namespace

BurntField burnt_field(const Model& model, const Vec2& lower_left_mm, const Vec2& size_mm,
                       double pixel_mm) {
  BurntField field{static_cast<int>(size_mm.x() / pixel_mm),
                   static_cast<int>(size_mm.y() / pixel_mm),
                   pixel_mm,
                   {}};
  for (int row = 0; row < field.rows; ++row)
    for (int column = 0; column < field.columns; ++column) {
      const Vec2 at = lower_left_mm + pixel_mm * Vec2(column + 0.5, row + 0.5);
      double share = 0.0;
      for (const Layer& layer : model.layers) share += layer.engraved().at(at.x(), at.y());
      field.share.push_back(std::min(share, 1.0));
    }
  return field;
}

BurntField seen_from(const BurntField& field, double distance_mm) {
  const double width_mm = distance_mm * radians(1.0 / 60.0);
  const double sigma_px = width_mm / (2.0 * std::sqrt(2.0 * std::log(2.0))) / field.pixel_mm;
  std::vector<double> weights;
  double sum = 0.0;
  for (int k = 0; k <= static_cast<int>(std::ceil(4.0 * sigma_px)); ++k) {
    weights.push_back(std::exp(-0.5 * k * k / (sigma_px * sigma_px)));
    sum += k == 0 ? weights.back() : 2.0 * weights.back();
  }
  for (double& weight : weights) weight /= sum;
  BurntField seen = field;
  seen.share = blurred_along(field.share, field.columns, field.rows, weights);
  seen.share = blurred_along(seen.share, field.rows, field.columns, weights);
  return seen;
}

std::string close_up_png(const Model& before, const Model& after, const Vec2& middle_mm) {
  const Vec2 corner = middle_mm - 0.5 * kSize_mm;
  const BurntField fields[] = {burnt_field(before, corner, kSize_mm, kPixel_mm),
                               burnt_field(after, corner, kSize_mm, kPixel_mm)};
  const int width = fields[0].columns;
  const int height = fields[0].rows;
  Canvas canvas(2 * width + kGap, 2 * (height + kCaptionHeight) + kGap, {16, 21, 27});
  constexpr Rgb8 kInk = {200, 200, 200};
  const char* names[] = {"burnt in full", "by the plan"};
  for (int i = 0; i < 2; ++i) {
    const int left = i * (width + kGap);
    canvas.write(left + 4, 4, 1, kInk, std::string(names[i]) + ", 12 mm");
    draw(canvas, fields[i], left, kCaptionHeight);
    canvas.write(left + 4, kCaptionHeight + height + kGap + 4, 1, kInk, "the same from 500 mm");
    draw(canvas, seen_from(fields[i], kReadingDistance_mm), left,
         2 * kCaptionHeight + height + kGap);
  }
  return png_of(canvas);
}

}  // namespace rimeglow
