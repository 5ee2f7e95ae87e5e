// What a variant is called in sentences: by what is done where that tells it from others.
#include "variants.h"

#include <gtest/gtest.h>

namespace rimeglow::variants_test {
namespace {

std::string deed(const Changes& changes, const EdgeSpec& top) {
  Scene scene;
  scene.edges["top"] = top;
  return deed_of({"Mine", changes}, scene);
}

EdgeSpec sanded(const std::string& grit) {
  EdgeSpec edge;
  edge.kind = EdgeSpec::Kind::sanded;
  edge.grit = grit;
  return edge;
}

TEST(Variants, TwoGritsAreTwoDeeds) {
  EXPECT_EQ(deed({{"edges.top", "sanded P120"}}, sanded("P120")), "sanding the top edge with P120");
  EXPECT_EQ(deed({{"edges.top", "\"sanded P800\""}}, sanded("P800")),
            "sanding the top edge with P800");
  EXPECT_EQ(deed({{"edges.top", "polished"}}, {}), "polishing the top edge");
}

TEST(Variants, WhatIsNoFinishHasItsTitle) {
  EXPECT_EQ(deed({}, {}), "\"Mine\"");
  EXPECT_EQ(deed({{"panel.thickness", "5 mm"}}, {}), "\"Mine\"");
  EXPECT_EQ(deed({{"edges.top.chamfer_back", "1 mm"}}, {}), "\"Mine\"");
  EXPECT_EQ(deed({{"edges.top", "{ kind = \"polished\", chamfer_back = \"1 mm\" }"}}, {}),
            "\"Mine\"");
  EXPECT_EQ(deed({{"edges.top", "sanded P120"}, {"edges.top.stroke", "along"}}, sanded("P120")),
            "\"Mine\"");
}

}  // namespace
}  // namespace rimeglow::variants_test
