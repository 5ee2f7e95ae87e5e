// Files written whole or not at all: beside their target, flushed, then moved into its place, so
// that neither a full disk nor a power cut leaves half a file or loses the one that was there.
// Makes no folder and asks no questions about what may be replaced.
// All throw std::filesystem::filesystem_error, naming the target, when the system refuses.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace rimeglow {

void write_whole(const std::filesystem::path& target, std::string_view bytes);

// Of these larger moves are made; see folder_writer.h.

// Makes a file that is not there yet and flushes it; a half-written one is taken away again.
void write_new(const std::filesystem::path& path, std::string_view bytes);

void move_over(const std::filesystem::path& from, const std::filesystem::path& to);

// Makes what was moved into a folder or out of it last.
void flush_folder(const std::filesystem::path& folder);

[[noreturn]] void refuse_by_system(const std::string& what, const std::filesystem::path& target);

}  // namespace rimeglow
