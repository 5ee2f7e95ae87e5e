// `even` on whole scenes: the examples reach what is asked of them, the files of a small one say
// what was planned, and what cannot be planned is refused with nothing written.
#include "even_set.h"

#include <gtest/gtest.h>

#include <climits>
#include <filesystem>
#include <sstream>

#include <unistd.h>

#include <nlohmann/json.hpp>

#include "cli.h"
#include "even_checks.h"
#include "even_files.h"
#include "files.h"
#include "made_up_art.h"

namespace rimeglow::even_plan_test {
namespace {

namespace fs = std::filesystem;

// ---- the examples

class EvenExample : public testing::TestWithParam<const char*> {};

// The burnt bitmap, read back from its PNG and traced by a fresh seed: even to 0.8 at four fifths
// of the brightness and more, and within 10 % (root mean square) of the art's own tones over
// squares of 3 mm. Four standard errors of the run on top; false alarm below 1e-4.
TEST_P(EvenExample, GlowsEvenlyAndKeepsItsBrightness) {
  const LoadedScene scene = load_scene(fs::path(RIMEGLOW_SCENES_DIR) / GetParam(), {});
  ASSERT_TRUE(scene.problems.empty() && even_problems(scene).empty());
  EvenOptions options;
  options.round_photons = (std::uint64_t{1} << 17) / RIMEGLOW_TEST_PHOTON_DIVISOR;
  options.final_photons = (std::uint64_t{1} << 19) / RIMEGLOW_TEST_PHOTON_DIVISOR;
  options.spans = Spans::left_out;
  options.further = Questions::left_out;
  const EvenResult result = make_even(scene, options, [](const std::string&) { return true; });
  const ViewerGlow& before = result.glow_before();
  const ViewerGlow& after = result.glow_after();
  EXPECT_LT(before.evenness.mean, 0.8 + 4.0 * before.evenness.standard_error);
  EXPECT_GE(after.evenness.mean + 4.0 * after.evenness.standard_error, 0.8);
  // A plan made with few photons answers to their noise as well, at the cost of brightness.
  const double kept = RIMEGLOW_TEST_PHOTON_DIVISOR == 1 ? 0.8 : 0.7;
  EXPECT_GE(after.mean_cd_m2.mean, kept * before.mean_cd_m2.mean);
  if (RIMEGLOW_TEST_PHOTON_DIVISOR == 1) {
    EXPECT_GE(after.evenness.mean, 0.78);
    EXPECT_LT(result.tone_error_after, 0.1);
  }
  EXPECT_LE(result.rounds.size(), static_cast<std::size_t>(kMostEvenRounds));
}

INSTANTIATE_TEST_SUITE_P(Scenes, EvenExample,
                         testing::Values("star-map.toml", "plaque.toml", "moon.toml"));

// ---- a small panel

class SmallEven : public OwnFolder {
 protected:
  void SetUp() override {
    write("drawn.svg",
          "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='40mm' viewBox='0 0 40 "
          "40'><path id='low' d='M0 22H40V40H0Z'/><path d='M0 0H40V12H0Z'/></svg>");
    write("small.toml", scene("3 mm"));
  }

  // Of frost alone, which needs no walks over facets: many plans in short time.
  static std::string scene(const std::string& thickness) {
    return "[panel]\nwidth = \"60 mm\"\nheight = \"60 mm\"\nthickness = \"" + thickness +
           "\"\n[art]\nfile = \"drawn.svg\"\ncentre = [\"30 mm\", \"32 mm\"]\nmark = \"a\"\n"
           "[mark.a]\nfrost = 1.0\nspacing = \"250 dpi\"\nspot = \"0.15 mm\"\n[mark.b]\n"
           "spacing = \"250 dpi\"\nkind = \"scored\"\n[lamp]\ncount = 3\npitch = \"18 mm\"\n"
           "flux_each = \"9 lm\"\n[machine]\nbed = [\"300 mm\", \"200 mm\"]\n"
           "dpi = [\"250 dpi\", \"500 dpi\"]\n";
  }

  int run(std::vector<std::string> arguments) {
    out_.str("");
    err_.str("");
    for (std::string& argument : arguments)
      if (argument.find(".toml") != std::string::npos || argument == "out")
        argument = (folder_ / argument).string();
    return run_command_line(arguments, out_, err_);
  }

  std::ostringstream out_, err_;
};

EvenOptions quick() {
  EvenOptions options;
  options.round_photons = options.final_photons = std::uint64_t{1} << 16;
  options.check_photons = std::uint64_t{1} << 11;
  options.spans = Spans::left_out;
  return options;
}

// What is not drawn has no say in whether a search is settled: this one ends 2 % too dim, settled
// too early 3.8 % too bright.
TEST_F(SmallEven, ComesToItsLevelHoweverEmptyTheBoxOfTheArtIs) {
  write("drawn.svg",
        svg("width='48mm' height='48mm' viewBox='0 0 48 48'", "<path d='M23 23h3v3h-3z'/>"));
  const LoadedScene scene = load_scene(folder_ / "small.toml", {});
  EvenOptions options = quick();
  options.further = Questions::left_out;
  options.round_photons = options.final_photons = std::uint64_t{1} << 18;
  const auto go_on = [](const std::string&) { return true; };
  const double full = make_even(scene, options, go_on).glow_before().mean_cd_m2.mean;
  options.in_set = InSet{"a dim piece", false, 0.6 * full};
  EXPECT_NEAR(make_even(scene, options, go_on).glow_after().mean_cd_m2.mean / full, 0.6, 0.018);
}

TEST_F(SmallEven, WritesAPlanThatPredictsAsPlanned) {
  const LoadedScene scene = load_scene(folder_ / "small.toml", {});
  ASSERT_TRUE(scene.problems.empty()) << problems_text(scene);
  const EvenResult result = make_even(scene, quick(), [](const std::string&) { return true; });
  EXPECT_GT(result.glow_after().evenness.mean, result.glow_before().evenness.mean + 0.05);
  EXPECT_GE(result.curve.size(), 9u);
  EXPECT_EQ(result.bench.size(), 6u);
  ASSERT_GT(result.advice.size(), 4u);
  EXPECT_EQ(result.advice.front().outcome.what, "as it is");
  EXPECT_TRUE(result.advice.front().laser_min);
  // The edge across from the LEDs is bare: a white card there is worth a plan of its own.
  ASSERT_TRUE(result.helps_most);
  EXPECT_GT(result.helps_most->mean_cd_m2.mean, 1.05 * result.glow_after().mean_cd_m2.mean);
  EXPECT_NE(even_verdict(result, scene).find("What would help most: " + result.helps_most->what),
            std::string::npos);
  const auto files = even_files(result, scene, Jig::drawn);
  write_folder(folder_ / "out", files);
  const LoadedScene planned = load_scene(folder_ / "out/plan.toml", {});
  ASSERT_TRUE(planned.problems.empty()) << problems_text(planned);
  const Drawing burnt =
      dots_in_png(result.engravings.at(0).png, scene.drawings[0].pixel_mm, Side::back);
  const Density plan = density_over(box_of(planned.drawings), *planned.densities);
  const Drawing again =
      fired(layer_art(planned.scene, planned.drawings, Burning::by_density)[0], plan);
  EXPECT_EQ(std::count(burnt.tone.begin(), burnt.tone.end(), 255),
            std::count(again.tone.begin(), again.tone.end(), 255));
  const auto numbers = nlohmann::json::parse(read("out/numbers.json"));
  EXPECT_EQ(numbers["even"]["density"]["curve"].size(), result.curve.size());
  EXPECT_NEAR(numbers["glow"]["mean_cd_m2"]["value"].get<double>(),
              result.glow_after().mean_cd_m2.mean, 1e-9);
  for (const char* words : {"mirrored already", "dpi", "Top edge", "No alcohol", "PVC"})
    EXPECT_NE(read("out/work-note.html").find(words), std::string::npos) << words;
  EXPECT_NE(read("out/report.html").find(" - Made even</title>"), std::string::npos);
}

// A plan that aims higher by what its worst case at the bench lacks holds in more of the cases, at
// hardly less brightness, and takes the place of the one found first.
TEST_F(SmallEven, APlanThatHoldsInMoreCasesAtTheBenchIsPreferred) {
  const LoadedScene scene = load_scene(folder_ / "small.toml", {});
  EvenOptions options = quick();
  options.check_photons = std::uint64_t{1} << 13;
  const GoOn go_on = [](const std::string&) { return true; };
  options.further = Questions::left_out;
  const EvenResult first = make_even(scene, options, go_on);
  options.further = Questions::of_the_plan;
  const EvenResult preferred = make_even(scene, options, go_on);
  ASSERT_GE(first.glow_after().evenness.mean, scene.scene.even.evenness);
  EXPECT_NE(preferred.plan.share, first.plan.share);

  RunSettings settings;
  settings.seed = options.seed;
  settings.response_walks = 1 << 17;
  const EvenSearch search =
      begin_even(scene.scene, scene.drawings, *scene.model, settings, EvenWish());
  const std::vector<Drawing> dots = dots_of(search.art, first.plan);
  const auto holds = [&](const EvenOutcome& outcome) {
    return outcome.evenness.mean >= scene.scene.even.evenness;
  };
  std::ptrdiff_t held_by_first = 0;
  for (const Shake& shake : shakes(search.blank))
    held_by_first += holds(shaken(search, dots, shake, 4 * options.check_photons)) ? 1 : 0;
  EXPECT_GT(std::count_if(preferred.bench.begin(), preferred.bench.end(), holds), held_by_first);
  EXPECT_GE(preferred.glow_after().evenness.mean, scene.scene.even.evenness);
  EXPECT_GE(preferred.glow_after().mean_cd_m2.mean, 0.95 * first.glow_after().mean_cd_m2.mean);
}

// Its art and its outline have files of one name.
TEST_F(SmallEven, StoppedEarlyItKeepsWhatWasReached) {
  fs::create_directories(folder_ / "art");
  fs::rename(folder_ / "drawn.svg", folder_ / "art/drawn.svg");
  write("drawn.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='60mm' height='60mm' viewBox='0 0 60 60'>"
        "<path d='M0 0H60V60H0Z'/></svg>");
  const LoadedScene scene = load_scene(
      folder_ / "small.toml", {{"art.file", "art/drawn.svg"}, {"panel.outline", "drawn.svg"}});
  ASSERT_TRUE(scene.problems.empty()) << problems_text(scene);
  for (const int steps : {0, kMostEvenRounds}) {
    int left = steps;
    const EvenResult result =
        make_even(scene, quick(), [&](const std::string&) { return left-- > 0; });
    EXPECT_TRUE(result.interrupted);
    EXPECT_EQ(result.engravings.size(), 1u);
    EXPECT_NE(even_json(result, scene).find("\"interrupted\": true"), std::string::npos);
    EXPECT_EQ(result.unfinished, steps == 0);
    const auto files = even_files(result, scene, Jig::left_out);
    write_folder(folder_ / "out", files);
    EXPECT_EQ(read("out/work-note.html").find("do not engrave it") != std::string::npos,
              result.unfinished);
    EXPECT_EQ(read("out/scene-2-drawn.svg"), read("art/drawn.svg"));
    const LoadedScene planned = load_scene(folder_ / "out/plan.toml", {});
    EXPECT_TRUE(planned.problems.empty()) << problems_text(planned);
    EXPECT_EQ(planned.scene.title, "small");
  }
}

// Counted on one thread: it ends at the question that is answered by no, and asks at least for
// every 256 photons of its two runs told and its two rounds.
TEST_F(SmallEven, EndsAtOnceWhenNobodyWantsIt) {
  const LoadedScene scene = load_scene(folder_ / "small.toml", {});
  EvenOptions options = quick();
  options.threads = 1;
  options.further = Questions::left_out;
  int asked = 0;
  int most = INT_MAX;
  options.is_wanted = [&] { return ++asked < most; };
  const GoOn go_on = [](const std::string&) { return true; };
  const EvenResult result = make_even(scene, options, go_on);
  const int in_making = asked;
  even_files(result, scene, Jig::left_out, options.is_wanted);
  const int in_writing = asked - in_making;
  EXPECT_GE(in_making, 4 * (1 << 16) / 256);
  const int lit = 40 * 30 * 20 * 20;
  EXPECT_GE(in_writing, 2 * lit / 1024) << "for 1024 lit pixels of both pictures";
  for (const int last : {1, in_making / 2, in_making}) {
    asked = 0;
    most = last;
    EXPECT_THROW(make_even(scene, options, go_on), Unwanted);
    EXPECT_EQ(asked, last);
  }
  for (const int last : {1, in_writing / 2}) {
    asked = 0;
    most = last;
    EXPECT_THROW(even_files(result, scene, Jig::left_out, options.is_wanted), Unwanted);
    EXPECT_EQ(asked, last);
  }
}

// Both are brought to the thicker and dimmer one's brightness: within 2 %, of which noise is 1 %.
// It is burnt rough and on its front, which nothing measured ties to the other's back, and looks
// otherwise from a seat. What would help is asked of it alone.
TEST_F(SmallEven, ASetComesOutEquallyBrightAndSaysWhereNot) {
  std::string thick = scene("6 mm");
  thick.replace(thick.find("frost = 1.0"), 11, "alpha = 0.4");
  write("thick.toml", thick.replace(thick.find("[art]\n"), 6, "[art]\nface = \"front\"\n"));
  const std::vector<LoadedScene> scenes = {load_scene(folder_ / "small.toml", {}),
                                           load_scene(folder_ / "thick.toml", {})};
  const auto results = make_even_set(scenes, quick(), [](const std::string&) { return true; });
  const auto before = [&](std::size_t i) { return results[i].glow_before().mean_cd_m2.mean; };
  const auto after = [&](std::size_t i) { return results[i].glow_after().mean_cd_m2.mean; };
  EXPECT_GT(before(0), 1.1 * before(1));
  EXPECT_NEAR(after(0) / after(1), 1.0, 0.02);
  EXPECT_NE(even_verdict(results[0], scenes[0]).find("is dimmed to match thick"),
            std::string::npos);
  LoadedScene more = scenes[0];
  more.scene.even.evenness = 0.99;
  EvenResult as_it_was = results[0];
  as_it_was.interrupted = true;  // at the bench: its plan stands
  EXPECT_NE(even_verdict(as_it_was, more).find("are not reached at the brightness of its set."),
            std::string::npos);
  as_it_was.after = as_it_was.before;
  EXPECT_NE(even_verdict(as_it_was, scenes[0]).find("needs no dimming to match thick"),
            std::string::npos);
  EXPECT_NE(even_verdict(results[1], scenes[1]).find("the dimmest of its set"), std::string::npos);
  EXPECT_TRUE(results[0].advice.empty());
  EXPECT_FALSE(results[0].bench.empty());
  EXPECT_FALSE(results[1].advice.empty());
  for (const EvenResult& result : results) {
    const auto& minds = result.after.report.warnings;
    for (const std::string mind : {"Seen straight on the set matches; elsewhere its pieces differ",
                                   "The set mixes engraving on the front and on the back"}) {
      EXPECT_EQ(std::count_if(minds.begin(), minds.end(),
                              [&](const auto& said) { return said.find(mind) == 0; }),
                1)
          << mind;
    }
  }
}

// Even enough from the start, so that the level their plans aim at is beyond what glows: the one
// with the brighter LEDs is dimmed all the same. Noise is 0.5 %; sees 2 %.
TEST_F(SmallEven, ASetThatIsEvenAlreadyIsMatchedToo) {
  std::string bright = scene("3 mm") + "[even]\nevenness = 0.3\n";
  write("dim.toml", bright);
  bright.replace(bright.find("9 lm"), 4, "10 lm");
  write("bright.toml", bright);
  EvenOptions options = quick();
  options.further = Questions::left_out;
  const auto results =
      make_even_set({load_scene(folder_ / "dim.toml", {}), load_scene(folder_ / "bright.toml", {})},
                    options, [](const std::string&) { return true; });
  const auto mean = [](const ViewerGlow& glow) { return glow.mean_cd_m2.mean; };
  EXPECT_NEAR(mean(results[1].glow_before()) / mean(results[0].glow_before()), 10.0 / 9.0, 1e-3);
  EXPECT_NEAR(mean(results[1].glow_after()) / mean(results[0].glow_after()), 1.0, 0.02);
}

// The same density burnt by the checks and by hand, told by another seed than the search's.
TEST(EvenChecks, AreAskedOfPhotonsThatNoPlanWasMadeWith) {
  const LoadedScene scene = load_scene(fs::path(RIMEGLOW_SCENES_DIR) / "plaque.toml", {});
  constexpr std::uint64_t kPhotons = 1 << 13;
  RunSettings settings;
  settings.seed = 7;
  settings.response_walks = 1 << 12;
  const EvenSearch search =
      begin_even(scene.scene, scene.drawings, *scene.model, settings, EvenWish());
  Density half;
  half.share = {0.5};
  const auto mean = [&](std::uint64_t seed) {
    auto by_hand = burnt_by(search, half);
    by_hand.settings.seed = seed;
    advance(by_hand, kPhotons);
    return viewer_glow_of(by_hand, 0).mean_cd_m2.mean;
  };
  const double told = at_density(search, 0.5, kPhotons).mean_cd_m2.mean;
  EXPECT_EQ(told, mean(8));
  EXPECT_NE(told, mean(7));
}

// Stopped while a piece is planned for the third time, for its brightness or for good: the plans of
// before stay. Stopped at the first, the second is not begun.
TEST_F(SmallEven, ASetStoppedEarlyKeepsThePlansFound) {
  write("thick.toml", scene("6 mm"));
  EvenOptions options = quick();
  options.further = Questions::left_out;
  for (const std::size_t whole : {0U, 2U}) {
    std::size_t searches = 0;
    const auto results = make_even_set(
        {load_scene(folder_ / "small.toml", {}), load_scene(folder_ / "thick.toml", {})}, options,
        [&](const std::string& doing) { return (searches += doing == "round 2") <= whole; });
    ASSERT_EQ(results.size(), whole == 0 ? 1U : 2U);
    for (const EvenResult& result : results) {
      EXPECT_TRUE(result.interrupted && result.unfinished);
      const auto& share = result.plan.share;
      EXPECT_EQ(*std::min_element(share.begin(), share.end()) < 1.0, whole > 0);
    }
  }
}

TEST_F(SmallEven, WhatCannotBePlannedIsRefusedAndNothingWritten) {
  write("blank.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm'></svg>");
  const struct {
    const char* change;
    const char* said;
  } cases[] = {
      {"art.mark=b", "all that is engraved is scored"},
      {"art.mark=b", "score the drawing as it is, and let rimeglow compare say"},
      {"mark.a.spot=0.6 mm", "cannot be thinned out"},
      {"mark.a.spacing=400 dpi", "400 dpi, is none of the resolutions in machine.dpi"},
      {"machine.bed=[\"30 mm\", \"30 mm\"]", "larger than the machine's bed"},
      {"machine.bed=[\"30 mm\", \"90 mm\"]", "larger than the machine's bed"},
      {"art.mark=c", "the scene has no mark \"c\""},
      {"art.file=blank.svg", "nothing would be engraved"},
      {"even.viewer=child", "no viewer \"child\""},
      {"even.evenness=1.5", "out of range"},
  };
  for (const auto& wrong : cases) {
    EXPECT_EQ(run({"even", "small.toml", "--set", wrong.change, "--out", "out"}), kWrongScene)
        << wrong.change;
    EXPECT_NE(err_.str().find(wrong.said), std::string::npos) << err_.str();
    EXPECT_FALSE(fs::exists(folder_ / "out"));
  }
}

// Such as one that a picture program has given a resolution.
TEST_F(SmallEven, APlanIsTakenPixelByPixel) {
  std::vector<std::uint8_t> greys;
  for (int i = 0; i < 12; ++i) greys.push_back(static_cast<std::uint8_t>(20 * i));
  PngStyle style;
  const auto plan = [&] {
    write("plan.png", png({4, 3, greys}, style));
    return load_scene(folder_ / "small.toml", {{"art.density", "plan.png"}});
  };
  const Drawing plain = plan().densities.value();
  style.dots_per_inch = 300.0;
  const Drawing tagged = plan().densities.value();
  EXPECT_EQ(tagged.columns, 4);
  EXPECT_EQ(tagged.rows, 3);
  EXPECT_EQ(tagged.tone, plain.tone);
  greys.assign(12, 0);
  EXPECT_NE(problems_text(plan()).find("nothing would be engraved: the plan is black"),
            std::string::npos);
}

TEST_F(SmallEven, TwoPiecesAreNotWrittenIntoOneFolder) {
  fs::create_directories(folder_ / "a");
  fs::copy(folder_ / "drawn.svg", folder_ / "a");
  write("a/small.toml", scene("6 mm"));
  EXPECT_EQ(run({"even", "small.toml", "a/small.toml", "--out", "out"}), kWrongUsage);
  EXPECT_EQ(err_.str(), "rimeglow: " + (folder_ / "small.toml").string() + " and " +
                            (folder_ / "a/small.toml").string() + " would both be written into " +
                            (folder_ / "out/small-even").string() +
                            "; rename one or make them in two calls\n");
  EXPECT_FALSE(fs::exists(folder_ / "out"));
}

}  // namespace
}  // namespace rimeglow::even_plan_test
