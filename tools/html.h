// HTML put together so that text can never turn into markup: an Html is made from plain text,
// which is escaped, or from elements of our own; strings from a scene have no other way in.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

namespace rimeglow {

class Html {
 public:
  Html() = default;

  const std::string& markup() const { return markup_; }
  bool empty() const { return markup_.empty(); }

  Html& operator+=(const Html& more);
  friend Html operator+(Html first, const Html& second) { return first += second; }

  // Markup written in the program, never made from input.
  static Html trusted(std::string_view markup);

 private:
  std::string markup_;
};

struct Attribute {
  std::string_view name;
  std::string value;
};

// Plain text, with & < > " ' and control characters made harmless.
Html text(std::string_view plain);

// Text of our own, typeset: no line ends before a unit, and raised squares.
Html prose(std::string_view plain);

// <tag name="value">content</tag>; values are escaped.
Html element(std::string_view tag, std::initializer_list<Attribute> attributes,
             const Html& content);
Html element(std::string_view tag, const Html& content);
Html element(std::string_view tag, std::string_view plain);

// An element that has no content and no end, such as <img>.
Html lone_element(std::string_view tag, std::initializer_list<Attribute> attributes);

// The bytes of a PNG as a data: address (RFC 2397, base64 of RFC 4648).
std::string png_address(std::string_view png);

}  // namespace rimeglow
