#include "own_folder.h"

#include <cerrno>
#include <cstdint>
#include <fstream>
#include <ostream>
#include <sstream>
#include <string>
#include <system_error>

#include <fcntl.h>
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "compare_numbers.h"
#include "look.h"
#include "numbers.h"
#include "photon_words.h"

namespace rimeglow {
namespace {

std::string text_of(const std::filesystem::path& file) {
  constexpr std::uintmax_t kMostBytes = 10'000'000;  // ours have some ten thousand
  std::error_code unknown;
  if (!std::filesystem::is_regular_file(file, unknown) ||
      std::filesystem::file_size(file, unknown) > kMostBytes)
    return {};
  std::ostringstream text;
  text << std::ifstream(file, std::ios::binary).rdbuf();
  return text.str();
}

bool is_ours(const std::filesystem::path& folder) {
  return has_schema(text_of(folder / "numbers.json"), kNumbersSchema) ||
         has_schema(text_of(folder / "comparison.json"), kComparisonSchema) ||
         has_schema(text_of(folder / "look.json"), kLookSchema) ||
         has_schema(text_of(folder / "photon.json"), kPhotonSchema);
}

// The folder itself or, while it is yet to be made, the nearest above it that is there.
std::filesystem::path nearest_there(const std::filesystem::path& folder) {
  std::filesystem::path path = folder;
  while (!std::filesystem::exists(path) && path.has_parent_path()) path = path.parent_path();
  return std::filesystem::exists(path) ? path : ".";
}

// So that nobody waits for light that cannot be written down.
void ask_the_system(const std::filesystem::path& folder) {
  namespace fs = std::filesystem;
  const auto is_writable = [](const fs::path& there) {
    return faccessat(AT_FDCWD, there.c_str(), W_OK | X_OK, AT_EACCESS) == 0;
  };
  const fs::path there = nearest_there(folder);
  if (is_writable(there)) return;
  const std::error_code why(errno, std::generic_category());
  // One that may be exchanged as a whole need not be written into.
  if (fs::exists(folder) && is_writable(there.parent_path())) return;
  throw fs::filesystem_error("cannot write the result", there, why);
}

// Why the folder may not be written to, or nothing.
std::string refusal(const std::filesystem::path& folder, bool replace) {
  namespace fs = std::filesystem;
  const fs::path there = nearest_there(folder);
  if (!fs::is_directory(there))
    return there.string() + " is a file; choose another folder with --out";
  if (!fs::exists(folder)) return {};
  if (replace || fs::is_empty(folder) || is_ours(folder)) return {};
  return folder.string() +
         " holds files that are not of this program; choose another folder with --out, " +
         "or write into it all the same with --replace";
}

}  // namespace

bool has_schema(std::string_view text, std::string_view name) {
  using Json = nlohmann::json;
  const Json json = Json::parse(text, nullptr, false);
  return json.is_object() && json.contains("schema") && json["schema"] == std::string(name);
}

bool may_write_to(const std::filesystem::path& folder, bool replace, std::ostream& err) {
  if (restore_folder(folder)) {
    err << "rimeglow: an earlier run was killed while it replaced the files in " << folder.string()
        << "; the old ones have been put back\n";
  }
  const std::string why = refusal(folder, replace);
  if (!why.empty()) {
    err << "rimeglow: " << why << "\n";
    return false;
  }
  ask_the_system(resolved(folder));
  return true;
}

bool is_numbered_picture(std::string_view name, std::string_view stem) {
  constexpr std::string_view kEnding = ".png";
  if (!name.starts_with(stem) || !name.ends_with(kEnding)) return false;
  if (name.size() < stem.size() + kEnding.size()) return false;
  name.remove_prefix(stem.size());
  name.remove_suffix(kEnding.size());
  return name.size() > 1 && name.front() == '-' &&
         name.find_first_not_of("0123456789", 1) == std::string_view::npos;
}

void write_result(const std::filesystem::path& folder, std::span<const NamedFile> files,
                  IsPart is_part) {
  write_folder(folder, files, is_ours(folder) ? is_part : nullptr);
}

}  // namespace rimeglow
