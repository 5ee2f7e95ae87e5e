#include "svg_gate.h"

#include <algorithm>

#include "art_source.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr std::string_view kXmlSpace = " \t\r\n";

// Walks over the markup once. It is stricter than a parser nowhere: what it does not understand it
// passes on to the library, whose process is fenced in.
class SvgGate {
 public:
  explicit SvgGate(std::string_view bytes) : bytes_(bytes) {}

  std::vector<std::string> pass() {
    if (const std::size_t zero = bytes_.find('\0'); zero != bytes_.npos)
      refuse("holds zero bytes", zero, "save it as plain SVG in UTF-8");
    while ((at_ = bytes_.find('<', at_)) != bytes_.npos) step();
    return std::move(warnings_);
  }

 private:
  void step() {
    const std::string_view rest = bytes_.substr(at_);
    if (rest.starts_with("<!--")) return skip_past("-->");
    if (rest.starts_with("<![CDATA[")) return skip_past("]]>");
    if (rest.starts_with("<?")) return skip_past("?>");
    if (rest.starts_with("<!")) return declaration();
    const std::size_t end = end_of_tag(at_);
    const std::string_view tag = bytes_.substr(at_, end - at_);
    if (tag.starts_with("</")) {
      depth_ -= depth_ > 0 ? 1 : 0;
    } else {
      element(tag.substr(1));
      if (tag.back() != '/') ++depth_;
    }
    at_ = end;
  }

  void skip_past(std::string_view mark) {
    const std::size_t found = bytes_.find(mark, at_);
    at_ = found == bytes_.npos ? bytes_.size() : found + mark.size();
  }

  // Where the tag's ">" stands, quoted ones left aside, or the end of the text.
  std::size_t end_of_tag(std::size_t from) const {
    char quote = 0;
    for (std::size_t i = from; i < bytes_.size(); ++i) {
      const char letter = bytes_[i];
      if (quote != 0) {
        if (letter == quote) quote = 0;
      } else if (letter == '"' || letter == '\'') {
        quote = letter;
      } else if (letter == '>') {
        return i;
      }
    }
    return bytes_.size();
  }

  // A DOCTYPE that only names SVG's own is in many files and does nothing; one with declarations of
  // its own can define text that grows without end, or that comes from another file.
  void declaration() {
    const std::size_t end = end_of_tag(at_);
    const std::size_t opened = bytes_.substr(at_, end - at_).find('[');
    if (opened != bytes_.npos)
      refuse("declares entities or elements of its own in its DOCTYPE", at_ + opened, kSaveAgain);
    at_ = end;
  }

  void element(std::string_view tag) {
    if (++elements_ > kMostSvgElements)
      refuse("has more than " + std::to_string(kMostSvgElements) + " elements", at_,
             "simplify the drawing, or export it as PNG");
    if (depth_ >= kDeepestSvg)
      refuse("nests elements more than " + std::to_string(kDeepestSvg) + " deep", at_,
             "ungroup the drawing, or export it as PNG");
    std::string_view name = tag.substr(0, std::min(tag.find_first_of(" \t\r\n/>"), tag.size()));
    name.remove_prefix(std::min(name.rfind(':') + 1, name.size()));
    if (name == "include")
      refuse("takes in another file (XInclude)", at_, "put that file's drawing into this one");
    if (name == "text")
      warn_once(warned_of_text_,
                "holds text, whose shape depends on the fonts of this computer; turn text into "
                "paths before saving.");
    if (name == "image" && !is_embedded(tag))
      warn_once(warned_of_picture_,
                "refers to a picture in another file, which is not read; embed it in the SVG.");
  }

  // Whether the picture's address, if it has one, holds the picture itself.
  static bool is_embedded(std::string_view tag) {
    std::size_t at = tag.find("href");
    if (at == tag.npos) return true;
    at = tag.find_first_not_of(kXmlSpace, at + 4);
    if (at == tag.npos || tag[at] != '=') return true;
    at = tag.find_first_not_of(kXmlSpace, at + 1);
    return at != tag.npos && tag.substr(at + 1, 5) == "data:";
  }

  std::string line(std::size_t at) const {
    return "line " +
           std::to_string(1 + std::count(bytes_.begin(),
                                         bytes_.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
  }

  [[noreturn]] void refuse(const std::string& what, std::size_t at, const char* mend) const {
    throw ArtError("the SVG " + what + " (" + line(at) + ")", mend);
  }

  void warn_once(bool& warned, const std::string& what) {
    if (!warned) warnings_.push_back("The SVG (" + line(at_) + ") " + what);
    warned = true;
  }

  std::string_view bytes_;
  std::size_t at_ = 0;
  std::size_t elements_ = 0;
  std::size_t depth_ = 0;
  bool warned_of_text_ = false;
  bool warned_of_picture_ = false;
  std::vector<std::string> warnings_;
};

}  // namespace

std::vector<std::string> vet_svg(std::string_view bytes) {
  if (bytes.size() > kMostSvgBytes)
    throw ArtError("the SVG has " + fixed(static_cast<double>(bytes.size()) / 1e6, 1) +
                       " million bytes; at most " +
                       fixed(static_cast<double>(kMostSvgBytes) / 1e6, 0) + " million are read",
                   "take out embedded pictures or simplify its paths");
  return SvgGate(bytes).pass();
}

}  // namespace rimeglow
