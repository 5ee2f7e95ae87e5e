#include "html.h"

#include <algorithm>
#include <array>
#include <cstdint>

namespace rimeglow {

namespace {

std::string escaped(std::string_view plain) {
  std::string safe;
  safe.reserve(plain.size());
  for (const char character : plain) {
    switch (character) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&#39;";
        break;
      default:
        // Control characters are no part of HTML text, spaces and line ends apart.
        if (static_cast<unsigned char>(character) < 0x20 && character != '\n' &&
            character != '\t') {
          safe += "\uFFFD";
        } else {
          safe += character;
        }
    }
  }
  return safe;
}

std::string start_tag(std::string_view tag, std::initializer_list<Attribute> attributes) {
  std::string start = "<" + std::string(tag);
  for (const Attribute& attribute : attributes) {
    start += " " + std::string(attribute.name) + "=\"" + escaped(attribute.value) + "\"";
  }
  return start + ">";
}

// RFC 4648, section 4.
std::string base64(std::string_view bytes) {
  constexpr std::string_view kDigits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t have = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      group = group << 8 | (k < have ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    }
    for (std::size_t digit = 0; digit < 4; ++digit) {
      text += digit <= have ? kDigits[group >> (18 - 6 * digit) & 0x3F] : '=';
    }
  }
  return text;
}

}  // namespace

Html& Html::operator+=(const Html& more) {
  markup_ += more.markup_;
  return *this;
}

Html Html::trusted(std::string_view markup) {
  Html html;
  html.markup_ = markup;
  return html;
}

Html text(std::string_view plain) { return Html::trusted(escaped(plain)); }

Html prose(std::string_view plain) {
  std::string typeset(plain);
  const std::array<std::array<std::string_view, 2>, 5> rules = {{{" %", "\u00a0%"},
                                                                 {" cd/m2", "\u00a0cd/m2"},
                                                                 {" mm2", "\u00a0mm2"},
                                                                 {"cd/m2", "cd/m\u00b2"},
                                                                 {"mm2", "mm\u00b2"}}};
  for (const auto& [from, to] : rules) {
    for (std::size_t at = typeset.find(from); at != std::string::npos;
         at = typeset.find(from, at + to.size())) {
      typeset.replace(at, from.size(), to);
    }
  }
  return text(typeset);
}

Html element(std::string_view tag, std::initializer_list<Attribute> attributes,
             const Html& content) {
  return Html::trusted(start_tag(tag, attributes) + content.markup() + "</" + std::string(tag) +
                       ">\n");
}

Html element(std::string_view tag, const Html& content) { return element(tag, {}, content); }

Html element(std::string_view tag, std::string_view plain) { return element(tag, {}, text(plain)); }

Html lone_element(std::string_view tag, std::initializer_list<Attribute> attributes) {
  return Html::trusted(start_tag(tag, attributes));
}

std::string png_address(std::string_view png) { return "data:image/png;base64," + base64(png); }

}  // namespace rimeglow
