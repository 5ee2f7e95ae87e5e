// report.html: a prediction to read and to print. Verdicts first, then the pictures, then the
// numbers behind them, what went in, what to mind at the bench, and how to get the same again.
// One file without scripts and without anything fetched from elsewhere.
#pragma once

#include <string>

#include "html.h"
#include "pictures.h"
#include "prediction.h"

namespace rimeglow {

// The two pictures as PNG bytes, with what the captions must say about them.
struct ReportPictures {
  std::string glow_png;
  Exposure exposure;
  std::string luminance_png;
  LuminanceScale scale;
};

// What another verb has to say of the same panel stands first.
struct ReportPart {
  std::string kind = "Predicted glow";
  Html sections{};
};
std::string html_report(const Prediction& prediction, const ReportPictures& pictures,
                        const ReportPart& first = {});

}  // namespace rimeglow
