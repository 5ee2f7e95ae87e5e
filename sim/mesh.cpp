#include "mesh.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <string>
#include <type_traits>

#include "optics.h"
#include "sides.h"

#if __has_include(<embree4/rtcore.h>)
#include <embree4/rtcore.h>
#else
#include <embree3/rtcore.h>
#endif

namespace rimeglow {
namespace {

constexpr double kNever = Walls::kNever;
// An arc's facets reach this far from it: far below what polishing leaves.
constexpr double kSagitta_mm = 1e-4;
// Embree's single precision misplaces rays and corners by less than this in panels up to a metre.
// Rays set out so far behind their point, or they would pass a wall in whose corner they stand.
constexpr double kBlur_mm = 1e-4;
// Sides go on so far beyond the faces, so that none of them ends where a ray can come.
constexpr double kBeyond_mm = 10.0 * kBlur_mm;

struct Release {
  void operator()(RTCDevice device) const { rtcReleaseDevice(device); }
  void operator()(RTCGeometry geometry) const { rtcReleaseGeometry(geometry); }
  void operator()(RTCScene scene) const { rtcReleaseScene(scene); }
};
template <class Handle>
using Owned = std::unique_ptr<std::remove_pointer_t<Handle>, Release>;

void require(bool succeeded, RTCDevice device, const char* what) {
  const RTCError error = rtcGetDeviceError(device);
  if (succeeded && error == RTC_ERROR_NONE) return;
  throw std::runtime_error("Embree could not " + std::string(what) + " (error " +
                           std::to_string(static_cast<int>(error)) + ")");
}

// Threads are ours: each traces its own rays, and building takes no time.
RTCDevice new_device() {
  RTCDevice device = rtcNewDevice("threads=1,set_affinity=0");
  require(device != nullptr, device, "start");
  return device;
}

// One triangle's plane.
struct Facet {
  Vec3 normal = Vec3::Zero();
  double offset_mm = 0.0;  // of its plane along the normal
  SurfaceId surface = kNoSurface;
  int piece = -1;

  double distance_mm(const Ray& ray) const {
    return (offset_mm - normal.dot(ray.origin_mm)) / normal.dot(ray.direction);
  }
};

// Which sides a ray is stopped by: those it would leave the acrylic by, or those it would enter by.
enum class Crossing { outward, inward };

#if RTC_VERSION_MAJOR >= 4
using EmbreeContext = RTCRayQueryContext;
#else
using EmbreeContext = RTCIntersectContext;
#endif

// What the filter is told: Embree hands the context on by its address.
struct Question {
  EmbreeContext context;
  const Ray* ray;
  Crossing crossing;
};
static_assert(std::is_standard_layout_v<Question>);

// Facets that face the other way do not stop a ray: so it never meets the flat facet that it just
// left, whatever rounding says, and needs no distance to keep from it. Light inside that comes upon
// a facet's outer side has got out between two triangles; it shall be seen.
void pass_or_stop(const RTCFilterFunctionNArguments* arguments) {
  const auto& facets = *static_cast<const std::vector<Facet>*>(arguments->geometryUserPtr);
  const auto& question = *reinterpret_cast<const Question*>(arguments->context);
  const Facet& facet = facets[RTCHitN_primID(arguments->hit, arguments->N, 0)];
  const bool outward = facet.normal.dot(question.ray->direction) > 0.0;
  const bool wanted = outward == (question.crossing == Crossing::outward);
  const bool escaped = question.crossing == Crossing::outward && !outward &&
                       facet.distance_mm(*question.ray) > kBlur_mm;
  if (!wanted && !escaped) arguments->valid[0] = 0;
}

}  // namespace

// The sides of a panel. Its faces are no triangles: from inside they are planes, and which of face
// and side comes first is decided in doubles, so nothing can pass where they meet.
class Mesh::Body {
 public:
  Body(const Outline& outline, double thickness_mm, double index, BareFaces bare);

  struct Ahead {
    double distance_mm = kNever;
    const Facet* facet = nullptr;
  };
  // The nearest side that stops the ray, looked for up to `reach_mm`.
  Ahead ahead(const Ray& ray, Crossing crossing, double reach_mm) const;
  Hit hit(const Ahead& ahead, const Ray& ray) const;

  bool within_box(const Vec2& point_mm) const {
    const Vec2 blur = Vec2::Constant(kBlur_mm);
    return (point_mm.array() >= -blur.array()).all() &&
           (point_mm.array() <= (size_mm_ + blur).array()).all();
  }
  // Of the faces: whether guided light is thrown back there and nothing else can happen.
  bool folds(SurfaceId face, const Vec3& direction) const {
    return bare_[static_cast<std::size_t>(face)] && std::abs(direction.z()) < cos_critical_;
  }

  const Walls& walls() const { return walls_; }
  const Walls& face(SurfaceId face) const { return faces_[static_cast<std::size_t>(face)]; }
  bool hollow() const { return hollow_; }
  double thickness_mm() const { return thickness_mm_; }
  std::size_t facets() const { return facets_.size(); }

 private:
  void build(const std::vector<SideFacet>& sides);

  Walls walls_;
  std::vector<Walls> faces_;  // what chamfers leave of them
  bool hollow_;
  Vec2 size_mm_;
  double thickness_mm_;
  double cos_critical_;
  std::array<bool, 2> bare_;
  std::vector<Facet> facets_;  // one a triangle
  Owned<RTCDevice> device_;
  Owned<RTCScene> scene_;
};

Mesh::Body::Body(const Outline& outline, double thickness_mm, double index, BareFaces bare)
    : walls_(outline),
      hollow_(!is_convex(outline)),
      size_mm_(outline.size_mm),
      thickness_mm_(thickness_mm),
      cos_critical_(critical_cosine(index)),
      bare_{bare.back, bare.front} {
  for (const Side side : {Side::back, Side::front}) {
    faces_.emplace_back(face_outline(outline, side, kSagitta_mm));
  }
  build(side_facets(outline, thickness_mm, kSagitta_mm, kBeyond_mm));
}

void Mesh::Body::build(const std::vector<SideFacet>& sides) {
  device_.reset(new_device());
  scene_.reset(rtcNewScene(device_.get()));
  rtcSetSceneFlags(scene_.get(), RTC_SCENE_FLAG_ROBUST);
  const Owned<RTCGeometry> geometry(rtcNewGeometry(device_.get(), RTC_GEOMETRY_TYPE_TRIANGLE));
  constexpr std::size_t kCorner = 3 * sizeof(float);
  constexpr std::size_t kTriangle = 3 * sizeof(std::uint32_t);
  auto* corner = static_cast<float*>(rtcSetNewGeometryBuffer(
      geometry.get(), RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, kCorner, 3 * sides.size()));
  auto* triangle = static_cast<std::uint32_t*>(rtcSetNewGeometryBuffer(
      geometry.get(), RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, kTriangle, sides.size()));
  require(corner != nullptr && triangle != nullptr, device_.get(), "hold the panel");
  // Neighbours' corners are the same to the last bit, so their floats are as well.
  std::uint32_t count = 0;
  for (const SideFacet& side : sides) {
    for (const Vec3& point : side.corners_mm) {
      for (const double part : point) *corner++ = static_cast<float>(part);
      *triangle++ = count++;
    }
    facets_.push_back(
        {side.normal, side.normal.dot(side.corners_mm[0]), kFirstEdge + side.edge, side.piece});
  }
  rtcSetGeometryUserData(geometry.get(), &facets_);
  rtcSetGeometryIntersectFilterFunction(geometry.get(), pass_or_stop);
  rtcCommitGeometry(geometry.get());
  rtcAttachGeometry(scene_.get(), geometry.get());
  rtcCommitScene(scene_.get());
  require(true, device_.get(), "build the panel");
}

Mesh::Body::Ahead Mesh::Body::ahead(const Ray& ray, Crossing crossing, double reach_mm) const {
  const Vec3 from = ray.origin_mm - kBlur_mm * ray.direction;
  RTCRayHit met;
  met.ray.org_x = static_cast<float>(from.x());
  met.ray.org_y = static_cast<float>(from.y());
  met.ray.org_z = static_cast<float>(from.z());
  met.ray.dir_x = static_cast<float>(ray.direction.x());
  met.ray.dir_y = static_cast<float>(ray.direction.y());
  met.ray.dir_z = static_cast<float>(ray.direction.z());
  met.ray.tnear = 0.0F;
  met.ray.tfar = static_cast<float>(reach_mm + 3.0 * kBlur_mm);
  met.ray.time = 0.0F;
  met.ray.mask = ~0U;
  met.ray.id = 0;
  met.ray.flags = 0;
  met.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  met.hit.instID[0] = RTC_INVALID_GEOMETRY_ID;
  Question question{{}, &ray, crossing};
#if RTC_VERSION_MAJOR >= 4
  rtcInitRayQueryContext(&question.context);
  RTCIntersectArguments arguments;
  rtcInitIntersectArguments(&arguments);
  arguments.context = &question.context;
  rtcIntersect1(scene_.get(), &met, &arguments);
#else
  rtcInitIntersectContext(&question.context);
  rtcIntersect1(scene_.get(), &question.context, &met);
#endif
  if (met.hit.geomID == RTC_INVALID_GEOMETRY_ID) return {};
  const Facet& facet = facets_[met.hit.primID];
  return {std::max(0.0, facet.distance_mm(ray)), &facet};
}

Hit Mesh::Body::hit(const Ahead& ahead, const Ray& ray) const {
  Vec3 position = ray.origin_mm + ahead.distance_mm * ray.direction;
  position.z() = std::clamp(position.z(), 0.0, thickness_mm_);
  return {ahead.distance_mm, ahead.facet->surface, ahead.facet->piece, position,
          ahead.facet->normal};
}

Mesh::Mesh(const Outline& outline, double thickness_mm, double index, BareFaces bare)
    : body_(std::make_shared<const Body>(outline, thickness_mm, index, bare)) {}

Mesh::Flight Mesh::launch(const Ray& ray) const { return Flight(*body_, ray); }

double Mesh::along_mm(const Hit& hit) const {
  return body_->walls().along_mm(hit.piece, hit.position_mm.head<2>());
}

bool Mesh::has_face(SurfaceId face, const Vec2& point_mm) const {
  return body_->face(face).contains(point_mm);
}

bool Mesh::hollow() const { return body_->hollow(); }

std::size_t Mesh::facets() const { return body_->facets(); }

std::optional<Hit> Mesh::meet_from_outside(const Ray& ray) const {
  // From before or behind the panel, on to where its faces' planes begin.
  Ray onward = ray;
  const double z = ray.origin_mm.z();
  const double rise = ray.direction.z();
  double before_mm = 0.0;
  if (z < 0.0 || z > body_->thickness_mm()) {
    const double plane = z < 0.0 ? 0.0 : body_->thickness_mm();
    before_mm = (plane - z) / rise;
    if (!(before_mm >= 0.0 && before_mm < kNever)) return std::nullopt;
    onward.origin_mm += before_mm * ray.direction;
    onward.origin_mm.z() = plane;
    if (has_face(z < 0.0 ? kBackFace : kFrontFace, onward.origin_mm.head<2>())) return std::nullopt;
  }
  const double ahead_mm = rise == 0.0  ? kNever
                          : rise > 0.0 ? (body_->thickness_mm() - onward.origin_mm.z()) / rise
                                       : onward.origin_mm.z() / -rise;
  const Body::Ahead side = body_->ahead(onward, Crossing::inward, ahead_mm);
  if (side.facet == nullptr || side.distance_mm > ahead_mm) return std::nullopt;
  Hit hit = body_->hit(side, onward);
  hit.distance_mm += before_mm;
  return hit;
}

Mesh::Flight::Flight(const Body& body, const Ray& ray) : body_(&body), ray_(ray) {}

Hit Mesh::Flight::next(double limit_mm) {
  double way_mm = 0.0;
  for (;;) {
    const bool up = ray_.direction.z() > 0.0;
    const SurfaceId face = up ? kFrontFace : kBackFace;
    const double gap_mm = up ? body_->thickness_mm() - ray_.origin_mm.z() : ray_.origin_mm.z();
    const double rise = std::abs(ray_.direction.z());
    const double to_face = rise == 0.0 ? kNever : gap_mm / rise;
    const double to_limit = limit_mm - way_mm;
    const Body::Ahead side = body_->ahead(ray_, Crossing::outward, std::min(to_face, to_limit));
    const bool at_face = to_face < side.distance_mm;
    if (to_limit < std::min(to_face, side.distance_mm)) {
      ray_.origin_mm += to_limit * ray_.direction;
      return {limit_mm, kWithin, -1, ray_.origin_mm, Vec3::Zero()};
    }
    if (!at_face) {
      const bool escaped = side.facet == nullptr || side.facet->normal.dot(ray_.direction) <= 0.0;
      if (escaped) return {};
      Hit hit = body_->hit(side, ray_);
      ray_.origin_mm = hit.position_mm;
      hit.distance_mm += way_mm;
      return hit;
    }
    way_mm += to_face;
    ray_.origin_mm += to_face * ray_.direction;
    ray_.origin_mm.z() = up ? body_->thickness_mm() : 0.0;
    if (!body_->within_box(ray_.origin_mm.head<2>())) return {};
    if (!body_->folds(face, ray_.direction)) {
      return {way_mm, face, -1, ray_.origin_mm, Vec3(0.0, 0.0, up ? 1.0 : -1.0)};
    }
    ray_.direction.z() = -ray_.direction.z();
  }
}

void Mesh::Flight::mirror(const Hit& hit) {
  if (hit.surface < kFirstEdge) {
    ray_.direction.z() = -ray_.direction.z();
  } else {
    ray_.direction = reflect(ray_.direction, hit.normal);
  }
}

}  // namespace rimeglow
