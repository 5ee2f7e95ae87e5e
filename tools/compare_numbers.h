// comparison.json: every number of a comparison in exact form. The same scene, variants, seed and
// photons give the same bytes.
#pragma once

#include <string>
#include <string_view>

#include "compare_page.h"

namespace rimeglow {

inline constexpr std::string_view kComparisonSchema = "rimeglow comparison 1";

std::string comparison_json(const Comparing& comparing);

}  // namespace rimeglow
