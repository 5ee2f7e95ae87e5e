#include "camera_picture.h"

#include <algorithm>
#include <cmath>
#include <future>
#include <thread>

#include "round_numbers.h"
#include "words.h"

namespace rimeglow {

namespace {

constexpr int kStripe = 16;                               // rows taken at once
constexpr double kDim_cd_m2 = 5.0;                        // below it a pixel is not counted as lit
constexpr double kAboveWhite = 0.02;                      // of the lit pixels: glints, mostly
constexpr double kMostOverMedian = 4.0;                   // white: glints may be more than that
constexpr Tristimulus kDaylight = {0.9505, 1.0, 1.0891};  // D65, for the room

std::size_t pixels_of(const CameraPicture& picture) {
  return static_cast<std::size_t>(picture.columns) * static_cast<std::size_t>(picture.rows);
}

void put(CameraPicture& picture, const Run& run, const PictureRows& rows) {
  const auto& channels = run.model->channels;
  for (int row = rows.first; row < rows.first + rows.count; ++row) {
    for (int column = 0; column < rows.columns; ++column) {
      const std::size_t pixel = row_by_row(picture.columns, column, row);
      Tristimulus& lamp = picture.lamp[pixel];
      for (std::size_t c = 0; c < channels.size(); ++c) {
        const double cd_m2 = static_cast<double>(rows.at(column, row, c));
        lamp.x += cd_m2 * channels[c].colour.x;
        lamp.y += cd_m2 * channels[c].colour.y;
        lamp.z += cd_m2 * channels[c].colour.z;
      }
      picture.room[pixel] =
          rows.at(column, row, channels.size()) / static_cast<float>(run.model->room.cd_m2);
    }
  }
}

}  // namespace

std::vector<NamedStandpoint> usual_standpoints() {
  return {{"straight", {kUsualDistance_mm, 0.0, 0.0, Side::front}},
          {"seated",
           {kUsualDistance_mm * std::cos(kSeatedAbove_rad),
            kUsualDistance_mm * std::sin(kSeatedAbove_rad), 0.0, Side::front}},
          {"left", {kUsualDistance_mm, 0.0, kFromLeft_rad, Side::front}},
          {"behind", {kUsualDistance_mm, 0.0, 0.0, Side::back}}};
}

CameraPicture take_picture(const Run& run, const Camera& camera, int threads, Care care) {
  // Of few photons the picture stays grainy, however well its tables are known.
  constexpr std::int64_t kFewest = std::int64_t{1} << 16;
  const std::int64_t most = std::int64_t{1} << (care == Care::quick ? 21 : 23);
  const View view(run, camera,
                  std::clamp(2 * static_cast<std::int64_t>(run.photons), kFewest, most));
  CameraPicture picture{camera.columns, camera.rows, {}, {}};
  picture.lamp.resize(pixels_of(picture));
  picture.room.resize(pixels_of(picture));
  const int stripes = (camera.rows + kStripe - 1) / kStripe;
  const int hands =
      threads > 0 ? threads : std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  const auto work = [&](int first) {
    for (int stripe = first; stripe < stripes; stripe += hands) {
      const int row = stripe * kStripe;
      put(picture, run, view.rows(row, std::min(kStripe, camera.rows - row)));
    }
  };
  std::vector<std::future<void>> others;
  for (int hand = 1; hand < hands; ++hand) {
    others.push_back(std::async(std::launch::async, work, hand));
  }
  work(0);
  for (std::future<void>& other : others) other.get();
  return picture;
}

Camera usual_camera(const Model& model, const NamedStandpoint& stand, int pixels) {
  Camera camera = camera_at(model, stand.from, pixels);
  camera.viewer = model.viewer_named(stand.name).value_or(0);
  return camera;
}

CameraPicture seen_from_a_seat(const Run& run, int pixels) {
  const std::vector<NamedStandpoint> usual = usual_standpoints();
  const auto seat = std::find_if(usual.begin(), usual.end(), [](const NamedStandpoint& stand) {
    return stand.name == "seated";
  });
  return take_picture(run, usual_camera(*run.model, *seat, pixels), run.settings.threads,
                      Care::quick);
}

Exposure exposure_of(const CameraPicture& picture) {
  std::vector<double> lit;
  for (const Tristimulus& lamp : picture.lamp) {
    if (lamp.y > kDim_cd_m2) lit.push_back(lamp.y);
  }
  if (lit.empty()) return {kLitRoom_cd_m2};
  const auto place =
      static_cast<std::ptrdiff_t>((1.0 - kAboveWhite) * static_cast<double>(lit.size() - 1));
  std::nth_element(lit.begin(), lit.begin() + place, lit.end());
  const double beside_glints = lit[static_cast<std::size_t>(place)];
  const auto middle = static_cast<std::ptrdiff_t>(lit.size() / 2);
  std::nth_element(lit.begin(), lit.begin() + middle, lit.end());
  const double bright =
      std::min(beside_glints, kMostOverMedian * lit[static_cast<std::size_t>(middle)]);
  return {up_to_two_figures(bright)};
}

Exposure exposure_of(std::span<const CameraPicture> pictures) {
  Exposure brightest{0.0};
  for (const CameraPicture& picture : pictures)
    brightest.white_cd_m2 = std::max(brightest.white_cd_m2, exposure_of(picture).white_cd_m2);
  return brightest;
}

Canvas developed(const CameraPicture& picture, const Exposure& exposure, double room_cd_m2) {
  Canvas canvas(picture.columns, picture.rows, {0, 0, 0});
  for (std::size_t pixel = 0; pixel < pixels_of(picture); ++pixel) {
    const Tristimulus& lamp = picture.lamp[pixel];
    const double room = room_cd_m2 * static_cast<double>(picture.room[pixel]);
    const Tristimulus sum = {lamp.x + room * kDaylight.x, lamp.y + room * kDaylight.y,
                             lamp.z + room * kDaylight.z};
    if (!(sum.y > 0.0)) continue;
    canvas.set(static_cast<int>(pixel % static_cast<std::size_t>(picture.columns)),
               static_cast<int>(pixel / static_cast<std::size_t>(picture.columns)),
               shown(sum, exposure));
  }
  const int letters = std::max(1, picture.columns / 500);
  const std::string caption = "white = " + spoken(exposure.white_cd_m2) + " cd/m2 in a room of " +
                              spoken(room_cd_m2) + " cd/m2";
  canvas.write(4 * letters, picture.rows - text_height(letters) - 4 * letters, letters,
               kCaptionGrey, caption);
  return canvas;
}

}  // namespace rimeglow
