// Files written whole or not at all: beside their target, flushed, then moved into its place, so
// that neither a full disk nor a power cut leaves half a file or loses the one that was there.
// Makes no folder and asks no questions about what may be replaced.
#pragma once

#include <filesystem>
#include <string_view>

namespace rimeglow {

// Throws std::filesystem::filesystem_error, naming the target, when the system refuses.
void write_whole(const std::filesystem::path& target, std::string_view bytes);

}  // namespace rimeglow
