// Laws of tools/writers: whole files or none.
#include "writers.h"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include <sys/stat.h>
#include <unistd.h>

#include "files.h"

namespace rimeglow::writers_test {
namespace {

namespace fs = std::filesystem;

class Writers : public OwnFolder {};

std::ptrdiff_t files_in(const fs::path& folder) {
  return std::distance(fs::directory_iterator(folder), fs::directory_iterator());
}

TEST_F(Writers, BytesArriveUnchangedAndAlone) {
  const std::string bytes("a\0b\r\n\xFF", 6);
  write_whole(folder_ / "glow.pfm", bytes);
  EXPECT_EQ(read("glow.pfm"), bytes);
  EXPECT_EQ(files_in(folder_), 1);
}

TEST_F(Writers, NewReplacesOld) {
  write_whole(folder_ / "a", std::string(100000, 'x'));
  write_whole(folder_ / "a", "short");
  EXPECT_EQ(read("a"), "short");
  EXPECT_EQ(files_in(folder_), 1);
}

// A reader that opened the old file goes on reading the old file: it was replaced, not rewritten.
TEST_F(Writers, OpenReadersKeepTheOldFile) {
  write_whole(folder_ / "a", "old");
  std::ifstream reader(folder_ / "a", std::ios::binary);
  write_whole(folder_ / "a", "new");
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(reader), {}), "old");
}

TEST_F(Writers, FoldersThatAreNotThereAreNamed) {
  const fs::path target = folder_ / "nowhere" / "a";
  try {
    write_whole(target, "x");
    FAIL() << "wrote into a folder that is not there";
  } catch (const fs::filesystem_error& error) {
    EXPECT_EQ(error.path1(), target);
    EXPECT_EQ(error.code().value(), ENOENT);
  }
}

TEST_F(Writers, WhatCannotBeReplacedStaysAndNothingIsLeftBesideIt) {
  fs::create_directories(folder_ / "a" / "kept");
  EXPECT_THROW(write_whole(folder_ / "a", "x"), fs::filesystem_error);
  EXPECT_TRUE(fs::is_directory(folder_ / "a" / "kept"));
  EXPECT_EQ(files_in(folder_), 1);
}

TEST_F(Writers, FilesAreReadableAsTheUserWishes) {
  const mode_t before = umask(022);
  write_whole(folder_ / "a", "x");
  umask(before);
  const auto rights = fs::status(folder_ / "a").permissions();
  EXPECT_EQ(rights & fs::perms::mask, static_cast<fs::perms>(0644));
}

}  // namespace
}  // namespace rimeglow::writers_test
