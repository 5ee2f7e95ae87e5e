// A document written as a scene file reads back as it was.
#include "scene_writer.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "scene_reader.h"

namespace rimeglow::scene_writer_test {
namespace {

bool same(const Node& one, const Node& other) {
  if (one.value.index() != other.value.index()) return false;
  if (one.text()) return *one.text() == *other.text();
  if (one.list()) {
    return std::equal(one.list()->begin(), one.list()->end(), other.list()->begin(),
                      other.list()->end(), same);
  }
  if (!one.table()) {
    if (const auto* number = std::get_if<double>(&one.value))
      return *number == std::get<double>(other.value);
    return std::get<bool>(one.value) == std::get<bool>(other.value);
  }
  // Plain values are written before tables: order does not count.
  if (one.table()->size() != other.table()->size()) return false;
  for (const auto& [key, value] : *one.table()) {
    const auto found =
        std::find_if(other.table()->begin(), other.table()->end(),
                     [&, name = key](const auto& child) { return child.first == name; });
    if (found == other.table()->end() || !same(value, found->second)) return false;
  }
  return true;
}

TEST(SceneWriter, WhatItWritesReadsBackAsItWas) {
  const std::string text =
      "format = 1\ntitle = \"A \\\"quoted\\\" \\\\ name\\u0007, \u00e9\"\n[panel]\nwidth = \"9 "
      "mm\"\nindex = 1.4917\n[edges]\ntop = { kind = \"ground\", alpha = [0.3, 0.25] }\n"
      "[mark.\"deep one\"]\nspot = \"0.1 mm\"\n[[lamp]]\ncount = 3\n[[lamp]]\ncount = 4\n"
      "[machine]\ntwo_way = false\n[[art.region]]\nselect = \"#a\"\n";
  const auto read = parse_scene(text);
  ASSERT_TRUE(std::holds_alternative<Node>(read));
  const std::string written = toml_of(std::get<Node>(read));
  const auto again = parse_scene(written);
  ASSERT_TRUE(std::holds_alternative<Node>(again)) << written;
  EXPECT_TRUE(same(std::get<Node>(read), std::get<Node>(again))) << written;
}

TEST(SceneWriter, AValueIsReplacedOrMade) {
  Node document = std::get<Node>(parse_scene("[art]\nfile = \"a.svg\"\n"));
  set_value(document, "art", "file", "b.svg");
  set_value(document, "room", "use", "hall");
  EXPECT_EQ(toml_of(document), "\n[art]\nfile = \"b.svg\"\n\n[room]\nuse = \"hall\"\n");
}

}  // namespace
}  // namespace rimeglow::scene_writer_test
