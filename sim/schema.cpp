#include "schema.h"

#include <algorithm>
#include <vector>

namespace rimeglow {
namespace {

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row[b.size()];
}

}  // namespace

const Key* find_key(std::string_view pattern) {
  const auto found = std::find_if(schema().begin(), schema().end(),
                                  [&](const Key& key) { return key.path == pattern; });
  return found == schema().end() ? nullptr : &*found;
}

bool is_section(std::string_view pattern) {
  const std::string prefix = std::string(pattern) + ".";
  return std::any_of(schema().begin(), schema().end(),
                     [&](const Key& key) { return key.path.starts_with(prefix); });
}

std::optional<std::string> grit_in(std::string_view words) {
  constexpr std::string_view kSanded = word_of(EdgeSpec::Kind::sanded);
  if (!words.starts_with(kSanded)) return std::nullopt;
  std::string_view grit = words.substr(kSanded.size());
  while (!grit.empty() && grit.front() == ' ') grit.remove_prefix(1);
  return std::string(grit);
}

std::string range_text(const Key& key) {
  const auto said = [&](double value) {
    return key.dimension ? quantity_text(value, *key.dimension) : number_text(value);
  };
  if (key.high == kUnbounded) return "at least " + said(key.low);
  if (key.low == key.high) return said(key.low);
  return "between " + said(key.low) + " and " + said(key.high);
}

std::optional<std::string_view> nearest(std::string_view word,
                                        std::span<const std::string_view> names) {
  std::optional<std::string_view> best;
  std::size_t least = std::max<std::size_t>(2, word.size() / 3) + 1;  // farther is no typo
  for (const std::string_view name : names) {
    const std::size_t distance = edit_distance(word, name);
    if (distance < least) {
      least = distance;
      best = name;
    }
  }
  return best;
}

}  // namespace rimeglow
