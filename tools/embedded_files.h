// Files that are part of the program: the page's, and the examples it opens with. Their bytes are
// put into a source by tools/embed.cmake.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace rimeglow {

struct EmbeddedFile {
  std::string_view name;  // from the repository on: "tools/page/paper.css"
  const unsigned char* data;
  std::size_t size;

  std::string_view bytes() const { return {reinterpret_cast<const char*>(data), size}; }
};

std::span<const EmbeddedFile> embedded_files();

}  // namespace rimeglow
