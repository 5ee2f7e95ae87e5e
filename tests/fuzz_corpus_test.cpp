// The kept inputs of the fuzz programs, and with them whatever once broke a reader: each is taken
// or refused. Cut short and with bits flipped they are again; nothing but that is asserted, because
// the sanitizers watch.
#include <gtest/gtest.h>

#include <filesystem>
#include <functional>

#include "files.h"
#include "fuzz/readers.h"

namespace rimeglow::fuzz_corpus_test {
namespace {

int feed_all(const char* reader, const std::function<void(std::string_view)>& feed) {
  int fed = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(std::string(RIMEGLOW_FUZZ_CORPUS) + "/" + reader)) {
    std::string bytes = bytes_of(entry.path());
    feed(bytes);
    for (std::size_t i = 0; i < std::min<std::size_t>(bytes.size(), 400); ++i) {
      feed(std::string_view(bytes).substr(0, i));
      const char before = bytes[i];
      bytes[i] = static_cast<char>(before ^ (1 << i % 8));
      feed(bytes);
      bytes[i] = before;
      ++fed;
    }
  }
  return fed;
}

TEST(FuzzCorpus, NoReaderBreaks) {
  EXPECT_GT(feed_all("scene", feed_scene), 100);
  EXPECT_GT(feed_all("setting", feed_setting), 10);
  EXPECT_GT(feed_all("numbers", feed_numbers), 20);
  EXPECT_GT(feed_all("svg_gate", feed_svg_gate), 100);
  EXPECT_GT(feed_all("outline", feed_outline), 100);
  EXPECT_GT(feed_all("ies", feed_ies), 100);
  EXPECT_GT(feed_all("picture", feed_picture), 100);
  EXPECT_GT(feed_all("request", feed_request), 100);
}

}  // namespace
}  // namespace rimeglow::fuzz_corpus_test
