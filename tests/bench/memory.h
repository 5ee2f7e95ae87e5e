// Peak memory of one whole prediction, measured in a process of its own.
#pragma once

#include <string_view>

namespace rimeglow::bench {

// With this option the program only makes one prediction and ends.
inline constexpr std::string_view kPredictOption = "--predict-once";

void predict_once();

}  // namespace rimeglow::bench
