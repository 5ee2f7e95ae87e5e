// The files of one result, which belong together: a folder shows all of the old or all of the new,
// whatever fails and whenever the program is killed.
//
// They are written and flushed in a passing folder first. A folder that holds nothing else is then
// exchanged with it in one step. One that cannot be (it holds other files, somebody stands in it,
// or the file system cannot exchange) gets the files one after another, the old ones kept until the
// last has moved; if the program is killed between, `restore_folder` puts the old ones back.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>

namespace rimeglow {

struct NamedFile {
  std::string name;
  std::string bytes;
};

// What `write_folder` writes to for a folder as somebody names it: links followed, no slash behind.
std::filesystem::path resolved(const std::filesystem::path& folder);

// Whether results of this kind may have a file of this name, as "engraving-2.png".
using IsPart = bool (*)(std::string_view name);

// Makes the folder, and those above it, if they are not there. Other files in it stay, but for
// parts of an older result that this one has no longer. Throws std::filesystem::filesystem_error
// when the system refuses; then the folder is as it was.
void write_folder(const std::filesystem::path& folder, std::span<const NamedFile> files,
                  IsPart is_part = nullptr);

// Undoes what a killed `write_folder` left undone, and says whether old files had to be put back.
bool restore_folder(const std::filesystem::path& folder);

}  // namespace rimeglow
