// A camera: the perspective picture of a lit panel from where an eye is, from the arrivals of a run
// and no further photons. Through smooth surfaces rays are followed back from the eye, both ways at
// each, to an engraving, an edge that scatters, an LED, the base, the table, a backdrop or the
// room. Luminances only; how they are shown is the picture's business. Left out: what the panel's
// light does to table and base, and what LEDs throw straight through a rough lit edge.
#pragma once

#include <string>
#include <vector>

#include "surroundings.h"
#include "view_light.h"

namespace rimeglow {

struct Camera {
  std::string name;
  Vec3 eye_mm = Vec3::Zero();
  Vec3 target_mm = Vec3::Zero();
  double field_rad = 0.3;  // full angle across the picture's longer side
  int columns = 1000;
  int rows = 1000;
  std::size_t viewer = 0;  // the model's viewer whose room is seen, see RoomView
};

// `distance_mm` in front of the panel's middle or behind it, `height_mm` above that, and so far
// round to the viewer's left.
struct Standpoint {
  double distance_mm = 500.0;
  double height_mm = 0.0;
  double bearing_rad = 0.0;
  Side side = Side::front;
};
// Panel and base in the middle of a picture that fits them, `pixels` along its longer side.
Camera camera_at(const Model& model, const Standpoint& from, int pixels);

// The eye far away that sees the panel's middle as this camera does.
Viewer viewer_of(const Camera& camera, const Model& model);

// Luminance of some rows of a picture, pixel by pixel, row 0 the uppermost: by channel of the
// lamps, then of the room.
struct PictureRows {
  int first = 0;
  int count = 0;
  int columns = 0;
  std::size_t planes = 0;
  std::vector<float> cd_m2;  // by pixel, then plane

  float at(int column, int row, std::size_t plane) const {
    return cd_m2[row_by_row(columns, column, row - first) * planes + plane];
  }
};

// The room's light that marks send to the eye, cd/m2.
struct MarkRoom {
  double outside = 0.0;
  double inside = 0.0;  // in the acrylic, where the way through the face is still to come
};

class View {
 public:
  // Looks where the rays go and prepares what they will meet, by so many reverse walks in all.
  // `run` must have arrivals and outlive the view.
  View(const Run& run, const Camera& camera, std::int64_t walks = std::int64_t{1} << 23);

  // May be called by several threads at once.
  PictureRows rows(int first, int count) const;

 private:
  // What is done at the end of a ray: its light is added, or what it needs is noted.
  template <class Visitor>
  void trace(double column, double row, Visitor& visitor) const;

  const Run& run_;
  Camera camera_;
  MarkRoom mark_room_;
  Vec3 right_, up_, ahead_;  // right_ and up_ a pixel long where ahead_ is 1
  Shape shape_;              // no face folded away
  Surroundings surroundings_;
  SurfaceLight surfaces_;
};

}  // namespace rimeglow
