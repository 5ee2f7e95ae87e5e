// A page of ours: one file without scripts and without anything fetched from elsewhere, and the
// parts all pages are made of.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "html.h"

namespace rimeglow {

std::string html_page(std::string_view title, const Html& body);

Html section(std::string_view id, std::string_view title, const Html& content);

// A picture inline. `alternative` says what it shows to those who cannot see it.
Html figure(std::string_view png, const std::string& alternative, const std::string& caption);

// What to mind of a result, if there is anything.
Html warnings_section(const std::vector<std::string>& warnings);

// A table whose first column holds names, the others numbers.
Html table(std::string_view caption, const Html& head, const Html& rows);
Html table_head(std::string_view names, const std::vector<std::string>& numbers);
Html row_head(std::string_view plain);
Html number(std::string_view plain);

// An input as it was given: "121.3", "2.9"; "0.127" below 1.
std::string as_given(double value);
std::string mm_as_given(double length_mm);

}  // namespace rimeglow
