// What of line art the raster cannot hold is told, however little of the ink it is: small writing
// beside large areas is what a customer misses first.
#include <gtest/gtest.h>

#include "art_reader.h"
#include "engraving.h"
#include "scored_lines.h"

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

// Beside a grey square: 20 mm of 0.04 mm on a raster of 0.1 mm, then of 0.3 mm.
TEST(LostStrokes, ThinStrokesAmongGreysAreMinded) {
  const std::string greys = "<rect width='5' height='5' fill='#888'/>";
  const auto minded =
      warnings_of(greys + "<path d='M1 9.05H39' stroke='#000' stroke-width='0.04'/>");
  ASSERT_EQ(minded.size(), 1U);
  EXPECT_NE(minded.front().find("come out as rows of dots"), std::string::npos) << minded.front();
  EXPECT_TRUE(
      warnings_of(greys + "<path d='M1 9.05L39 12' stroke='#000' stroke-width='0.3'/>").empty());
}

// A pale line of a tenth of a pixel, half on each side of two rows.
TEST(LostStrokes, AScoredHairlineIsFollowed) {
  ArtRequest request;
  request.pixel_mm = 0.1;
  request.scored = true;
  const Art art = read_art(
      "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='20mm' viewBox='0 0 40 20'>"
      "<path d='M1 10H39' stroke='#000' stroke-width='0.012'/><rect width='5' height='5'/></svg>",
      request);
  EXPECT_TRUE(art.info.warnings.empty());
  EXPECT_NEAR(drawn_mm2(art.drawing), 25.0 + 38.0 * 0.2, 0.1);
}

// Of half a pixel to two, turning through all directions: one closed round without a gap.
TEST(LostStrokes, AScoredCircleIsFollowedAllTheWay) {
  ArtRequest request;
  request.pixel_mm = 0.1;
  request.scored = true;
  for (const char* width : {"0.03", "0.05", "0.08", "0.1", "0.15"}) {
    const Art art = read_art(
        "<svg xmlns='http://www.w3.org/2000/svg' width='20mm' height='20mm' viewBox='0 0 20 20'>"
        "<circle cx='10.03' cy='9.98' r='9' fill='none' stroke='#000' stroke-width='" +
            std::string(width) + "'/></svg>",
        request);
    const auto lines = scored_lines(thinned(outlined(art.drawing)));
    SCOPED_TRACE(width);
    ASSERT_EQ(lines.size(), 1U);
    EXPECT_EQ(lines.front().front(), lines.front().back());
  }
}

TEST(LostStrokes, EdgesOfWhatFiresAreNot) {
  EXPECT_TRUE(warnings_of(kSquare + hairlines("0.08")).empty());
  EXPECT_TRUE(warnings_of("<circle cx='20' cy='10' r='0.9'/><path d='M1 1L39 18' stroke='#000' "
                          "stroke-width='0.15'/>")
                  .empty());
}

}  // namespace
}  // namespace rimeglow::lost_strokes_test
