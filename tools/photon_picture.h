// One photon's way as a picture: the panel from the front with its art, and beside it, at the same
// height, from its left edge with the thickness stretched.
#pragma once

#include <string>

#include "canvas.h"
#include "history.h"

namespace rimeglow {

Canvas photon_picture(const Model& model, const History& history, const std::string& caption);

}  // namespace rimeglow
