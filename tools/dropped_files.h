// Files that were put on the page together: which of them is a scene, and which files a scene asks
// for. Pure.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "document.h"
#include "folder_writer.h"

namespace rimeglow {

// In one body: a line of JSON, [["NAME", BYTES], ...], and behind it the files from end to end.
// None when it is no such thing.
std::optional<std::vector<NamedFile>> files_in(std::string_view body);

// A file as a key of the scene names it.
struct FileAsked {
  std::string key;
  Line line;  // none where its shop file says it
  std::string name;

  std::string plain_name() const;  // without folders
};

// All files that a scene asks for, those its shop file asks for included. `text_beside` finds the
// shop file.
using TextBeside = std::function<std::optional<std::string>(const FileAsked&)>;
std::vector<FileAsked> files_asked_by(const Node& scene, const TextBeside& text_beside);

// A scene's file and others, or only others.
struct Dropped {
  std::optional<NamedFile> scene;
  std::vector<NamedFile> others;
};

// A .toml is a scene unless another one, or the scene on the bench, uses it as its shop file.
std::variant<Dropped, Problem> sorted_out(std::vector<NamedFile> files, const Node* on_bench);

}  // namespace rimeglow
