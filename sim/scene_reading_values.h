// One value of a document as the schema wants it: its kind, its unit, its range.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "document.h"
#include "schema.h"

namespace rimeglow {

// `path` is where the user wrote it.
struct ReadValue {
  std::optional<KeyValue> value;
  std::vector<Problem> problems;  // why there is none
};
ReadValue read_value(const Node& node, const Key& key, const std::string& path);

// "a table", "a number".
std::string kind_of(const Node& node);

// "\"back\" or \"front\"".
std::string quoted_choices(const std::vector<std::string_view>& words);

}  // namespace rimeglow
