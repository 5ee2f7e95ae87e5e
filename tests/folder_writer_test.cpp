// The five files of a result change together: every system call of the writer fails once, and the
// program is cut off at every one of them. The linker puts the calls below in place of the system's
// (tests/CMakeLists.txt), so nothing in tools/ knows of it.
#include "folder_writer.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <fstream>
#include <functional>
#include <map>

#include <fcntl.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "files.h"
#include "writers.h"

namespace {

enum class Trouble { none, fails, killed_before, killed_after };

struct Plan {
  Trouble trouble = Trouble::none;
  int at_call = 0;  // counted from 1
  int calls = 0;
  bool cannot_exchange = false;  // as on file systems that do not know how
  bool writes_little = false;    // a byte at a time, and is interrupted in between
};

Plan plan;

// Makes a call, or not, as planned.
template <typename Call>
auto planned(Call call) -> decltype(call()) {
  if (plan.trouble == Trouble::none || ++plan.calls != plan.at_call) return call();
  if (plan.trouble == Trouble::killed_after) call();
  if (plan.trouble != Trouble::fails) _exit(9);
  errno = ENOSPC;
  return -1;
}

}  // namespace

extern "C" {
ssize_t __real_write(int to, const void* bytes, size_t count);
int __real_fsync(int descriptor);
int __real_rename(const char* from, const char* to);
int __real_renameat2(int from_at, const char* from, int to_at, const char* to, unsigned flags);
int __real_mkdir(const char* path, mode_t mode);

ssize_t __wrap_write(int to, const void* bytes, size_t count) {
  if (plan.writes_little && ++plan.calls % 2 == 0) {
    errno = EINTR;
    return -1;
  }
  const size_t part = plan.writes_little ? std::min<size_t>(count, 1) : count;
  return planned([&] { return __real_write(to, bytes, part); });
}
int __wrap_fsync(int descriptor) {
  return planned([&] { return __real_fsync(descriptor); });
}
int __wrap_rename(const char* from, const char* to) {
  return planned([&] { return __real_rename(from, to); });
}
int __wrap_renameat2(int from_at, const char* from, int to_at, const char* to, unsigned flags) {
  if (plan.cannot_exchange) {
    errno = EINVAL;
    return -1;
  }
  return planned([&] { return __real_renameat2(from_at, from, to_at, to, flags); });
}
int __wrap_mkdir(const char* path, mode_t mode) {
  return planned([&] { return __real_mkdir(path, mode); });
}
}

namespace rimeglow::folder_writer_test {
namespace {

namespace fs = std::filesystem;

const std::vector<NamedFile> kOld = {
    {"a.png", "old a"}, {"b.pfm", std::string(9000, 'o')}, {"engraving-2.png", "of old alone"}};
const std::vector<NamedFile> kNew = {
    {"a.png", "new a"}, {"b.pfm", std::string(9000, 'n')}, {"c.json", "{}"}};

bool is_part(std::string_view name) { return name == "a.png" || name == "engraving-2.png"; }

using Contents = std::map<std::string, std::string>;

Contents contents_of(const fs::path& folder) {
  Contents found;
  std::error_code none;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder, none))
    found[entry.path().filename()] = bytes_of(entry.path());
  return found;
}

Contents as_contents(const std::vector<NamedFile>& files) {
  Contents all;
  for (const NamedFile& file : files) all[file.name] = file.bytes;
  return all;
}

enum class Before { nothing, ours, not_exchangeable, with_a_foreign_file };

class FolderWriter : public OwnFolder {
 protected:
  void TearDown() override { plan = {}; }

  // The folder as it was before the trouble.
  Contents prepare(Before before) {
    plan = {};
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    if (before == Before::nothing) return {};
    fs::create_directories(glow_);
    Contents old = as_contents(kOld);
    if (before == Before::with_a_foreign_file) old["notes.txt"] = "mine";
    for (const auto& [name, bytes] : old) std::ofstream(glow_ / name) << bytes;
    return old;
  }

  static Contents after(const Contents& old) {
    Contents all = as_contents(kNew);
    if (old.count("notes.txt") > 0) all["notes.txt"] = "mine";
    return all;
  }

  // Nothing but the folder lies in the folder above it.
  bool stands_alone() const {
    return std::all_of(fs::directory_iterator(folder_), fs::directory_iterator(),
                       [&](const auto& entry) { return entry.path() == glow_; });
  }

  const fs::path glow_ = folder_ / "star glow";
};

constexpr Before kAll[] = {Before::nothing, Before::ours, Before::not_exchangeable,
                           Before::with_a_foreign_file};

TEST_F(FolderWriter, NewReplacesOldAndForeignFilesStay) {
  for (const Before before : kAll) {
    const Contents old = prepare(before);
    plan.cannot_exchange = before == Before::not_exchangeable;
    write_folder(glow_, kNew, is_part);
    EXPECT_EQ(contents_of(glow_), after(old));
    EXPECT_TRUE(stands_alone());
    EXPECT_FALSE(restore_folder(glow_));
  }
}

TEST_F(FolderWriter, EveryCallThatFailsLeavesOldOrNew) {
  for (const Before before : kAll) {
    int call = 1;
    for (;; ++call) {
      const Contents old = prepare(before);
      plan = {Trouble::fails, call, 0, before == Before::not_exchangeable, false};
      bool refused = false;
      try {
        write_folder(glow_, kNew, is_part);
      } catch (const fs::filesystem_error& error) {
        refused = true;
        EXPECT_EQ(error.path1(), glow_);
        EXPECT_EQ(error.code().value(), ENOSPC);
      }
      const bool is_through = plan.calls < call;
      plan = {};
      const Contents found = contents_of(glow_);
      EXPECT_TRUE(found == after(old) || (refused && found == old)) << call;
      EXPECT_TRUE(stands_alone()) << call;
      if (is_through) break;
    }
    EXPECT_GE(call, 8) << "the calls are not those of the writer";
  }
}

TEST_F(FolderWriter, CutOffAtAnyCallItShowsOldOrNewOrCanBePutBack) {
  for (const Before before : kAll) {
    for (const Trouble trouble : {Trouble::killed_before, Trouble::killed_after}) {
      int restored = 0;
      for (int call = 1;; ++call) {
        const Contents old = prepare(before);
        const pid_t process = fork();
        if (process == 0) {
          plan = {trouble, call, 0, before == Before::not_exchangeable, false};
          write_folder(glow_, kNew, is_part);
          _exit(0);
        }
        int status = 0;
        ASSERT_EQ(waitpid(process, &status, 0), process);
        const bool in_one_step = before == Before::nothing || before == Before::ours;
        if (in_one_step) {
          const Contents found = contents_of(glow_);
          EXPECT_TRUE(found == old || found == after(old)) << call;
        }
        restored += restore_folder(glow_) ? 1 : 0;
        Contents found = contents_of(glow_);
        // What the old result did not have may lie beside it.
        if (found != after(old)) found.erase("c.json");
        EXPECT_TRUE(found == old || found == after(old)) << call;
        write_folder(glow_, kNew, is_part);
        EXPECT_EQ(contents_of(glow_), after(old)) << call;
        EXPECT_TRUE(stands_alone()) << call;
        if (WIFEXITED(status) && WEXITSTATUS(status) == 0) break;
      }
      EXPECT_EQ(restored > 0,
                before == Before::not_exchangeable || before == Before::with_a_foreign_file);
    }
  }
}

TEST_F(FolderWriter, ADiskThatTakesLittleAtATimeGetsItAll) {
  const Contents old = prepare(Before::ours);
  plan.writes_little = true;
  write_folder(glow_, kNew, is_part);
  plan = {};
  EXPECT_EQ(contents_of(glow_), after(old));
}

// Whoever stands in the folder goes on seeing it.
TEST_F(FolderWriter, TheFolderOneStandsInStaysTheSame) {
  const Contents old = prepare(Before::ours);
  const fs::path before = fs::current_path();
  fs::current_path(glow_);
  write_folder(".", kNew, is_part);
  EXPECT_EQ(contents_of("."), after(old));
  fs::current_path(before);
  EXPECT_TRUE(stands_alone());
}

TEST_F(FolderWriter, ALinkToAFolderStaysALink) {
  const Contents old = prepare(Before::ours);
  fs::create_directory_symlink(glow_, folder_ / "link");
  write_folder(folder_ / "link", kNew, is_part);
  EXPECT_TRUE(fs::is_symlink(folder_ / "link"));
  EXPECT_EQ(contents_of(glow_), after(old));
}

// ---- the system itself refuses ----

// The errno with which a process of its own is refused, or 0.
int refused_with(const std::function<void()>& hinder, const fs::path& folder) {
  const pid_t process = fork();
  if (process == 0) {
    hinder();
    try {
      write_folder(folder, kNew, is_part);
    } catch (const fs::filesystem_error& error) {
      _exit(error.code().value());
    }
    _exit(0);
  }
  int status = 0;
  waitpid(process, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

TEST_F(FolderWriter, AFileLargerThanAllowedLeavesTheOld) {
  const Contents old = prepare(Before::ours);
  const auto hinder = [] {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{1000, 1000};
    setrlimit(RLIMIT_FSIZE, &small);
  };
  EXPECT_EQ(refused_with(hinder, glow_), EFBIG);
  EXPECT_EQ(contents_of(glow_), old);
  EXPECT_TRUE(stands_alone());
}

TEST_F(FolderWriter, AFolderThatMayNotBeWrittenToLeavesTheOld) {
  const Contents old = prepare(Before::ours);
  for (const fs::path& path : {glow_, folder_}) fs::permissions(path, fs::perms(0555));
  EXPECT_EQ(refused_with([] { keep_power_of_root(false); }, glow_), EACCES);
  fs::permissions(folder_, fs::perms(0755));
  fs::permissions(glow_, fs::perms(0755));
  EXPECT_EQ(contents_of(glow_), old);
}

TEST_F(FolderWriter, AFullDiskLeavesTheOld) {
  const fs::path disk = folder_ / "disk";
  fs::create_directories(disk);
  if (mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=16k") != 0)
    GTEST_SKIP() << "only root may make a small disk";
  write_folder(disk / "glow", std::vector<NamedFile>{{"a.png", "old a"}});
  const std::vector<NamedFile> large = {{"a.png", std::string(30000, 'x')}};
  int refused = 0;
  try {
    write_folder(disk / "glow", large);
  } catch (const fs::filesystem_error& error) {
    refused = error.code().value();
  }
  EXPECT_EQ(refused, ENOSPC);
  EXPECT_EQ(contents_of(disk / "glow"), (Contents{{"a.png", "old a"}}));
  umount(disk.c_str());
}

TEST_F(FolderWriter, SingleFilesSurviveEveryFailureToo) {
  for (int call = 1;; ++call) {
    prepare(Before::ours);
    plan = {Trouble::fails, call, 0, false, false};
    EXPECT_EQ(call < 5, [&] {
      try {
        write_whole(glow_ / "a.png", "new a");
      } catch (const fs::filesystem_error& error) {
        return error.path1() == glow_ / "a.png" || error.path1() == glow_;
      }
      return false;
    }());
    const bool is_through = plan.calls < call;
    plan = {};
    const std::string found = bytes_of(glow_ / "a.png");
    EXPECT_TRUE(found == "old a" || (call >= 4 && found == "new a")) << call << found;
    EXPECT_EQ(contents_of(glow_).size(), kOld.size());
    if (is_through) break;
  }
}

}  // namespace
}  // namespace rimeglow::folder_writer_test
