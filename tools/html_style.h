// The looks of the report: a dark page with light along its edges on a screen, black on white on
// paper. Plain CSS, fetches nothing.
#pragma once

#include <string_view>

namespace rimeglow {

extern const std::string_view kReportStyle;

}  // namespace rimeglow
