// What one panel differs in from another, in words and as a picture, by short runs of the same
// photons. Can be broken off.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "model.h"
#include "panel_picture.h"
#include "workbench_camera.h"

namespace rimeglow {

struct Contrast {
  std::string words;
  std::optional<DifferencePicture> picture;  // of pieces with art alike
};

// `deed` names what makes the difference, as "sanding the top edge". `is_wanted` is asked every few
// hundredths of a second while light is traced, and between the ends of what nobody has measured;
// once it says no, nothing comes.
std::optional<Contrast> compared(std::shared_ptr<const Model> base,
                                 std::shared_ptr<const Model> other, const std::string& deed,
                                 const IsWanted& is_wanted);

}  // namespace rimeglow
