#include "ticket_step.h"

#include "ticket_rows.h"

namespace rimeglow {
namespace {

constexpr const char* kGrit = "P320";  // between what a saw leaves and a polish

bool can_be_polished(EdgeSpec::Kind kind) {
  return kind == EdgeSpec::Kind::sanded || kind == EdgeSpec::Kind::ground ||
         kind == EdgeSpec::Kind::sawn || kind == EdgeSpec::Kind::laser_cut;
}

// A few words would not say it again.
bool is_cut_or_measured(const EdgeSpec& finish) { return finish.is_chamfered() || finish.alpha; }

}  // namespace

std::optional<FinishingStep> likely_step(const LoadedScene& loaded) {
  const Scene& scene = loaded.scene;
  const Outline& outline = loaded.model->outline;
  if (loaded.model->layers.empty() || scene.lamps.empty()) return std::nullopt;
  for (const std::string& edge : unlit_edges(scene)) {
    const std::optional<int> index = outline.edge_named(edge);
    if (!index || !(outline.edges[static_cast<std::size_t>(*index)].length_mm > 0.0)) continue;
    const EdgeSpec finish = scene.edge(edge);
    if (is_cut_or_measured(finish)) continue;
    EdgeSpec after;
    if (finish.kind == EdgeSpec::Kind::polished) {
      after.kind = EdgeSpec::Kind::sanded;
      after.grit = kGrit;
      return FinishingStep{edge, after, "sanded " + after.grit, "sanding the " + edge + " edge"};
    }
    if (can_be_polished(finish.kind))
      return FinishingStep{edge, after, "polished", "polishing the " + edge + " edge"};
  }
  return std::nullopt;
}

std::shared_ptr<const Model> model_after(const FinishingStep& step, const LoadedScene& scene,
                                         const IsWanted& is_wanted) {
  Scene changed = scene.scene;
  changed.edges[step.edge] = step.finish;
  return build_model(changed, scene.drawings, scene.densities, is_wanted).model;
}

}  // namespace rimeglow
