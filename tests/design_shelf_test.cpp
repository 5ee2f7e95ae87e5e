// Designs as they lie on the disk: under plain names, whole at any moment, art never written over.
#include <gtest/gtest.h>

#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include <sys/wait.h>
#include <unistd.h>

#include "design_shelf.h"

#include "files.h"

namespace rimeglow::design_shelf_test {
namespace {

namespace fs = std::filesystem;

class Shelf : public OwnFolder {};

TEST_F(Shelf, GivesPlainNames) {
  EXPECT_EQ(plain_name("Winter Sky (2)"), "winter-sky-2");
  EXPECT_EQ(plain_name("../../etc/passwd"), "etc-passwd");
  EXPECT_EQ(plain_name("\xC3\x9F\x01"), "design");
  EXPECT_EQ(plain_name(std::string(1000, 'a')).size(), 40U);
}

TEST_F(Shelf, KeepsDesignsApart) {
  DesignShelf shelf(folder_ / "deep" / "er");
  EXPECT_EQ(shelf.add("A b", "one"), "a-b");
  EXPECT_EQ(shelf.add("a-B", "two"), "a-b-2");
  EXPECT_EQ(shelf.names(), (std::vector<std::string>{"a-b", "a-b-2"}));
  EXPECT_EQ(shelf.scene_text("a-b-2"), "two");
  for (const char* no : {"", ".", "..", "a-b/../a-b-2", "/etc", "A-B", "a-c"}) {
    EXPECT_FALSE(shelf.has(no)) << no;
    EXPECT_FALSE(shelf.scene_text(no)) << no;
  }
}

TEST_F(Shelf, AddsAllFilesOfADesignUnderTheirOwnNames) {
  DesignShelf shelf(folder_);
  const std::vector<NamedFile> files = {{"My_Art.SVG", "art"}, {"shop.toml", "shop"}};
  const std::string name = shelf.add("a", "scene", files);
  std::ofstream(folder_ / name / ".a.toml.7.part") << "left over";
  const std::string copy = shelf.add(name, "other scene", shelf.other_files(name));
  EXPECT_EQ(shelf.scene_text(copy), "other scene");
  EXPECT_EQ(shelf.add("shop", "use = 'shop.toml'", files), "shop-2") << "its shop file is no scene";
  for (const NamedFile& file : files) {
    EXPECT_EQ(read(fs::path(copy) / file.name), file.bytes) << file.name;
  }
  const fs::directory_iterator all(folder_ / copy);
  EXPECT_EQ(std::distance(begin(all), end(all)), 3) << "and no more";
}

// A folder is no design before its scene is there, and that comes last.
TEST_F(Shelf, HasNoDesignWhoseFilesCannotAllBeWritten) {
  DesignShelf shelf(folder_);
  const std::vector<NamedFile> files = {{"no-such-folder/art.svg", "art"}};
  EXPECT_THROW(shelf.add("a", "scene", files), fs::filesystem_error);
  EXPECT_FALSE(fs::exists(folder_ / "a")) << "nothing is left of it";
  EXPECT_TRUE(shelf.names().empty());
}

TEST_F(Shelf, NeverWritesOverArt) {
  DesignShelf shelf(folder_);
  const std::string name = shelf.add("a", "");
  EXPECT_EQ(shelf.save_file(name, {"crest.svg", "one"}).name, "crest.svg");
  EXPECT_FALSE(shelf.save_file(name, {"crest.svg", "one"}).is_new) << "the same art again";
  EXPECT_EQ(shelf.save_file(name, {"/x/../Crest.SVG", "two"}).name, "crest-2.svg");
  EXPECT_EQ(shelf.save_file(name, {"The Crest.SVG", "two"}).name, "The Crest.SVG");
  EXPECT_EQ(shelf.save_file(name, {"a.toml", "two"}).name, "a-2.toml")
      << "the scene is no shop file";
  EXPECT_EQ(shelf.save_file(name, {"..", "two"}).name, "design.design");
  EXPECT_EQ(shelf.scene_text(name), "");
  EXPECT_TRUE(shelf.holds(name, "crest-2.svg"));
  for (const char* no : {"", "..", "../a/crest.svg", "/etc/passwd", ".hidden", "a.tom"})
    EXPECT_FALSE(shelf.holds(name, no)) << no;
  fs::create_symlink("/etc/passwd", folder_ / name / "link.svg");
  EXPECT_FALSE(shelf.holds(name, "link.svg"));
}

TEST_F(Shelf, PutsBackWhatWasTakenOff) {
  DesignShelf shelf(folder_);
  const std::vector<NamedFile> files = {{"art.svg", "art"}};
  shelf.add("a", "scene", files);
  const fs::path off = shelf.take_off("a");
  EXPECT_TRUE(shelf.names().empty());
  EXPECT_EQ(shelf.add("a", "another"), "a");
  EXPECT_EQ(shelf.put_back(off, "a"), "a-2") << "its name was taken meanwhile";
  EXPECT_EQ(shelf.scene_text("a-2"), "scene");
  EXPECT_TRUE(shelf.holds("a-2", "art.svg"));
  EXPECT_EQ(shelf.scene_text("a"), "another");
  shelf.take_off("a");
  shelf.take_off("a-2");
  shelf.forget_all_taken_off();
  EXPECT_TRUE(fs::is_empty(folder_));
}

// Which of its texts a killed writer had reached is chance; that it is one of them is not.
TEST_F(Shelf, KilledAtAnyMomentItHoldsTheOldOrTheNew) {
  const char* wanted = std::getenv("RIMEGLOW_KILLS");
  const int kills = wanted ? std::atoi(wanted) : 40;
  const int enough = kills / 4 + 1;  // of moments that fall within saving
  const int most = 20 * kills;       // a busy machine may not let the writer begin
  const auto text = [](int number) {
    return "# " + std::string(50'000, static_cast<char>('a' + number % 26)) + "\n";
  };
  DesignShelf shelf(folder_);
  const std::string name = shelf.add("a", text(0));
  std::minstd_rand random(7);
  int changed = 0;
  for (int kill_number = 0; kill_number < kills || (changed < enough && kill_number < most);
       ++kill_number) {
    const std::string before = shelf.scene_text(name).value_or("");
    const pid_t process = fork();
    if (process == 0) {
      for (int i = kill_number + 1;; ++i) shelf.save(name, text(i));
    }
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 20'000));
    kill(process, SIGKILL);
    waitpid(process, nullptr, 0);
    const std::string after = shelf.scene_text(name).value_or("");
    ASSERT_EQ(after.size(), text(0).size());
    ASSERT_EQ(after, text(after[2] - 'a')) << "one text, from end to end";
    changed += after != before ? 1 : 0;
  }
  EXPECT_GE(changed, enough) << "the moments fall within saving";
}

}  // namespace
}  // namespace rimeglow::design_shelf_test
