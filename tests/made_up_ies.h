// LM-63 files of our own making, of lamps whose flux is known in closed form.
#pragma once

#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "units.h"

namespace rimeglow::made_up {

struct IesStyle {
  std::string head = "IESNA:LM-63-2002\n[TEST] 1\n[MANUFAC] nobody\nTILT=NONE\n";
  std::string line = "\n";
  std::string gap = " ";
  double last_vertical_deg = 90.0;
  double step_deg = 2.5;
  std::vector<double> horizontal_deg = {0.0};
  double multiplier = 1.0;
  double ballast = 1.0;
  int type = 1;
};

// A file of intensities cd(vertical, horizontal), in degrees.
inline std::string ies(const std::function<double(double, double)>& cd,
                       const IesStyle& style = {}) {
  std::vector<double> vertical;
  const int steps = static_cast<int>(std::lround(style.last_vertical_deg / style.step_deg));
  for (int i = 0; i <= steps; ++i) vertical.push_back(i * style.step_deg);
  const auto number = [](double value) { return std::to_string(value); };
  std::string text =
      style.head + "1" + style.gap + "-1" + style.gap + number(style.multiplier) + style.gap +
      std::to_string(vertical.size()) + style.gap + std::to_string(style.horizontal_deg.size()) +
      style.gap + std::to_string(style.type) + style.gap + "2" + style.gap + "0 0 0" + style.line +
      number(style.ballast) + style.gap + "1" + style.gap + "0.06" + style.line;
  for (const double angle : vertical) text += number(angle) + style.gap;
  text += style.line;
  for (const double angle : style.horizontal_deg) text += number(angle) + style.gap;
  text += style.line;
  for (const double round : style.horizontal_deg) {
    int in_line = 0;
    for (const double angle : vertical) {
      text += number(cd(angle, round)) + (++in_line % 7 == 0 ? style.line : style.gap);
    }
    text += style.line;
  }
  return text;
}

// I0 cos^m, nothing behind.
inline std::function<double(double, double)> cosine(double intensity_cd, double power) {
  return [=](double vertical_deg, double) {
    return vertical_deg >= 90.0 ? 0.0
                                : intensity_cd * std::pow(std::cos(radians(vertical_deg)), power);
  };
}

}  // namespace rimeglow::made_up
