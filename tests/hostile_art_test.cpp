// Art that is out to harm: every case ends within its limits, with words that name the limit, and
// leaves no process behind. Cases are ours; the limits are common practice, no source.
#include "art_reader.h"

#include <gtest/gtest.h>

#include <cerrno>
#include <csignal>

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "made_up_art.h"
#include "svg_gate.h"

namespace rimeglow::hostile_art_test {
namespace {

const ArtRequest kRequest{std::nullopt, Vec2(0.0, 0.0), 0.0,          0.1, Engrave::dark,
                          false,        false,          std::nullopt, {}};
const std::string kPage = "width=\"20mm\" height=\"10mm\" viewBox=\"0 0 20 10\"";

std::string times(std::size_t count, const std::string& text) {
  std::string all;
  for (std::size_t i = 0; i < count; ++i) all += text;
  return all;
}

bool begins(const std::string& text, const std::string& with) { return text.rfind(with, 0) == 0; }

// This process has no child, running or waiting to be buried.
bool is_childless() { return waitpid(-1, nullptr, WNOHANG) == -1 && errno == ECHILD; }

// Each group shows the one before it ten times: ten to the power of `levels` squares.
std::string copies_of_copies(int levels) {
  std::string body = "<defs><g id=\"l0\"><path d=\"M0 0h1v1z\"/></g>";
  for (int level = 1; level <= levels; ++level) {
    const std::string use = "<use xlink:href=\"#l" + std::to_string(level - 1) + "\" x=\"" +
                            std::to_string(level) + "\"/>";
    body += "<g id=\"l" + std::to_string(level) + "\">" + times(10, use) + "</g>";
  }
  return svg(kPage, body + "</defs><use xlink:href=\"#l" + std::to_string(levels) + "\"/>");
}

TEST(HostileSvg, IsRefusedByItsCharactersWithTheLine) {
  const struct {
    std::string bytes;
    std::string complaint;
  } cases[] = {
      {"<?xml version=\"1.0\"?>\n<!DOCTYPE svg [<!ENTITY a \"b\">\n]>\n" + svg(kPage, "&a;"),
       "the SVG declares entities or elements of its own in its DOCTYPE (line 2); open it in a "
       "drawing program and save it again as plain SVG"},
      {svg(kPage, "\n\n<xi:include href=\"other.svg\"/>"),
       "the SVG takes in another file (XInclude) (line 3); put that file's drawing into this one"},
      {svg(kPage, times(kDeepestSvg, "<g>\n") + "<path/>"),
       "the SVG nests elements more than 200 deep (line 200); ungroup the drawing, or export it as "
       "PNG"},
      {svg(kPage, "\n" + times(kMostSvgElements, "<g/>")),
       "the SVG has more than 250000 elements (line 2); simplify the drawing, or export it as PNG"},
      {svg(kPage, std::string("a\0b", 3)),
       "the SVG holds zero bytes (line 1); save it as plain SVG in UTF-8"},
  };
  for (const auto& example : cases)
    EXPECT_EQ(complaint(example.bytes, kRequest), example.complaint);
}

TEST(HostileSvg, WhatOnlyLooksLikeItIsTaken) {
  const std::string square = "<rect width=\"20\" height=\"10\"/>";
  for (const std::string& bytes :
       {"<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" "
        "\"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\">" +
            svg(kPage, square),
        svg(kPage, "<!-- <xi:include/> <!DOCTYPE [ -->" + square),
        svg(kPage, "<title><![CDATA[<include><text>]]></title>" + square),
        svg(kPage, times(40, "<g>") + square + times(40, "</g>")),  // newer librsvg draws 50
        svg(kPage, times(kDeepestSvg + 1, "<g></g><g id=\"a>b\"/>") + square)}) {
    EXPECT_EQ(complaint(bytes, kRequest), "");
    EXPECT_TRUE(vet_svg(bytes).empty());
  }
}

TEST(HostileSvg, WarningsNameTheLine) {
  EXPECT_EQ(
      vet_svg(svg(kPage, "\n<svg:text x='1'>Vega</svg:text><text/>")),
      std::vector<std::string>{"The SVG (line 2) holds text, whose shape depends on the fonts "
                               "of this computer; turn text into paths before saving."});
  EXPECT_EQ(vet_svg(svg(kPage, "<image href = 'moon.png'/><image/>")).size(), 1U);
  EXPECT_TRUE(vet_svg(svg(kPage, "<image href = 'data:,'/>")).empty());
}

TEST(HostileSvg, CopiesOfCopiesEndInTime) {
  ChildLimits limits;
  limits.processor_s = 1;
  try {
    read_art(copies_of_copies(12), kRequest, limits);
    FAIL() << "a million million squares were drawn";
  } catch (const ArtError& error) {
    EXPECT_EQ(std::string(error.what()),
              "the art cannot be read: it took more than 1 s of processor time");
    EXPECT_TRUE(begins(error.mend(), "simplify it")) << error.mend();
  }
  EXPECT_TRUE(is_childless());
}

// librsvg's own bounds on files that refer to themselves, or draw what is too large to draw.
TEST(HostileSvg, TanglesAndHugeFiltersEndSomehow) {
  ChildLimits limits;
  limits.processor_s = 2;
  for (const std::string& body :
       {std::string("<g id=\"a\"><use xlink:href=\"#a\"/></g>"),
        std::string("<pattern id=\"p\" width=\"1\" height=\"1\"><rect width=\"1\" height=\"1\" "
                    "fill=\"url(#p)\"/></pattern><rect width=\"20\" height=\"10\" "
                    "fill=\"url(#p)\"/>"),
        std::string("<filter id=\"f\"><feGaussianBlur stdDeviation=\"1e9\"/><feMorphology "
                    "operator=\"dilate\" radius=\"1e6\"/></filter><rect width=\"20\" height=\"10\" "
                    "filter=\"url(#f)\"/>"),
        std::string("<path d=\"M0 0h20\" stroke=\"#000\" stroke-dasharray=\"1e-9\"/>"),
        std::string("<rect width=\"1e308\" height=\"1e308\" transform=\"scale(1e308)\"/>")}) {
    try {
      read_art(svg(kPage, body), kRequest, limits);
    } catch (const ArtError& error) {
      EXPECT_FALSE(error.mend().empty()) << error.what();
    }
    EXPECT_TRUE(is_childless());
  }
}

#ifndef __SANITIZE_ADDRESS__  // which ends the child itself when there is no more memory
TEST(HostileSvg, LayersUponLayersEndForWantOfMemory) {
  ChildLimits limits;
  limits.memory_bytes = 100'000'000;
  ArtRequest request = kRequest;
  request.width_mm = 300.0;  // 3000 x 1500 pixels, 18 MB a layer
  const std::string groups = times(30, "<g opacity=\"0.9\">");
  const std::string bytes =
      svg(kPage, groups + "<rect width=\"20\" height=\"10\"/>" + times(30, "</g>"));
  try {
    read_art(bytes, request, limits);
    FAIL() << "30 layers of 18 MB fitted into 100 MB";
  } catch (const ArtError& error) {
    EXPECT_TRUE(begins(error.mend(), "simplify it")) << error.what();
  }
}
#endif

TEST(HostileJpeg, ThousandsOfScansAreRefused) {
  JpegStyle style;
  style.colours = JCS_RGB;
  style.channels = 3;
  style.scan_by_channel = true;
  std::string bytes = jpeg(made_picture(64, 64, {40, 90, 20}), style);
  ASSERT_EQ(complaint(bytes, kRequest), "");
  // A scan begins with FF DA; the file ends with two bytes of its own (ITU-T T.81, table B.1).
  const std::size_t last = bytes.rfind("\xFF\xDA");
  const std::string scan = bytes.substr(last, bytes.size() - 2 - last);
  bytes.insert(last, times(2000, scan));
  EXPECT_EQ(complaint(bytes, kRequest),
            "the JPEG is cut off or damaged (more than 100 scans); save or copy it again; the file "
            "may not have been copied to its end");
}

// ---- the process itself ----

std::string failure(const std::function<std::string()>& work, const ChildLimits& limits) {
  const ChildAnswer answer = run_in_child(work, limits);
  EXPECT_FALSE(answer.bytes) << *answer.bytes;
  EXPECT_TRUE(is_childless());
  return answer.failure;
}

TEST(ChildProcess, AnswersArriveWhole) {
  for (const std::size_t size : {0UL, 1UL, 65536UL, 3000000UL}) {
    const std::string text(size, 'x');
    const ChildAnswer answer = run_in_child([&] { return text; }, {});
    ASSERT_TRUE(answer.bytes) << answer.failure;
    EXPECT_EQ(*answer.bytes, text);
  }
  EXPECT_TRUE(is_childless());
}

TEST(ChildProcess, EveryLimitEndsItAndIsNamed) {
  ChildLimits limits;
  EXPECT_LE(limits.processor_s, 20U) << "of a file that nobody has set limits for";
  EXPECT_LE(limits.wall, std::chrono::seconds(60));
  EXPECT_LE(limits.memory_bytes, 1'500'000'000U);
  limits.processor_s = 1;
  limits.memory_bytes = 200'000'000;
  limits.answer_bytes = 1'000'000;
  const auto spin = [] {
    for (volatile int turns = 0;;) turns = turns ^ 1;
    return std::string();
  };
  EXPECT_EQ(failure(spin, limits), "it took more than 1 s of processor time");
#ifndef __SANITIZE_ADDRESS__  // which ends the child itself when there is no more memory
  EXPECT_EQ(failure([] { return std::string(400'000'000, 'x'); }, limits),
            "it took more than 200 MB of memory");
#endif
  EXPECT_EQ(failure([] { return std::string(4'000'000, 'x'); }, limits),
            "it grew to more than 1 MB");
  limits.wall = std::chrono::milliseconds(1000);
  const auto sleep_on = [] {
    for (;;) pause();
    return std::string();
  };
  EXPECT_EQ(failure(sleep_on, limits), "it took more than 1 s");
}

TEST(ChildProcess, ACrashIsNamedAndStaysThere) {
  const std::string text = failure(
      [] {
        raise(SIGSEGV);
        return std::string();
      },
      {});
  EXPECT_TRUE(begins(text, "the library that reads it gave up (")) << text;
  EXPECT_TRUE(begins(failure([]() -> std::string { throw 1; }, {}), "the library")) << text;
  EXPECT_TRUE(begins(failure([]() -> std::string { _exit(0); }, {}), "the library")) << text;
}

// It can write neither a file nor on the terminal, and holds no file of its parent's.
TEST(ChildProcess, NothingOfTheParentIsOpenInIt) {
  const ChildAnswer answer = run_in_child(
      [] {
        int open_files = 0;
        for (int i = 0; i < 256; ++i) open_files += fcntl(i, F_GETFD) != -1 ? 1 : 0;
        return std::to_string(open_files);
      },
      {});
  EXPECT_EQ(answer.bytes, "4");  // in, out and errors to nowhere, and the pipe
}

}  // namespace
}  // namespace rimeglow::hostile_art_test
