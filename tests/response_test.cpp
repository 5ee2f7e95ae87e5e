// Laws of sim/response: the table of luminance per arriving light, against the stochastic
// evaluation that knows no table, and against walks.
#include "response.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "optics.h"
#include "sampling.h"
#include "statistics.h"
#include "units.h"

namespace rimeglow::response_test {
namespace {

constexpr double kIndex = 1.49;

Vec3 eye(double polar_deg, double azimuth_deg, Side side) {
  const Vec3 front = direction_at(std::cos(radians(polar_deg)), radians(azimuth_deg));
  return side == Side::front ? front : Vec3(front.x(), front.y(), -front.z());
}

// Two eyes that look at marks on the back through the front, two that see them directly.
std::vector<Viewer> eyes() {
  return {{"straight on", eye(0.0, 0.0, Side::front)},
          {"from above", eye(40.0, 90.0, Side::front)},
          {"from behind", eye(0.0, 0.0, Side::back)},
          {"slanting from behind", eye(55.0, 30.0, Side::back)}};
}

Finish mark(double alpha_x, double alpha_y, double frost, SlopeLaw law = SlopeLaw::ggx) {
  Finish finish;
  finish.kind = Finish::Kind::rough;
  finish.rough = {{alpha_x, alpha_y, law}, frost, 0.3};
  return finish;
}

Model model_with(const std::vector<Finish>& marks) {
  Model model;
  model.outline = rounded_rectangle(100.0, 100.0, 0.0);
  model.thickness_mm = 3.0;
  model.sheet.index = kIndex;
  model.edge_finish.resize(4);
  model.viewers = eyes();
  for (const Finish& finish : marks) model.layers.push_back({finish, {}});
  return model;
}

Sight sight(const Viewer& viewer) { return *sight_of(viewer, face_frame(Side::back), kIndex); }

double look_up(const Response& response, const Vec3& direction, std::size_t viewer) {
  double found = 0.0;
  response.look_up(direction, [&](int group, const std::array<float, kViewerGroup>& values) {
    if (static_cast<std::size_t>(group) == viewer / kViewerGroup) {
      found = static_cast<double>(values[viewer % kViewerGroup]);
    }
  });
  return found;
}

// Tables of the same surfaces from different walks: their spread is their error.
std::vector<Responses> tables_of(const Model& model) {
  std::vector<Responses> tables;
  for (std::uint64_t seed = 1; seed <= 16; ++seed) {
    ResponseSettings settings;
    settings.seed = statistics::kSeed + seed;
    settings.walks = std::max(1 << 13, statistics::samples(1 << 14));  // fewer see no tails
    settings.threads = 1;
    tables.push_back(respond(model, settings));
  }
  return tables;
}

statistics::Average look_up(const std::vector<Responses>& tables, std::size_t layer,
                            const Vec3& direction, std::size_t viewer) {
  statistics::Average average;
  for (const Responses& table : tables) {
    average.add(look_up(table.layers[layer], direction, viewer));
  }
  return average;
}

struct Mean {
  double value = 0.0;
  double sigma = 0.0;
};

Mean evaluated(const Finish& finish, const Vec3& direction, const Sight& sight, int count) {
  statistics::Average average;
  for (int k = 0; k < count; ++k) {
    average.add(sight.factor *
                estimate_toward(finish, kIndex, direction, sight.toward,
                                Draws(statistics::kSeed + 81, static_cast<std::uint64_t>(k))));
  }
  return {average.mean(), average.sigma()};
}

// Light from inside: steep, either side of the critical angle, guided, grazing.
const Vec3 kArriving[] = {
    direction_at(std::cos(radians(10.0)), 0.3),  direction_at(std::cos(radians(35.0)), 2.0),
    direction_at(std::cos(radians(50.0)), -1.5), direction_at(std::cos(radians(60.0)), 1.2),
    direction_at(std::cos(radians(72.0)), -2.7), direction_at(std::cos(radians(82.0)), 0.8)};

struct Mark {
  const char* name;
  Finish finish;
};

const Mark kMarks[] = {{"alpha 0.2", mark(0.2, 0.2, 0.0)},
                       {"alpha 0.3", mark(0.3, 0.3, 0.0)},
                       {"alpha 0.5", mark(0.5, 0.5, 0.0)},
                       {"alpha 1", mark(1.0, 1.0, 0.0)},
                       {"alpha 0.5, frost 0.3", mark(0.5, 0.5, 0.3)},
                       {"grooves, frost 0.5", mark(0.3, 0.6, 0.5)},
                       {"Beckmann 0.5", mark(0.5, 0.5, 0.0, SlopeLaw::beckmann)},
                       {"frost", mark(0.5, 0.5, 1.0)}};

// Lobes narrower than the table's nodes are apart, as a laser cuts and smoother still.
const Mark kNarrow[] = {{"alpha 0.15 and 0.05", mark(0.15, 0.05, 0.0)},
                        {"alpha 0.02", mark(0.02, 0.02, 0.0)}};

template <std::size_t N>
std::vector<Finish> finishes(const Mark (&marks)[N]) {
  std::vector<Finish> all;
  for (const Mark& entry : marks) all.push_back(entry.finish);
  return all;
}

// Point by point within 8 % and the errors of both: linear interpolation bends the table by up to 5
// % where facets begin to reflect totally and on the flank of a narrow lobe, 7 % for grooves. What
// counts, light from everywhere, is held to 1 % by the integral below and by the independent
// estimator. What a mark shows is some 0.05/sr, so that 0.0005 more is nothing. False-alarm level
// 1e-4; sees a lobe misplaced, a factor n^2 or a face forgotten.
TEST(Response, TheTableHoldsWhatTheWalkScattersTowardTheEye) {
  constexpr double kBend = 0.08;
  constexpr double kNothing = 5e-4;
  const Model model = model_with(finishes(kMarks));
  const std::vector<Responses> tables = tables_of(model);
  const int count = statistics::samples(30000);
  const double limit = statistics::z_limit(
      statistics::kFalseAlarm, static_cast<int>(std::size(kMarks) * std::size(kArriving) * 4));
  for (std::size_t layer = 0; layer < std::size(kMarks); ++layer) {
    for (std::size_t viewer = 0; viewer < model.viewers.size(); ++viewer) {
      for (const Vec3& direction : kArriving) {
        const statistics::Average found = look_up(tables, layer, direction, viewer);
        const Mean due =
            evaluated(kMarks[layer].finish, direction, sight(model.viewers[viewer]), count);
        const double error = limit * std::hypot(found.sigma(), due.sigma);
        EXPECT_LT(std::abs(found.mean() - due.value), kBend * due.value + error + kNothing)
            << kMarks[layer].name << ", " << model.viewers[viewer].name << ", light at "
            << degrees(std::acos(direction.z())) << " degrees: " << found.mean() << ", due "
            << due.value << " +- " << due.sigma;
      }
    }
  }
}

// The table's integral over the arriving hemisphere times the cosine, by the midpoints of a polar
// grid on the equal-area disc, fine enough for the narrow lobes.
double over_hemisphere(const Response& response, std::size_t viewer) {
  constexpr int kRings = 200;
  constexpr int kTurns = 180;
  double sum = 0.0;
  for (int i = 0; i < kRings; ++i) {
    const double radius = (i + 0.5) / kRings;
    const double cos_arriving = 1.0 - radius * radius;
    for (int j = 0; j < kTurns; ++j) {
      const Vec3 direction = direction_at(cos_arriving, 2.0 * kPi * (j + 0.5) / kTurns);
      sum += 2.0 * radius * cos_arriving * look_up(response, direction, viewer);
    }
  }
  return sum * 2.0 * kPi / (kRings * kTurns);
}

// What light from all sides inside sends toward each eye is what light from the eye would send back
// into the acrylic, divided by n^2 when the eye is outside.
template <std::size_t N>
void expect_whole(const Mark (&marks)[N]) {
  const Model model = model_with(finishes(marks));
  ResponseSettings settings;
  settings.seed = statistics::kSeed;
  settings.walks = statistics::samples(1 << 16);
  settings.threads = 1;
  const Responses table = respond(model, settings);
  const double limit = statistics::z_limit(statistics::kFalseAlarm, 4 * static_cast<int>(N));
  for (std::size_t layer = 0; layer < N; ++layer) {
    for (std::size_t viewer = 0; viewer < model.viewers.size(); ++viewer) {
      const Sight seen = sight(model.viewers[viewer]);
      double sent_back = 0.0;
      for (int k = 0; k < settings.walks; ++k) {
        const Outcome outcome =
            interact(marks[layer].finish, kIndex, -seen.toward,
                     Draws(statistics::kSeed + 82, static_cast<std::uint64_t>(k)));
        sent_back += outcome.direction.z() < 0.0;
      }
      sent_back /= settings.walks;
      const double factor = seen.factor * (seen.toward.z() > 0.0 ? 1.0 / (kIndex * kIndex) : 1.0);
      const double sigma = std::sqrt(2.0) * statistics::binomial_sigma(sent_back, settings.walks);
      EXPECT_LT(std::abs(over_hemisphere(table.layers[layer], viewer) - factor * sent_back),
                factor * (limit * sigma + 0.01 * sent_back))
          << marks[layer].name << ", " << model.viewers[viewer].name << ": "
          << over_hemisphere(table.layers[layer], viewer) << ", due " << factor * sent_back;
    }
  }
}

// Reciprocity (derived). False-alarm level 1e-4; sees 2 % of any mark.
TEST(Response, TheTableIntegratesToWhatWalksFromTheEyeSendBack) { expect_whole(kMarks); }
TEST(Response, LobesNarrowerThanTheTablesNodesKeepTheirLight) { expect_whole(kNarrow); }

Responses tables_of_edges(const Model& model) {
  ResponseSettings settings;
  settings.seed = statistics::kSeed;
  settings.walks = statistics::samples(1 << 16);
  settings.threads = 1;
  return respond(model, settings);
}

// The tables of a panel whose top edge alone is finished.
Responses edge_tables(const Finish& finish, const std::vector<Viewer>& viewers) {
  Model model = model_with({});
  model.edge_finish[2] = finish;
  model.viewers = viewers;
  return tables_of_edges(model);
}

const Frame kTopEdge = edge_frame(Vec3::UnitY());

// From above an eye sees the top edge itself, from below through the front face.
const std::vector<Viewer> kEdgeEyes = {{"from above", eye(40.0, 90.0, Side::front)},
                                       {"from below", eye(40.0, -90.0, Side::front)}};

Finish painted(double reflectance) {
  Finish paint;
  paint.kind = Finish::Kind::painted;
  paint.paint_reflectance = reflectance;
  return paint;
}

// Paint of reflectance rho in contact shows rho / pi times the factor of the face to every eye
// behind a face, and nothing to an eye before it.
TEST(Response, PaintIsALambertianReflectorSeenThroughTheFace) {
  const Responses tables = edge_tables(painted(0.8), kEdgeEyes);
  ASSERT_TRUE(tables.edges[2]);
  EXPECT_FALSE(tables.edges[0]);  // polished: no table
  const double face = (1.0 - fresnel(kIndex, std::cos(radians(40.0)))) / (kIndex * kIndex);
  for (const Vec3& direction : kArriving) {
    EXPECT_EQ(look_up(*tables.edges[2], direction, 0), 0.0);
    EXPECT_NEAR(look_up(*tables.edges[2], direction, 1), face * 0.8 / kPi, 1e-6);
  }
}

// Of a dark sheet what lies between surface and face takes its part: all of the thickness from a
// mark, any part of it from an edge. Paint has no noise: exact to single precision.
TEST(Response, ADarkSheetDimsWhatIsSeenThroughIt) {
  Model model = model_with({painted(0.8)});
  model.edge_finish[2] = painted(0.8);
  model.sheet.absorption_per_mm = 0.1;
  model.viewers = {kEdgeEyes[1]};
  const Responses dark = tables_of_edges(model);
  model.sheet.absorption_per_mm = 0.0;
  const Responses clear = tables_of_edges(model);
  const double cos_inside = std::sqrt(1.0 - std::pow(std::sin(radians(40.0)) / kIndex, 2));
  const auto left = [&](double height_mm) { return std::exp(-0.1 * height_mm / cos_inside); };
  double edge_left = 0.0;
  constexpr int kHeights = 1000;
  for (int k = 0; k < kHeights; ++k) edge_left += left(3.0 * (k + 0.5) / kHeights) / kHeights;
  const auto seen = [](const Response& table) { return look_up(table, kArriving[0], 0); };
  EXPECT_NEAR(seen(dark.layers[0]) / seen(clear.layers[0]), left(3.0), 1e-6);
  EXPECT_NEAR(seen(*dark.edges[2]) / seen(*clear.edges[2]), edge_left, 1e-6);
}

// Over the hemisphere a table holds what walks from the eye send back scattered. False-alarm level
// 1e-4 for two of them together; sees 3 %.
void expect_sent_back(const Finish& finish, const Response& table, std::size_t viewer,
                      const Sight& seen) {
  const int count = statistics::samples(1 << 16);
  int sent_back = 0;
  for (int k = 0; k < count; ++k) {
    const Outcome outcome = interact(finish, kIndex, -seen.toward,
                                     Draws(statistics::kSeed + 83, static_cast<std::uint64_t>(k)));
    sent_back += outcome.fate == Fate::reflected && outcome.order > 0;
  }
  const double share = static_cast<double>(sent_back) / count;
  EXPECT_LT(std::abs(over_hemisphere(table, viewer) - seen.factor * share),
            seen.factor * (0.01 * share + statistics::z_limit(statistics::kFalseAlarm, 2) *
                                              statistics::binomial_sigma(share, 0.5 * count)));
}

// A mirror or card across the gap is opaque to an eye beyond it, and gives a ground edge back what
// walks say: the same law as for marks.
TEST(Response, ACardBehindAGroundEdgeSendsItsLightBackThroughTheFace) {
  for (const Backing::Kind kind : {Backing::Kind::white, Backing::Kind::mirror}) {
    Finish finish = mark(0.4, 0.4, 0.2);
    finish.backing = Backing{kind, 0.9};
    const Responses tables = edge_tables(finish, kEdgeEyes);
    const auto seen = sight_of(kEdgeEyes[1], kTopEdge, kIndex);
    ASSERT_TRUE(seen);
    expect_sent_back(finish, *tables.edges[2], 1, *seen);
    EXPECT_EQ(over_hemisphere(*tables.edges[2], 0), 0.0);
  }
}

// An eye straight before the panel meets a chamfer at its back 30 degrees from the chamfer's normal
// and looks out through it, polished or ground, at the card behind.
TEST(Response, ACardBehindAChamferIsSeenThroughIt) {
  Model model = model_with({});
  const double depth_mm = 1.0;
  add_chamfer(model.outline, {2, Side::back, depth_mm / std::tan(radians(30.0)), depth_mm});
  model.edge_finish.resize(model.outline.edges.size());
  model.viewers = {{"straight on", Vec3::UnitZ()}};
  Finish polished;
  for (Finish finish : {polished, mark(0.4, 0.4, 0.0)}) {
    finish.backing = Backing{Backing::Kind::white, 0.9};
    model.edge_finish.back() = finish;
    const auto outward = seat_normal(model.outline, static_cast<int>(model.edge_finish.size()) - 1);
    ASSERT_TRUE(outward);
    const auto seen = sight_of(model.viewers[0], edge_frame(*outward), kIndex);
    ASSERT_TRUE(seen);
    EXPECT_NEAR(seen->toward.z(), -std::cos(radians(30.0)), 1e-12);
    expect_sent_back(finish, *tables_of_edges(model).edges.back(), 0, *seen);
  }
}

// T(v) / n^2 of the face looked through, and Snell's direction behind it. An eye in a surface's
// plane sees nothing of it. Beyond the face a square edge is always seen beyond its critical angle
// (n > sqrt 2): what stands behind it, polished, is not seen there.
TEST(Response, EyesSeeSurfacesDirectlyOrThroughAFaceByItsFactor) {
  EXPECT_FALSE(sight_of({"straight on", Vec3::UnitZ()}, kTopEdge, kIndex));
  EXPECT_FALSE(sight_of({"sideways", Vec3::UnitX()}, face_frame(Side::back), kIndex));
  const auto direct = sight_of(eyes()[3], face_frame(Side::back), kIndex);
  ASSERT_TRUE(direct);
  EXPECT_EQ(direct->factor, 1.0);
  EXPECT_NEAR(direct->toward.z(), std::cos(radians(55.0)), 1e-12);
  const auto through = sight_of(eyes()[1], face_frame(Side::back), kIndex);
  ASSERT_TRUE(through);
  EXPECT_NEAR(through->factor, (1.0 - fresnel(kIndex, std::cos(radians(40.0)))) / (kIndex * kIndex),
              1e-12);
  EXPECT_NEAR(std::hypot(through->toward.x(), through->toward.y()),
              std::sin(radians(40.0)) / kIndex, 1e-12);
  EXPECT_LT(through->toward.z(), 0.0);
  for (double polar_deg = 1.0; polar_deg < 90.0; polar_deg += 4.0) {
    for (double azimuth_deg = -179.0; azimuth_deg < 0.0; azimuth_deg += 10.0) {
      const auto seen = sight_of({"", eye(polar_deg, azimuth_deg, Side::front)}, kTopEdge, kIndex);
      ASSERT_TRUE(seen);
      EXPECT_TRUE(totally_reflected(kIndex, std::abs(seen->toward.z())));
    }
  }
}

}  // namespace
}  // namespace rimeglow::response_test
