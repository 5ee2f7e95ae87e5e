// What a report says went in: all that a scene may say of the light, by the schema's own list of
// keys, so that a new key fails here until it is told.
#include "html_inputs.h"

#include <gtest/gtest.h>

#include <set>

#include "scene_reader.h"
#include "scene_reading.h"
#include "schema.h"
#include "ticket.h"
#include "ticket_rows.h"

namespace rimeglow::html_inputs_test {
namespace {

constexpr const char* kScene = R"([panel]
width = "140 mm"
height = "120 mm"
thickness = "3 mm"
[art]
file = "sky.svg"
mark = "a"
[[art.region]]
select = "#moon"
mark = "b"
[mark.a]
[mark.b]
[edges.left]
kind = "sanded P320"
[edges.right]
kind = "painted"
[[lamp]]
count = 6
flux_each = "9 lm"
[viewer.stool]
)";

struct Said {
  std::string key;
  std::string typed;  // other than what is taken where it is left out
  std::string needs_key{};
  std::string needs_typed{};
};

std::vector<Said> all_said() {
  return {{"panel.width", "130 mm"},
          {"panel.height", "125 mm"},
          {"panel.thickness", "5 mm"},
          {"panel.corner_radius", "4 mm"},
          {"panel.index", "1.5"},
          {"panel.absorption", "1 /m"},
          {"panel.scattering", "5 /m"},
          {"panel.asymmetry", "0.5", "panel.scattering", "5 /m"},
          {"art.file", "moon.svg"},
          {"art.width", "60 mm"},
          {"art.centre", "70 mm, 65 mm"},
          {"art.rotate", "10 deg"},
          {"art.face", "front"},
          {"art.mark", "b"},
          {"art.engrave", "light"},
          {"art.tones", "flat"},
          {"art.density", "plan.png"},
          {"art.region[0].select", "#sun"},
          {"art.region[0].mark", "a"},
          {"mark.a.kind", "scored"},
          {"mark.a.spacing", "300 dpi"},
          {"mark.a.direction", "90 deg"},
          {"mark.a.spot", "0.2 mm"},
          {"mark.a.slope", "beckmann"},
          {"mark.a.alpha", "0.3, 0.6"},
          {"mark.a.frost", "0.5"},
          {"mark.a.frost_reflectance", "0.5"},
          {"mark.a.depth", "0.2 mm"},
          {"edges.top", "white card"},
          {"edges.left.kind", "sawn"},
          {"edges.left.stroke", "across"},
          {"edges.left.alpha", "0.9"},
          {"edges.left.slope", "beckmann"},
          {"edges.right.reflectance", "0.5"},
          {"edges.left.chamfer_front", "1 mm"},
          {"edges.left.chamfer_back", "1 mm"},
          {"edges.left.chamfer_angle", "30 deg", "edges.left.chamfer_front", "1 mm"},
          {"edges.left.chamfer_finish", "polished", "edges.left.chamfer_front", "1 mm"},
          {"lamp[0].edge", "top"},
          {"lamp[0].count", "5"},
          {"lamp[0].pitch", "20 mm"},
          {"lamp[0].centre", "60 mm"},
          {"lamp[0].emitter", "3 mm, 2 mm"},
          {"lamp[0].flux_each", "7 lm"},
          {"lamp[0].colour", "4000 K"},
          {"lamp[0].wavelength", "620 nm"},
          {"lamp[0].beam_angle", "90 deg"},
          {"lamp[0].gap", "1 mm"},
          {"base.slot_depth", "10 mm"},
          {"base.wall", "0.5"},
          {"base.contact", "0.2"},
          {"room.luminance", "100 cd/m2"},
          {"room.backdrop", "0.8"},
          {"viewer.stool.above", "20 deg"},
          {"viewer.stool.left", "20 deg"},
          {"viewer.stool.side", "back"}};
}

// The scene's text with this said; none where the key takes no such words.
std::optional<std::string> saying(const std::string& scene, const std::string& key,
                                  std::string_view typed) {
  const auto toml = toml_of(key, typed, "");
  if (!std::holds_alternative<std::string>(toml)) return std::nullopt;
  const auto text = with_field(scene, key, std::get<std::string>(toml));
  return std::holds_alternative<std::string>(text) ? std::optional(std::get<std::string>(text))
                                                   : std::nullopt;
}

// The scene in which a key makes a difference.
std::string scene_for(const Said& said) {
  if (said.needs_key.empty()) return kScene;
  return saying(kScene, said.needs_key, said.needs_typed).value();
}

// None where the scene holds a mistake.
std::optional<std::string> told_of(const std::string& text) {
  const auto parsed = parse_scene(text);
  if (!std::holds_alternative<Node>(parsed)) return std::nullopt;
  const ReadScene out = read_scene(std::get<Node>(parsed), "untitled");
  if (!out.problems.empty()) return std::nullopt;
  return inputs_list(out.scene, *build_model(out.scene, {}, {}).model).markup();
}

TEST(InputsList, TellsAllThatIsSaid) {
  for (const Said& said : all_said()) {
    SCOPED_TRACE(said.key);
    const std::string scene = scene_for(said);
    const auto as_it_is = told_of(scene);
    const auto otherwise = told_of(saying(scene, said.key, said.typed).value());
    ASSERT_TRUE(as_it_is && otherwise);
    EXPECT_NE(*as_it_is, *otherwise);
  }
}

// By the reference's own words, where they are a value.
TEST(InputsList, TellsWhatIsLeftOutAsTheReferenceDoes) {
  int values = 0;
  for (const Said& said : all_said()) {
    SCOPED_TRACE(said.key);
    const Key& key = *find_key(pattern_of(said.key));
    if (key.fallback.empty() || key.type == KeyType::text) continue;
    const std::string scene = scene_for(said);
    const auto text = saying(scene, said.key, key.fallback);
    const auto told = text ? told_of(*text) : std::nullopt;
    if (!told) continue;
    ++values;
    EXPECT_EQ(*told, told_of(scene));
  }
  EXPECT_GE(values, 34);
}

TEST(InputsList, KnowsEveryKeyThatMovesLight) {
  std::set<std::string> known;
  for (const Said& said : all_said()) known.insert(pattern_of(said.key));
  for (const Key& key : schema()) {
    const std::string path(key.path);
    const std::string last = path.substr(path.rfind('.') + 1);
    const std::string first = path.substr(0, path.find_first_of(".["));
    const std::set<std::string> of_light = {"panel", "art",  "mark", "edges",
                                            "lamp",  "base", "room", "viewer"};
    // Of one choice only, or told with what is read from their files.
    const std::set<std::string> others = {"panel.sheet", "panel.outline", "panel.flat",
                                          "lamp[].current_each", "lamp[].distribution"};
    if (!of_light.contains(first) || last == "use" || last == "price" || others.contains(path))
      continue;
    EXPECT_TRUE(known.contains(path)) << path;
  }
}

}  // namespace
}  // namespace rimeglow::html_inputs_test
