#include "facets.h"

#include <algorithm>
#include <stdexcept>
#include <string>
#include <type_traits>

#if __has_include(<embree4/rtcore.h>)
#include <embree4/rtcore.h>
#else
#include <embree3/rtcore.h>
#endif

namespace rimeglow {
namespace {

// Rays set out so far behind their point, or they would pass a facet in whose corner they stand.
constexpr double kBehind_mm = Facets::kBlur_mm;

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
  const auto& facets = *static_cast<const std::vector<Facets::Facet>*>(arguments->geometryUserPtr);
  const auto& question = *reinterpret_cast<const Question*>(arguments->context);
  const Facets::Facet& facet = facets[RTCHitN_primID(arguments->hit, arguments->N, 0)];
  const bool outward = facet.normal.dot(question.ray->direction) > 0.0;
  const bool wanted = outward == (question.crossing == Crossing::outward);
  const bool escaped = question.crossing == Crossing::outward && !outward &&
                       facet.distance_mm(*question.ray) > Facets::kBlur_mm;
  if (!wanted && !escaped) arguments->valid[0] = 0;
}

}  // namespace

struct Facets::Search {
  explicit Search(const std::vector<Triangle>& triangles);

  std::vector<Facet> facets;  // as the triangles
  Owned<RTCDevice> device;
  Owned<RTCScene> scene;
};

Facets::Search::Search(const std::vector<Triangle>& triangles) : device(new_device()) {
  scene.reset(rtcNewScene(device.get()));
  rtcSetSceneFlags(scene.get(), RTC_SCENE_FLAG_ROBUST);
  const Owned<RTCGeometry> geometry(rtcNewGeometry(device.get(), RTC_GEOMETRY_TYPE_TRIANGLE));
  constexpr std::size_t kCorner = 3 * sizeof(float);
  constexpr std::size_t kTriangle = 3 * sizeof(std::uint32_t);
  auto* corner = static_cast<float*>(rtcSetNewGeometryBuffer(
      geometry.get(), RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, kCorner, 3 * triangles.size()));
  auto* number = static_cast<std::uint32_t*>(rtcSetNewGeometryBuffer(
      geometry.get(), RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, kTriangle, triangles.size()));
  require(corner != nullptr && number != nullptr, device.get(), "hold the facets");
  std::uint32_t count = 0;
  for (const Triangle& triangle : triangles) {
    for (const Vec3& point : triangle.corners_mm) {
      for (const double part : point) *corner++ = static_cast<float>(part);
      *number++ = count++;
    }
    facets.push_back({triangle.normal, triangle.normal.dot(triangle.corners_mm[0]), triangle.id});
  }
  rtcSetGeometryUserData(geometry.get(), &facets);
  rtcSetGeometryIntersectFilterFunction(geometry.get(), pass_or_stop);
  rtcCommitGeometry(geometry.get());
  rtcAttachGeometry(scene.get(), geometry.get());
  rtcCommitScene(scene.get());
  require(true, device.get(), "build the facets");
}

Facets::Facets(const std::vector<Triangle>& triangles)
    : search_(triangles.empty() ? nullptr : std::make_shared<const Search>(triangles)) {}

Facets::Ahead Facets::ahead(const Ray& ray, Crossing crossing, double reach_mm) const {
  if (!search_) return {};
  const Vec3 from = ray.origin_mm - kBehind_mm * ray.direction;
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
  rtcIntersect1(search_->scene.get(), &met, &arguments);
#else
  rtcInitIntersectContext(&question.context);
  rtcIntersect1(search_->scene.get(), &question.context, &met);
#endif
  if (met.hit.geomID == RTC_INVALID_GEOMETRY_ID) return {};
  const Facet& facet = search_->facets[met.hit.primID];
  return {std::max(0.0, facet.distance_mm(ray)), &facet};
}

}  // namespace rimeglow
