// A lamp's measured light from a file in the format of ANSI/IES LM-63 (1986 to 2019): type C
// photometry, its axis along the LED's. Opens no file; takes bytes from strangers.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "far_field.h"

namespace rimeglow {

inline constexpr std::size_t kMostIesBytes = 2'000'000;

struct MeasuredLight {
  std::shared_ptr<const FarField> far_field;
  std::vector<std::string> warnings;
};

// Throws ArtError. Candela are as the file multiplies them: by its multiplier and ballast factors.
MeasuredLight read_ies(std::string_view bytes);

}  // namespace rimeglow
