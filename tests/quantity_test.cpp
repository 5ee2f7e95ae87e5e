#include "quantity.h"

#include <gtest/gtest.h>

#include "units.h"

namespace rimeglow::quantity_test {
namespace {

double value(const char* text, Dimension dimension) {
  const auto parsed = parse_quantity(text, dimension);
  EXPECT_TRUE(std::holds_alternative<double>(parsed)) << text;
  return std::holds_alternative<double>(parsed) ? std::get<double>(parsed) : 0.0;
}

std::string refusal(const char* text, Dimension dimension) {
  const auto parsed = parse_quantity(text, dimension);
  EXPECT_TRUE(std::holds_alternative<std::string>(parsed)) << text;
  return std::holds_alternative<std::string>(parsed) ? std::get<std::string>(parsed) : "";
}

// 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
TEST(Quantity, MillimetresAndInchesNameTheSameLength) {
  EXPECT_DOUBLE_EQ(value("1/8 in", Dimension::length), 3.175);
  EXPECT_DOUBLE_EQ(value("1 1/2 in", Dimension::length), 38.1);
  EXPECT_DOUBLE_EQ(value("0.125\"", Dimension::length), 3.175);
  EXPECT_DOUBLE_EQ(value(" 3.175mm ", Dimension::length), 3.175);
  EXPECT_DOUBLE_EQ(value("0.3175 cm", Dimension::length), 3.175);
}

TEST(Quantity, EveryDimensionHasItsUnits) {
  EXPECT_DOUBLE_EQ(value("120 deg", Dimension::angle), radians(120.0));
  EXPECT_DOUBLE_EQ(value("9 lm", Dimension::flux), 9.0);
  EXPECT_DOUBLE_EQ(value("254 dpi", Dimension::spacing), 0.1);
  EXPECT_DOUBLE_EQ(value("0.1 mm", Dimension::spacing), 0.1);
  EXPECT_DOUBLE_EQ(value("6500 K", Dimension::temperature), 6500.0);
  EXPECT_DOUBLE_EQ(value("30 cd/m2", Dimension::luminance), 30.0);
  EXPECT_DOUBLE_EQ(value("0.3 m/s", Dimension::speed), 300.0);
  EXPECT_DOUBLE_EQ(value("5 m/s2", Dimension::acceleration), 5000.0);
  EXPECT_DOUBLE_EQ(value("0.3 /m", Dimension::absorption), 0.3);
}

TEST(Quantity, NothingIsGuessed) {
  EXPECT_EQ(refusal("3", Dimension::length), "\"3\" needs a unit") << "how, says who asked";
  EXPECT_NE(refusal("1,234 mm", Dimension::length).find("comma"), std::string::npos);
  EXPECT_NE(refusal("3 lm", Dimension::length).find("is no unit"), std::string::npos);
  for (const char* text :
       {"", "mm", "1/0 in", "nan mm", "inf mm", "three mm", "3 mm mm", "1e999 mm", "400 dpi"}) {
    EXPECT_FALSE(refusal(text, Dimension::length).empty()) << text;
  }
}

// Who tells it adds example_of(): a refusal says it neither twice nor by itself.
TEST(Quantity, ARefusalSaysWhatIsWrongAndNoMore) {
  EXPECT_EQ(refusal("bright", Dimension::luminance), "\"bright\" is no number with a unit");
  EXPECT_EQ(refusal("9", Dimension::flux), "\"9\" needs a unit");
  EXPECT_EQ(refusal("9 mm", Dimension::flux), "\"9 mm\": \"mm\" is no unit for this");
  EXPECT_EQ(refusal("0 dpi", Dimension::spacing), "\"0 dpi\" is no line at all");
}

TEST(Quantity, PlainNumbersAreSaidWithoutZerosThatSayNothing) {
  EXPECT_EQ(number_text(1.5), "1.5");
  EXPECT_EQ(number_text(-100.0), "-100");
  EXPECT_EQ(number_text(1.0 / 3.0), "0.333333");
  EXPECT_EQ(number_text(1e300).size(), 301u);
}

TEST(Quantity, AValueIsSaidInItsFirstUnit) {
  EXPECT_EQ(quantity_text(12.5, Dimension::length), "12.5 mm");
  EXPECT_EQ(quantity_text(radians(30.0), Dimension::angle), "30 deg");
  EXPECT_EQ(quantity_text(5000.0, Dimension::acceleration), "5 m/s2");
}

}  // namespace
}  // namespace rimeglow::quantity_test
