// A scene with everything it names: read from disk, checked, its art placed, its model built.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "art_reader.h"
#include "model.h"
#include "scene.h"

namespace rimeglow {

// (key, value) pairs as `--set` gives them.
using Changes = std::vector<std::pair<std::string, std::string>>;

// A [[variant]] of a scene: what it changes.
struct VariantSpec {
  std::string title;
  Changes changes;
};

struct LoadedScene {
  std::filesystem::path file;
  std::filesystem::path shop_file;  // empty when it uses none
  Node document;                    // with all changes, and what it takes of its shop file
  Scene scene;
  std::optional<ArtInfo> art;
  std::vector<Drawing> drawings;       // of the art and its regions, each on its mark's raster
  std::optional<Drawing> densities;    // of the plan, if the scene names one
  std::vector<std::string> warnings;   // of outline, lamps and where art lies
  std::shared_ptr<const Model> model;  // none when there are problems
  std::string inputs;                  // fingerprint of scene text, changes and all files it names
  std::vector<VariantSpec> variants;   // none where there are problems
  std::vector<Problem> problems;
};

LoadedScene load_scene(const std::filesystem::path& file, const Changes& changes);

// The same of a text, as if the file held it.
LoadedScene load_scene_text(const std::filesystem::path& file, const std::string& text);

// Problems as lines for people: file, line, key, what is wrong, and below how to mend it.
std::string problems_text(const LoadedScene& scene);

// Adds what has not been said yet.
void add_once(std::vector<std::string>& all, std::string said);

// A file's own words made fit for a terminal, which control characters could command.
std::string printable(std::string text);

}  // namespace rimeglow
