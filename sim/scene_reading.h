// From a document to the scene it says, by the schema: what it takes of its shop file filled in,
// every value checked by itself, every mistake noted and the rest read on. Reads no file; knows no
// syntax.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "document.h"
#include "scene.h"

namespace rimeglow {

// The scene of a document, or everything that is wrong with it and with its shop file, in the order
// of their lines. `title` is the scene's own unless it says one; `shop` is null for a scene that
// uses none.
struct ReadScene {
  Scene scene;
  std::map<std::string, Line> lines;  // of every key that was read, as written in the document
  Node document;                      // with all that it takes of its shop file
  std::vector<Problem> problems;
};
ReadScene read_scene(const Node& document, const std::string& title, const Node* shop = nullptr);

}  // namespace rimeglow
