// Files of tests: whole ones, and a folder of a test's own.
#pragma once

#include <gtest/gtest.h>

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <system_error>

#include <stdlib.h>

namespace rimeglow {

// The bytes of a file; none when it cannot be read.
inline std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

// Fixture whose folder is gone when the test ends. Its name has a space, as many people's do.
class OwnFolder : public testing::Test {
 protected:
  ~OwnFolder() override { std::filesystem::remove_all(folder_); }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name, std::ios::binary) << text;
  }
  std::string read(const std::filesystem::path& name) const { return bytes_of(folder_ / name); }

  const std::filesystem::path folder_ = made();

 private:
  static std::filesystem::path made() {
    std::string name = (std::filesystem::temp_directory_path() / "rimeglow test XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::system_error(errno, std::generic_category());
    return name;
  }
};

}  // namespace rimeglow
