#include "design_shelf.h"

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "writers.h"

namespace rimeglow {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLongestName = 40;
constexpr std::size_t kLongestFileName = 100;
constexpr const char* kPicture = ".picture.png";  // no file of a user's has such a name
constexpr std::string_view kTakenOff = ".off-";   // no name of a design begins so

std::optional<std::string> read(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream) return std::nullopt;
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

// The first of "name", "name-2", "name-3", ... that is free.
template <class IsTaken>
std::string free_name(const std::string& stem, const std::string& ending, IsTaken&& is_taken) {
  std::string name = stem + ending;
  for (int i = 2; is_taken(name); ++i) name = stem + "-" + std::to_string(i) + ending;
  return name;
}

}  // namespace

std::string plain_name(std::string_view text) {
  std::string name;
  for (const char letter : text) {
    const bool is_plain = (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9');
    if (is_plain) name += letter;
    if (letter >= 'A' && letter <= 'Z') name += static_cast<char>(letter - 'A' + 'a');
    if (!is_plain && !(letter >= 'A' && letter <= 'Z') && !name.empty() && name.back() != '-')
      name += '-';
    if (name.size() >= kLongestName) break;
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  return name.empty() ? "design" : name;
}

bool is_named_after(std::string_view wished, const std::string& name) {
  const std::string plain = plain_name(wished);
  if (!name.starts_with(plain)) return false;
  const std::string_view rest = std::string_view(name).substr(plain.size());
  return rest.empty() || (rest.size() > 1 && rest.front() == '-' &&
                          rest.find_first_not_of("0123456789", 1) == rest.npos);
}

bool is_file_name(std::string_view name) {
  constexpr std::string_view kOdd = "/\\<>\"'`:|?*";
  const auto is_odd = [&](char letter) {
    const auto code = static_cast<unsigned char>(letter);
    return code < 0x20 || code == 0x7F || kOdd.find(letter) != kOdd.npos;
  };
  return !name.empty() && name.size() <= kLongestFileName && name.front() != '.' &&
         std::none_of(name.begin(), name.end(), is_odd);
}

DesignShelf::DesignShelf(fs::path folder) : folder_(std::move(folder)) {
  fs::create_directories(folder_);
}

std::vector<std::string> DesignShelf::names() const {
  std::vector<std::string> found;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder_)) {
    const std::string name = entry.path().filename().string();
    if (has(name)) found.push_back(name);
  }
  std::sort(found.begin(), found.end());
  return found;
}

bool DesignShelf::has(const std::string& name) const {
  std::error_code none;
  return name == plain_name(name) && fs::is_regular_file(scene_file(name), none);
}

fs::path DesignShelf::scene_file(const std::string& name) const {
  return folder_of(name) / (name + ".toml");
}

std::optional<std::string> DesignShelf::scene_text(const std::string& name) const {
  return has(name) ? read(scene_file(name)) : std::nullopt;
}

std::optional<std::string> DesignShelf::picture(const std::string& name) const {
  return has(name) ? read(folder_of(name) / kPicture) : std::nullopt;
}

std::string DesignShelf::add(const std::string& wished, const std::string& scene,
                             std::span<const NamedFile> files) {
  const std::string name = free_name(plain_name(wished), "", [&](const std::string& taken) {
    return fs::exists(folder_of(taken)) ||
           std::any_of(files.begin(), files.end(),
                       [&](const NamedFile& file) { return file.name == taken + ".toml"; });
  });
  fs::create_directories(folder_of(name));
  try {
    for (const NamedFile& file : files) write_whole(folder_of(name) / file.name, file.bytes);
    save(name, scene);
  } catch (const fs::filesystem_error&) {
    std::error_code ignored;
    fs::remove_all(folder_of(name), ignored);
    throw;
  }
  flush_folder(folder_);
  return name;
}

void DesignShelf::save(const std::string& name, const std::string& scene) const {
  write_whole(scene_file(name), scene);
}

void DesignShelf::save_picture(const std::string& name, const std::string& png) const {
  write_whole(folder_of(name) / kPicture, png);
}

DesignShelf::Saved DesignShelf::save_file(const std::string& name, const NamedFile& file) const {
  const fs::path wished = fs::path(file.name).filename();
  const std::string ending = wished.extension().string();
  const std::string stem = wished.stem().string();
  const bool is_fit = is_file_name(file.name);
  const std::string free = free_name(
      is_fit ? stem : plain_name(stem), is_fit ? ending : "." + plain_name(ending),
      [&](const std::string& taken) {
        return fs::exists(folder_of(name) / taken) && this->file(name, taken) != file.bytes;
      });
  const bool is_new = !holds(name, free);
  if (is_new) write_whole(folder_of(name) / free, file.bytes);
  return {free, is_new};
}

void DesignShelf::remove_file(const std::string& name, const std::string& file) const {
  std::error_code ignored;
  if (holds(name, file)) fs::remove(folder_of(name) / file, ignored);
}

fs::path DesignShelf::take_off(const std::string& name) const {
  const std::string hidden =
      free_name(std::string(kTakenOff) + name, "",
                [&](const std::string& taken) { return fs::exists(folder_of(taken)); });
  fs::rename(folder_of(name), folder_of(hidden));
  flush_folder(folder_);
  return folder_of(hidden);
}

// The scene is named after its folder: both are right before anybody sees them.
std::string DesignShelf::put_back(const fs::path& taken_off, const std::string& name) const {
  const std::string free =
      free_name(name, "", [&](const std::string& taken) { return fs::exists(folder_of(taken)); });
  if (free != name) fs::rename(taken_off / (name + ".toml"), taken_off / (free + ".toml"));
  fs::rename(taken_off, folder_of(free));
  flush_folder(folder_);
  return free;
}

void DesignShelf::forget_all_taken_off() const {
  std::vector<fs::path> folders;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder_)) {
    if (entry.path().filename().string().starts_with(kTakenOff)) folders.push_back(entry.path());
  }
  std::error_code ignored;
  for (const fs::path& folder : folders) fs::remove_all(folder, ignored);
}

std::vector<NamedFile> DesignShelf::other_files(const std::string& name) const {
  std::vector<NamedFile> files;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder_of(name))) {
    const std::string file = entry.path().filename().string();
    if (!entry.is_regular_file() || entry.path() == scene_file(name) || file.front() == '.')
      continue;
    if (auto bytes = read(entry.path())) files.push_back({file, std::move(*bytes)});
  }
  return files;
}

bool DesignShelf::holds(const std::string& name, const std::string& file) const {
  std::error_code none;
  return !file.empty() && file == fs::path(file).filename().string() && file.front() != '.' &&
         fs::is_regular_file(fs::symlink_status(folder_of(name) / file, none));
}

std::optional<std::string> DesignShelf::file(const std::string& name,
                                             const std::string& file) const {
  return holds(name, file) ? read(folder_of(name) / file) : std::nullopt;
}

fs::path usual_design_folder() {
  const char* data = std::getenv("XDG_DATA_HOME");
  if (data && *data == '/') return fs::path(data) / "rimeglow" / "designs";
  const char* home = std::getenv("HOME");
  if (home && *home) return fs::path(home) / ".local" / "share" / "rimeglow" / "designs";
  return fs::path("rimeglow-designs");
}

}  // namespace rimeglow
