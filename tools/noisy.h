// An estimate as JSON: its value, its error, and the span that uncalibrated inputs leave it.
#pragma once

#include <cmath>
#include <optional>

#include <nlohmann/json.hpp>

#include "glow.h"

namespace rimeglow {

inline nlohmann::ordered_json noisy(const Estimate& estimate,
                                    const std::optional<Span>& span = {}) {
  if (!std::isfinite(estimate.mean)) return nullptr;
  nlohmann::ordered_json json = {{"value", estimate.mean}, {"error", estimate.standard_error}};
  if (span) {
    json["low"] = span->low;
    json["high"] = span->high;
  }
  return json;
}

inline nlohmann::ordered_json noisy(const std::optional<Estimate>& estimate,
                                    const std::optional<Span>& span = {}) {
  return estimate ? noisy(*estimate, span) : nlohmann::ordered_json(nullptr);
}

}  // namespace rimeglow
