#include "path_data.h"

#include <charconv>
#include <cmath>
#include <string>
#include <system_error>

#include "art_source.h"
#include "svg_gate.h"

namespace rimeglow {
namespace {

constexpr std::string_view kSpace = " \t\r\n\f";

bool is_in(char letter, std::string_view set) { return set.find(letter) != set.npos; }

class PathText {
 public:
  explicit PathText(std::string_view text) : text_(text) {}

  bool at_end() {
    skip_space();
    return at_ == text_.size();
  }
  char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }
  void step() { ++at_; }

  void skip_space() {
    while (at_ < text_.size() && is_in(text_[at_], kSpace)) ++at_;
  }
  // Space with at most one comma in it.
  void skip_separator() {
    skip_space();
    if (peek() == ',') ++at_;
    skip_space();
  }

  bool at_number() const { return is_in(peek(), "+-.0123456789") && at_ < text_.size(); }

  double number() {
    if (!at_number()) refuse();
    std::size_t from = at_;
    if (text_[from] == '+') ++from;
    if (from < text_.size() && !is_in(text_[from], "-.0123456789")) refuse();
    if (from != at_ && text_[from] == '-') refuse();
    double value = 0.0;
    const char* const end = text_.data() + text_.size();
    const auto [stop, error] = std::from_chars(text_.data() + from, end, value);
    if (error != std::errc{} || !std::isfinite(value)) refuse();
    at_ = static_cast<std::size_t>(stop - text_.data());
    return value;
  }

  // One character: "01" in an arc may be two flags.
  bool flag() {
    if (peek() != '0' && peek() != '1') refuse();
    return text_[at_++] == '1';
  }

  [[noreturn]] void refuse() const {
    const std::string found =
        at_ < text_.size() ? "there is \"" + std::string(text_.substr(at_, 10)) + "\"" : "it ends";
    throw ArtError("the SVG has a list of numbers or a path that cannot be read: at character " +
                       std::to_string(at_ + 1) + " " + found +
                       " where a number or a path's letter belongs",
                   kSaveAgain);
  }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
};

class PathParser {
 public:
  explicit PathParser(std::string_view data) : numbers_(data) {}

  std::vector<PathStep> parse() {
    while (!numbers_.at_end()) {
      const char letter = numbers_.peek();
      if (!is_in(letter, "MmLlHhVvCcSsQqTtAaZz")) numbers_.refuse();
      if (steps_.empty() && letter != 'M' && letter != 'm') numbers_.refuse();
      numbers_.step();
      command(letter);
    }
    return std::move(steps_);
  }

 private:
  void command(char letter) {
    const bool relative = letter >= 'a';
    char what = relative ? static_cast<char>(letter - 'a' + 'A') : letter;
    if (what == 'Z') return close();
    do {
      numbers_.skip_space();
      segment(what, relative ? here_ : Vec2(Vec2::Zero()));
      if (what == 'M') what = 'L';  // further points of a move are lines
      numbers_.skip_separator();
    } while (numbers_.at_number());
  }

  void close() {
    PathStep step;
    step.kind = PathStep::Kind::close;
    step.to = here_ = begin_;
    add(step);
  }

  void segment(char what, const Vec2& base) {
    PathStep step;
    switch (what) {
      case 'M':
        step.to = point(base);
        begin_ = step.to;
        break;
      case 'H':
        step.kind = PathStep::Kind::line;
        step.to = {base.x() + next(), here_.y()};
        break;
      case 'V':
        step.kind = PathStep::Kind::line;
        step.to = {here_.x(), base.y() + next()};
        break;
      case 'C':
      case 'S':
        step.kind = PathStep::Kind::cubic;
        step.control[0] = what == 'C' ? point(base) : mirrored(PathStep::Kind::cubic, 1);
        step.control[1] = point(base);
        step.to = point(base);
        break;
      case 'Q':
      case 'T':
        step.kind = PathStep::Kind::quadratic;
        step.control[0] = what == 'Q' ? point(base) : mirrored(PathStep::Kind::quadratic, 0);
        step.to = point(base);
        break;
      case 'A':
        arc(step, base);
        break;
      default:
        step.kind = PathStep::Kind::line;
        step.to = point(base);
    }
    here_ = step.to;
    add(step);
  }

  void arc(PathStep& step, const Vec2& base) {
    step.kind = PathStep::Kind::arc;
    step.radii.x() = std::abs(next());
    step.radii.y() = std::abs(next());
    step.turned_deg = next();
    step.long_way = numbers_.flag();
    numbers_.skip_separator();
    step.clockwise = numbers_.flag();
    numbers_.skip_separator();
    step.to = point(base);
  }

  double next() {
    const double value = numbers_.number();
    numbers_.skip_separator();
    return value;
  }

  Vec2 point(const Vec2& base) {
    const double x = next();
    const double y = next();
    return base + Vec2(x, y);
  }

  // The last curve's control point mirrored at its end; without such a curve, the end itself.
  Vec2 mirrored(PathStep::Kind kind, std::size_t control) const {
    const PathStep& last = steps_.back();
    return last.kind == kind ? Vec2(2.0 * here_ - last.control[control]) : here_;
  }

  void add(const PathStep& step) {
    if (!step.to.allFinite()) numbers_.refuse();
    steps_.push_back(step);
  }

  PathText numbers_;
  Vec2 here_ = Vec2::Zero();
  Vec2 begin_ = Vec2::Zero();
  std::vector<PathStep> steps_;
};

}  // namespace

std::vector<PathStep> parse_path(std::string_view data) { return PathParser(data).parse(); }

std::vector<double> parse_numbers(std::string_view text) {
  PathText numbers(text);
  std::vector<double> values;
  while (!numbers.at_end()) {
    values.push_back(numbers.number());
    numbers.skip_separator();
  }
  return values;
}

}  // namespace rimeglow
