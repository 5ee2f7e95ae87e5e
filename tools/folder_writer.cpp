#include "folder_writer.h"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <system_error>
#include <vector>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "descriptor.h"
#include "writers.h"

namespace rimeglow {

namespace fs = std::filesystem;

fs::path resolved(const fs::path& folder) {
  fs::path path = fs::exists(folder) ? fs::canonical(folder) : fs::absolute(folder);
  path = path.lexically_normal();
  return path.has_filename() ? path : path.parent_path();
}

namespace {

// Old files on their way out wait under their names behind this.
const std::string kOld = "old-";

fs::path passing_name(const fs::path& folder) { return "." + folder.filename().string() + ".part"; }

// Where the passing folder may be: beside the folder, or in it where that cannot be written to.
fs::path beside(const fs::path& folder) { return folder.parent_path() / passing_name(folder); }
fs::path within(const fs::path& folder) { return folder / passing_name(folder); }

// One writer at a time below the same parent; the system lets go when the program ends, however it
// does. A file system without locks is used without.
class Turn {
 public:
  explicit Turn(const fs::path& parent)
      : descriptor_(open(parent.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    const int number = descriptor_.number();
    while (number >= 0 && flock(number, LOCK_EX) != 0 && errno == EINTR) {
    }
  }

 private:
  Descriptor descriptor_;
};

bool has(std::span<const NamedFile> files, const fs::path& name) {
  return std::any_of(files.begin(), files.end(),
                     [&](const NamedFile& file) { return file.name == name; });
}

// Parts of the old result in the folder that the new one does not have.
std::vector<std::string> outdated(const fs::path& folder, std::span<const NamedFile> files,
                                  IsPart is_part) {
  std::vector<std::string> names;
  if (!is_part) return names;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
    const std::string name = entry.path().filename();
    if (is_part(name) && !has(files, name) && !entry.is_directory()) names.push_back(name);
  }
  return names;
}

// Whether the folder can be exchanged as a whole: it holds nothing but files that go or are written
// anew, the folder above it may be written to and is of the same file system, and nobody stands in
// it.
bool is_exchangeable(const fs::path& folder, std::span<const NamedFile> files,
                     std::span<const std::string> going) {
  struct stat own{}, above{};
  const fs::path parent = folder.parent_path();
  if (stat(folder.c_str(), &own) != 0 || stat(parent.c_str(), &above) != 0) return false;
  if (own.st_dev != above.st_dev || access(parent.c_str(), W_OK) != 0) return false;
  std::error_code unknown;
  const fs::path here = fs::current_path(unknown);
  const auto [end, rest] = std::mismatch(folder.begin(), folder.end(), here.begin(), here.end());
  if (end == folder.end()) return false;
  return std::all_of(fs::directory_iterator(folder), fs::directory_iterator(),
                     [&](const fs::directory_entry& entry) {
                       const fs::path name = entry.path().filename();
                       const bool goes = std::find(going.begin(), going.end(), name) != going.end();
                       return goes || (has(files, name) && !entry.is_directory());
                     });
}

// Takes away a passing folder, with whatever of ours is in it.
void discard(const fs::path& passing) {
  std::error_code ignored;
  fs::remove_all(passing, ignored);
}

// Puts back what waits in a passing folder; true when there was anything.
bool put_back(const fs::path& passing, const fs::path& folder) {
  std::vector<fs::path> waiting;
  std::error_code none;
  for (const fs::directory_entry& entry : fs::directory_iterator(passing, none)) {
    if (entry.path().filename().string().starts_with(kOld)) waiting.push_back(entry.path());
  }
  for (const fs::path& old : waiting)
    move_over(old, folder / old.filename().string().substr(kOld.size()));
  return !waiting.empty();
}

bool restore(const fs::path& folder) {
  bool restored = false;
  for (const fs::path& passing : {beside(folder), within(folder)}) {
    if (!fs::is_directory(fs::symlink_status(passing))) continue;
    restored = put_back(passing, folder) || restored;
    discard(passing);
  }
  return restored;
}

// The new files in their passing folder, which goes again with what is left in it.
class Passing {
 public:
  Passing(fs::path path, std::span<const NamedFile> files) : path_(std::move(path)) {
    if (mkdir(path_.c_str(), 0777) != 0) refuse_by_system("cannot make a folder", path_);
    try {
      for (const NamedFile& file : files) write_new(path_ / file.name, file.bytes);
      flush_folder(path_);
    } catch (...) {
      discard(path_);
      throw;
    }
  }
  ~Passing() {
    if (!is_unsafe_) discard(path_);
  }
  Passing(const Passing&) = delete;
  Passing& operator=(const Passing&) = delete;

  void become(const fs::path& folder) { move_over(path_, folder); }

  // False when the file system has no such step.
  bool exchange(const fs::path& folder) {
    struct stat own{};
    if (stat(folder.c_str(), &own) == 0) chmod(path_.c_str(), own.st_mode & 07777);
    return renameat2(AT_FDCWD, path_.c_str(), AT_FDCWD, folder.c_str(), RENAME_EXCHANGE) == 0;
  }

  void move_files(const fs::path& folder, std::span<const NamedFile> files,
                  std::span<const std::string> going) {
    std::vector<fs::path> placed;
    try {
      for (const std::string& name : going) move_over(folder / name, path_ / (kOld + name));
      for (const NamedFile& file : files) {
        const fs::path target = folder / file.name;
        if (fs::exists(fs::symlink_status(target))) move_over(target, path_ / (kOld + file.name));
        move_over(path_ / file.name, target);
        placed.push_back(target);
      }
    } catch (...) {
      for (const fs::path& file : placed) unlink(file.c_str());
      is_unsafe_ = true;  // unless all old files come back, they stay here for the next run
      put_back(path_, folder);
      is_unsafe_ = false;
      throw;
    }
  }

 private:
  fs::path path_;
  bool is_unsafe_ = false;
};

void publish(const fs::path& folder, std::span<const NamedFile> files, IsPart is_part) {
  const fs::path parent = folder.parent_path();
  if (!fs::exists(folder)) {
    Passing(beside(folder), files).become(folder);
    return flush_folder(parent);
  }
  const std::vector<std::string> going = outdated(folder, files, is_part);
  const bool as_a_whole = is_exchangeable(folder, files, going);
  Passing passing(as_a_whole ? beside(folder) : within(folder), files);
  if (as_a_whole && passing.exchange(folder)) return flush_folder(parent);
  passing.move_files(folder, files, going);
  flush_folder(folder);
}

}  // namespace

void write_folder(const fs::path& folder, std::span<const NamedFile> files, IsPart is_part) {
  try {
    const fs::path target = resolved(folder);
    fs::create_directories(target.parent_path());
    const Turn turn(target.parent_path());
    restore(target);
    publish(target, files, is_part);
  } catch (const fs::filesystem_error& error) {
    throw fs::filesystem_error("cannot write the result", folder, error.code());
  }
}

bool restore_folder(const fs::path& folder) {
  const fs::path target = resolved(folder);
  if (!fs::exists(target.parent_path())) return false;
  const Turn turn(target.parent_path());
  return restore(target);
}

}  // namespace rimeglow
