#include "scene_reading_values.h"

#include <algorithm>
#include <cmath>

#include "quantity.h"
#include "roughness.h"

namespace rimeglow {
namespace {

std::vector<std::string_view> split(std::string_view words) {
  std::vector<std::string_view> parts;
  while (!words.empty()) {
    const std::size_t bar = words.find('|');
    parts.push_back(words.substr(0, bar));
    words = bar == std::string_view::npos ? std::string_view{} : words.substr(bar + 1);
  }
  return parts;
}

class ValueReader {
 public:
  ReadValue read(const Node& node, const Key& key, const std::string& path) {
    const std::optional<KeyValue> value = value_of(node, key, path);
    return {value, std::move(problems_)};
  }

 private:
  void complain(const std::string& path, Line line, std::string what, std::string mend) {
    problems_.push_back({path, line, std::move(what), std::move(mend)});
  }

  std::optional<KeyValue> value_of(const Node& node, const Key& key, const std::string& path) {
    KeyValue value;
    switch (key.type) {
      case KeyType::any:
        return value;
      case KeyType::text:
        if (!node.text()) return wrong_kind(node, path, "text in quotes");
        value.text = *node.text();
        return value;
      case KeyType::choice:
        return choice_of(node, key, path);
      case KeyType::edge_finish:
        return edge_finish_of(node, key, path);
      case KeyType::yes_no:
        if (!std::holds_alternative<bool>(node.value))
          return wrong_kind(node, path, "true or false");
        value.yes = std::get<bool>(node.value);
        return value;
      case KeyType::number:
      case KeyType::count:
      case KeyType::quantity: {
        const auto number = number_of(node, key, path);
        if (!number) return std::nullopt;
        value.number = *number;
        return value;
      }
      case KeyType::number_or_two:
      case KeyType::two_quantities:
        return two_of(node, key, path);
      case KeyType::words_or_points:
        return words_or_points_of(node, key, path);
      case KeyType::quantities:
        return all_of(node, key, path);
      case KeyType::price:
        return money_of(node, MoneyPer::piece, path);
      case KeyType::hourly:
        return money_of(node, MoneyPer::hour, path);
    }
    return std::nullopt;
  }

  std::optional<KeyValue> wrong_kind(const Node& node, const std::string& path,
                                     const std::string& wanted, const std::string& example = "") {
    complain(path, node.line, "is " + kind_of(node) + " where " + wanted + " belongs",
             "write " + wanted + (example.empty() ? "" : ", as in " + example));
    return std::nullopt;
  }

  std::optional<KeyValue> choice_of(const Node& node, const Key& key, const std::string& path) {
    const std::vector<std::string_view> choices = split(key.choices);
    if (!node.text()) return wrong_kind(node, path, quoted_choices(choices));
    if (std::find(choices.begin(), choices.end(), *node.text()) != choices.end()) {
      KeyValue value;
      value.text = *node.text();
      return value;
    }
    const auto near = nearest(*node.text(), choices);
    complain(path, node.line, "\"" + *node.text() + "\" is none of " + quoted_choices(choices),
             near ? "do you mean \"" + std::string(*near) + "\"?" : "use one of these");
    return std::nullopt;
  }

  std::optional<KeyValue> edge_finish_of(const Node& node, const Key& key,
                                         const std::string& path) {
    const auto grit = node.text() ? grit_in(*node.text()) : std::nullopt;
    if (!grit) return choice_of(node, key, path);
    if (grain_um(*grit)) {
      KeyValue value;
      value.text = *node.text();
      return value;
    }
    const bool bare = !grit->empty() && grit->find_first_not_of("0123456789") == std::string::npos;
    if (bare && (grain_um("P" + *grit) || grain_um(*grit + " US"))) {
      complain(path, node.line,
               "grit " + *grit + " is two things: the P grades and the US grades part above 220",
               "write \"sanded P" + *grit + "\" or \"sanded " + *grit + " US\"");
      return std::nullopt;
    }
    const std::vector<std::string> known = grits();
    const std::vector<std::string_view> names(known.begin(), known.end());
    const auto near = nearest(*grit, names);
    complain(path, node.line,
             grit->empty() ? "does not say with which grit it is sanded"
                           : "\"" + *grit + "\" is no grade of abrasive",
             near ? "do you mean \"sanded " + std::string(*near) + "\"?"
                  : "write \"sanded P320\" or \"sanded 320 US\"");
    return std::nullopt;
  }

  std::optional<double> number_of(const Node& node, const Key& key, const std::string& path) {
    double number = 0.0;
    if (const auto* plain = std::get_if<double>(&node.value)) {
      number = *plain;
      if (key.dimension) {
        complain(path, node.line, number_text(number) + " needs a unit",
                 "write " + std::string(example_of(*key.dimension)));
        return std::nullopt;
      }
    } else if (node.text() && key.dimension) {
      const auto parsed = parse_quantity(*node.text(), *key.dimension);
      if (const auto* why = std::get_if<std::string>(&parsed)) {
        complain(path, node.line, *why, "write " + std::string(example_of(*key.dimension)));
        return std::nullopt;
      }
      number = std::get<double>(parsed);
    } else {
      const std::string wanted =
          key.dimension ? std::string(example_of(*key.dimension)) : "a number without quotes";
      wrong_kind(node, path, wanted);
      return std::nullopt;
    }
    // Ends of a range in degrees and the like are rounded; a hair beyond them is still meant.
    const double slack = 1e-9 * std::max(1.0, std::abs(number));
    if (!std::isfinite(number) || number < key.low - slack || number > key.high + slack) {
      const std::string said =
          key.dimension ? quantity_text(number, *key.dimension) : number_text(number);
      complain(path, node.line, said + " is out of range", "it must be " + range_text(key));
      return std::nullopt;
    }
    if (key.type == KeyType::count && number != std::floor(number)) {
      complain(path, node.line, number_text(number) + " is not whole", "write a whole number");
      return std::nullopt;
    }
    return number;
  }

  std::optional<KeyValue> two_of(const Node& node, const Key& key, const std::string& path) {
    KeyValue value;
    if (key.type == KeyType::number_or_two && !node.list()) {
      const auto both = number_of(node, key, path);
      if (!both) return std::nullopt;
      value.two = {*both, *both};
      return value;
    }
    if (!node.list() || node.list()->size() != 2) {
      return key.dimension ? wrong_kind(node, path, "a list of two", "[\"70 mm\", \"66 mm\"]")
                           : wrong_kind(node, path, "a list of two numbers");
    }
    const auto first = number_of((*node.list())[0], key, path);
    const auto second = number_of((*node.list())[1], key, path);
    if (!first || !second) return std::nullopt;
    value.two = {*first, *second};
    return value;
  }

  std::optional<KeyValue> words_or_points_of(const Node& node, const Key& key,
                                             const std::string& path) {
    KeyValue value;
    if (!node.list()) {
      if (!node.text()) return wrong_kind(node, path, "text in quotes or a list of points");
      value.text = *node.text();
      return value;
    }
    if (node.list()->size() < 3) return wrong_kind(node, path, "a list of three points or more");
    for (const Node& point : *node.list()) {
      const auto two = two_of(point, key, path);
      if (!two) return std::nullopt;
      value.points.push_back(two->two);
    }
    return value;
  }

  std::optional<KeyValue> all_of(const Node& node, const Key& key, const std::string& path) {
    if (!node.list() || node.list()->empty()) {
      const std::string_view one = example_of(*key.dimension);
      return wrong_kind(node, path, "a list",
                        "[" + std::string(one.substr(0, one.find(" or "))) + "]");
    }
    KeyValue value;
    for (const Node& one : *node.list()) {
      const auto number = number_of(one, key, path);
      if (!number) return std::nullopt;
      value.all.push_back(*number);
    }
    return value;
  }

  std::optional<KeyValue> money_of(const Node& node, MoneyPer per, const std::string& path) {
    const std::string example(example_of(per));
    if (!node.text()) return wrong_kind(node, path, example);
    const auto parsed = parse_money(*node.text(), per);
    if (const auto* why = std::get_if<std::string>(&parsed)) {
      complain(path, node.line, *why, "write it as in " + example);
      return std::nullopt;
    }
    KeyValue value;
    value.money = std::get<Money>(parsed);
    return value;
  }

  std::vector<Problem> problems_;
};

}  // namespace

std::string kind_of(const Node& node) {
  if (node.table()) return "a table";
  if (node.list()) return "a list of " + std::to_string(node.list()->size());
  if (node.text()) return "text";
  return std::holds_alternative<bool>(node.value) ? "true or false" : "a number";
}

std::string quoted_choices(const std::vector<std::string_view>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) text += i + 1 == words.size() ? " or " : ", ";
    text += "\"" + std::string(words[i]) + "\"";
  }
  return text;
}

ReadValue read_value(const Node& node, const Key& key, const std::string& path) {
  return ValueReader().read(node, key, path);
}

}  // namespace rimeglow
