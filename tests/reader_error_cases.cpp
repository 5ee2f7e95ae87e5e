// Errors of the readers of outlines and of measured light.
#include "reader_error_cases.h"

#include "ies_reader.h"
#include "made_up_art.h"

namespace rimeglow {
namespace {

const std::vector<std::pair<std::string, std::string>> kOutline = {{"panel.outline", "art"}};

std::string at_outline(const std::string& what) { return ": panel.outline: art: " + what; }

const std::string kOneShape =
    "\n    turn everything into paths and unite them into one; holes are parts of that path\n";

const std::vector<std::pair<std::string, std::string>> kLight = {{"lamp.distribution", "art"}};

std::string at_light(const std::string& what) { return ": lamp.distribution: art: " + what; }

std::string photometry(const std::string& numbers) {
  return "IESNA:LM-63-2002\nTILT=NONE\n" + numbers;
}

const std::string kAskAgain =
    "\n    ask the LED's maker for its file again, or say beam_angle instead\n";

}  // namespace

std::vector<Case> outline_cases() {
  const std::string whole = svg(kPage, kSquare);
  return {
      {"<html></html>", kPanel, kOutline,
       at_outline("the outline's file is no SVG" + kSayingSaveAgain)},
      {svg(kPage, "<g></g>"), kPanel, kOutline,
       at_outline("the SVG holds no shape\n    draw one closed shape\n")},
      {whole.substr(0, whole.size() - 10), kPanel, kOutline,
       at_outline("the SVG cannot be read (*)" + kSayingSaveAgain)},
      {svg(kPage, kSquare + kSquare), kPanel, kOutline,
       at_outline("the SVG holds more than one shape" + kOneShape)},
      {svg(kPage, "<g><use/></g>"), kPanel, kOutline,
       at_outline("the SVG holds <use>, which gives a panel no outline" + kOneShape)},
      {svg("width=\"9 feet\"", kSquare), kPanel, kOutline,
       at_outline("the SVG has \"9 feet\" for a length\n    write a number and mm, as in "
                  "width=\"90mm\"; cm, in, pt, pc and px are read too\n")},
      {svg(kPage, "<rect width=\"50%\" height=\"9\"/>"), kPanel, kOutline,
       at_outline("the SVG has a shape sized as a share of the page" + kSayingSaveAgain)},
      {svg(kPage, "<g transform=\"turn(3)\"/>"), kPanel, kOutline,
       at_outline("the SVG has \"turn(3)\" for a transform, which is no list of matrix, translate, "
                  "scale, rotate, skewX or skewY" +
                  kSayingSaveAgain)},
      {svg("viewBox=\"0 0 9\"", kSquare), kPanel, kOutline,
       at_outline("the SVG has \"0 0 9\" for a viewBox, which takes four numbers: left, top, width "
                  "and height" +
                  kSayingSaveAgain)},
      {svg(kPage, "<path d=\"M0 0L9 zero\"/>"), kPanel, kOutline,
       at_outline("the SVG has a list of numbers or a path that cannot be read: at character 8 "
                  "there is \"zero\" where a number "
                  "or a path's letter belongs" +
                  kSayingSaveAgain)},
      {svg(kPage, "<path d=\"M0 0H9V9\"/>"), kPanel, kOutline,
       at_outline("the outline is open: 13 mm lack between its two ends\n    close the path in the "
                  "drawing program\n")},
      {svg(kPage, "<ellipse rx=\"1e12\" ry=\"2e12\"/>"), kPanel, kOutline,
       at_outline(
           "the outline has too many pieces; at most 20000 are followed\n    simplify the path "
           "in the drawing program\n")},
      {svg(kPage, "<path d=\"M0 0L9 9V0L0 9z\"/>"), kPanel, kOutline,
       at_outline(
           "the outline crosses or touches itself at 45 mm, 45 mm from its lower left corner\n"
           "    draw nodes and lines apart there, or unite the shapes they belong to\n")},
  };
}

std::vector<Case> light_cases() {
  return {
      {"IESNA91\n", kPanel, kLight,
       at_light(
           "the file is no LM-63 photometry: it has no line TILT=\n    name a file that ends in "
           ".ies, as LED makers offer them\n")},
      {std::string(kMostIesBytes + 1, ' '), kPanel, kLight,
       at_light(
           "the file is larger than any photometry (over 2 MB)\n    name the LED's .ies file\n")},
      {"TILT=lamp.tlt\n", kPanel, kLight,
       at_light("the file refers to another one for the lamp's tilt (TILT=LAMP.TLT)\n    write "
                "TILT=NONE in its place: an LED gives the same light whichever way it points\n")},
      {photometry("1 -1 1 2 1 2"), kPanel, kLight,
       at_light(
           "the file's photometry is type B; only type C is read\n    ask for the file in type C, "
           "as it is usual for LEDs\n")},
      {photometry("1 -1 1 2.5 1 1"), kPanel, kLight,
       at_light("the file gives 2.5 for the number of vertical angles" + kAskAgain)},
      {photometry("1 -1 0 2 1 1"), kPanel, kLight,
       at_light("the file gives 0 for the multiplier" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 -1 0"), kPanel, kLight,
       at_light("the file gives a ballast-lamp factor below 0: -1" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 1 0 0 90 0 5"), kPanel, kLight,
       at_light("the file ends where a luminous intensity belongs" + kAskAgain)},
      {photometry("1 -1 1 900000 1 1 2 0 0 0 1 1 0 0 90"), kPanel, kLight,
       at_light("the file ends where a vertical angle belongs" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 1 0 0 90 0 5 x"), kPanel, kLight,
       at_light("the file holds \"x\" where a luminous intensity belongs" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 1 0 0 90 0 5 -1"), kPanel, kLight,
       at_light("the file gives a luminous intensity below 0: -1 cd" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 1 0 0 90 0 5 1 1"), kPanel, kLight,
       at_light("the file holds more numbers than it says" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 1 0 0 90 0 0 0"), kPanel, kLight,
       at_light("the file's lamp gives no light" + kAskAgain)},
      {photometry("1 -1 1 3 1 1 2 0 0 0 1 1 0 0 50 50 0 1 1 1"), kPanel, kLight,
       at_light("the file's vertical angles do not rise: 50 degrees follow 50" + kAskAgain)},
      {photometry("1 -1 1 2 1 1 2 0 0 0 1 1 0 0 80 0 1 1"), kPanel, kLight,
       at_light(
           "the file's vertical angles go from 0 to 80 degrees; they have to go from 0 to 90 or "
           "180" +
           kAskAgain)},
      {photometry("1 -1 1 2 2 1 2 0 0 0 1 1 0 0 90 0 45 1 1 1 1"), kPanel, kLight,
       at_light(
           "the file's horizontal angles go from 0 to 45 degrees; they have to go from 0 to 0, 90, "
           "180 or 360" +
           kAskAgain)},
  };
}

}  // namespace rimeglow
