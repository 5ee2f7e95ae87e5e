#include "workbench_camera.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "camera_picture.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr std::uint64_t kSeenPhotons = std::uint64_t{1} << 20;
constexpr int kPhotographPixels = 800;
constexpr int kRoomRays = 1 << 12;

// Half a metre from the panel's middle.
Standpoint standpoint_of(const Viewer& viewer) {
  const Vec3& toward = viewer.toward;
  return {kUsualDistance_mm * std::hypot(toward.x(), toward.z()), kUsualDistance_mm * toward.y(),
          std::atan2(-toward.x(), std::abs(toward.z())),
          toward.z() > 0.0 ? Side::front : Side::back};
}

}  // namespace

Run run_for_cameras(std::shared_ptr<const Model> model, const IsWanted& is_wanted) {
  RunSettings settings = coarse({}, kSeenPhotons);
  settings.room_rays = kRoomRays;
  settings.arrivals = true;
  settings.is_wanted = is_wanted;
  Run run = start(std::move(model), settings);
  advance(run, kSeenPhotons);
  return run;
}

Photograph photographed(const std::vector<Run>& runs, const std::string& viewer) {
  std::vector<CameraPicture> pictures;
  for (const Run& run : runs) {
    const std::size_t index = run.model->viewer_named(viewer).value_or(0);
    Camera camera =
        camera_at(*run.model, standpoint_of(run.model->viewers[index]), kPhotographPixels);
    camera.viewer = index;
    pictures.push_back(take_picture(run, camera, run.settings.threads, Care::quick));
  }
  const Exposure exposure = exposure_of(pictures);
  const double room_cd_m2 = std::max(kDarkRoom_cd_m2, runs.front().model->room.cd_m2);
  Photograph made;
  for (const CameraPicture& picture : pictures) {
    go_on_if(runs.front().settings.is_wanted);
    const Canvas canvas = developed(picture, exposure, room_cd_m2);
    go_on_if(runs.front().settings.is_wanted);
    made.pngs.push_back(png_of(canvas));
  }
  made.caption = "from half a metre; white is " + spoken(exposure.white_cd_m2) +
                 " cd/m2, in a room of " + spoken(room_cd_m2) + " cd/m2";
  return made;
}

}  // namespace rimeglow
