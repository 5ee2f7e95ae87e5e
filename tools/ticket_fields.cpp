#include "ticket_fields.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "scene_reader.h"
#include "scene_writer.h"
#include "schema.h"
#include "words.h"

namespace rimeglow {
namespace {

const Key& key_of(const std::string& key) {
  const Key* found = find_key(pattern_of(key));
  if (!found) throw std::logic_error("the ticket has a field of no key: " + key);
  return *found;
}

std::string about(const std::string& key) {
  const std::size_t dot = key.rfind('.');
  std::string name = dot == std::string::npos ? key : key.substr(dot + 1);
  std::replace(name.begin(), name.end(), '_', ' ');
  if (dot == 5 && key.starts_with("edges"))
    return name == "holes" ? "edges of the holes" : name + " edge";
  const std::string help(key_of(key).help);
  return name + (help.empty() ? "" : ", " + help);
}

std::vector<std::string> split(std::string_view text, char at) {
  std::vector<std::string> parts;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(at), text.size());
    std::string part(text.substr(0, end));
    part.erase(0, part.find_first_not_of(' '));
    part.erase(part.find_last_not_of(' ') + 1);
    parts.push_back(std::move(part));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return parts;
}

std::string both_units(double value, Dimension dimension) {
  if (dimension == Dimension::length)
    return short_number(value) + " mm = " + short_number(value / kMmPerInch) + " in";
  if (dimension == Dimension::spacing)
    return short_number(value) + " mm = " + short_number(kMmPerInch / value) + " dpi";
  return quantity_text(value, dimension);
}

bool has_unit(std::string_view text) {
  return text.find_first_not_of("0123456789./ -+") != std::string_view::npos;
}

// A bare number takes the unit that stands in the field, or the one that quantity_field would say.
std::string with_unit(std::string_view typed, std::string_view standing, Dimension dimension) {
  if (has_unit(typed) || typed.empty()) return std::string(typed);
  const std::size_t begin = standing.find_first_not_of("0123456789./ -+");
  const std::string_view usual = dimension == Dimension::spacing ? "dpi" : unit_of(dimension);
  const std::string_view unit = begin == std::string_view::npos ? usual : standing.substr(begin);
  return std::string(typed) + " " + std::string(unit);
}

// What people paste, and what their programs make of what they type.
std::string plain_letters(std::string_view typed) {
  constexpr std::pair<std::string_view, std::string_view> kPlain[] = {
      {"\u00a0", " "}, {"\u202f", " "},  {"\u2009", " "}, {"\u2212", "-"},
      {"\u00b2", "2"}, {"\u2033", "\""}, {"\u201d", "\""}};
  std::string text(typed);
  for (const auto& [odd, plain] : kPlain) {
    for (std::size_t at = text.find(odd); at != text.npos; at = text.find(odd, at))
      text.replace(at, odd.size(), plain);
  }
  return text;
}

}  // namespace

std::string short_number(double value) { return without_trailing_zeros(fixed(value, 4)); }

Segment plain_field(const std::string& key, const std::string& value) {
  Segment segment{value, key, value};
  segment.about = about(key);
  return segment;
}

Segment blank_field(const std::string& key, const std::string& words) {
  Segment segment = plain_field(key, "");
  segment.words = words;
  return segment;
}

Segment quantity_field(const std::string& key, double value, Dimension dimension) {
  std::string text = quantity_text(value, dimension);
  if (dimension == Dimension::spacing) text = short_number(kMmPerInch / value) + " dpi";
  Segment segment = plain_field(key, text);
  segment.both = both_units(value, dimension);
  return segment;
}

Segment length_field(const std::string& key, double mm) {
  Segment segment = plain_field(key, short_number(mm) + " mm");
  segment.both = both_units(mm, Dimension::length);
  return segment;
}

Segment place_field(const std::string& key, const Vec2& mm) {
  Segment segment = plain_field(key, short_number(mm.x()) + " mm, " + short_number(mm.y()) + " mm");
  segment.both =
      both_units(mm.x(), Dimension::length) + ", " + both_units(mm.y(), Dimension::length);
  return segment;
}

Segment choice_field(const std::string& key, const std::string& value) {
  Segment segment = plain_field(key, value);
  for (const std::string& choice : split(key_of(key).choices, '|'))
    segment.choices.push_back({choice, choice});
  segment.is_free = false;
  return segment;
}

Segment finish_field(const std::string& key, EdgeSpec::Kind kind, const std::string& grit) {
  const std::string words(word_of(kind));
  Segment segment = choice_field(key, grit.empty() ? words : words + " " + grit);
  segment.is_free = true;
  return segment;
}

std::string pattern_of(std::string_view key) {
  std::string pattern(key);
  if (const std::size_t open = pattern.find('['); open != std::string::npos)
    pattern.erase(open, std::min(pattern.find(']', open), pattern.size() - 1) + 1 - open);
  for (const char* list : {"lamp.", "art.region."}) {
    const std::string name = list;
    if (pattern.starts_with(name)) pattern.insert(name.size() - 1, "[]");
  }
  if (find_key(pattern)) return pattern;
  // A name of the user's is the second part; it may hold dots.
  const std::size_t first = pattern.find('.');
  const std::size_t last = pattern.rfind('.');
  if (first == std::string::npos) return pattern;
  const std::string head = pattern.substr(0, first) + ".*";
  return last > first ? head + pattern.substr(last) : head;
}

std::variant<std::string, Problem> toml_of(const std::string& key, std::string_view typed,
                                           std::string_view standing) {
  const Key* row = find_key(pattern_of(key));
  if (!row) return Problem{key, 0, "is no key of a scene", "rimeglow keys lists them all"};
  std::string text = row->type == KeyType::text ? std::string(typed) : plain_letters(typed);
  text.erase(0, std::min(text.find_first_not_of(" \t"), text.size()));
  text.erase(text.find_last_not_of(" \t") + 1);
  if (text.empty()) return Problem{key, 0, "is empty", "write a value, or press Escape"};
  switch (row->type) {
    case KeyType::number:
    case KeyType::count:
    case KeyType::number_or_two: {
      std::vector<std::string> parts = split(text, ',');
      if (parts.size() > 1 && row->type != KeyType::number_or_two)
        return Problem{key, 0, "\"" + text + "\" has a comma", "write a point for decimals"};
      for (std::string& part : parts) {
        double value = 0.0;
        const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), value);
        const bool is_all = error == std::errc{} && end == part.data() + part.size();
        if (!is_all || !std::isfinite(value))
          return Problem{key, 0, "\"" + part + "\" is no number", "write it as in 0.5 or 6"};
        part = toml_number(value);
      }
      if (parts.size() == 1) return parts.front();
      if (parts.size() == 2) return "[" + parts[0] + ", " + parts[1] + "]";
      return Problem{key, 0, "has too many numbers", "write one, or two with a comma between"};
    }
    case KeyType::two_quantities: {
      const std::vector<std::string> parts = split(text, ',');
      if (parts.size() != 2)
        return Problem{key, 0, "needs two lengths with a comma between, and points for decimals",
                       "write them as in 70.5 mm, 65 mm"};
      const std::vector<std::string> stood = split(standing, ',');
      std::string list;
      for (std::size_t i = 0; i < 2; ++i) {
        const std::string_view unit = i < stood.size() ? std::string_view(stood[i]) : "";
        list += (i > 0 ? ", " : "") + toml_text(with_unit(parts[i], unit, *row->dimension));
      }
      return "[" + list + "]";
    }
    case KeyType::quantity:
      return toml_text(with_unit(text, standing, *row->dimension));
    case KeyType::yes_no:
      return text;
    default:
      return toml_text(text);
  }
}

std::string in_both_units(const std::string& key, const std::string& toml) {
  const Key* row = find_key(pattern_of(key));
  const auto parsed = parse_scene("value = " + toml);
  const Node* document = std::get_if<Node>(&parsed);
  if (!row || !row->dimension || !document) return {};
  const Node& value = document->table()->front().second;
  const std::vector<Node> one = {value};
  std::string both;
  for (const Node& node : value.list() ? *value.list() : one) {
    if (!node.text()) return {};
    const auto read = parse_quantity(*node.text(), *row->dimension);
    const double* number = std::get_if<double>(&read);
    if (!number) return {};
    both += (both.empty() ? "" : ", ") + both_units(*number, *row->dimension);
  }
  return both;
}

}  // namespace rimeglow
