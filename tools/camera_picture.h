// What a camera sees, as a picture: taken row by row by several threads, shown at a stated exposure
// in a room of any luminance. Writes nothing and knows no command line.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "canvas.h"
#include "pictures.h"
#include "view.h"

namespace rimeglow {

// Rooms to look in (common practice, no source): a bedroom at night and an office.
inline constexpr double kDarkRoom_cd_m2 = 1.0;
inline constexpr double kLitRoom_cd_m2 = 100.0;

// Where people look from: straight on, seated (17.5 degrees above), from the left (30 degrees) and
// from behind, half a metre away.
inline constexpr double kUsualDistance_mm = 500.0;
struct NamedStandpoint {
  std::string name;
  Standpoint from;
};
std::vector<NamedStandpoint> usual_standpoints();

// Luminance by pixel, row by row from the top.
struct CameraPicture {
  int columns = 0;
  int rows = 0;
  std::vector<Tristimulus> lamp;  // Y in cd/m2
  std::vector<float> room;        // per cd/m2 of the room
};

// `threads` 0: as many as the machine offers; never changes a pixel.
enum class Care { quick, careful };  // with which what scatters is worked out
CameraPicture take_picture(const Run& run, const Camera& camera, int threads, Care care);

// A camera there, in the room of the model's viewer of that name or else of its first.
Camera usual_camera(const Model& model, const NamedStandpoint& stand, int pixels);

// A small picture of a panel as somebody seated sees it.
CameraPicture seen_from_a_seat(const Run& run, int pixels);

// White for a picture whose engraving is to be in range, whatever glints beside it; for several,
// the brightest one's.
Exposure exposure_of(const CameraPicture& picture);
Exposure exposure_of(std::span<const CameraPicture> pictures);

Canvas developed(const CameraPicture& picture, const Exposure& exposure, double room_cd_m2);

}  // namespace rimeglow
