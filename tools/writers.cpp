#include "writers.h"

#include <cerrno>
#include <string>
#include <system_error>

#include <fcntl.h>
#include <unistd.h>

namespace rimeglow {

namespace {

namespace fs = std::filesystem;

constexpr mode_t kReadableByUmask = 0666;

[[noreturn]] void refuse(const std::string& what, const fs::path& target) {
  throw fs::filesystem_error(what, target, std::error_code(errno, std::system_category()));
}

// The file under its passing name; gone again unless it is moved into place.
class PartialFile {
 public:
  explicit PartialFile(const fs::path& target)
      : target_(target),
        path_(target.parent_path() /
              ("." + target.filename().string() + "." + std::to_string(getpid()) + ".part")) {
    unlink(path_.c_str());  // left by an earlier process of this number
    descriptor_ = open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, kReadableByUmask);
    if (descriptor_ < 0) refuse("cannot write a file", target_);
  }

  ~PartialFile() {
    if (descriptor_ >= 0) close(descriptor_);
    if (!placed_) unlink(path_.c_str());
  }

  PartialFile(const PartialFile&) = delete;
  PartialFile& operator=(const PartialFile&) = delete;

  void write(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) refuse("cannot write a file", target_);
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    if (fsync(descriptor_) != 0) refuse("cannot write a file to the disk", target_);
  }

  void move_into_place() {
    const int descriptor = descriptor_;
    descriptor_ = -1;
    if (close(descriptor) != 0) refuse("cannot finish a file", target_);
    if (rename(path_.c_str(), target_.c_str()) != 0) refuse("cannot replace a file", target_);
    placed_ = true;
  }

 private:
  fs::path target_;
  fs::path path_;
  int descriptor_ = -1;
  bool placed_ = false;
};

// Makes the rename itself last. File systems that cannot flush a folder say EINVAL: they lose
// nothing by it.
void flush_folder_of(const fs::path& target) {
  const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
  const int descriptor = open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) refuse("cannot open the folder of a file", target);
  const bool flushed = fsync(descriptor) == 0 || errno == EINVAL;
  const int why = errno;
  close(descriptor);
  errno = why;
  if (!flushed) refuse("cannot write a folder to the disk", target);
}

}  // namespace

void write_whole(const fs::path& target, std::string_view bytes) {
  PartialFile partial(target);
  partial.write(bytes);
  partial.move_into_place();
  flush_folder_of(target);
}

}  // namespace rimeglow
