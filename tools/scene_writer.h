// A document, or a part of one, as the text of a scene file, which reads back as the same.
#pragma once

#include <string>
#include <string_view>

#include "document.h"

namespace rimeglow {

std::string toml_of(const Node& document);

// What stands on one line: a text in its quotes, a name bare where it can be, all digits of a
// number, any value.
std::string toml_text(std::string_view plain);
std::string toml_key(std::string_view name);
std::string toml_number(double value);
std::string toml_value(const Node& node);

// Sets a text in a table of the document, both made where they are missing.
void set_value(Node& document, const std::string& table, const std::string& key,
               const std::string& value);

}  // namespace rimeglow
