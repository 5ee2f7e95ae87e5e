// Which folders a verb may write its results into: those that are not there, are empty, or hold
// results of ours; never unasked among a user's own files.
#pragma once

#include <filesystem>
#include <iosfwd>
#include <span>
#include <string_view>

#include "folder_writer.h"

namespace rimeglow {

// Whether a text is a JSON file of ours: one whose key "schema" has this value.
bool has_schema(std::string_view text, std::string_view name);

// Puts right what a killed run left in the folder, and says so; false when it may not be written
// to, after saying why. `replace`: the user said --replace.
bool may_write_to(const std::filesystem::path& folder, bool replace, std::ostream& err);

// Whether a name is the stem, a number and ".png", as "glow-2.png".
bool is_numbered_picture(std::string_view name, std::string_view stem);

// `write_folder`, and in a folder of ours what an older result had and this one has not goes:
// nobody shall burn an engraving of yesterday's plan.
void write_result(const std::filesystem::path& folder, std::span<const NamedFile> files,
                  IsPart is_part);

}  // namespace rimeglow
