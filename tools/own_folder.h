// Which folders a verb may write its results into: those that are not there, are empty, or hold
// results of ours; never unasked among a user's own files.
#pragma once

#include <filesystem>
#include <string>

namespace rimeglow {

// Why the folder may not be written to, or nothing. `replace`: the user said --replace.
std::string refusal(const std::filesystem::path& folder, bool replace);

}  // namespace rimeglow
