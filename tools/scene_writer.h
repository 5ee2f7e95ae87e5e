// A document as the text of a scene file, which reads back as the same document.
#pragma once

#include <string>

#include "document.h"

namespace rimeglow {

std::string toml_of(const Node& document);

// Sets a text in a table of the document, both made where they are missing.
void set_value(Node& document, const std::string& table, const std::string& key,
               const std::string& value);

}  // namespace rimeglow
