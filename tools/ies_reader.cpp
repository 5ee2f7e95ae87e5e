#include "ies_reader.h"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <system_error>

#include "art_source.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr const char* kAskAgain =
    "ask the LED's maker for its file again, or say beam_angle instead";
constexpr double kSameAngle_deg = 1e-6;

[[noreturn]] void refuse(const std::string& what, const char* mend = kAskAgain) {
  throw ArtError(what, mend);
}

std::string_view next_line(std::string_view& text) {
  const std::size_t end = std::min(text.find('\n'), text.size());
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(std::min(end + 1, text.size()));
  return line;
}

std::string upper(std::string_view text) {
  std::string result;
  for (const char letter : text) {
    if (letter != ' ' && letter != '\t' && letter != '\r') {
      result += static_cast<char>(std::toupper(static_cast<unsigned char>(letter)));
    }
  }
  return result;
}

// The numbers behind the keywords, over whatever lines they are spread.
class Numbers {
 public:
  explicit Numbers(std::string_view text) : text_(text) {}

  double number(const char* what) {
    skip_gap();
    if (text_.empty()) refuse(std::string("the file ends where ") + what + " belongs");
    if (text_.front() == '+') text_.remove_prefix(1);
    double value = 0.0;
    const auto [end, error] = std::from_chars(text_.data(), text_.data() + text_.size(), value);
    const auto used = static_cast<std::size_t>(end - text_.data());
    const bool whole = used == text_.size() || kGap.find(text_[used]) != kGap.npos;
    if (error != std::errc{} || !whole || !std::isfinite(value)) {
      refuse("the file holds \"" +
             std::string(text_.substr(
                 0, std::min<std::size_t>(std::min(text_.find_first_of(kGap), text_.size()), 20))) +
             "\" where " + what + " belongs");
    }
    text_.remove_prefix(used);
    return value;
  }

  std::size_t count(const char* what, double most) {
    const double value = number(what);
    if (!(value >= 1.0 && value <= most) || value != std::floor(value)) {
      refuse("the file gives " + spoken(value) + " for " + what);
    }
    return static_cast<std::size_t>(value);
  }

  double factor(const char* what) {
    const double value = number(what);
    if (!(value > 0.0)) refuse("the file gives " + spoken(value) + " for " + what);
    return value;
  }

  std::vector<double> list(std::size_t count, const char* what) {
    if (count > text_.size()) refuse(std::string("the file ends where ") + what + " belongs");
    std::vector<double> values;
    for (std::size_t i = 0; i < count; ++i) values.push_back(number(what));
    return values;
  }

  bool at_end() {
    skip_gap();
    return text_.empty();
  }

 private:
  static constexpr std::string_view kGap = " \t\r\n,\x1A";  // with the end mark of old systems

  void skip_gap() { text_.remove_prefix(std::min(text_.find_first_not_of(kGap), text_.size())); }

  std::string_view text_;
};

void check_rising(const std::vector<double>& angles_deg, const char* what) {
  for (std::size_t i = 1; i < angles_deg.size(); ++i) {
    if (angles_deg[i] > angles_deg[i - 1]) continue;
    refuse(std::string("the file's ") + what + " do not rise: " + spoken(angles_deg[i]) +
           " degrees follow " + spoken(angles_deg[i - 1]));
  }
}

bool is_angle(double angle_deg, double wanted_deg) {
  return std::abs(angle_deg - wanted_deg) < kSameAngle_deg;
}

void check_vertical(const std::vector<double>& angles_deg) {
  check_rising(angles_deg, "vertical angles");
  const bool whole = angles_deg.size() > 1 && is_angle(angles_deg.front(), 0.0) &&
                     (is_angle(angles_deg.back(), 90.0) || is_angle(angles_deg.back(), 180.0));
  if (!whole) {
    refuse("the file's vertical angles go from " + spoken(angles_deg.front()) + " to " +
           spoken(angles_deg.back()) + " degrees; they have to go from 0 to 90 or 180");
  }
}

void check_horizontal(const std::vector<double>& angles_deg) {
  check_rising(angles_deg, "horizontal angles");
  const double last = angles_deg.back();
  const bool known =
      is_angle(angles_deg.front(), 0.0) && (is_angle(last, 0.0) || is_angle(last, 90.0) ||
                                            is_angle(last, 180.0) || is_angle(last, 360.0));
  if (!known) {
    refuse("the file's horizontal angles go from " + spoken(angles_deg.front()) + " to " +
           spoken(last) + " degrees; they have to go from 0 to 0, 90, 180 or 360");
  }
}

// Half planes by angle, completed to a full turn by the symmetry that the last angle stands for.
struct Planes {
  std::vector<double> angles_deg;
  std::vector<std::vector<double>> cd;

  // Mirrored at the last plane.
  void double_up() {
    const double last = angles_deg.back();
    for (std::size_t i = angles_deg.size() - 1; i-- > 0;) {
      angles_deg.push_back(2.0 * last - angles_deg[i]);
      cd.push_back(cd[i]);
    }
  }

  void complete() {
    if (angles_deg.size() == 1) {  // the same all round
      angles_deg.push_back(360.0);
      cd.push_back(cd.front());
    }
    while (angles_deg.back() < 360.0 - kSameAngle_deg) double_up();
  }
};

// What stands before the numbers: labels, keywords, and the lamp's tilt.
Numbers behind_keywords(std::string_view bytes, std::vector<std::string>& warnings) {
  constexpr std::string_view kTilt = "TILT=";
  while (!bytes.empty()) {
    const std::string line = upper(next_line(bytes));
    if (!line.starts_with(kTilt)) continue;
    const std::string tilt = line.substr(kTilt.size());
    Numbers numbers(bytes);
    if (tilt == "NONE") return numbers;
    if (tilt != "INCLUDE") {
      refuse("the file refers to another one for the lamp's tilt (TILT=" + tilt.substr(0, 40) + ")",
             "write TILT=NONE in its place: an LED gives the same light whichever way it points");
    }
    numbers.number("the lamp's place in the luminaire");
    const std::size_t count = numbers.count("the number of tilt angles", 1e4);
    numbers.list(2 * count, "a tilt angle or factor");
    warnings.push_back(
        "factors for a tilted lamp are left aside: an LED gives the same light whichever way it "
        "points");
    return numbers;
  }
  refuse("the file is no LM-63 photometry: it has no line TILT=",
         "name a file that ends in .ies, as LED makers offer them");
}

void check_type(double type) {
  if (type == 1.0) return;
  const std::string name = type == 2.0 ? "type B" : type == 3.0 ? "type A" : "no known type";
  refuse("the file's photometry is " + name + "; only type C is read",
         "ask for the file in type C, as it is usual for LEDs");
}

// The intensities behind the angles, in cd.
Planes planes_in(Numbers& numbers, std::size_t vertical_count,
                 const std::vector<double>& horizontal_deg, double factor) {
  Planes planes{horizontal_deg, {}};
  double brightest = 0.0;
  for (std::size_t plane = 0; plane < horizontal_deg.size(); ++plane) {
    planes.cd.push_back(numbers.list(vertical_count, "a luminous intensity"));
    for (double& cd : planes.cd.back()) {
      if (cd < 0.0) refuse("the file gives a luminous intensity below 0: " + spoken(cd) + " cd");
      cd *= factor;
      brightest = std::max(brightest, cd);
    }
  }
  if (!numbers.at_end()) refuse("the file holds more numbers than it says");
  if (!(brightest > 0.0) || !std::isfinite(brightest)) refuse("the file's lamp gives no light");
  planes.complete();
  return planes;
}

std::shared_ptr<const FarField> far_field_of(const std::vector<double>& vertical_deg,
                                             const Planes& planes) {
  std::vector<double> vertical_rad, horizontal_rad, intensity_cd;
  for (const double angle : vertical_deg) vertical_rad.push_back(radians(angle));
  for (const double angle : planes.angles_deg) horizontal_rad.push_back(radians(angle));
  for (const std::vector<double>& plane : planes.cd) {
    intensity_cd.insert(intensity_cd.end(), plane.begin(), plane.end());
  }
  auto far_field =
      std::make_shared<const FarField>(vertical_rad, horizontal_rad, std::move(intensity_cd));
  if (!(far_field->flux_lm() > 0.0) || !std::isfinite(far_field->flux_lm())) {
    refuse("the file's lamp gives no light");
  }
  return far_field;
}

}  // namespace

MeasuredLight read_ies(std::string_view bytes) {
  if (bytes.size() > kMostIesBytes) {
    refuse("the file is larger than any photometry (over " +
               spoken(static_cast<double>(kMostIesBytes) / 1e6) + " MB)",
           "name the LED's .ies file");
  }
  MeasuredLight light;
  Numbers numbers = behind_keywords(bytes, light.warnings);
  const double lamps = numbers.number("the number of lamps");
  numbers.number("the lumens of a lamp");  // -1 where candela are absolute; the table tells more
  const double multiplier = numbers.factor("the multiplier");
  const std::size_t vertical_count = numbers.count("the number of vertical angles", 1e6);
  const std::size_t horizontal_count = numbers.count("the number of horizontal angles", 1e6);
  check_type(numbers.number("the photometric type"));
  for (const char* what : {"the unit of size", "the width", "the length", "the height"}) {
    numbers.number(what);
  }
  const double ballast = numbers.factor("the ballast factor");
  // Kept for later use in most editions, and 1 in them; the ballast-lamp factor in the first.
  const double said = numbers.number("the factor behind the ballast factor");
  const double further = said == 0.0 ? 1.0 : said;
  if (further < 0.0) refuse("the file gives a ballast-lamp factor below 0: " + spoken(further));
  numbers.number("the watts");
  const std::vector<double> vertical_deg = numbers.list(vertical_count, "a vertical angle");
  const std::vector<double> horizontal_deg = numbers.list(horizontal_count, "a horizontal angle");
  check_vertical(vertical_deg);
  check_horizontal(horizontal_deg);

  const Planes planes =
      planes_in(numbers, vertical_count, horizontal_deg, multiplier * ballast * further);
  light.far_field = far_field_of(vertical_deg, planes);
  if (lamps > 1.0) {
    light.warnings.push_back("it was measured on " + spoken(lamps) +
                             " lamps together, whose light is taken for that of one LED; say "
                             "flux_each, or name a file of one");
  }
  const double backward = light.far_field->backward_share();
  if (backward > 1e-3) {
    light.warnings.push_back(
        percent(backward) +
        " of the light leaves backwards, more than 90 degrees from the axis, and "
        "is counted as missed");
  }
  return light;
}

}  // namespace rimeglow
