// The geometry that light is traced in: a Prism where all edges are square, else a Mesh.
#pragma once

#include <variant>

#include "mesh.h"
#include "model.h"
#include "prism.h"

namespace rimeglow {

using Shape = std::variant<Prism, Mesh>;

// As photons meet it, bare faces folded away, or with every face met.
enum class Faces { folded, all_met };
Shape shape_of(const Model& model, Faces faces = Faces::folded);

}  // namespace rimeglow
