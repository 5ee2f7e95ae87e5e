// What of line art the raster cannot hold is told, however little of the ink it is: small writing
// beside large areas is what a customer misses first.
#include <gtest/gtest.h>

#include "art_reader.h"

namespace rimeglow::lost_strokes_test {
namespace {

// Of a drawing 40 x 20 mm at its own size, on a raster of 0.1 mm.
std::vector<std::string> warnings_of(const std::string& drawn) {
  ArtRequest request;
  request.pixel_mm = 0.1;
  return read_art(
             "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='20mm' viewBox='0 0 40 "
             "20'>" +
                 drawn + "</svg>",
             request)
      .info.warnings;
}

constexpr const char* kSquare = "<rect width='10' height='10'/>";

std::string hairlines(const std::string& height) {
  std::string lines;
  for (const char* y : {"13.02", "14.02", "15.02", "16.02"})
    lines += "<rect y='" + std::string(y) + "' width='20' height='" + height + "'/>";
  return lines;
}

// 4 x 20 x 0.025 mm2 of 102.
TEST(LostStrokes, SmallWritingBesideLargeAreasIsMissed) {
  const auto warnings = warnings_of(kSquare + hairlines("0.025"));
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_EQ(warnings.front().find("2 % of the drawn area is lost: strokes thinner"), 0U)
      << warnings.front();
}

TEST(LostStrokes, EdgesOfWhatFiresAreNot) {
  EXPECT_TRUE(warnings_of(kSquare + hairlines("0.08")).empty());
  EXPECT_TRUE(warnings_of("<circle cx='20' cy='10' r='0.9'/><path d='M1 1L39 18' stroke='#000' "
                          "stroke-width='0.15'/>")
                  .empty());
}

}  // namespace
}  // namespace rimeglow::lost_strokes_test
