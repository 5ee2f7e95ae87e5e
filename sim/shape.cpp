#include "shape.h"

namespace rimeglow {
namespace {

BareFaces bare_faces(const Model& model) {
  const bool art = !model.layers.empty();
  return {!art || model.art_side != Side::back, !art || model.art_side != Side::front};
}

}  // namespace

Shape shape_of(const Model& model, Faces faces) {
  const BareFaces bare = faces == Faces::folded ? bare_faces(model) : BareFaces{};
  if (model.outline.chamfered()) {
    return Mesh(model.outline, model.thickness_mm, model.sheet.index, bare);
  }
  return Prism(model.outline, model.thickness_mm, model.sheet.index, bare);
}

}  // namespace rimeglow
