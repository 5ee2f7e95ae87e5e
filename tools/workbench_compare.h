// What one panel differs in from another, in words and as a picture, by short runs of the same
// photons.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "model.h"
#include "panel_picture.h"
#include "wanted.h"

namespace rimeglow {

struct Contrast {
  std::string words;
  std::optional<DifferencePicture> picture;  // of pieces with art alike
};

enum class ContrastPicture { drawn, left_out };

// `deed` names what makes the difference, as "sanding the top edge".
Contrast compared(std::shared_ptr<const Model> base, std::shared_ptr<const Model> other,
                  const std::string& deed, ContrastPicture picture, const IsWanted& is_wanted);

}  // namespace rimeglow
