#include "follow.h"

#include <algorithm>
#include <ostream>

#include "cli.h"
#include "folder_writer.h"
#include "history.h"
#include "own_folder.h"
#include "photon_picture.h"
#include "photon_words.h"
#include "words.h"

namespace rimeglow {
namespace {

// An end that so many photons in a row do not come to is not worth waiting for.
constexpr std::uint64_t kMostTried = 1'000'000;

// The photon asked for, or the first from there on that ends as asked.
std::optional<std::uint64_t> photon_for(const Model& model, const Shape& shape,
                                        const FollowOptions& options, int entry) {
  if (entry < 0) return options.photon;
  const std::uint64_t last = std::min(options.photon + kMostTried, kPhotonCeiling);
  for (std::uint64_t photon = options.photon; photon < last; ++photon) {
    if (follow(model, shape, options.seed, photon).end().entry == entry) return photon;
  }
  return std::nullopt;
}

int entry_named(const std::vector<std::string>& names, const std::string& name) {
  const auto found = std::find(names.begin(), names.end(), name);
  return found == names.end() ? -1 : static_cast<int>(found - names.begin());
}

std::vector<std::string> finishes_of(const Scene& scene, const Outline& outline) {
  std::vector<std::string> words;
  for (std::size_t e = 0; e < outline.edges.size(); ++e) {
    const EdgeSpec edge = edge_spec(scene, outline, static_cast<int>(e));
    words.emplace_back(word_of(edge.kind));
    if (edge.kind == EdgeSpec::Kind::sanded) words.back() += " " + edge.grit;
  }
  return words;
}

}  // namespace

int follow_photon(const LoadedScene& scene, const FollowOptions& options, std::ostream& out,
                  std::ostream& err) {
  const Model& model = *scene.model;
  const std::vector<std::string> names = ledger_names(model.outline);
  const int entry = entry_named(names, options.ending);
  if (!options.ending.empty() && entry < 0) {
    err << "rimeglow: light ends in no \"" << options.ending << "\"; it may be one of "
        << listed(names) << "\n";
    return kWrongUsage;
  }
  const Shape shape = shape_of(model);
  const std::optional<std::uint64_t> photon = photon_for(model, shape, options, entry);
  if (!photon) {
    err << "rimeglow: none of " << kMostTried << " photons from " << options.photon
        << " on ends in " << options.ending << "\n";
    return kWrongUsage;
  }
  const std::filesystem::path folder =
      options.folder_for(scene, "photon-" + std::to_string(*photon));
  if (!may_write_to(folder, options.replace, err)) return kWrongUsage;
  const History history = follow(model, shape, options.seed, *photon);
  const FollowedPhoton which = {
      printable(scene.scene.title),           RIMEGLOW_VERSION, scene.inputs, options.seed, *photon,
      finishes_of(scene.scene, model.outline)};
  const std::string text = photon_text(which, model, history);
  const std::string json = photon_json(which, model, history);
  const std::string caption =
      "photon " + std::to_string(*photon) + " of seed " + std::to_string(options.seed);
  const std::string png = png_of(photon_picture(model, history, caption));
  const NamedFile files[] = {{"photon.png", png}, {"photon.txt", text}, {"photon.json", json}};
  write_folder(folder, files);
  if (options.json) {
    out << json;
  } else {
    out << text << "Picture: " << (folder / "photon.png").string() << "\n";
  }
  return kDone;
}

}  // namespace rimeglow
