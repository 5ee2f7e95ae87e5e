#include "scene_files.h"

#include <algorithm>
#include <fstream>
#include <map>
#include <system_error>

#include "engraving.h"
#include "fingerprint.h"
#include "ies_reader.h"
#include "outline_reader.h"
#include "panel_shape.h"
#include "raster_reader.h"
#include "scene_reader.h"
#include "scene_reading.h"
#include "shop.h"
#include "sides.h"
#include "variants.h"

namespace rimeglow {
namespace {

std::variant<std::string, Problem> read_text(const std::filesystem::path& file) {
  std::error_code error;
  if (!std::filesystem::exists(file, error)) {
    return Problem{"", 0, "there is no such file", "check the name; scenes/ holds examples"};
  }
  if (!std::filesystem::is_regular_file(file, error)) {
    return Problem{"", 0, "is a folder or device, no file",
                   "name the scene file itself, as in scenes/star-map.toml"};
  }
  std::ifstream stream(file, std::ios::binary);
  if (!stream)
    throw std::filesystem::filesystem_error("cannot read", file,
                                            std::make_error_code(std::errc::permission_denied));
  std::string text(kMostSceneBytes + 1, '\0');
  stream.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(stream.gcount()));
  return text;
}

// The art less its regions when `region` is 0, else its region of that number, counted from 1.
ArtRequest request_for(const Scene& scene, std::size_t region) {
  const ArtSpec& art = *scene.art;
  ArtRequest request;
  request.width_mm = art.width_mm;
  request.centre_mm =
      art.centre_mm.value_or(Vec2(0.5 * scene.panel.width_mm, 0.5 * scene.panel.height_mm));
  request.rotate_rad = art.rotate_rad;
  const MarkSpec& mark = *layer_marks(scene)[region];
  request.pixel_mm = mark.spacing_mm;
  const auto id_of = [&](const RegionSpec& part) { return part.select.substr(1); };
  if (region > 0) {
    request.only_id = id_of(art.regions[region - 1]);
  } else {
    for (const RegionSpec& part : art.regions) request.without_ids.push_back(id_of(part));
  }
  request.engrave = art.light_is_engraved ? Engrave::light : Engrave::dark;
  request.flat = art.flat;
  request.scored = mark.scored();
  return request;
}

// What a laser that follows outlines makes of art otherwise than it may have been meant.
std::vector<std::string> scored_otherwise(const Art& art, const Drawing& strokes,
                                          const std::string& name) {
  constexpr double kLeastLeft = 0.9;  // of what is drawn; strokes may have a wide place
  const std::string scored = "the mark " + name + " is scored: ";
  std::vector<std::string> warnings;
  if (art.info.format != ArtFormat::svg)
    warnings.push_back(scored +
                       "a laser follows the lines of a drawing, and a picture has none; have it "
                       "traced into an SVG");
  if (drawn_mm2(strokes) < kLeastLeft * drawn_mm2(engraved_in_full(art.drawing)))
    warnings.push_back(scored +
                       "only the outline of what is drawn is burnt, one spot wide, and the inside "
                       "stays clear. To fill areas take a mark of kind = \"raster\"; draw a line "
                       "that shall be followed once as a hairline");
  return warnings;
}

class Loader {
 public:
  explicit Loader(LoadedScene& out) : out_(out) {}

  void load(const Changes& changes) {
    const auto text = read_text(out_.file);
    if (const auto* problem = std::get_if<Problem>(&text)) return complain(*problem);
    load_text(std::get<std::string>(text), changes);
  }

  void load_text(std::string said, const Changes& changes) {
    auto parsed = parse_scene(said);
    if (const auto* problem = std::get_if<Problem>(&parsed)) return complain(*problem);
    Node& document = std::get<Node>(parsed);
    if (const auto problem = not_a_scene(document)) return complain(*problem);
    for (const auto& [key, value] : changes) {
      if (const auto problem = set_key(document, key, value)) complain(*problem);
      said += "\n" + key + "=" + value;
    }
    std::string shop_text;
    const std::optional<Node> shop = read_shop(document, shop_text);
    if (!out_.problems.empty()) return;
    interpret(document, shop ? &*shop : nullptr);
    std::string outline_bytes;
    if (out_.problems.empty() && is_of_file(out_.scene.panel)) shape_by_file(outline_bytes);
    std::vector<std::string> measured;
    if (out_.problems.empty()) measured = measured_lamps();
    // What does not fit together can be said only of values that were understood.
    if (out_.problems.empty()) complain_all(check_scene(out_.scene));
    std::string art_bytes, plan_bytes;
    if (out_.problems.empty() && out_.scene.art) {
      place_art(art_bytes);
      if (!out_.scene.art->density.empty()) read_plan(plan_bytes);
    }
    if (!out_.problems.empty()) return;
    BuiltModel built = build_model(out_.scene, out_.drawings, out_.densities);
    complain_all(std::move(built.problems));
    out_.model = std::move(built.model);
    std::vector<std::string_view> parts = {said, art_bytes};
    if (out_.densities) parts.push_back(plan_bytes);
    if (shop) parts.push_back(shop_text);
    if (!outline_bytes.empty()) parts.push_back(outline_bytes);
    for (const std::string& file : measured) parts.push_back(file);
    out_.inputs = inputs_hash(parts);
    out_.variants = variants_in(document);
  }

 private:
  // The shop file that the scene uses, beside it; what is no name is left to the reading.
  std::optional<Node> read_shop(const Node& document, std::string& text) {
    const Node* const use = document.child("use");
    if (!use || !use->text()) return std::nullopt;
    const std::string& name = *use->text();
    out_.shop_file = out_.file.parent_path() / name;
    auto read = read_text(out_.shop_file);
    if (const auto* problem = std::get_if<Problem>(&read)) {
      complain({"use", use->line, name + ": " + problem->what,
                "name a shop file beside the scene, as in use = \"shop.toml\""});
      return std::nullopt;
    }
    text = std::move(std::get<std::string>(read));
    auto parsed = parse_scene(text);
    if (auto* problem = std::get_if<Problem>(&parsed)) {
      problem->line.file = Line::shop;
      complain(*problem);
      return std::nullopt;
    }
    return std::get<Node>(parsed);
  }

  void interpret(const Node& document, const Node* shop) {
    ReadScene read = read_scene(document, out_.file.stem().string(), shop);
    out_.scene = std::move(read.scene);
    out_.document = std::move(read.document);
    lines_ = std::move(read.lines);
    for (Problem& problem : read.problems) out_.problems.push_back(std::move(problem));
  }

  void shape_by_file(std::string& bytes) {
    PanelSpec& panel = out_.scene.panel;
    const std::string name = panel.outline;
    try {
      bytes = read_art_file(out_.file.parent_path() / name);
      const bool sized = panel.width_mm > 0.0 || panel.height_mm > 0.0;
      DrawnOutline drawn =
          read_outline(bytes, sized ? OutlineSize::by_scene : OutlineSize::by_file);
      out_.warnings = std::move(drawn.warnings);
      auto problem = shape_panel(panel, std::move(drawn.lines));
      if (problem && problem->key == "panel.outline") problem->what = name + ": " + problem->what;
      if (problem) return complain(std::move(*problem));
    } catch (const ArtError& error) {
      return complain({"panel.outline", 0, name + ": " + error.what(), error.mend()});
    }
    spread_lamps(out_.scene);
  }

  // Gives lamps their measured light; returns the files' bytes.
  std::vector<std::string> measured_lamps() {
    std::vector<std::string> files;
    struct Known {
      std::string bytes;
      std::shared_ptr<const FarField> far_field;
    };
    std::map<std::string, Known> known;
    std::vector<LampSpec>& lamps = out_.scene.lamps;
    for (std::size_t i = 0; i < lamps.size(); ++i) {
      const std::string& name = lamps[i].distribution;
      if (name.empty()) continue;
      const std::string row = lamps.size() > 1 ? "[" + std::to_string(i) + "]" : "";
      const std::string key = "lamp" + row + ".distribution";
      try {
        auto found = known.find(name);
        if (found == known.end()) {
          std::string bytes = read_art_file(out_.file.parent_path() / name);
          MeasuredLight light = read_ies(bytes);
          for (const std::string& warning : light.warnings)
            out_.warnings.push_back(name + ": " + warning);
          found = known.insert({name, {std::move(bytes), std::move(light.far_field)}}).first;
        }
        files.push_back(found->second.bytes);
        lamps[i].far_field = found->second.far_field;
      } catch (const ArtError& error) {
        complain({key, 0, name + ": " + error.what(), error.mend()});
      }
    }
    return files;
  }

  void place_art(std::string& bytes) {
    const ArtSpec& said = *out_.scene.art;
    try {
      bytes = read_art_file(out_.file.parent_path() / said.file);
      for (std::size_t region = 0; region <= said.regions.size(); ++region) {
        const ArtRequest request = request_for(out_.scene, region);
        Art art = read_art(bytes, request);
        if (request.scored) follow_outlines(art, region);
        out_.drawings.push_back(clear_of_holes(std::move(art.drawing), region));
        keep(std::move(art.info));
      }
    } catch (const ArtError& error) {
      complain({"art.file", 0, said.file + ": " + error.what(), error.mend()});
    }
  }

  void follow_outlines(Art& art, std::size_t region) {
    const Drawing strokes = outlined(art.drawing);
    for (std::string& warning : scored_otherwise(art, strokes, mark_name(out_.scene, region)))
      add_once(out_.warnings, std::move(warning));
    art.drawing = thinned(strokes);
  }

  // What is to be known of the art, and what is to be minded of each of its regions.
  void keep(ArtInfo info) {
    if (!out_.art) {
      out_.art = std::move(info);
      return;
    }
    for (std::string& warning : info.warnings) add_once(out_.art->warnings, std::move(warning));
  }

  // Art ends where the panel does; the beam shall not burn into a hole's wall.
  Drawing clear_of_holes(Drawing drawing, std::size_t region) {
    const double clear_mm = 0.5 * layer_marks(out_.scene)[region]->spot_mm;
    const Outline face =
        face_outline(scene_outline(out_.scene), out_.scene.art->face, kCoarseSagitta_mm);
    auto cut = cut_at_holes(drawing, face, clear_mm);
    if (!cut) return drawing;
    add_once(out_.warnings, "art lies over a hole of the panel and is cut off there");
    const bool left =
        std::any_of(cut->tone.begin(), cut->tone.end(), [](std::uint8_t tone) { return tone > 0; });
    if (!left) {
      complain(
          {"art.centre", 0, "all of the art lies over a hole of the panel", "move art.centre"});
    }
    return std::move(*cut);
  }

  // The plan's pixels as they are, whatever resolution they are said to have.
  void read_plan(std::string& bytes) {
    const std::string& file = out_.scene.art->density;
    try {
      bytes = read_art_file(out_.file.parent_path() / file);
      Drawing plan = read_png(bytes, Engrave::light).tones;
      plan.pixel_mm = kMmPerCssPixel;
      const bool any = std::any_of(plan.tone.begin(), plan.tone.end(),
                                   [](std::uint8_t tone) { return tone > 0; });
      if (!any) {
        complain({"art.density", 0, file + ": nothing would be engraved: the plan is black",
                  "white is burnt in full; let rimeglow even write the plan"});
      }
      out_.densities = std::move(plan);
    } catch (const ArtError& error) {
      complain({"art.density", 0, file + ": " + error.what(), error.mend()});
    }
  }

  void complain(Problem problem) {
    // What is wrong with the only row of LEDs is said of `lamp`, which may be written [[lamp]].
    constexpr std::string_view kOnly = "lamp.";
    if (problem.key.starts_with(kOnly) && lines_.count("lamp[0].count"))
      problem.key.insert(kOnly.size() - 1, "[0]");
    const auto line = lines_.find(problem.key);
    if (problem.line == Line() && line != lines_.end()) problem.line = line->second;
    out_.problems.push_back(std::move(problem));
  }

  void complain_all(std::vector<Problem> problems) {
    for (Problem& problem : problems) complain(std::move(problem));
  }

  LoadedScene& out_;
  std::map<std::string, Line> lines_;
};

}  // namespace

LoadedScene load_scene(const std::filesystem::path& file, const Changes& changes) {
  LoadedScene loaded;
  loaded.file = file;
  Loader(loaded).load(changes);
  return loaded;
}

LoadedScene load_scene_text(const std::filesystem::path& file, const std::string& text) {
  LoadedScene loaded;
  loaded.file = file;
  Loader(loaded).load_text(text, {});
  return loaded;
}

std::string problems_text(const LoadedScene& scene) {
  constexpr std::size_t kMostSaid = 100;
  std::string text;
  for (const Problem& problem : scene.problems) {
    if (&problem == scene.problems.data() + kMostSaid) {
      return text + "and " + std::to_string(scene.problems.size() - kMostSaid) + " more.\n";
    }
    const bool of_shop = problem.line.file == Line::shop;
    text += (of_shop ? scene.shop_file : scene.file).string() + ":";
    if (problem.line.number > 0) text += std::to_string(problem.line.number) + ":";
    if (!problem.key.empty()) text += " " + printable(problem.key) + ":";
    text += " " + printable(problem.what) + "\n    " + printable(problem.mend) + "\n";
  }
  return text;
}

void add_once(std::vector<std::string>& all, std::string said) {
  if (std::find(all.begin(), all.end(), said) == all.end()) all.push_back(std::move(said));
}

std::string printable(std::string text) {
  for (char& letter : text) {
    const auto code = static_cast<unsigned char>(letter);
    if (code < 0x20 || code == 0x7F) letter = '?';
  }
  return text;
}

}  // namespace rimeglow
