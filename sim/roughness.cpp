#include "roughness.h"

#include <array>
#include <cmath>

namespace rimeglow {
namespace {

struct Grade {
  std::string_view name;
  double grain_um;
};

// Mean grain of FEPA/ISO 6344 P grades and of CAMI (US) grades, as tabulated at
// stusshed.wordpress.com/2008/03/24; sizes.com/tools/sandpaper.htm agrees.
constexpr std::array kGrades = std::to_array<Grade>(
    {{"P12", 1815},   {"P16", 1324},    {"P20", 1000},    {"P24", 764},    {"P30", 642},
     {"P36", 538},    {"P40", 425},     {"P50", 336},     {"P60", 269},    {"P80", 201},
     {"P100", 162},   {"P120", 125},    {"P150", 100},    {"P180", 82},    {"P220", 68},
     {"P240", 58.5},  {"P280", 52.2},   {"P320", 46.2},   {"P360", 40.5},  {"P400", 35},
     {"P500", 30.2},  {"P600", 25.8},   {"P800", 21.8},   {"P1000", 18.3}, {"P1200", 15.3},
     {"P1500", 12.6}, {"P2000", 10.3},  {"P2500", 8.4},   {"24 US", 708},  {"30 US", 632},
     {"36 US", 530},  {"40 US", 425},   {"50 US", 348},   {"60 US", 265},  {"80 US", 190},
     {"100 US", 140}, {"120 US", 115},  {"150 US", 92},   {"180 US", 82},  {"220 US", 68},
     {"240 US", 53},  {"320 US", 36},   {"360 US", 28},   {"400 US", 23},  {"500 US", 20},
     {"600 US", 16},  {"800 US", 12.6}, {"1000 US", 10.3}});

constexpr double kUsualGrain_um = 46.2;  // P320
constexpr double kUsualAlpha = 0.3;
constexpr double kAlongGroove = 1.0 / 3.0;

}  // namespace

std::optional<double> grain_um(std::string_view grit) {
  for (const Grade& grade : kGrades) {
    if (grade.name == grit) return grade.grain_um;
  }
  return std::nullopt;
}

std::vector<std::string> grits() {
  std::vector<std::string> names;
  for (const Grade& grade : kGrades) names.emplace_back(grade.name);
  return names;
}

Roughness sanded(double grain_um, Stroke stroke) {
  const double across_groove = kUsualAlpha * std::pow(grain_um / kUsualGrain_um, 0.25);
  const double along_groove =
      stroke == Stroke::circular ? across_groove : kAlongGroove * across_groove;
  if (stroke == Stroke::across) return {{across_groove, along_groove}};
  return {{along_groove, across_groove}};
}

Roughness laser_cut() { return {{0.15, 0.05}, {0.2, 3.0}}; }

Roughness sawn() { return {{0.5, 0.3}, {0.4, 2.5}}; }

}  // namespace rimeglow
