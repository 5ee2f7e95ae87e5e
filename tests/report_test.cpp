// Laws of sim/report and sim/words: what a made-up result is said to mean. Expected values are
// derived from the made-up numbers.
#include "report.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "made_up_glow.h"
#include "words.h"

namespace rimeglow::report_test {
namespace {

using testing::Test;

const Verdict& about(const Report& report, const std::string& topic) {
  for (const Verdict& verdict : report.verdicts) {
    if (verdict.topic == topic) return verdict;
  }
  throw std::out_of_range(topic);
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

bool warns(const Report& report, const std::string& part) {
  return std::any_of(report.warnings.begin(), report.warnings.end(),
                     [&part](const std::string& warning) { return says(warning, part); });
}

TEST(Words, NumbersAreSpokenInAFewFigures) {
  EXPECT_EQ(spoken(0.0), "0");
  EXPECT_EQ(spoken(0.414), "0.41");
  EXPECT_EQ(spoken(5.28), "5.3");
  EXPECT_EQ(spoken(9.99), "10");
  EXPECT_EQ(spoken(123.6), "124");
  EXPECT_EQ(spoken(71284.0), "71300");
  EXPECT_EQ(spoken(2643.0), "2640");
  EXPECT_EQ(spoken(-2.64), "-2.6");
  EXPECT_EQ(spoken(std::numeric_limits<double>::quiet_NaN()), "?");
  EXPECT_EQ(spoken(1e-3), "0.001");
}

TEST(Words, SharesBecomePercentages) {
  EXPECT_EQ(percent(0.414), "41 %");
  EXPECT_EQ(percent(0.0234), "2.3 %");
  EXPECT_EQ(percent(0.0996), "10 %");
  EXPECT_EQ(percent(0.0), "0 %");
  EXPECT_EQ(percent(0.0004), "under 0.1 %");
  EXPECT_EQ(percent(std::numeric_limits<double>::infinity()), "? %");
  EXPECT_EQ(fixed(-0.001, 2), "0.00");
  EXPECT_EQ(fixed(1e300, 0).size(), 301u);
}

TEST(Words, NoiseIsSaidAsAShareOfTheValue) {
  EXPECT_EQ(good_to({200.0, 4.0}), "good to 2 %");
  EXPECT_EQ(good_to({0.0, 0.0}), "not known yet");
}

TEST(Words, ErrorsSetTheDigitsThatAreShown) {
  EXPECT_EQ(with_error({123.456, 2.2}), "123 \u00b1 2");
  EXPECT_EQ(with_error({123.456, 0.22}), "123.5 \u00b1 0.2");
  EXPECT_EQ(with_error({12345.0, 220.0}), "12300 \u00b1 200");
  EXPECT_EQ(with_error({1318.0, 9.6}), "1320 \u00b1 10");
  EXPECT_EQ(with_error({12.3, 0.0}), "12");
  EXPECT_EQ(with_error({std::numeric_limits<double>::quiet_NaN(), 1.0}), "?");
}

TEST(Words, ListsReadAsSentences) {
  EXPECT_EQ(listed({}), "");
  EXPECT_EQ(listed({"a"}), "a");
  EXPECT_EQ(listed({"a", "b", "c"}), "a, b and c");
}

// (120 + 30) / 30 = 5.
TEST(Report, ContrastIsGlowAndRoomOverWhatIsBeside) {
  ViewerGlow seen = made_up::viewer("straight", 200.0, 40.0, 0.02);
  const auto known = contrast(seen);
  ASSERT_TRUE(known);
  EXPECT_NEAR(known->mean, 5.0, 1e-12);
  EXPECT_NEAR(known->standard_error, 0.02 * 120.0 / 30.0, 1e-12);
  seen.beside_cd_m2.standard_error = 0.02 * 30.0;
  EXPECT_NEAR(contrast(seen)->standard_error, std::hypot(0.08, 0.02 * 5.0), 1e-12);
  seen.beside_cd_m2 = {};
  EXPECT_FALSE(contrast(seen));
}

TEST(Report, BandsBeginAtTheirThresholds) {
  EXPECT_EQ(band_of(kContrastBands, 1.499).words, "hard to see");
  EXPECT_EQ(band_of(kContrastBands, 1.5).words, "visible");
  EXPECT_EQ(band_of(kContrastBands, 3.0).words, "reads well");
  EXPECT_EQ(band_of(kContrastBands, 1e9).words, "bright");
  EXPECT_EQ(band_of(kEvennessBands, 0.49).level, Level::poor);
  EXPECT_EQ(band_of(kEvennessBands, 0.5).level, Level::fair);
  EXPECT_EQ(band_of(kEvennessBands, 0.75).level, Level::good);
  EXPECT_EQ(band_of(kHotSpotBands, -1.0).level, Level::good);
}

TEST(Report, SaysHowBrightAgainstTheRoomForEveryViewer) {
  const Verdict bright = about(report_on(made_up::glow(), made_up::model()), "bright");
  EXPECT_EQ(bright.level, Level::good);
  EXPECT_EQ(bright.text,
            "Seen straight on, the engraving glows at 120 cd/m2 (good to 2 %), and the room "
            "adds 30. Beside it 30 cd/m2 of the room are seen, a contrast of 5: reads well. Seen "
            "from behind the contrast is 2.2 (visible).");
  auto backed = made_up::model();
  backed.room.backdrop = 0.5;
  EXPECT_TRUE(says(about(report_on(made_up::glow(), backed), "bright").text,
                   "and room and backdrop add 30. Beside it 30 cd/m2 of room and backdrop are"));
}

// What is not measured comes first, then the value with its noise; an input is named once.
TEST(Report, SaysSpansOfContrastAndHotSpotsBeforeTheirNoise) {
  Glow glow = made_up::glow();
  ViewerGlow& straight = glow.viewers.front();
  straight.mean_span = Span{60.0, 240.0, 120.0, "the roughness of the marks"};
  straight.contrast_span = Span{3.0, 9.0, 4.0, "the roughness of the marks"};
  glow.viewers.back().contrast_span = Span{1.1, 3.4, 1.2, "the roughness of the marks"};
  glow.hot_spots[0].span = Span{0.06, 0.2, 0.12, "the frost of the marks"};
  const Report report = report_on(glow, made_up::model());
  EXPECT_TRUE(says(about(report, "bright").text, "a contrast of 3 to 9, here 5: reads well"));
  EXPECT_TRUE(says(about(report, "bright").text, "the contrast is 1.1 to 3.4, here 2.2 (visible)"));
  EXPECT_TRUE(says(about(report, "leds").text,
                   "by 6 to 20 %, depending most on the frost of the marks, here 8 % about its "
                   "middle (give or take 1 %)"));
  straight.contrast_span->widest_input = "the frost of the marks";
  EXPECT_TRUE(says(about(report_on(glow, made_up::model()), "bright").text,
                   "a contrast of 3 to 9, depending most on the frost of the marks, here 5"));
}

TEST(Report, SaysSpansOfTwoInAHundredAndNoneNarrower) {
  Glow glow = made_up::glow();
  glow.viewers.front().mean_span = Span{118.0, 122.0, 2.0, "the gloss"};
  EXPECT_TRUE(says(about(report_on(glow, made_up::model()), "bright").text,
                   "glows at 118 to 122 cd/m2, depending most on the gloss, here 120 cd/m2"));
  glow.viewers.front().mean_span = Span{119.0, 121.0, 1.0, "the gloss"};
  EXPECT_TRUE(
      says(about(report_on(glow, made_up::model()), "bright").text, "glows at 120 cd/m2 (good"));
}

TEST(Report, DarkRoomHasNoContrastButAVerdict) {
  Glow glow = made_up::glow();
  for (ViewerGlow& viewer : glow.viewers) viewer.room_cd_m2 = viewer.beside_cd_m2 = {};
  EXPECT_TRUE(says(about(report_on(glow, made_up::model()), "bright").text, "without light"));
  for (ViewerGlow& viewer : glow.viewers) viewer.room_cd_m2 = {10.0, 0.1};
  EXPECT_TRUE(says(about(report_on(glow, made_up::model()), "bright").text, "no clear sheet"));
}

// Thirds of a straight line from 200 to 40: 200 - 160/6 = 173.3 and 40 + 160/6 = 66.7, 38 %.
TEST(Report, SaysWhichThirdIsDarkest) {
  const Verdict even = about(report_on(made_up::glow(), made_up::model()), "even");
  EXPECT_EQ(even.level, Level::poor);
  EXPECT_TRUE(says(even.text,
                   "Seen straight on, the top third glows at 38 % of the bottom third "
                   "(good to 4 % or better)"))
      << even.text;
  EXPECT_TRUE(says(even.text, "25 patches has 20 % of the brightest (good to 2 %): plainly uneven"))
      << even.text;
}

TEST(Report, PanelsLitFromTheSideAreJudgedFromSideToSide) {
  Model model = made_up::model();
  model.lamps.front().centre_mm = {0.0, 60.0};
  model.lamps.front().along = -Vec2::UnitY();
  Glow glow = made_up::glow();
  for (std::size_t i = 0; i < glow.viewers[0].patches.size(); ++i) {
    glow.viewers[0].patches[i].cd_m2 = {i % kPatchesAcross == 0 ? 100.0 : 50.0, 1.0};
  }
  const std::string text = about(report_on(glow, model), "even").text;
  EXPECT_TRUE(says(text, " at 50 % of the left-hand fifth")) << text;
  EXPECT_FALSE(says(text, "third"));
  model.lamps.push_back(model.lamps.front());
  EXPECT_TRUE(says(about(report_on(glow, model), "even").text, "left-hand fifth"));
  model.lamps.back().along = Vec2::UnitX();
  EXPECT_TRUE(says(about(report_on(glow, model), "even").text, "third")) << "lit from below too";
}

TEST(Report, UnengravedPartsHaveNoSayInEvenness) {
  Glow glow = made_up::glow();
  auto& rows = glow.viewers[0].rows;
  for (std::size_t i = rows.size() / 3; i < rows.size(); ++i) {
    rows[i] = {rows[i].y_mm, 0.0, {std::numeric_limits<double>::quiet_NaN(), 0.0}};
  }
  const std::string text = about(report_on(glow, made_up::model()), "even").text;
  EXPECT_FALSE(says(text, "third")) << text;
  EXPECT_FALSE(says(text, "?")) << text;
}

TEST(Report, OnePatchIsNeitherEvenNorUneven) {
  Glow glow = made_up::glow();
  for (PatchGlow& patch : glow.viewers[0].patches) patch.counted = false;
  glow.viewers[0].patches[3].counted = true;
  EXPECT_EQ(about(report_on(glow, made_up::model()), "even").level, Level::note);
}

TEST(Report, SaysWhetherTheLedsShow) {
  Glow glow = made_up::glow();
  EXPECT_TRUE(says(about(report_on(glow, made_up::model()), "leds").text, "soft ripples"));
  glow.hot_spots[0].contrast = {0.4, 0.01};
  EXPECT_EQ(about(report_on(glow, made_up::model()), "leds").level, Level::poor);
  glow.hot_spots[0].contrast = {0.4, 0.07};  // within 0.14 in 95 of 100 runs
  EXPECT_EQ(about(report_on(glow, made_up::model()), "leds").level, Level::poor);
  glow.hot_spots[0].contrast = {0.4, 0.08};  // within 0.16, more than the 0.15 that it is told by
  EXPECT_EQ(about(report_on(glow, made_up::model()), "leds").level, Level::note);
  glow.hot_spots.clear();
  EXPECT_TRUE(says(about(report_on(glow, made_up::model()), "leds").text, "cannot be told"));
}

// A judgement that the worse end of a span would not bear says so, and is no better than fair.
TEST(Report, IsNoBetterThanWhatNobodyMeasuredAllows) {
  Glow glow = made_up::glow();
  ViewerGlow& viewer = glow.viewers[0];
  viewer.evenness = {0.8, 0.01};
  viewer.evenness_span = Span{0.4, 0.9, 0.4, "the roughness of the marks"};
  const Verdict even = about(report_on(glow, made_up::model()), "even");
  EXPECT_EQ(even.level, Level::fair);
  EXPECT_TRUE(says(even.text, ": even, or at worst plainly uneven.")) << even.text;
  viewer.evenness_span->low = 0.76;
  EXPECT_EQ(about(report_on(glow, made_up::model()), "even").level, Level::good);

  glow.hot_spots[0].contrast = {0.03, 0.001};
  glow.hot_spots[0].span = Span{0.01, 0.2, 0.17, "the frost of the marks"};
  const Verdict leds = about(report_on(glow, made_up::model()), "leds");
  EXPECT_EQ(leds.level, Level::fair);
  EXPECT_TRUE(says(leds.text, "no LED stands out, or at worst the LEDs can be counted"));

  viewer.contrast_span = Span{1.2, 40.0, 28.0, "the slope law of the marks"};
  const Verdict bright = about(report_on(glow, made_up::model()), "bright");
  EXPECT_EQ(bright.level, Level::fair);
  EXPECT_TRUE(says(bright.text, ", or at worst hard to see.")) << bright.text;
}

TEST(Report, NamesTheEdgeWhereTheLedsShowMost) {
  Model model = made_up::model();
  model.lamps.push_back(model.lamps.front());
  model.lamps.back().edge = 2;
  Glow glow = made_up::glow();
  EXPECT_TRUE(says(about(report_on(glow, model), "leds").text,
                   "nearest the LEDs at the bottom edge the LEDs show as soft ripples"));
  glow.hot_spots.push_back({"top", {0.4, 0.01}});
  const Verdict verdict = about(report_on(glow, model), "leds");
  EXPECT_EQ(verdict.level, Level::poor);
  EXPECT_TRUE(
      says(verdict.text,
           "along the engraving nearest the LEDs at the top edge, where they show most, the "
           "LEDs can be counted: the glow rises and falls by 40 % about"))
      << verdict.text;
  glow.hot_spots.back().contrast.standard_error = 0.2;
  EXPECT_TRUE(says(about(report_on(glow, model), "leds").text,
                   "to tell whether the LEDs at the top edge show."));
}

TEST(Report, TellsWhereTheLightWentAndWhatTheBiggestLossMeans) {
  const Model model = made_up::model();
  Glow glow = made_up::glow();
  const std::string text = about(report_on(glow, model), "light").text;
  EXPECT_TRUE(says(text, "12 leave the engraving through the front and 11 through the back."))
      << text;
  EXPECT_TRUE(says(text, "29 never enter the panel")) << text;
  EXPECT_TRUE(says(text, "thicker sheet")) << text;
  EXPECT_TRUE(says(text, "and 20 go other ways")) << text;

  glow.ledger.back().of_emitted.mean = 0.5;  // the left edge
  EXPECT_TRUE(says(about(report_on(glow, model), "light").text,
                   "a white card behind the left edge, or white tape on it"));
}

TEST(Report, SmallLossesAreToldTogetherUnlessTheyRoundToNothing) {
  Glow glow = made_up::glow();
  glow.ledger = {{"missed", {0.3, 0.0}},
                 {"sheet", {0.03, 0.0}},
                 {"edges.bottom", {0.1, 0.0}},
                 {"edges.top", {0.2, 0.0}}};
  const auto text = [&] { return about(report_on(glow, made_up::model()), "light").text; };
  EXPECT_TRUE(says(text(), "10 leave through the bottom edge and 3 go other ways.")) << text();
  glow.ledger[1].of_emitted.mean = 0.004;
  EXPECT_TRUE(says(text(), "20 leave through the top edge and 10 leave")) << text();
}

TEST(Report, NoCardIsAdvisedForHoles) {
  Model model = made_up::model();
  model.outline.edges.push_back({"holes", 30.0, {}});
  model.edge_finish.emplace_back();
  Glow glow = made_up::glow();
  glow.ledger = {{"edges.holes", {0.9, 0.0}}};
  const std::string text = about(report_on(glow, model), "light").text;
  EXPECT_TRUE(says(text, "90 leave through the holes.")) << text;
  EXPECT_FALSE(says(text, "card")) << text;
}

TEST(Report, NoCardIsAdvisedWhereTheLedsAre) {
  Glow glow = made_up::glow();
  glow.ledger = {{"edges.bottom", {0.9, 0.0}}};
  const std::string text = about(report_on(glow, made_up::model()), "light").text;
  EXPECT_TRUE(says(text, "whiter base")) << text;
}

TEST(Report, NoCardIsAdvisedWhereThereIsOne) {
  Model model = made_up::model();
  const int top = model.outline.edge_named("top").value();
  model.edge_finish[static_cast<std::size_t>(top)].backing = Backing{};
  Glow glow = made_up::glow();
  glow.ledger = {{"edges.top", {0.9, 0.0}}};
  EXPECT_FALSE(says(about(report_on(glow, model), "light").text, "white card"));
}

TEST(Report, ClearBlanksGetCalmAnswers) {
  Glow blank = made_up::clear_blank();
  // As a chamfer may throw it.
  for (Share& share : blank.ledger) {
    if (share.name == "front.other") share.of_emitted.mean = 0.3;
  }
  const Report report = report_on(blank, made_up::model());
  EXPECT_EQ(report.verdicts.size(), 4u);
  for (const Verdict& verdict : report.verdicts) {
    EXPECT_EQ(verdict.level, Level::note);
    EXPECT_FALSE(says(verdict.text, "?")) << verdict.text;
    EXPECT_FALSE(says(verdict.text, "leave the engraving")) << verdict.text;
    EXPECT_FALSE(says(verdict.text, "beside the engraving")) << verdict.text;
    EXPECT_FALSE(says(verdict.text, "no light on its faces")) << verdict.text;
  }
}

// 1 - exp(-0.1 * 0.14) = 1.4 %, 1 - exp(-0.14) = 13 %.
TEST(Report, DoubtAboutTheAcrylicIsSaidInLight) {
  Model model = made_up::model();
  EXPECT_TRUE(warns(report_on(made_up::glow(), model), "between 1.4 % and 13 %"));
  model.sheet.absorption_guessed = false;
  EXPECT_FALSE(warns(report_on(made_up::glow(), model), "loses between"));
}

// 1 - exp(-0.02 * 3) = 5.8 % of what sets off straight on is scattered.
TEST(Report, WarnsOfTheVeilOfAHazySheet) {
  Model model = made_up::model();
  EXPECT_FALSE(warns(report_on(made_up::glow(), model), "veil"));
  model.sheet.scattering_per_mm = 0.02;
  EXPECT_TRUE(warns(report_on(made_up::glow(), model),
                    "2 of every 100 lumens leave through the front's clear acrylic"));
  EXPECT_TRUE(warns(report_on(made_up::glow(), model), "up to 5.8 % of their light"));
  EXPECT_FALSE(warns(report_on(made_up::clear_blank(), model), "veil"));
}

TEST(Report, WarnsOfNoisyPatches) {
  Glow glow = made_up::glow();
  EXPECT_FALSE(warns(report_on(glow, made_up::model()), "more photons"));
  PatchGlow& patch = glow.viewers[1].patches[7];
  patch.cd_m2.standard_error = 0.049 * patch.cd_m2.mean;
  EXPECT_FALSE(warns(report_on(glow, made_up::model()), "more photons"));
  patch.cd_m2.standard_error = 0.051 * patch.cd_m2.mean;
  EXPECT_TRUE(warns(report_on(glow, made_up::model()), "more photons"));
  patch.counted = false;
  EXPECT_FALSE(warns(report_on(glow, made_up::model()), "more photons"));
}

TEST(Report, EverySentenceAboutLuminanceNamesItsViewer) {
  for (const Verdict& verdict : report_on(made_up::glow(), made_up::model()).verdicts) {
    EXPECT_TRUE(says(verdict.text, "Seen ") || says(verdict.text, "viewer")) << verdict.text;
  }
  EXPECT_EQ(seen_by("the mayor"), "seen by \"the mayor\"");
}

}  // namespace
}  // namespace rimeglow::report_test
