#include "room.h"

#include <algorithm>
#include <cmath>

#include "walk.h"

namespace rimeglow {
namespace {

// Streams of draws beside those of the lamp's photons.
constexpr std::uint64_t kMarkStream = std::uint64_t{1} << 60;
constexpr std::uint64_t kClearStream = std::uint64_t{1} << 61;
// Art of which a hundredth is burnt is found by all but 1 in 30 000 rays.
constexpr int kMarkTries = 1024;
constexpr int kClearTries = 64;
constexpr int kRaysAtOnce = 256;  // between two questions whether they are still wanted

// Where a ray leaves; into a base it ends.
struct Exits {
  const Model& model;
  double front = 0.0, back = 0.0, edges = 0.0;

  double& by_face(Side side) { return side == Side::front ? front : back; }
  void deposit(LedgerEntry, double) {}
  void arrive(const Hit&, const Vec3&, double) {}
  void scatter(const Hit&, const Finish&, const Vec3&, double, const Draws&) {}
  void leave(const Hit& hit, const Vec3&, double weight) {
    if (hit.surface < kFirstEdge) {
      by_face(hit.surface == kFrontFace ? Side::front : Side::back) += weight;
    } else if (base_at(model, hit) == nullptr) {
      edges += weight;
    }
  }
};

struct SeenPlace {
  Vec2 point_mm;
  const Finish* finish;
};

// Where eyes look: points of the art's face by what is engraved or bare there.
template <Geometry G>
class Places {
 public:
  Places(const Model& model, const G& geometry, const ScoreMap& map)
      : model_(model), geometry_(geometry), map_(map) {
    for (std::size_t layer = 0; layer < map.slot.size(); ++layer) {
      for (std::size_t cell = 0; cell < map.slot[layer].size(); ++cell) {
        if (map.slot[layer][cell] >= 0) where_.push_back({layer, cell});
      }
    }
  }

  // On the engraving, alike on all that is burnt: cells are drawn alike, and a point is taken as
  // often as it is burnt. None where nothing is engraved, or hardly anything.
  std::optional<SeenPlace> engraved(std::uint64_t seed, std::uint64_t number) const {
    if (where_.empty()) return std::nullopt;
    for (std::uint32_t k = 0; k < kMarkTries; ++k) {
      const Uniforms u = Draws(seed, kMarkStream + number, k).at(kEmissionDraws);
      const Where& where =
          where_[static_cast<std::size_t>(u[0] * static_cast<double>(where_.size()))];
      const auto column =
          static_cast<double>(where.cell % static_cast<std::size_t>(map_.grid.columns));
      const auto row =
          static_cast<double>(where.cell / static_cast<std::size_t>(map_.grid.columns));
      const Vec2 point =
          map_.grid.lower_left_mm + map_.grid.cell_mm.cwiseProduct(Vec2(column + u[1], row + u[2]));
      const Layer& layer = model_.layers[where.layer];
      if (u[3] < layer.engraved().at(point.x(), point.y())) return SeenPlace{point, &layer.mark};
    }
    return std::nullopt;
  }

  // Clear sheet in the art's box; anywhere on a blank, or where the art leaves none in its box.
  std::optional<SeenPlace> clear(std::uint64_t seed, std::uint64_t number) const {
    const bool art = !model_.layers.empty();
    for (std::uint32_t k = 0; k < 2 * kClearTries; ++k) {
      const bool beside_art = art && k < kClearTries;
      const Vec2 low = beside_art ? model_.art_lower_left_mm : Vec2(Vec2::Zero());
      const Vec2 high = beside_art ? model_.art_upper_right_mm : model_.outline.size_mm;
      const Uniforms u = Draws(seed, kClearStream + number, k).at(kEmissionDraws);
      const Vec2 point = low + (high - low).cwiseProduct(Vec2(u[0], u[1]));
      if (is_blank(model_, point) && geometry_.has_face(face_id(model_.art_side), point))
        return SeenPlace{point, &kPolished};
    }
    return std::nullopt;
  }

 private:
  struct Where {
    std::size_t layer, cell;
  };

  const Model& model_;
  const G& geometry_;
  const ScoreMap& map_;
  std::vector<Where> where_;  // of each scored cell
};

// One ray from the eye to a place on the art's face and on to its end.
template <Geometry G>
Exits look(const Model& model, const G& geometry, const Vec3& toward, const SeenPlace& place,
           Draws draws) {
  Exits exits{model};
  const Side eye_side = toward.z() > 0.0 ? Side::front : Side::back;
  const Frame art = face_frame(model.art_side);
  Vec3 coming = -toward;
  double weight = 1.0;
  if (eye_side != model.art_side) {
    // Through the clear face first.
    const Frame face = face_frame(eye_side);
    const Outcome entered = interact(kPolished, model.sheet.index, face.to_local(coming), draws);
    if (entered.fate == Fate::reflected) {
      exits.by_face(eye_side) = 1.0;
      return exits;
    }
    coming = face.to_world(entered.direction);
    weight =
        transmittance(model.sheet.absorption_per_mm, model.thickness_mm / std::abs(coming.z()));
    draws.next_event();
  }
  const Outcome met = interact(*place.finish, model.sheet.index, art.to_local(coming), draws);
  if (met.fate == Fate::absorbed) return exits;
  if (met.direction.z() > 0.0) {  // out of the acrylic, on the art's side
    exits.by_face(model.art_side) = weight;
    return exits;
  }
  draws.next_event();
  const double z = model.art_side == Side::front ? model.thickness_mm : 0.0;
  const Ray ray{Vec3(place.point_mm.x(), place.point_mm.y(), z), art.to_world(met.direction)};
  travel(model, geometry, ray, draws, exits);
  exits.front *= weight;
  exits.back *= weight;
  exits.edges *= weight;
  return exits;
}

template <Geometry G, class Choose>
Outlook outlook(const Model& model, const G& geometry, const Vec3& toward, std::uint64_t seed,
                std::uint64_t stream, int rays, Choose choose, const IsWanted& is_wanted) {
  Outlook sum;
  double squares = 0.0;
  int count = 0;
  for (int k = 0; k < rays; ++k) {
    if (k % kRaysAtOnce == 0) go_on_if(is_wanted);
    const auto number = static_cast<std::uint64_t>(k);
    const std::optional<SeenPlace> place = choose(number);
    if (!place) continue;
    const Exits exits = look(model, geometry, toward, *place, Draws(~seed, stream + number));
    sum.front += exits.front;
    sum.back += exits.back;
    sum.edges += exits.edges;
    squares += exits.front * exits.front;
    ++count;
  }
  if (count == 0) return {};
  const double n = count;
  const double front = sum.front / n;
  return {front, sum.back / n, sum.edges / n,
          std::sqrt(std::max(0.0, squares / n - front * front) / n)};
}

template <Geometry G>
std::vector<RoomView> views_in(const Model& model, const G& geometry, const ScoreMap& map,
                               std::uint64_t seed, int rays, const IsWanted& is_wanted) {
  const Places places(model, geometry, map);
  std::vector<RoomView> views;
  for (const Viewer& viewer : model.viewers) {
    views.push_back(
        {outlook(
             model, geometry, viewer.toward, seed, kMarkStream, rays,
             [&](std::uint64_t number) { return places.engraved(seed, number); }, is_wanted),
         outlook(
             model, geometry, viewer.toward, seed, kClearStream, rays,
             [&](std::uint64_t number) { return places.clear(seed, number); }, is_wanted)});
  }
  return views;
}

}  // namespace

std::vector<RoomView> room_views(const Model& model, const Shape& shape, const ScoreMap& map,
                                 std::uint64_t seed, int rays, const IsWanted& is_wanted) {
  return std::visit(
      [&](const auto& geometry) { return views_in(model, geometry, map, seed, rays, is_wanted); },
      shape);
}

double luminance_of(const Outlook& outlook, double front_cd_m2, double back_cd_m2,
                    double edges_cd_m2) {
  return outlook.front * front_cd_m2 + outlook.back * back_cd_m2 + outlook.edges * edges_cd_m2;
}

}  // namespace rimeglow
