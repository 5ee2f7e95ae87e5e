// What a row of reader_errors_test.cpp is, and its rows for outlines and for measured light.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace rimeglow {

inline const std::string kPage = "width=\"20mm\" height=\"10mm\" viewBox=\"0 0 20 10\"";
inline const std::string kSquare = "<rect width=\"9\" height=\"9\"/>";
inline const std::string kPanel =
    "[panel]\nwidth = \"90 mm\"\nheight = \"90 mm\"\nthickness = \"3 mm\"\n[lamp]\ncount = 1\n"
    "flux_each = \"9 lm\"\n";
inline const std::string kScene = kPanel + "[mark.a]\n[art]\nfile = \"art\"\n";

struct Case {
  std::string art;
  std::string scene = kScene;
  std::vector<std::pair<std::string, std::string>> changes;
  std::string said;  // behind the scene's name; "*" stands for a library's own words
};

inline const std::string kSayingSaveAgain =
    "\n    open it in a drawing program and save it again as plain SVG\n";

// `art` is the outline's file, or the light's.
std::vector<Case> outline_cases();
std::vector<Case> light_cases();

}  // namespace rimeglow
