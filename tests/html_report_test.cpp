// Laws of tools/html_report and of the whole folder of files: self-contained, escaped, well formed,
// the same bytes every time.
#include "html_report.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <set>

#include "files.h"
#include "html.h"
#include "html_chart.h"
#include "made_up_prediction.h"
#include "words.h"

namespace rimeglow::html_report_test {
namespace {

const ReportPictures& pictures() {
  static const ReportPictures made = {"not really a PNG", {480.0}, "nor this", {5.0, 500.0}};
  return made;
}

std::string page_of(const Prediction& prediction) { return html_report(prediction, pictures()); }

std::string made_up_page() { return page_of(made_up::prediction(made_up::glow())); }

bool holds(const std::string& page, const std::string& part) {
  return page.find(part) != std::string::npos;
}

// The first tag that does not close as it opened, or nothing.
std::string first_unbalanced(const std::string& page) {
  static const std::set<std::string> kLone = {"meta", "img", "!DOCTYPE"};
  std::vector<std::string> open;
  for (std::size_t at = page.find('<'); at != std::string::npos; at = page.find('<', at + 1)) {
    const bool closes = page[at + 1] == '/';
    const std::size_t from = at + (closes ? 2 : 1);
    const std::string tag = page.substr(from, page.find_first_of(" >", from) - from);
    if (closes) {
      if (open.empty() || open.back() != tag) return "</" + tag + ">";
      open.pop_back();
    } else if (!kLone.contains(tag)) {
      open.push_back(tag);
    }
  }
  return open.empty() ? "" : "<" + open.back() + ">";
}

// RFC 4648, section 10: its test vectors.
TEST(Html, PngAddressesAreBase64) {
  const std::map<std::string, std::string> vectors = {{"", ""},
                                                      {"f", "Zg=="},
                                                      {"fo", "Zm8="},
                                                      {"foo", "Zm9v"},
                                                      {"foob", "Zm9vYg=="},
                                                      {"fooba", "Zm9vYmE="},
                                                      {"foobar", "Zm9vYmFy"}};
  for (const auto& [bytes, digits] : vectors) {
    EXPECT_EQ(png_address(bytes), "data:image/png;base64," + digits);
  }
  EXPECT_EQ(png_address("\xFF\xFE\xFD"), "data:image/png;base64,//79");
}

TEST(Html, TextNeverBecomesMarkup) {
  EXPECT_EQ(text("<b>&\"'").markup(), "&lt;b&gt;&amp;&quot;&#39;");
  EXPECT_EQ(text(std::string_view("a\0b\x1b", 4)).markup(), "a\uFFFDb\uFFFD");
  const Html attribute = element("p", {{"title", "\" onclick=\"x"}}, Html());
  EXPECT_EQ(attribute.markup(), "<p title=\"&quot; onclick=&quot;x\"></p>\n");
}

TEST(HtmlReport, EveryTagCloses) {
  EXPECT_EQ(first_unbalanced(made_up_page()), "");
  EXPECT_EQ(first_unbalanced(page_of(made_up::prediction(made_up::clear_blank()))), "");
  EXPECT_EQ(first_unbalanced("<p><b></p>"), "</p>");
}

TEST(HtmlReport, OneLedIsNotSeveral) {
  Prediction prediction = made_up::prediction(made_up::glow());
  EXPECT_TRUE(holds(page_of(prediction), ", lit by 6 LEDs along the bottom<"));
  prediction.scene.lamps[0].count = 1;
  EXPECT_TRUE(holds(page_of(prediction), ", lit by 1 LED along the bottom<"));
  EXPECT_TRUE(holds(page_of(prediction), "<dd>1 LED along the bottom, "));
}

TEST(HtmlReport, RowsOfOneEdgeAreCountedTogether) {
  Prediction prediction = made_up::prediction(made_up::glow());
  std::vector<LampSpec>& lamps = prediction.scene.lamps;
  lamps = {lamps[0], lamps[0], lamps[0]};
  lamps[1].edge = "top";
  EXPECT_TRUE(
      holds(page_of(prediction), ", lit by 12 LEDs along the bottom and 6 LEDs along the top<"));
}

TEST(HtmlReport, ArtTooSmallForPatchesHasNoEvenness) {
  Glow glow = made_up::glow();
  EXPECT_TRUE(holds(page_of(made_up::prediction(glow)), ", its darkest patch at 20"));
  for (ViewerGlow& viewer : glow.viewers) {
    for (PatchGlow& patch : viewer.patches) patch.counted = false;
    viewer.darkest_cd_m2 = viewer.brightest_cd_m2 = viewer.evenness = {};
  }
  const std::string page = page_of(made_up::prediction(glow));
  EXPECT_FALSE(holds(page, "darkest patch at")) << "told of pictures, to who cannot see them";
  EXPECT_FALSE(holds(page, ">0 %<"));
  EXPECT_TRUE(holds(page, ">none<"));
}

TEST(HtmlReport, SpansOfEdgesStandWhereThereIsOneToSee) {
  Glow glow = made_up::glow();
  EdgeGlow& edge = glow.edges.front();
  edge.cd_m2 = {1110.0, 100.0};
  const auto told = [&](double low, double high, const std::string& input) {
    edge.span = Span{low, high, high - low, input};
    const std::string page = page_of(made_up::prediction(glow));
    const bool span = holds(page, ">" + spoken(low) + " to " + spoken(high) + "<");
    EXPECT_EQ(holds(page, "<td>" + input + "</td>"), span || input.empty());
    return span;
  };
  EXPECT_TRUE(told(1000.0, 1200.0, "the gloss"));
  EXPECT_FALSE(told(1109.7, 1110.2, "the gloss")) << "as rounded, no span";
  EXPECT_FALSE(told(1110.0, 1110.0, ""));
  EXPECT_FALSE(told(0.0, 0.0, ""));
}

TEST(HtmlReport, FetchesAndRunsNothing) {
  const std::string page = made_up_page();
  for (const char* part : {"http://", "https://", "<script", "javascript:", "url(", "@import",
                           "<link", "<iframe", "<object", "srcset", " onload", " onclick"}) {
    EXPECT_FALSE(holds(page, part)) << part;
  }
  for (std::size_t at = page.find(" src="); at != std::string::npos;
       at = page.find(" src=", at + 1)) {
    EXPECT_EQ(page.compare(at, 11, " src=\"data:"), 0);
  }
  EXPECT_TRUE(holds(page, "default-src &#39;none&#39;"));
}

TEST(HtmlReport, CustomersTextIsEscapedWhereverItStands) {
  const std::string evil = "<img src=x onerror=alert(1)>&\"'";
  Prediction prediction = made_up::prediction(made_up::glow());
  prediction.scene.title = evil;
  prediction.scene.panel.sheet = evil;
  prediction.scene.art->file = evil;
  prediction.scene.art->mark = evil;
  prediction.scene.marks[evil] = MarkSpec{};
  prediction.scene.lamps.front().edge = evil;
  prediction.glow.viewers.front().name = evil;
  prediction.glow.edges.front().viewer = evil;
  prediction.report = report_on(prediction.glow, *prediction.model);
  prediction.report.warnings.push_back(evil);
  prediction.provenance.inputs = evil;
  const std::string page = page_of(prediction);
  EXPECT_FALSE(holds(page, "<img src=x"));
  EXPECT_TRUE(holds(page, "&lt;img src=x"));
  EXPECT_EQ(first_unbalanced(page), "");
}

TEST(HtmlReport, VerdictsStandBeforePicturesAndPicturesBeforeTables) {
  const std::string page = made_up_page();
  const std::size_t verdicts = page.find("Bright enough?");
  const std::size_t picture = page.find("<img");
  const std::size_t table = page.find("<table");
  ASSERT_NE(verdicts, std::string::npos);
  ASSERT_NE(table, std::string::npos);
  EXPECT_LT(verdicts, picture);
  EXPECT_LT(picture, table);
}

// WCAG 2.2, success criteria 1.1.1 and 1.4.1: pictures have words, levels have words and signs.
TEST(HtmlReport, NothingIsToldByPictureOrColourAlone) {
  const std::string page = made_up_page();
  std::size_t images = 0;
  for (std::size_t at = page.find("<img"); at != std::string::npos;
       at = page.find("<img", at + 1)) {
    const std::string tag = page.substr(at, page.find('>', at) - at);
    EXPECT_TRUE(holds(tag, "alt=\"The ")) << tag.substr(0, 80);
    ++images;
  }
  EXPECT_EQ(images, 2u);
  EXPECT_TRUE(holds(page, "role=\"img\" aria-label=\"Luminance of each row"));
  EXPECT_TRUE(holds(page, "</b>\ngood</span>"));
  EXPECT_TRUE(holds(page, "</b>\npoor</span>"));
}

TEST(HtmlReport, SaysWhatItIsMadeFromAndWhatToMind) {
  const std::string page = made_up_page();
  for (const char* part :
       {"140 \u00d7 120 \u00d7 3 mm", "winter-sky.svg", "400 dpi", "ground, roughness 0.3",
        "6500 K", "fnv1a64:0123456789abcdef", "250000", "480\u00a0cd/m\u00b2 is drawn as white",
        "Never laser PVC", "fire", "Eyes", "Dust", "Solvents", "Electricity", "Local codes"}) {
    EXPECT_TRUE(holds(page, part)) << part;
  }
}

TEST(HtmlReport, SaysInputsAsTheyWereGiven) {
  Prediction prediction = made_up::prediction(made_up::glow());
  Scene& scene = prediction.scene;
  scene.panel.width_mm = 121.3;
  scene.panel.height_mm = 88.75;
  scene.panel.thickness_mm = 3.05;
  scene.marks["frost-400"].spot_mm = 0.127;
  scene.marks["unused"] = MarkSpec{};
  scene.lamps[0].pitch_mm = 16.6;
  scene.lamps[0].flux_each_lm = 12.5;
  scene.edges["top"].kind = EdgeSpec::Kind::laser_cut;
  scene.edges["top"].alpha = Vec2(0.15, 0.05);
  const std::string page = page_of(prediction);
  for (const char* part :
       {"121.3 \u00d7 88.75 \u00d7 3.05 mm", "spot 0.127 mm", "pitch 16.6 mm", "12.5 lm each",
        "Mark frost-400", "laser-cut, roughness 0.15 along and 0.05 through the sheet"}) {
    EXPECT_TRUE(holds(page, part)) << part;
  }
  EXPECT_FALSE(holds(page, "Mark unused"));
}

TEST(HtmlReport, SharesTooSmallToMeanAnythingAreNotCounted) {
  Glow glow = made_up::glow();
  for (Share& share : glow.ledger)
    if (share.name == "trapped") share.of_emitted = {-1.5e-8, 1e-8};
  const std::string page = page_of(made_up::prediction(glow));
  EXPECT_TRUE(holds(page, "under 0.0001"));
  EXPECT_FALSE(holds(page, "0.00000"));
}

TEST(HtmlReport, PrintsBlackOnWhite) {
  const std::string page = made_up_page();
  const std::size_t print = page.find("@media print");
  ASSERT_NE(print, std::string::npos);
  EXPECT_TRUE(holds(page.substr(print), "--page: #fff"));
  EXPECT_TRUE(holds(page.substr(print), "--ink: #000"));
}

TEST(HtmlReport, ClearBlanksHaveAReportToo) {
  const std::string page = page_of(made_up::prediction(made_up::clear_blank()));
  EXPECT_TRUE(holds(page, "Where the light goes"));
  EXPECT_FALSE(holds(page, "Patch by patch"));
  EXPECT_FALSE(holds(page, ">nan"));
}

TEST(CurveChart, LeavesOutACurveWithoutPoints) {
  const Curve drawn{"drawn", {{0.0, {1.0, 0.1}}, {1.0, {2.0, 0.1}}}};
  const std::string chart = curve_chart("mm up", "cd/m2", {{"none", {}}, drawn}).markup();
  EXPECT_TRUE(holds(chart, "drawn"));
  EXPECT_FALSE(holds(chart, "none</text>"));
}

// 1 +- 0.1 and 2 +- 0.1, over 300 units from 0 to 5 % above the highest end, 2.2.
TEST(CurveChart, BandsAreTwoStandardErrorsEachWay) {
  const Curve drawn{"drawn", {{0.0, {1.0, 0.1}}, {1.0, {2.0, 0.1}}}};
  const std::string chart = curve_chart("mm up", "cd/m2", {drawn}).markup();
  EXPECT_TRUE(holds(chart, "\"64.0,154.2 616.0,24.3 616.0,76.2 64.0,206.1 \"")) << chart;
}

// 100 +- 10, the longest row with its error, over 552 units from 64 on.
TEST(RowChart, ErrorBarsReachAStandardErrorEachWay) {
  ViewerGlow viewer;
  viewer.rows = {{20.0, 50.0, {100.0, 10.0}}};
  const std::string chart = row_chart(viewer).markup();
  EXPECT_TRUE(holds(chart, "class=\"error\" x1=\"515.6\"")) << chart;
  EXPECT_TRUE(holds(chart, "x2=\"616.0\"")) << chart;
}

class PredictionFolder : public OwnFolder {
 protected:
  static std::map<std::string, std::string> files_in(const std::filesystem::path& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
      files[entry.path().filename().string()] = bytes_of(entry.path());
    }
    return files;
  }
};

TEST_F(PredictionFolder, HoldsFiveFilesWithTheSameBytesEveryTime) {
  const Prediction prediction = made_up::prediction(made_up::glow());
  write_prediction(folder_ / "a" / "new", prediction);
  write_prediction(folder_ / "b", prediction);
  write_prediction(folder_ / "b", prediction);
  const auto files = files_in(folder_ / "b");
  std::set<std::string> names;
  for (const auto& [name, bytes] : files) {
    names.insert(name);
    EXPECT_FALSE(bytes.empty()) << name;
  }
  EXPECT_EQ(names, (std::set<std::string>{"glow.png", "luminance.png", "glow.pfm", "report.html",
                                          "numbers.json"}));
  EXPECT_EQ(files, files_in(folder_ / "a" / "new"));
  EXPECT_TRUE(holds(files.at("report.html"), png_address(files.at("glow.png"))));
}

TEST_F(PredictionFolder, IsRefusedWhereAFileStandsInItsWay) {
  std::ofstream(folder_ / "taken") << "mine";
  EXPECT_THROW(write_prediction(folder_ / "taken", made_up::prediction(made_up::glow())),
               std::filesystem::filesystem_error);
  EXPECT_EQ(files_in(folder_).at("taken"), "mine");
}

}  // namespace
}  // namespace rimeglow::html_report_test
