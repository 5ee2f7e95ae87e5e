// Designs that are kept: a folder of folders, each with one scene, NAME/NAME.toml, the files it
// asks for, and a small picture of how it glowed last. Every save is whole or not at all
// (writers.h). No file but the scene is written over, so that an older text of the scene still
// finds its own.
#pragma once

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "folder_writer.h"

namespace rimeglow {

// A name of ours from one of a user's: lower case, digits and hyphens, of any text something.
std::string plain_name(std::string_view text);

// Whether a design that was wished to have this name may have got that one.
bool is_named_after(std::string_view wished, const std::string& name);

// Whether a user's file can be kept under this name: one that stays in its folder, in sight.
bool is_file_name(std::string_view name);

class DesignShelf {
 public:
  // Makes the folder if it is not there.
  explicit DesignShelf(std::filesystem::path folder);

  std::vector<std::string> names() const;  // in order
  bool has(const std::string& name) const;
  std::filesystem::path scene_file(const std::string& name) const;
  std::optional<std::string> scene_text(const std::string& name) const;
  std::optional<std::string> picture(const std::string& name) const;

  // A design that was not there, with these files beside its scene; its name is like the one wished
  // for. The scene comes last: there is no design before all of it is there.
  std::string add(const std::string& wished, const std::string& scene,
                  std::span<const NamedFile> files = {});
  void save(const std::string& name, const std::string& scene) const;
  void save_picture(const std::string& name, const std::string& png) const;
  // Under its own name where that is one and no other file has it.
  struct Saved {
    std::string name;
    bool is_new;  // the same bytes were not there under it
  };
  Saved save_file(const std::string& name, const NamedFile& file) const;
  void remove_file(const std::string& name, const std::string& file) const;
  // Out of sight with all its files, in one step, until it is put back or forgotten. Returns where
  // it is.
  std::filesystem::path take_off(const std::string& name) const;
  // Returns its name, which is another where that was taken meanwhile.
  std::string put_back(const std::filesystem::path& taken_off, const std::string& name) const;
  void forget_all_taken_off() const;
  // What stands beside its scene.
  std::vector<NamedFile> other_files(const std::string& name) const;
  // Whether a file of this plain name stands beside the scene.
  bool holds(const std::string& name, const std::string& file) const;
  std::optional<std::string> file(const std::string& name, const std::string& file) const;

 private:
  std::filesystem::path folder_of(const std::string& name) const { return folder_ / name; }

  std::filesystem::path folder_;
};

// Where designs are kept unless told otherwise: XDG_DATA_HOME, else below HOME (XDG Base Directory
// Specification 0.8).
std::filesystem::path usual_design_folder();

}  // namespace rimeglow
