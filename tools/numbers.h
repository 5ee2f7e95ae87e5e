// numbers.json: every number of a prediction in exact form, for scripts and tests. The same scene,
// seed and photons give the same bytes: it holds no time, duration or path, and does not depend on
// the locale.
#pragma once

#include <string>
#include <string_view>

#include "prediction.h"

namespace rimeglow {

// The value of the key "schema", by which our own files are known again.
inline constexpr std::string_view kNumbersSchema = "rimeglow numbers 1";

// Numbers with noise are {"value", "error"}, one standard error; null is "not to be had": contrast
// in a room without light, evenness with nothing engraved, a clear blank's glow.
std::string numbers_json(const Prediction& prediction);

}  // namespace rimeglow
