// Scenes drawn from the schema's own ranges, their ends as often as what lies between: each is
// refused with a reason, or runs with a closed ledger, every number within its bounds, and the same
// sums on one thread and on three. Whatever key the schema gets is drawn with the rest.
#include <gtest/gtest.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "panels.h"
#include "scene_reading.h"
#include "schema.h"

namespace rimeglow::legal_scenes_test {
namespace {

// Numbers of one drawn scene.
class Chance {
 public:
  explicit Chance(std::uint64_t scene) : scene_(scene) {}

  double next() { return statistics::uniforms(31 + scene_, calls_++)[0]; }
  bool likely(double chance) { return next() < chance; }
  std::size_t below(std::size_t count) {
    return std::min(static_cast<std::size_t>(next() * static_cast<double>(count)), count - 1);
  }

 private:
  std::uint64_t scene_;
  std::uint64_t calls_ = 0;
};

std::vector<std::string> split(std::string_view choices) {
  std::vector<std::string> parts(1);
  for (const char letter : choices) {
    if (letter == '|') {
      parts.emplace_back();
    } else {
      parts.back() += letter;
    }
  }
  return parts;
}

// An end of the key's range, or between: evenly by ratio where all are above 0.
double number_for(const Key& key, Chance& chance) {
  const double low = std::max(key.low, -100.0);
  const double high = std::min(key.high, 1e6);
  const double where = chance.next();
  if (where < 0.2) return low;
  if (where > 0.8) return high;
  const double t = (where - 0.2) / 0.6;
  return low > 0.0 ? low * std::pow(high / low, t) : low + t * (high - low);
}

std::string quantity_for(const Key& key, Chance& chance) {
  const double value = number_for(key, chance);
  const bool angle = key.dimension == Dimension::angle;
  const std::string unit = angle ? " rad"
                           : key.dimension == Dimension::acceleration
                               ? " mm/s2"
                               : quantity_text(1.0, *key.dimension).substr(1);
  std::string digits(40, '\0');
  digits.resize(static_cast<std::size_t>(
      std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr - digits.data()));
  return digits + unit;
}

Node node_of(auto value) {
  Node node;
  node.value = std::move(value);
  return node;
}

// Of a polygon about a middle that sees them all.
Node corners(Chance& chance) {
  Node::List list;
  const std::size_t count = 3 + chance.below(20);
  for (std::size_t i = 0; i < count; ++i) {
    const double turn =
        2.0 * kPi * (static_cast<double>(i) + 0.8 * chance.next()) / static_cast<double>(count);
    const double radius_mm = 20.0 + 60.0 * chance.next();
    const auto mm = [](double value) { return node_of(std::to_string(value) + " mm"); };
    list.push_back(
        node_of(Node::List{mm(radius_mm * std::cos(turn)), mm(radius_mm * std::sin(turn))}));
  }
  return node_of(std::move(list));
}

std::optional<Node> value_for(const Key& key, Chance& chance) {
  switch (key.type) {
    case KeyType::choice:
    case KeyType::edge_finish: {
      const std::vector<std::string> words = split(key.choices);
      std::string word = words[chance.below(words.size())];
      if (word == "sanded") word += " P240";
      return node_of(word);
    }
    case KeyType::yes_no:
      return node_of(chance.likely(0.5));
    case KeyType::number:
      return node_of(number_for(key, chance));
    case KeyType::count:
      return node_of(std::round(number_for(key, chance)));
    case KeyType::number_or_two:
      return node_of(
          Node::List{node_of(number_for(key, chance)), node_of(number_for(key, chance))});
    case KeyType::quantity:
      return node_of(quantity_for(key, chance));
    case KeyType::two_quantities:
      return node_of(
          Node::List{node_of(quantity_for(key, chance)), node_of(quantity_for(key, chance))});
    case KeyType::words_or_points:
      return corners(chance);
    case KeyType::quantities:
    case KeyType::text:
    case KeyType::price:
    case KeyType::hourly:
    case KeyType::any:
      break;
  }
  return std::nullopt;
}

// The keys below `prefix`, the required ones always, the others half the time.
Node table_for(std::string_view prefix, Chance& chance) {
  Node::Table table;
  for (const Key& key : schema()) {
    if (!key.path.starts_with(prefix)) continue;
    const std::string name(key.path.substr(prefix.size()));
    if (name.find_first_of(".*[") != std::string::npos) continue;
    if (key.need == KeyNeed::optional && chance.likely(0.5)) continue;
    if (auto value = value_for(key, chance)) table.emplace_back(name, std::move(*value));
  }
  return node_of(std::move(table));
}

// A rectangle of some size, or a drawn outline, which has its own.
void complete_panel(Node::Table& panel, Chance& chance) {
  const auto has = [&](std::string_view name) {
    return std::any_of(panel.begin(), panel.end(),
                       [&](const auto& key) { return key.first == name; });
  };
  std::erase_if(panel, [](const auto& key) { return key.first == "flat"; });  // of discs only
  if (has("outline")) {
    std::erase_if(panel, [](const auto& key) {
      return key.first == "width" || key.first == "height" || key.first == "corner_radius";
    });
    return;
  }
  for (const char* name : {"width", "height"}) {
    const Key& key = *find_key(std::string("panel.") + name);
    if (!has(name)) panel.emplace_back(name, node_of(quantity_for(key, chance)));
  }
}

// Few of the chamfers in the schema's range fit a panel: of those drawn one in five is kept, and
// made small.
Node edge_for(Chance& chance) {
  Node edge = table_for("edges.*.", chance);
  auto& keys = std::get<Node::Table>(edge.value);
  const bool chamfered = chance.likely(0.2);
  const double small_mm = 0.05 + 0.5 * chance.next();
  for (auto key = keys.begin(); key != keys.end();) {
    const bool size = key->first == "chamfer_front" || key->first == "chamfer_back";
    if (size && chamfered) key->second = node_of(quantity_text(small_mm, Dimension::length));
    key = size && !chamfered ? keys.erase(key) : key + 1;
  }
  return edge;
}

Node scene_for(Chance& chance) {
  Node::Table scene;
  for (const char* name : {"panel", "base", "room", "machine"}) {
    scene.emplace_back(name, table_for(std::string(name) + ".", chance));
  }
  complete_panel(std::get<Node::Table>(scene.front().second.value), chance);
  Node::List lamps = {table_for("lamp[].", chance)};
  if (chance.likely(0.3)) lamps.push_back(table_for("lamp[].", chance));
  for (Node& lamp : lamps) {  // its lumens or its current must be said
    std::get<Node::Table>(lamp.value).emplace_back("flux_each", node_of(std::string("9 lm")));
    auto& keys = std::get<Node::Table>(lamp.value);
    const auto first = std::find_if(keys.begin(), keys.end(),
                                    [](const auto& key) { return key.first == "flux_each"; });
    if (first + 1 != keys.end()) keys.pop_back();
  }
  scene.emplace_back("lamp", node_of(std::move(lamps)));
  Node::Table edges;
  for (const char* edge : {"top", "right", "bottom", "left"}) {
    if (chance.likely(0.5)) edges.emplace_back(edge, edge_for(chance));
  }
  scene.emplace_back("edges", node_of(std::move(edges)));
  if (chance.likely(0.8)) {
    scene.emplace_back("mark", node_of(Node::Table{{"m", table_for("mark.*.", chance)}}));
    Node art = table_for("art.", chance);
    std::get<Node::Table>(art.value).emplace_back("file", node_of(std::string("drawn.svg")));
    scene.emplace_back("art", std::move(art));
  }
  if (chance.likely(0.3)) {
    scene.emplace_back("viewer", node_of(Node::Table{{"v", table_for("viewer.*.", chance)}}));
  }
  return node_of(std::move(scene));
}

// Art of 40 x 30 dots in the middle of the panel. Greys only under spots as machines have them: how
// dots grow takes long to tabulate for a spot of many lines.
std::vector<Drawing> art_for(const Scene& scene, Chance& chance) {
  if (!scene.art) return {};
  Drawing drawing;
  drawing.columns = 40;
  drawing.rows = 30;
  const MarkSpec& mark = *layer_marks(scene).front();
  drawing.pixel_mm = mark.spacing_mm;
  const bool grey = mark.spot_mm < 4.0 * mark.spacing_mm && chance.likely(0.3);
  drawing.origin_mm =
      0.5 * Vec2(scene.panel.width_mm, scene.panel.height_mm) - drawing.pixel_mm * Vec2(20.0, 15.0);
  for (int k = 0; k < 40 * 30; ++k) {
    const double tone = chance.next();
    drawing.tone.push_back(static_cast<std::uint8_t>(255.0 * (grey ? tone : std::round(tone))));
  }
  return {drawing};
}

void expect_amount(const Estimate& amount, const std::string& of) {
  EXPECT_TRUE(std::isfinite(amount.mean) && amount.mean >= 0.0) << of << " " << amount.mean;
  EXPECT_TRUE(std::isfinite(amount.standard_error) && amount.standard_error >= 0.0) << of;
}

void expect_bounds(const Run& run) {
  const Glow glow = glow_of(run);
  double sum = 0.0;
  for (const Share& share : glow.ledger) {
    const double least = share.name == "trapped" ? -0.01 : 0.0;  // roulette's gains
    EXPECT_GE(share.of_emitted.mean, least) << share.name;
    EXPECT_LE(share.of_emitted.mean, 1.0) << share.name;
    sum += share.of_emitted.mean;
  }
  EXPECT_NEAR(sum, 1.0, 1e-9);
  EXPECT_EQ(glow.ledger[kLost].of_emitted.mean, 0.0);
  for (const ViewerGlow& viewer : glow.viewers) {
    expect_amount(viewer.mean_cd_m2, viewer.name);
    expect_amount(viewer.darkest_cd_m2, viewer.name);
    expect_amount(viewer.brightest_cd_m2, viewer.name);
    expect_amount(viewer.room_cd_m2, viewer.name);
    expect_amount(viewer.beside_cd_m2, viewer.name);
    EXPECT_TRUE(viewer.evenness.mean >= 0.0 && viewer.evenness.mean <= 1.0) << viewer.name;
    for (const RowGlow& row : viewer.rows) expect_amount(row.cd_m2, viewer.name);
  }
  for (const EdgeGlow& edge : glow.edges) expect_amount(edge.cd_m2, edge.edge + edge.viewer);
  for (const HotSpots& spots : glow.hot_spots) {
    EXPECT_TRUE(spots.contrast.mean >= 0.0 && spots.contrast.mean <= 1.0) << spots.edge;
  }
}

void expect_same_sums(const Run& one, const Run& other) {
  EXPECT_EQ(one.tally.field, other.tally.field);
  for (std::size_t b = 0; b < one.tally.batches.size(); ++b) {
    EXPECT_EQ(one.tally.batches[b].ledger, other.tally.batches[b].ledger);
    EXPECT_EQ(one.tally.batches[b].blocks, other.tally.batches[b].blocks);
    EXPECT_EQ(one.tally.batches[b].edges, other.tally.batches[b].edges);
  }
}

struct Tries {
  int traced = 0;
  int refused = 0;
  int endless = 0;
};

// Traces the scene on one thread and on three. Two eyes are enough: tables for more would take most
// of the time.
void trace_both_ways(const Model& built, Tries& tries) {
  auto model = std::make_shared<Model>(built);
  model->viewers.erase(model->viewers.begin(), model->viewers.end() - 2);
  RunSettings settings;
  settings.threads = 1;
  settings.response_walks = 64;
  settings.room_rays = 4;
  Run run = start(model, settings);
  Run on_three = run;
  on_three.settings.threads = 3;
  try {
    advance(run, 512);
  } catch (const EndlessLight&) {
    ++tries.endless;
    return;
  }
  advance(on_three, 512);
  expect_same_sums(run, on_three);
  expect_bounds(run);
  ++tries.traced;
}

void try_scene(std::uint64_t number, Tries& tries) {
  Chance chance(number);
  const ReadScene read = read_scene(scene_for(chance), "drawn");
  for (const Problem& problem : read.problems)
    ADD_FAILURE() << "a value of the schema's own range: " << problem.key << " " << problem.what;
  const auto refused_for = [&](const std::vector<Problem>& problems) {
    for (const Problem& problem : problems) {
      EXPECT_FALSE(problem.key.empty() || problem.what.empty() || problem.mend.empty());
    }
    tries.refused += problems.empty() ? 0 : 1;
    return !problems.empty();
  };
  if (refused_for(check_scene(read.scene))) return;
  BuiltModel built = build_model(read.scene, art_for(read.scene, chance));
  if (refused_for(built.problems)) return;
  trace_both_ways(*built.model, tries);
}

TEST(LegalScenes, AreTracedWithinBoundsOrRefusedWithAReason) {
  constexpr int kScenes = 500 / std::min(RIMEGLOW_TEST_PHOTON_DIVISOR, 10);
  Tries tries;
  for (std::uint64_t number = 0; tries.traced < kScenes && number < 50 * kScenes; ++number) {
    SCOPED_TRACE("scene " + std::to_string(number));
    try_scene(number, tries);
    if (HasFailure()) break;
  }
  EXPECT_EQ(tries.traced, kScenes) << tries.refused << " refused";
  EXPECT_LT(tries.endless, kScenes / 20);
}

// A foil and a block, a metre wide, one LED and 500, smooth and steep marks, a clear and a dark
// sheet, low and high index: all together, every way.
TEST(LegalScenes, ExtremesOfAllKindsAreTracedTogether) {
  Tries tries;
  for (unsigned which = 0; which < 64; ++which) {
    SCOPED_TRACE("extremes " + std::to_string(which));
    const auto either = [&](unsigned bit, double low, double high) {
      return (which >> bit & 1u) != 0 ? high : low;
    };
    Scene scene;
    scene.panel.width_mm = either(0, 20.0, 1000.0);
    scene.panel.height_mm = either(0, 20.0, 1000.0);
    scene.panel.thickness_mm = either(1, 0.1, 10.0);
    scene.panel.absorption_per_m = either(2, 0.0, 100.0);
    scene.panel.index = either(3, 1.3, 2.4);
    MarkSpec mark;
    mark.alpha_x = mark.alpha_y = either(4, 0.02, 1.5);
    scene.marks["m"] = mark;
    scene.art.emplace();
    scene.art->file = "drawn.svg";
    LampSpec lamp;
    lamp.count = either(5, 1, 500) > 1.0 ? 500 : 1;
    lamp.pitch_mm = scene.panel.width_mm / 501.0;
    lamp.emitter_mm = {0.9 * lamp.pitch_mm, 0.1};
    lamp.flux_each_lm = 9.0;
    scene.lamps = {lamp};
    ASSERT_TRUE(check_scene(scene).empty());
    Chance chance(which);
    const BuiltModel built = build_model(scene, art_for(scene, chance));
    ASSERT_TRUE(built.problems.empty());
    trace_both_ways(*built.model, tries);
  }
  EXPECT_EQ(tries.traced, 64);
}

}  // namespace
}  // namespace rimeglow::legal_scenes_test
