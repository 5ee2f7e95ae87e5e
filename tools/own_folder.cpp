#include "own_folder.h"

#include <cstdint>
#include <fstream>
#include <ostream>
#include <sstream>
#include <string>
#include <system_error>

#include <nlohmann/json.hpp>

#include "compare_numbers.h"
#include "folder_writer.h"
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

// Why the folder may not be written to, or nothing.
std::string refusal(const std::filesystem::path& folder, bool replace) {
  namespace fs = std::filesystem;
  if (!fs::exists(folder)) return {};
  if (!fs::is_directory(folder))
    return folder.string() + " is a file; choose another folder with --out";
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
  if (!why.empty()) err << "rimeglow: " << why << "\n";
  return why.empty();
}

}  // namespace rimeglow
