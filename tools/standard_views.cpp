#include "standard_views.h"

#include <algorithm>

#include "camera_picture.h"

namespace rimeglow {
namespace {

constexpr std::uint64_t kFewestPhotons = std::uint64_t{1} << 17;
constexpr std::uint64_t kMostPhotons = std::uint64_t{1} << 19;
constexpr int kPixels = 480;

}  // namespace

StandardViews standard_views(const Run& run) {
  StandardViews shown{{}, {0.0}};
  if (run.photons < kFewestPhotons || run.model->viewers.empty()) return shown;
  const std::uint64_t photons = std::min(run.photons, kMostPhotons);
  RunSettings settings = coarse(run.settings, photons);
  settings.arrivals = true;
  Run brief = start(run.model, settings);
  brief.room = run.room;
  advance(brief, photons);

  std::vector<CameraPicture> pictures;
  const std::vector<NamedStandpoint> stands = usual_standpoints();
  for (const NamedStandpoint& stand : stands) {
    pictures.push_back(take_picture(brief, usual_camera(*run.model, stand, kPixels),
                                    run.settings.threads, Care::quick));
  }
  shown.exposure = exposure_of(pictures);
  for (std::size_t k = 0; k < stands.size(); ++k) {
    go_on_if(run.settings.is_wanted);
    shown.views.push_back(
        {stands[k].name, png_of(developed(pictures[k], shown.exposure, kDarkRoom_cd_m2))});
  }
  return shown;
}

}  // namespace rimeglow
