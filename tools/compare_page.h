// comparison.html: designs side by side at one exposure, what differs and how far that is known.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "compare.h"
#include "prediction.h"

namespace rimeglow {

// One design of a comparison, with its pictures as PNG bytes.
struct Design {
  std::string title;
  std::string verdict;  // in words; empty for the base
  Prediction prediction;
  std::string glow_png;
  std::string seated_png;  // by a camera
  std::optional<std::string> difference_png;
};

struct Comparing {
  std::string title;            // of the scene
  std::vector<Design> designs;  // the base first
  Comparison comparison;
  Exposure exposure;                      // of all glow pictures
  Exposure seated_exposure;               // of all camera pictures
  double end_of_differences_cd_m2 = 0.0;  // of all difference pictures
  std::vector<std::string> warnings;
};

std::string comparison_html(const Comparing& comparing);

}  // namespace rimeglow
