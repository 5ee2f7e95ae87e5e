// Files of tests: whole ones, a folder of a test's own, and who may write there.
#pragma once

#include <gtest/gtest.h>

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <system_error>

#include <linux/capability.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <unistd.h>

namespace rimeglow {

// Root may write everywhere; without that power it may what the files' owner may, as others do.
inline void keep_power_of_root(bool kept) {
  __user_cap_header_struct header = {_LINUX_CAPABILITY_VERSION_3, 0};
  __user_cap_data_struct data[_LINUX_CAPABILITY_U32S_3] = {};
  if (syscall(SYS_capget, &header, data) != 0)
    throw std::system_error(errno, std::generic_category());
  constexpr unsigned kPower = 1U << CAP_DAC_OVERRIDE | 1U << CAP_DAC_READ_SEARCH;
  data[0].effective &= ~kPower;
  if (kept) data[0].effective |= data[0].permitted & kPower;
  if (syscall(SYS_capset, &header, data) != 0)
    throw std::system_error(errno, std::generic_category());
}

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
