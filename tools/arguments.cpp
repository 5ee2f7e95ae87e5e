#include "arguments.h"

#include <charconv>
#include <optional>

#include <CLI/CLI.hpp>

#include "quantity.h"
#include "units.h"

namespace rimeglow {
namespace {

// "1%", "1 %" or "0.01".
double relative_error(const std::string& text) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  std::string rest(end, text.data() + text.size());
  rest.erase(0, rest.find_first_not_of(' '));
  if (rest == "%") value /= 100.0;
  const bool understood = error == std::errc{} && (rest.empty() || rest == "%");
  if (!understood || !(value >= 1e-5 && value < 1.0)) {
    throw CLI::ValidationError(
        "--error", "\"" + text + "\" is no error between 0.001% and 100%, as in --error 1%");
  }
  return value;
}

// A quantity said on the command line, in its unit, within bounds.
std::optional<double> quantity_said(const std::string& option, const std::string& text,
                                    Dimension dimension, double low, double high) {
  if (text.empty()) return std::nullopt;
  const auto parsed = parse_quantity(text, dimension);
  if (const auto* why = std::get_if<std::string>(&parsed)) {
    throw CLI::ValidationError(option,
                               *why + "; write it as in " + std::string(example_of(dimension)));
  }
  const double value = std::get<double>(parsed);
  if (!(value >= low && value <= high)) {
    throw CLI::ValidationError(option, "\"" + text + "\" is not between " +
                                           quantity_text(low, dimension) + " and " +
                                           quantity_text(high, dimension));
  }
  return value;
}

}  // namespace

Changes changes_of(const std::vector<std::string>& settings) {
  Changes changes;
  for (const std::string& setting : settings) {
    const std::size_t equals = setting.find('=');
    if (equals == 0 || equals == std::string::npos) {
      throw CLI::ValidationError(
          "--set", "\"" + setting + "\" is not key=value, as in --set panel.thickness=5mm");
    }
    changes.emplace_back(setting.substr(0, equals), setting.substr(equals + 1));
  }
  return changes;
}

PredictOptions predict_options_of(const Arguments& from) {
  PredictOptions options{from};
  if (!from.error.empty()) options.error = relative_error(from.error);
  return options;
}

FollowOptions follow_options_of(const Arguments& from) { return {from, from.photon, from.ending}; }

CompareOptions compare_options_of(const Arguments& from) {
  return {from, changes_of(from.settings), from.key, from.values};
}

LookOptions look_options_of(const Arguments& from) {
  LookOptions options{from};
  options.distance_mm = quantity_said("--distance", from.distance, Dimension::length, 20, 20000);
  options.height_mm = quantity_said("--height", from.height, Dimension::length, -20000, 20000);
  options.bearing_rad =
      quantity_said("--bearing", from.bearing, Dimension::angle, radians(-89), radians(89));
  options.behind = from.behind;
  options.white_cd_m2 = quantity_said("--white", from.white, Dimension::luminance, 1e-3, 1e7);
  options.pixels = from.pixels;
  return options;
}

EvenRunOptions even_options_of(const Arguments& from) { return {from, from.jig}; }

ServeOptions serve_options_of(const Arguments& from) {
  ServeOptions options;
  options.port = from.port;
  if (!from.designs.empty()) options.designs = from.designs;
  return options;
}

}  // namespace rimeglow
