#include "writers.h"

#include <cerrno>
#include <cstdio>
#include <system_error>

#include <fcntl.h>
#include <unistd.h>

#include "interruption.h"

namespace rimeglow {

namespace {

namespace fs = std::filesystem;

constexpr mode_t kReadableByUmask = 0666;

class NewFile {
 public:
  explicit NewFile(const fs::path& path) : path_(path) {
    note_writing();
    descriptor_ = open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, kReadableByUmask);
    if (descriptor_ < 0) refuse_by_system("cannot write a file", path_);
  }
  ~NewFile() {
    if (descriptor_ >= 0) close(descriptor_);
    if (!is_whole_) unlink(path_.c_str());
  }
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;

  void write(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) refuse_by_system("cannot write a file", path_);
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
  }

  void finish() {
    if (fsync(descriptor_) != 0) refuse_by_system("cannot write a file to the disk", path_);
    const int descriptor = descriptor_;
    descriptor_ = -1;
    if (close(descriptor) != 0) refuse_by_system("cannot finish a file", path_);
    is_whole_ = true;
  }

 private:
  fs::path path_;
  int descriptor_ = -1;
  bool is_whole_ = false;
};

}  // namespace

void refuse_by_system(const std::string& what, const fs::path& target) {
  throw fs::filesystem_error(what, target, std::error_code(errno, std::system_category()));
}

void write_new(const fs::path& path, std::string_view bytes) {
  NewFile file(path);
  file.write(bytes);
  file.finish();
}

void move_over(const fs::path& from, const fs::path& to) {
  if (rename(from.c_str(), to.c_str()) != 0) refuse_by_system("cannot replace a file", to);
}

// File systems that cannot flush a folder say EINVAL: they lose nothing by it.
void flush_folder(const fs::path& folder) {
  const int descriptor = open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) refuse_by_system("cannot open a folder", folder);
  const bool flushed = fsync(descriptor) == 0 || errno == EINVAL;
  const int why = errno;
  close(descriptor);
  errno = why;
  if (!flushed) refuse_by_system("cannot write a folder to the disk", folder);
}

void write_whole(const fs::path& target, std::string_view bytes) {
  const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
  const fs::path partial =
      folder / ("." + target.filename().string() + "." + std::to_string(getpid()) + ".part");
  unlink(partial.c_str());  // left by an earlier process of this number
  try {
    write_new(partial, bytes);
    move_over(partial, target);
  } catch (const fs::filesystem_error& error) {
    unlink(partial.c_str());
    throw fs::filesystem_error("cannot write a file", target, error.code());
  }
  flush_folder(folder);
}

}  // namespace rimeglow
