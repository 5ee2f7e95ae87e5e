// What a walk through a Mesh costs beside Embree's own rays in the same box and beside Prism.
#include <benchmark/benchmark.h>

#include <memory>
#include <vector>

#include "../statistics.h"
#include "mesh.h"
#include "panels.h"
#include "race.h"
#include "run.h"
#include "sampling.h"
#include "verdicts.h"
#include "walk.h"

#if __has_include(<embree4/rtcore.h>)
#include <embree4/rtcore.h>
#else
#include <embree3/rtcore.h>
#endif

namespace rimeglow::bench {
namespace {

constexpr int kRays = 400'000;
constexpr int kPhotons = 40'000;
constexpr int kRounds = 7;
constexpr double kSize_mm = 127.0;
constexpr double kThickness_mm = 3.0;

// The box as twelve triangles and rays in it from anywhere to anywhere, asked one by one.
class Box {
 public:
  Box() : device_(rtcNewDevice("threads=1")), scene_(rtcNewScene(device_)) {
    RTCGeometry box = rtcNewGeometry(device_, RTC_GEOMETRY_TYPE_TRIANGLE);
    auto* corners = static_cast<float*>(rtcSetNewGeometryBuffer(
        box, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float), 8));
    for (unsigned k = 0; k < 8; ++k) {
      corners[3 * k] = k & 1U ? static_cast<float>(kSize_mm) : 0.0F;
      corners[3 * k + 1] = k & 2U ? static_cast<float>(kSize_mm) : 0.0F;
      corners[3 * k + 2] = k & 4U ? static_cast<float>(kThickness_mm) : 0.0F;
    }
    constexpr unsigned kSides[6][4] = {{0, 1, 3, 2}, {4, 5, 7, 6}, {0, 1, 5, 4},
                                       {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 3, 7, 5}};
    auto* triangles = static_cast<unsigned*>(rtcSetNewGeometryBuffer(
        box, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(unsigned), 12));
    for (const auto& side : kSides) {
      for (const unsigned corner : {0U, 1U, 2U, 0U, 2U, 3U}) *triangles++ = side[corner];
    }
    rtcCommitGeometry(box);
    rtcAttachGeometry(scene_, box);
    rtcReleaseGeometry(box);
    rtcCommitScene(scene_);
    for (std::uint64_t k = 0; k < kRays; ++k) {
      const Uniforms u = statistics::uniforms(18, k);
      const Uniforms v = statistics::uniforms(19, k);
      rays_.push_back({Vec3(u[0] * kSize_mm, u[1] * kSize_mm, u[2] * kThickness_mm),
                       direction_at(2.0 * v[0] - 1.0, 2.0 * kPi * v[1])});
    }
  }
  ~Box() {
    rtcReleaseScene(scene_);
    rtcReleaseDevice(device_);
  }
  Box(const Box&) = delete;
  Box& operator=(const Box&) = delete;

  double ask_all() const {
    double sum_mm = 0.0;
    for (const Ray& ray : rays_) {
      RTCRayHit met;
      met.ray.org_x = static_cast<float>(ray.origin_mm.x());
      met.ray.org_y = static_cast<float>(ray.origin_mm.y());
      met.ray.org_z = static_cast<float>(ray.origin_mm.z());
      met.ray.dir_x = static_cast<float>(ray.direction.x());
      met.ray.dir_y = static_cast<float>(ray.direction.y());
      met.ray.dir_z = static_cast<float>(ray.direction.z());
      met.ray.tnear = 0.0F;
      met.ray.tfar = 1e30F;
      met.ray.time = 0.0F;
      met.ray.mask = ~0U;
      met.ray.flags = 0;
      met.hit.geomID = RTC_INVALID_GEOMETRY_ID;
      met.hit.instID[0] = RTC_INVALID_GEOMETRY_ID;
#if RTC_VERSION_MAJOR >= 4
      rtcIntersect1(scene_, &met);
#else
      RTCIntersectContext context;
      rtcInitIntersectContext(&context);
      rtcIntersect1(scene_, &context, &met);
#endif
      sum_mm += static_cast<double>(met.ray.tfar);
    }
    return sum_mm;
  }

 private:
  RTCDevice device_;
  RTCScene scene_;
  std::vector<Ray> rays_;
};

struct Arrivals {
  double count = 0.0;
  void deposit(LedgerEntry, double) {}
  void arrive(const Hit&, const Vec3&, double) { count += 1.0; }
  void scatter(const Hit&, const Finish&, const Vec3&, double, const Draws&) {}
  void leave(const Hit&, const Vec3&, double) {}
};

template <Geometry Shape>
void walk(const Model& model, const Shape& shape, Arrivals& arrivals) {
  for (std::uint64_t photon = 0; photon < kPhotons; ++photon) {
    trace(model, shape, 1, photon, arrivals);
  }
}

template <Geometry Shape>
Contender walking(const std::string& name, const Model& model) {
  auto shape = std::make_shared<Shape>(model.outline, model.thickness_mm, model.sheet.index,
                                       BareFaces{false, true});
  Arrivals arrivals;
  walk(model, *shape, arrivals);
  return {name, arrivals.count, [model, shape] {
            Arrivals again;
            walk(model, *shape, again);
            benchmark::DoNotOptimize(again.count);
          }};
}

Model engraved(double corner_radius_mm) {
  Model model = *panel(drawn(lines(), 400.0), standard_mark());
  model.outline = rounded_rectangle(kSize_mm, kSize_mm, corner_radius_mm);
  return model;
}

void mesh(benchmark::State& state) {
  const auto box = std::make_shared<Box>();
  Race race({{"raw rays", static_cast<double>(kRays),
              [box] { benchmark::DoNotOptimize(box->ask_all()); }},
             walking<Mesh>("mesh", engraved(0.0)),
             walking<Prism>("prism", engraved(0.0)),
             walking<Mesh>("mesh, rounded", engraved(4.0))});
  for ([[maybe_unused]] auto _ : state) race.round();
  note({"Embree's own rays a second in a box", race.rate(0, Clock::cpu) * 1e-6, Wanted::nothing,
        0.0, "M/s"});
  note({"arrivals of a Mesh walk a second against them", race.ratio(1, 0, Clock::cpu),
        Wanted::at_least, 1.0 / 6.0, "x"});
  note({"  ... with corners rounded by 4 mm", race.ratio(3, 0, Clock::cpu), Wanted::at_least,
        1.0 / 6.0, "x"});
  note({"a Prism walk against the same Mesh walk", race.ratio(2, 1, Clock::cpu), Wanted::nothing,
        0.0, "x"});
}

BENCHMARK(mesh)->Iterations(kRounds)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace rimeglow::bench
