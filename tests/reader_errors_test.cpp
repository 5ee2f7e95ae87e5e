// Every error of the readers of files, as a user meets it: file, line, key, what is wrong, and
// below how to mend it. The last test reads the sources: an error text that no row shows fails it.
// What a scene's values may be is in scene_reading_test.cpp.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <string_view>
#include <vector>

#include <unistd.h>

#include "files.h"
#include "made_up_art.h"
#include "reader_error_cases.h"
#include "scene_files.h"
#include "scene_reader.h"
#include "svg_gate.h"

namespace rimeglow::reader_errors_test {
namespace {

namespace fs = std::filesystem;

// Errors in the art stand at the line of art.file.
std::string at_art(const std::string& what) { return ":10: art.file: art: " + what; }

std::string damaged_jpeg() {
  std::string bytes = jpeg(made_picture(64, 64, {90}), {});
  return bytes.substr(0, bytes.size() / 2);
}

std::string huge_png() {
  PngStyle bits;
  bits.bit_depth = 1;
  return png({8000, 6000, std::vector<std::uint8_t>(6000000, 0)}, bits);
}

std::string jpeg_in_inks() {
  JpegStyle style;
  style.colours = JCS_CMYK;
  style.channels = 4;
  return jpeg(made_picture(8, 8, {0, 0, 0, 0}), style);
}

std::string region(const std::string& id) {
  return kPanel + "[mark.a]\n[art]\nfile = \"art\"\nmark = \"a\"\n[[art.region]]\nselect = \"#" +
         id + "\"\nmark = \"a\"\n";
}

const std::string kNoText =
    " is no UTF-8 text\n    save the scene as UTF-8 text in the editor; a picture is named in it "
    "by art.file\n";

std::vector<Case> art_and_scene_cases() {
  const std::string whole = svg(kPage, kSquare);
  std::string deep;
  for (int i = 0; i < 300; ++i) deep += "<g>";
  std::string many;
  for (std::size_t i = 0; i < kMostSvgElements; ++i) many += "<g/>";
  const std::string no_svg =
      "\n    export it as plain SVG (drawings) or as PNG or JPEG (pictures)\n";
  return {
      {"", kScene, {}, at_art("the file is empty\n    save or copy it again\n")},
      {"%PDF-1.7",
       kScene,
       {},
       at_art(
           "the file is no SVG, PNG or JPEG: it begins with \"%PDF-1.7\", which looks like a PDF" +
           no_svg)},
      {std::string("\x1F\x8B\x08"),
       kScene,
       {},
       at_art(
           "the file is no SVG, PNG or JPEG: it begins with the bytes 1F 8B 08, which looks like "
           "a compressed file (SVGZ)" +
           no_svg)},
      {"<html></html>",
       kScene,
       {},
       at_art("the file is marked-up text (XML or HTML) without an <svg> element\n    export the "
              "drawing as plain SVG\n")},
      {whole.substr(0, whole.size() - 10),
       kScene,
       {},
       at_art("the SVG cannot be read (*)" + kSayingSaveAgain)},
      {svg(kPage, "<!DOCTYPE a [<!ENTITY b \"c\">]>"),
       kScene,
       {},
       at_art("the SVG declares entities or elements of its own in its DOCTYPE (line 1)" +
              kSayingSaveAgain)},
      {svg(kPage, "\n<a:include/>"),
       kScene,
       {},
       at_art("the SVG takes in another file (XInclude) (line 2)\n    put that file's drawing into "
              "this one\n")},
      {svg(kPage, std::string(1, '\0')),
       kScene,
       {},
       at_art("the SVG holds zero bytes (line 1)\n    save it as plain SVG in UTF-8\n")},
      {svg(kPage, deep),
       kScene,
       {},
       at_art("the SVG nests elements more than 200 deep (line 1)\n    ungroup the drawing, or "
              "export it as PNG\n")},
      {svg(kPage, many),
       kScene,
       {},
       at_art("the SVG has more than 250000 elements (line 1)\n    simplify the drawing, or export "
              "it as PNG\n")},
      {whole + std::string(kMostSvgBytes, ' '),
       kScene,
       {},
       at_art("the SVG has 25.0 million bytes; at most 25 million are read\n    take out embedded "
              "pictures or simplify its paths\n")},
      {svg("", ""),
       kScene,
       {},
       at_art("the art has no size: 0.0 x 0.0 mm by the box of what it draws, 96 px per inch\n    "
              "set its width, height and viewBox (SVG) in the drawing program\n")},
      {svg("width=\"9e6mm\" height=\"9mm\"", kSquare),
       kScene,
       {},
       at_art("the art would be 9000000.0 x 9.0 mm\n    give it a width that fits a panel\n")},
      {svg("width=\"4000mm\" height=\"4000mm\"", kSquare),
       kScene,
       {},
       at_art("at a raster spacing of 0.064 mm the art of 4000.0 x 4000.0 mm takes 62993 x 62993 "
              "laser pixels; at most 64 million and 32767 a side are worked on\n    make the art "
              "7.9 times smaller or the spacing 7.9 times coarser\n")},
      {svg(kPage, ""),
       kScene,
       {},
       at_art("nothing would be engraved: the art is white or clear throughout\n    draw it in "
              "black, engrave its light parts instead, or look whether it was saved empty\n")},
      {svg(kPage, "<rect id=\"moon\" width=\"8\" height=\"8\"/>"),
       region("moon"),
       {},
       at_art(
           "nothing is left to engrave beside the art's regions\n    delete one [[art.region]] and "
           "write its mark in art.mark, which engraves what no region names\n")},
      {whole,
       kScene,
       {{"art.engrave", "light"}},
       at_art("nothing would be engraved: the art is black or clear throughout\n    engrave its "
              "dark parts instead, or look whether it was saved empty\n")},
      {svg(kPage, "<image href=\"moon.png\" width=\"20\" height=\"20\"/>"),
       kScene,
       {},
       at_art(
           "nothing would be engraved: the art is white or clear throughout\n    The SVG (line 1) "
           "refers to a picture in another file, which is not read; embed it in the SVG. Else "
           "draw it in black, engrave its light parts instead, or look whether it was saved "
           "empty\n")},
      {svg(kPage, "<rect width=\"20\" height=\"0.01\"/>"),
       kScene,
       {},
       at_art(
           "nothing would be engraved: there are only strokes thinner than half a raster spacing "
           "(0.032 mm) or paler than half tone\n    draw the strokes thicker and darker, or "
           "make the art larger or the raster finer\n")},
      {whole,
       region("moon"),
       {},
       at_art("the SVG has no element with the id \"moon\"\n    give the element that id in the "
              "drawing program's object properties\n")},
      {png(made_picture(8, 8, {0}), {}),
       region("moon"),
       {},
       at_art(
           "elements of a PNG or JPEG cannot be told apart\n    save the drawing as SVG, with an "
           "id on the element\n")},
      {png(made_picture(64, 64, {90}), {}).substr(0, 60),
       kScene,
       {},
       at_art("the PNG is cut off or damaged (*)\n    export or copy it again; the file may not "
              "have been copied to its end\n")},
      {huge_png(),
       kScene,
       {},
       at_art("the picture has 8000 x 6000 pixels, 48 million; at most 40 million are read\n    "
              "scale it down; 600 dpi at its size on the panel is more than the laser shows\n")},
      {damaged_jpeg(),
       kScene,
       {},
       at_art(
           "the JPEG is cut off or damaged (*)\n    save or copy it again; the file may not have "
           "been copied to its end\n")},
      {jpeg_in_inks(),
       kScene,
       {},
       at_art("the JPEG holds printing inks (CMYK)\n    save it in RGB or in greys\n")},
      {whole,
       kScene,
       {{"art.file", "none.svg"}},
       ": art.file: none.svg: the file is not there\n    look at its name and folder\n"},
      {whole,
       kScene,
       {{"art.file", "."}},
       ": art.file: .: this is a folder or device, no file\n    name the art file itself\n"},
      {whole,
       kScene,
       {{"art.density", "none.png"}},
       ": art.density: none.png: the file is not there\n    look at its name and folder\n"},
      {"large",
       kScene,
       {},
       at_art("the file has 100 million bytes; at most 100 million are read\n    export it with "
              "fewer pixels\n")},
      {whole,
       "[panel]\nwidth = 140 mm\n",
       {},
       ":2: is not TOML: *\n    text goes in quotes, as in width = \"140 mm\"; a table's name in "
       "brackets\n"},
      {whole, "a = 1\n# caf\xE9\n", {}, ":2:" + kNoText},
      {whole, std::string("\xFF\xFE[\0", 4), {}, ":1:" + kNoText},
      {whole, std::string("a = 1\n[\0p\0", 10), {}, ":2:" + kNoText},
      {whole, "a = \"\xE2\x82\"\n", {}, ":1:" + kNoText},
      {whole, "# \xF0\x9F", {}, ":1:" + kNoText},
      {whole, png(made_picture(8, 8, {0}), {}), {}, ":1:" + kNoText},
      {whole,
       "a = 1\r[panel]\r",
       {},
       ":1: has a line that ends in a carriage return alone, as very old files do\n    save it in "
       "the editor as UTF-8 text with line ends LF or CRLF\n"},
      {whole,
       "a = 1\nb = " + std::string(100, '['),
       {},
       ":2: is nested deeper than any scene\n    a scene needs three levels at most\n"},
      {whole,
       std::string(kMostSceneBytes + 1, '\n'),
       {},
       ": is larger than any scene (over 1 MB)\n    is this the art instead of the scene?\n"},
      {whole,
       kPanel,
       {{"lamp[3].gap", "1 mm"}},
       ": lamp[3].gap: there is no such lamp: the scene has no [[lamp]] to count\n    counting "
       "starts at 0; without brackets all are set\n"},
      {whole,
       "[panel]\nwidth = \"90 mm\"\nheight = \"40 mm\"\nthickness = \"3 mm\"\n[[lamp]]\ncount = "
       "6\nflux_each = \"9 lm\"\npitch = \"2 mm\"\n",
       {},
       ":8: lamp[0].pitch: LEDs 3.5 mm long overlap at a pitch of 2 mm\n    make pitch at least "
       "the "
       "emitter's length, or check emitter\n"},
      {whole,
       kPanel,
       {{"lamp..gap", "1 mm"}},
       ": lamp..gap: is no path to a key\n    write it as in panel.thickness or lamp[0].gap\n"},
  };
}

std::vector<Case> cases() {
  std::vector<Case> all = art_and_scene_cases();
  for (const std::vector<Case>& more : {outline_cases(), light_cases()}) {
    all.insert(all.end(), more.begin(), more.end());
  }
  return all;
}

class ReaderErrors : public OwnFolder {
 protected:
  // What the user reads, without the folder.
  std::string said(const fs::path& scene,
                   const std::vector<std::pair<std::string, std::string>>& changes) const {
    std::string text = problems_text(load_scene(folder_ / scene, changes));
    return text.substr(std::min(text.size(), (folder_ / scene).string().size()));
  }

  std::string said(const Case& example) const {
    write("art", example.art);
    if (example.art == "large") fs::resize_file(folder_ / "art", kMostFileBytes + 1);
    write("scene.toml", example.scene);
    return said("scene.toml", example.changes);
  }
};

bool agrees(const std::string& text, const std::string& pattern) {
  const std::size_t star = pattern.find('*');
  if (star == pattern.npos) return text == pattern;
  const std::string tail = pattern.substr(star + 1);
  return text.size() > star + tail.size() && text.substr(0, star) == pattern.substr(0, star) &&
         text.substr(text.size() - tail.size()) == tail;
}

TEST_F(ReaderErrors, SayWhereWhatAndHowToMendIt) {
  for (const Case& example : cases()) EXPECT_PRED2(agrees, said(example), example.said);
  EXPECT_EQ(said("none.toml", {}),
            ": there is no such file\n    check the name; scenes/ holds examples\n");
  fs::create_directories(folder_ / "folder");
  EXPECT_EQ(said("folder", {}),
            ": is a folder or device, no file\n    name the scene file itself, as in "
            "scenes/star-map.toml\n");
}

// Not to be had through a scene: the schema has checked the number, or a library would have to fail
// where it never does, or it takes as long as a limit (hostile_art_test.cpp).
constexpr std::string_view kOutOfReach[] = {"the art's width is ",
                                            "the raster spacing is ",
                                            "the art's place on the panel is not a number",
                                            "the picture has no pixels (",
                                            "the SVG cannot be measured",
                                            "elements of the SVG cannot be left out",
                                            "the laser raster cannot be made (",
                                            "the SVG cannot be drawn",
                                            "the art cannot be read: ",
                                            "the process that reads it answered nonsense"};

// The first words in quotes of every error that a source throws or returns.
std::vector<std::string> error_texts(const std::string& source) {
  std::vector<std::string> texts;
  for (const std::string_view maker : {"ArtError(", "refuse(", "give_up(", "Problem{"}) {
    for (std::size_t at = source.find(maker); at != source.npos; at = source.find(maker, at + 1)) {
      const std::string statement = source.substr(at, source.find(';', at) - at);
      std::size_t quote = statement.find('"');
      if (statement.substr(quote == statement.npos ? 0 : quote, 2) == "\"\"")
        quote = statement.find('"', quote + 2);  // behind an empty key
      if (quote == statement.npos) continue;
      const std::size_t end = statement.find_first_of("\"\\", quote + 1);
      std::string text = statement.substr(quote + 1, end - quote - 1);
      const bool is_a_name = text.find(' ') == text.npos;  // of a field that holds the text
      if (!is_a_name) texts.push_back(std::move(text));
    }
  }
  return texts;
}

TEST(ReaderErrorTexts, NoneIsWithoutARow) {
  std::string shown = "there is no such file, is a folder or device, no file";
  for (const Case& example : cases()) shown += example.said;
  std::size_t found = 0;
  for (const char* name : {"art_reader", "art_child", "svg_gate", "svg_reader", "png_reader",
                           "jpeg_reader", "placement", "scene_reader", "scene_files",
                           "outline_reader", "ies_reader", "path_data", "drawn_lines"}) {
    const std::string source = bytes_of(std::string(RIMEGLOW_TOOLS_DIR "/") + name + ".cpp");
    ASSERT_FALSE(source.empty()) << name;
    for (const std::string& text : error_texts(source)) {
      const bool is_out_of_reach =
          std::find(std::begin(kOutOfReach), std::end(kOutOfReach), text) != std::end(kOutOfReach);
      EXPECT_TRUE(is_out_of_reach || shown.find(text) != std::string::npos)
          << name << ".cpp: no row shows \"" << text << "\"";
      ++found;
    }
  }
  EXPECT_GE(found, 40U) << "the errors are no longer found";
}

}  // namespace
}  // namespace rimeglow::reader_errors_test
