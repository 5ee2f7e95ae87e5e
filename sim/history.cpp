#include "history.h"

#include <algorithm>
#include <cmath>

#include "walk.h"

namespace rimeglow {
namespace {

// Faces between two points, or a point and a face, are told apart by this share of the thickness:
// far above rounding, far below any way between two faces.
constexpr double kOnFace = 1e-9;

// Numbers of the faces, mirrored sheet behind mirrored sheet, that a straight way in z goes
// through.
struct FacesThrough {
  double first = 0.0;
  double last = -1.0;  // below `first`: none

  int count() const { return last < first ? 0 : static_cast<int>(last - first) + 1; }
};

FacesThrough faces_through(double from_mm, double to_mm, double thickness_mm) {
  const double low = std::min(from_mm, to_mm) / thickness_mm;
  const double high = std::max(from_mm, to_mm) / thickness_mm;
  return {std::ceil(low + kOnFace), std::floor(high - kOnFace)};
}

// How far a ray goes inside to come above or below `to`, faces folded away.
double way_mm(const Vec3& from, const Vec3& to, const Vec3& direction) {
  const Vec2 across = direction.head<2>();
  if (across.squaredNorm() == 0.0) return std::abs(to.z() - from.z());
  return (to - from).head<2>().dot(across) / across.squaredNorm();
}

// Notes down what the walk tells.
class Follower {
 public:
  explicit Follower(const Model& model) : model_(model) {}

  void begin(std::size_t row) { history_.row = row; }

  void approach(const Ray& ray, const std::optional<Hit>& hit, const Draws& draws) {
    history_.departure = ray;
    if (!hit) return;
    note(*hit, ray.direction, 1.0);
    decide(finish_at(model_, *hit, draws), draws);
  }

  void wander(const LedRow& row, const Ray& ray, const std::optional<Ray>& inside, double weight) {
    if (history_.events.empty()) history_.departure = ray;
    if (!inside) return;
    Event event;
    event.hit.surface = kFirstEdge + row.edge;
    event.hit.position_mm = inside->origin_mm;
    event.hit.normal << right_of(row.along), 0.0;
    event.after = inside->direction;
    event.weight = weight;
    event.finish = model_.edge_finish[static_cast<std::size_t>(row.edge)];
    event.fate = Fate::transmitted;
    event.from_base = true;
    history_.events.push_back(event);
  }

  void cross(const Hit& hit, const Vec3& direction, double weight, const Draws& draws) {
    note(hit, direction, weight);
    decide(finish_at(model_, hit, draws), draws);
  }

  // Until `scatter` says otherwise it is total reflection.
  void arrive(const Hit& hit, const Vec3& arriving, double weight) {
    note(hit, to_world(hit, arriving), weight);
  }

  void scatter(const Hit&, const Finish& finish, const Vec3&, double, const Draws& draws) {
    decide(finish, draws);
  }

  void stray(const Vec3& point_mm, const Vec3& direction, const Vec3& onward, double weight) {
    Hit within;
    within.surface = kWithin;
    within.position_mm = point_mm;
    within.normal = Vec3::Zero();
    note(within, direction, weight);
    Event& event = history_.events.back();
    event.after = onward;
    event.order = 1;
  }

  void leave(const Hit&, const Vec3&, double) {}

  void deposit(LedgerEntry entry, double weight) { history_.deposits.push_back({entry, weight}); }

  History history() && { return std::move(history_); }

 private:
  void note(const Hit& hit, const Vec3& before, double weight) {
    Event event;
    event.hit = hit;
    event.before = before;
    event.after = reflect(before, hit.normal);
    event.weight = weight;
    event.faces_between = faces_until(hit.position_mm);
    history_.events.push_back(event);
  }

  int faces_until(const Vec3& point_mm) const {
    if (history_.events.empty()) return 0;
    const Event& last = history_.events.back();
    const double from_mm = last.hit.position_mm.z();
    const double rise_mm = way_mm(last.hit.position_mm, point_mm, last.after) * last.after.z();
    return faces_through(from_mm, from_mm + rise_mm, model_.thickness_mm).count();
  }

  // The same draws give the same outcome as in the walk.
  void decide(const Finish& finish, const Draws& draws) {
    Event& event = history_.events.back();
    const Outcome outcome =
        interact(finish, model_.sheet.index, to_local(event.hit, event.before), draws);
    event.finish = finish;
    event.fate = outcome.fate;
    event.order = outcome.order;
    event.after = Vec3::Zero();
    if (outcome.fate != Fate::absorbed) event.after = to_world(event.hit, outcome.direction);
  }

  const Model& model_;
  History history_;
};

// Adds where the light turns at folded faces on its way from a point, then where it arrives.
void add_way(std::vector<Vec3>& corners, const Vec3& direction, const Vec3& to,
             double thickness_mm) {
  const Vec3 from = corners.back();
  const double end_mm = from.z() + way_mm(from, to, direction) * direction.z();
  const FacesThrough faces = faces_through(from.z(), end_mm, thickness_mm);
  for (int i = 0; i < faces.count(); ++i) {
    const double face = direction.z() > 0.0 ? faces.first + i : faces.last - i;
    const double along_mm = (face * thickness_mm - from.z()) / direction.z();
    Vec3 corner = from + along_mm * direction;
    corner.z() = std::fmod(std::abs(face), 2.0) == 1.0 ? thickness_mm : 0.0;
    corners.push_back(corner);
  }
  corners.push_back(to);
}

}  // namespace

bool is_bounce(const Event& event) {
  const bool face = event.hit.surface == kBackFace || event.hit.surface == kFrontFace;
  return face && !event.finish;
}

bool goes_outside(const Event& event) { return event.after.dot(event.hit.normal) > 0.0; }

double History::booked(LedgerEntry entry) const {
  double sum = 0.0;
  for (const Deposit& deposit : deposits) {
    if (deposit.entry == entry) sum += deposit.weight;
  }
  return sum;
}

History follow(const Model& model, const Shape& shape, std::uint64_t seed, std::uint64_t photon) {
  Follower follower(model);
  std::visit([&](const auto& geometry) { trace(model, geometry, seed, photon, follower); }, shape);
  return std::move(follower).history();
}

std::vector<Vec3> corners_of(const History& history, double thickness_mm, double beyond_mm) {
  std::vector<Vec3> corners = {history.departure.origin_mm};
  if (history.events.empty()) {
    corners.push_back(corners.back() + beyond_mm * history.departure.direction);
    return corners;
  }
  corners.push_back(history.events.front().hit.position_mm);
  for (std::size_t i = 1; i < history.events.size(); ++i) {
    const Event& event = history.events[i];
    if (event.from_base) {
      corners.push_back(event.hit.position_mm);
    } else {
      add_way(corners, history.events[i - 1].after, event.hit.position_mm, thickness_mm);
    }
  }
  const Event& last = history.events.back();
  if (goes_outside(last)) corners.push_back(corners.back() + beyond_mm * last.after);
  return corners;
}

}  // namespace rimeglow
