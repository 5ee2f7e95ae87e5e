// The one table of all keys a scene may hold: what each is, its range, its default, what it is
// for, and where its value goes. The reader, the suggestions and the key reference are made from
// it. In a path, `*` stands for a name of the user's and `[]` for one of several.
#pragma once

#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "quantity.h"
#include "scene.h"

namespace rimeglow {

enum class KeyType {
  text,
  choice,       // one of `choices`
  edge_finish,  // one of `choices`, sanded with any grit
  yes_no,
  number,         // without a unit
  count,          // a whole number
  number_or_two,  // one number, or a list of two
  quantity,
  two_quantities,
  quantities,       // a list of any length
  words_or_points,  // text, or a list of lists of two quantities
  price,            // money for a piece
  hourly,           // money for an hour
  any,              // what the key it stands for takes
};

enum class KeyNeed { optional, required };

// A value that has passed the key's type and range.
struct KeyValue {
  double number = 0.0;
  Vec2 two = Vec2::Zero();
  std::vector<double> all;
  std::string text;
  std::vector<Vec2> points;
  bool yes = false;
  Money money{};
};

// Where values of the table being read go.
struct SceneTarget {
  Scene& scene;
  MarkSpec* mark = nullptr;
  EdgeSpec* edge = nullptr;
  LampSpec* lamp = nullptr;
  RegionSpec* region = nullptr;
  ViewerSpec* viewer = nullptr;
  Expectation* expectation = nullptr;
};

inline constexpr double kUnbounded = std::numeric_limits<double>::infinity();

struct Key {
  std::string_view path;
  KeyType type;
  KeyNeed need;
  std::optional<Dimension> dimension;
  double low;
  double high;
  std::string_view choices;   // separated by '|'
  std::string_view fallback;  // in words, as a user would write it
  std::string_view help;
  void (*store)(SceneTarget&, const KeyValue&);
};

std::span<const Key> schema();

// The key for a path whose names stand in for `*`, and whether a path leads to keys.
const Key* find_key(std::string_view pattern);
bool is_section(std::string_view pattern);

// The grit in "sanded P320", whatever it is; none in other words.
std::optional<std::string> grit_in(std::string_view words);

// The range of a key in words: "between 1 and 3".
std::string range_text(const Key& key);

// What a table of a scene is for. Its keys begin with `path`; a `*` left in them is `any` in words.
struct Section {
  std::string_view path;
  std::string_view header;  // as written in a scene
  std::string_view help;
  std::string_view any{};
};
std::span<const Section> sections();

// The key reference for people, as Markdown that reads well unrendered: every section, or those
// of one name ("lamp"), and nothing when there is none of that name.
std::string key_reference();
std::string key_reference(std::string_view section);

// The nearest of `names` by edit distance, or none when nothing is near.
std::optional<std::string_view> nearest(std::string_view word,
                                        std::span<const std::string_view> names);

}  // namespace rimeglow
