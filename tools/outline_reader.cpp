#include "outline_reader.h"

#include <glib.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <exception>
#include <memory>
#include <optional>

#include "art_source.h"
#include "drawn_lines.h"
#include "svg_gate.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr const char* kOneShape =
    "turn everything into paths and unite them into one; holes are parts of that path";

using Attributes = std::vector<std::pair<std::string_view, std::string_view>>;

std::optional<std::string_view> attribute(const Attributes& all, std::string_view name) {
  for (const auto& [key, value] : all) {
    if (key == name) return value;
  }
  return std::nullopt;
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kSpace = " \t\r\n";
  const std::size_t from = text.find_first_not_of(kSpace);
  if (from == text.npos) return {};
  return text.substr(from, text.find_last_not_of(kSpace) - from + 1);
}

// ---- lengths and transforms ----

struct Length {
  double number = 0.0;
  double unit_mm = 0.0;  // 0 for a share of the page
  std::string unit;      // "" for px
};

Length length_of(std::string_view text) {
  static constexpr std::array<std::pair<std::string_view, double>, 7> kUnits = {
      {{"mm", 1.0},
       {"cm", 10.0},
       {"in", kMmPerInch},
       {"pt", kMmPerInch / 72.0},
       {"pc", kMmPerInch / 6.0},
       {"px", kMmPerCssPixel},
       {"", kMmPerCssPixel}}};
  text = trimmed(text);
  const std::size_t digits = text.find_last_of("0123456789.");
  const std::size_t end = digits == text.npos ? 0 : digits + 1;
  const std::string_view unit = text.substr(end);
  for (const auto& [name, unit_mm] : kUnits) {
    if (unit != name) continue;
    const std::vector<double> number = parse_numbers(text.substr(0, end));
    if (number.size() == 1) {
      return {number.front(), unit_mm, name == "px" ? std::string() : std::string(name)};
    }
  }
  if (unit == "%") return {};
  throw ArtError("the SVG has \"" + std::string(text.substr(0, 40)) + "\" for a length",
                 "write a number and mm, as in width=\"90mm\"; cm, in, pt, pc and px are read too");
}

double user_length(const Attributes& all, std::string_view name) {
  const auto text = attribute(all, name);
  if (!text) return 0.0;
  const Length length = length_of(*text);
  if (length.unit_mm == 0.0) {
    throw ArtError("the SVG has a shape sized as a share of the page", kSaveAgain);
  }
  return length.number * length.unit_mm / kMmPerCssPixel;
}

[[noreturn]] void refuse_transform(std::string_view text) {
  throw ArtError("the SVG has \"" + std::string(text.substr(0, 40)) +
                     "\" for a transform, which is no list of matrix, translate, scale, rotate, "
                     "skewX or skewY",
                 kSaveAgain);
}

Eigen::Affine2d single_transform(std::string_view name, const std::vector<double>& v,
                                 std::string_view text) {
  Eigen::Affine2d one = Eigen::Affine2d::Identity();
  const auto at = [&](std::size_t i) { return i < v.size() ? v[i] : 0.0; };
  if (name == "matrix" && v.size() == 6) {
    one.matrix() << v[0], v[2], v[4], v[1], v[3], v[5], 0.0, 0.0, 1.0;
  } else if (name == "translate" && (v.size() == 1 || v.size() == 2)) {
    one.translate(Vec2(at(0), at(1)));
  } else if (name == "scale" && (v.size() == 1 || v.size() == 2)) {
    one.scale(Vec2(at(0), v.size() == 2 ? v[1] : v[0]));
  } else if (name == "rotate" && (v.size() == 1 || v.size() == 3)) {
    one.translate(Vec2(at(1), at(2))).rotate(radians(v[0])).translate(Vec2(-at(1), -at(2)));
  } else if (name == "skewX" && v.size() == 1) {
    one.linear()(0, 1) = std::tan(radians(v[0]));
  } else if (name == "skewY" && v.size() == 1) {
    one.linear()(1, 0) = std::tan(radians(v[0]));
  } else {
    refuse_transform(text);
  }
  return one;
}

Eigen::Affine2d transform_of(std::string_view text) {
  const std::string_view whole = text;
  Eigen::Affine2d all = Eigen::Affine2d::Identity();
  for (;;) {
    while (!text.empty() && std::strchr(" \t\r\n,", text.front()) != nullptr) text.remove_prefix(1);
    if (text.empty()) break;
    const std::size_t open = text.find('(');
    const std::size_t close = text.find(')');
    if (open == text.npos || close == text.npos || close < open) refuse_transform(whole);
    all = all * single_transform(trimmed(text.substr(0, open)),
                                 parse_numbers(text.substr(open + 1, close - open - 1)), whole);
    text.remove_prefix(close + 1);
  }
  return all;
}

// ---- basic shapes as steps (SVG 2, 10) ----

PathStep step_to(PathStep::Kind kind, double x, double y) {
  PathStep step;
  step.kind = kind;
  step.to = {x, y};
  return step;
}

PathStep quarter(double rx, double ry, double x, double y) {
  PathStep step = step_to(PathStep::Kind::arc, x, y);
  step.radii = {rx, ry};
  step.clockwise = true;
  return step;
}

std::vector<PathStep> rectangle_steps(const Attributes& all) {
  using Kind = PathStep::Kind;
  const double x = user_length(all, "x"), y = user_length(all, "y");
  const double w = user_length(all, "width"), h = user_length(all, "height");
  double rx = user_length(all, attribute(all, "rx") ? "rx" : "ry");
  double ry = user_length(all, attribute(all, "ry") ? "ry" : "rx");
  rx = std::min(std::abs(rx), 0.5 * w);
  ry = std::min(std::abs(ry), 0.5 * h);
  if (!(rx > 0.0 && ry > 0.0)) {
    return {step_to(Kind::move, x, y), step_to(Kind::line, x + w, y),
            step_to(Kind::line, x + w, y + h), step_to(Kind::line, x, y + h),
            step_to(Kind::close, x, y)};
  }
  return {step_to(Kind::move, x + rx, y),     step_to(Kind::line, x + w - rx, y),
          quarter(rx, ry, x + w, y + ry),     step_to(Kind::line, x + w, y + h - ry),
          quarter(rx, ry, x + w - rx, y + h), step_to(Kind::line, x + rx, y + h),
          quarter(rx, ry, x, y + h - ry),     step_to(Kind::line, x, y + ry),
          quarter(rx, ry, x + rx, y),         step_to(Kind::close, x + rx, y)};
}

std::vector<PathStep> ellipse_steps(double cx, double cy, double rx, double ry) {
  using Kind = PathStep::Kind;
  return {step_to(Kind::move, cx + rx, cy), quarter(rx, ry, cx, cy + ry),
          quarter(rx, ry, cx - rx, cy),     quarter(rx, ry, cx, cy - ry),
          quarter(rx, ry, cx + rx, cy),     step_to(Kind::close, cx + rx, cy)};
}

std::vector<PathStep> polygon_steps(const Attributes& all) {
  const std::vector<double> points = parse_numbers(attribute(all, "points").value_or(""));
  std::vector<PathStep> steps;
  for (std::size_t i = 0; i + 1 < points.size(); i += 2) {
    steps.push_back(
        step_to(i == 0 ? PathStep::Kind::move : PathStep::Kind::line, points[i], points[i + 1]));
  }
  if (!steps.empty()) {
    steps.push_back(step_to(PathStep::Kind::close, points[0], points[1]));
  }
  return steps;
}

std::vector<PathStep> steps_of(std::string_view shape, const Attributes& all) {
  if (shape == "path") return parse_path(attribute(all, "d").value_or(""));
  if (shape == "rect") return rectangle_steps(all);
  if (shape == "polygon") return polygon_steps(all);
  const double cx = user_length(all, "cx"), cy = user_length(all, "cy");
  if (shape == "circle") {
    const double r = std::abs(user_length(all, "r"));
    return ellipse_steps(cx, cy, r, r);
  }
  return ellipse_steps(cx, cy, std::abs(user_length(all, "rx")), std::abs(user_length(all, "ry")));
}

// ---- elements ----

bool is_one_of(std::string_view word, std::initializer_list<std::string_view> words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

bool is_hidden(const Attributes& all) {
  const auto says = [&](std::string_view name, std::string_view value) {
    if (attribute(all, name).value_or("") == value) return true;
    std::string style(attribute(all, "style").value_or(""));
    style.erase(std::remove(style.begin(), style.end(), ' '), style.end());
    return (";" + style + ";").find(";" + std::string(name) + ":" + std::string(value) + ";") !=
           std::string::npos;
  };
  return says("display", "none") || says("visibility", "hidden");
}

// Follows the elements and takes the one shape that is drawn.
class OutlineSvg {
 public:
  explicit OutlineSvg(OutlineSize size) : size_(size) {}

  void begin(std::string_view name, const Attributes& all) {
    name.remove_prefix(std::min(name.rfind(':') + 1, name.size()));
    if (frames_.empty()) return begin_page(name, all);
    Frame frame = frames_.back();
    frame.drawn = frame.drawn && !is_hidden(all);
    if (frame.drawn) {
      if (const auto transform = attribute(all, "transform")) {
        frame.to_mm = frame.to_mm * transform_of(*transform);
      }
      const bool shape = is_one_of(name, {"path", "rect", "circle", "ellipse", "polygon"});
      if (shape) take(name, all, frame.to_mm);
      if (is_one_of(name, {"use", "text", "image", "svg", "polyline", "line", "foreignObject"})) {
        throw ArtError("the SVG holds <" + std::string(name) + ">, which gives a panel no outline",
                       kOneShape);
      }
      frame.drawn = is_one_of(name, {"g", "a", "switch"});
    }
    frames_.push_back(frame);
  }

  void end() { frames_.pop_back(); }

  DrawnOutline result() {
    if (shapes_ == 0) throw ArtError("the SVG holds no shape", "draw one closed shape");
    DrawnOutline outline{lines_.take(), std::move(warnings_)};
    if (lines_.curves() > 0) {
      outline.warnings.push_back("the outline's curves that are no circular arcs (" +
                                 std::to_string(lines_.curves()) + ") are followed by " +
                                 std::to_string(lines_.curve_pieces()) +
                                 " straight pieces, within " + spoken(kFlat_mm) + " mm");
    }
    return outline;
  }

 private:
  struct Frame {
    Eigen::Affine2d to_mm;
    bool drawn = true;
  };

  void begin_page(std::string_view name, const Attributes& all) {
    if (name != "svg") throw ArtError("the outline's file is no SVG", kSaveAgain);
    const Vec2 user_mm = user_unit_mm(all);
    Frame page;
    page.to_mm = Eigen::Affine2d(Eigen::Scaling(user_mm.x(), -user_mm.y()));
    frames_.push_back(page);
  }

  // What a unit of the drawing's coordinates is across and down, by width, height and viewBox.
  Vec2 user_unit_mm(const Attributes& all) {
    const auto view_text = attribute(all, "viewBox");
    const std::vector<double> view = parse_numbers(view_text.value_or(""));
    if (view_text && (view.size() != 4 || !(view[2] > 0.0 && view[3] > 0.0))) {
      throw ArtError("the SVG has \"" + std::string(view_text->substr(0, 40)) +
                         "\" for a viewBox, which takes four numbers: left, top, width and height",
                     kSaveAgain);
    }
    const Length width = length_of(attribute(all, "width").value_or("100%"));
    const Length height = length_of(attribute(all, "height").value_or("100%"));
    const double w = width.number * width.unit_mm;
    const double h = height.number * height.unit_mm;
    const bool in_units = (w > 0.0 && !width.unit.empty()) || (h > 0.0 && !height.unit.empty());
    if (view.empty() || !in_units) guess_size();
    if (view.empty() || (w <= 0.0 && h <= 0.0)) return Vec2::Constant(kMmPerCssPixel);
    const Vec2 unit(w > 0.0 ? w / view[2] : h / view[3], h > 0.0 ? h / view[3] : w / view[2]);
    const auto aspect = attribute(all, "preserveAspectRatio");
    if (aspect && trimmed(*aspect) == "none") return unit;
    return Vec2::Constant(unit.minCoeff());
  }

  void guess_size() {
    if (size_ == OutlineSize::by_scene) return;
    warnings_.push_back(
        "the outline's file does not say how large it is: 96 px per inch were guessed; say "
        "panel.width");
  }

  void take(std::string_view shape, const Attributes& all, const Eigen::Affine2d& to_mm) {
    if (++shapes_ > 1) throw ArtError("the SVG holds more than one shape", kOneShape);
    lines_.add(steps_of(shape, all), to_mm);
  }

  OutlineSize size_;
  std::vector<Frame> frames_;
  DrawnLines lines_;
  int shapes_ = 0;
  std::vector<std::string> warnings_;
};

// ---- GLib's markup parser, which calls back in C ----

struct Parsing {
  OutlineSvg svg;
  std::exception_ptr thrown{};
};

template <class Work>
void guarded(gpointer data, GError** error, const Work& work) {
  auto& parsing = *static_cast<Parsing*>(data);
  try {
    work(parsing.svg);
  } catch (...) {
    parsing.thrown = std::current_exception();
    g_set_error_literal(error, G_MARKUP_ERROR, G_MARKUP_ERROR_INVALID_CONTENT, "refused");
  }
}

void on_begin(GMarkupParseContext*, const gchar* name, const gchar** names, const gchar** values,
              gpointer data, GError** error) {
  guarded(data, error, [&](OutlineSvg& svg) {
    Attributes all;
    for (std::size_t i = 0; names[i] != nullptr; ++i) all.emplace_back(names[i], values[i]);
    svg.begin(name, all);
  });
}

void on_end(GMarkupParseContext*, const gchar*, gpointer data, GError** error) {
  guarded(data, error, [](OutlineSvg& svg) { svg.end(); });
}

}  // namespace

DrawnOutline read_outline(std::string_view bytes, OutlineSize size) {
  vet_svg(bytes);
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);  // byte order mark of UTF-8
  Parsing parsing{OutlineSvg(size)};
  const GMarkupParser parser = {on_begin, on_end, nullptr, nullptr, nullptr};
  const std::unique_ptr<GMarkupParseContext, decltype(&g_markup_parse_context_free)> context(
      g_markup_parse_context_new(&parser, G_MARKUP_TREAT_CDATA_AS_TEXT, &parsing, nullptr),
      &g_markup_parse_context_free);
  GError* error = nullptr;
  const bool parsed =
      g_markup_parse_context_parse(context.get(), bytes.data(), static_cast<gssize>(bytes.size()),
                                   &error) == TRUE &&
      g_markup_parse_context_end_parse(context.get(), &error) == TRUE;
  const std::unique_ptr<GError, decltype(&g_error_free)> owner(error, &g_error_free);
  if (parsing.thrown) std::rethrow_exception(parsing.thrown);
  if (!parsed)
    throw ArtError("the SVG cannot be read (" + std::string(error->message) + ")", kSaveAgain);
  return parsing.svg.result();
}

}  // namespace rimeglow
