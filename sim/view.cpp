#include "view.h"

#include <algorithm>
#include <cmath>

#include "optics.h"
#include "walk.h"

namespace rimeglow {
namespace {

constexpr int kSamples = 2;  // each way in a pixel
constexpr int kMostSurfaces = 800;
constexpr int kMostEntries = 4;
// Light that reaches the eye by less than this share is let go; an LED is some 300 times as bright
// as the engraving.
constexpr double kLeast = 2e-4;
constexpr double kLeft_mm = 1e-7;
// What a picture needs is noted along every so many rows and columns: no edge, however narrow, lies
// between them.
constexpr int kLookEvery = 5;
constexpr double kPictureMargin = 0.12;
constexpr double kNearest_mm = 1.0;  // of what a picture is to show
constexpr double kMostStretch = 4.0;

Vec3 centre_of(const Model& model) {
  return Vec3(0.5 * model.outline.size_mm.x(), 0.5 * model.outline.size_mm.y(),
              0.5 * model.thickness_mm);
}

// x to the camera's right, y up, z ahead; left-handed.
Frame frame_of(const Camera& camera) {
  const Vec3 ahead = (camera.target_mm - camera.eye_mm).normalized();
  const Vec3 right = ahead.cross(Vec3::UnitY()).normalized();
  return {right, right.cross(ahead), ahead};
}

// Where points stand in the picture, in tangents of the angles from its middle.
Eigen::AlignedBox2d extent_of(const std::vector<Vec3>& points_mm, const Camera& camera) {
  const Frame frame = frame_of(camera);
  Eigen::AlignedBox2d extent{Vec2(Vec2::Zero())};
  for (const Vec3& point : points_mm) {
    const Vec3 there = frame.to_local(point - camera.eye_mm);
    extent.extend(Vec2(there.head<2>() / std::max(kNearest_mm, there.z())));
  }
  return extent;
}

// Notes what the rays of a picture need.
struct Scout {
  SurfaceLight& surfaces;

  void mark(std::size_t layer, const Vec2&, const Vec3& toward, double factor, double) {
    surfaces.want_mark(layer, toward, factor);
  }
  void edge(std::size_t edge, double, const Vec3& toward, double factor, double) {
    surfaces.want_edge(edge, toward, factor);
  }
  void outside(const Ray&, double) {}
};

// Adds up the light of one sample.
struct Gatherer {
  const SurfaceLight& surfaces;
  const Surroundings& surroundings;
  std::span<double> light;  // by channel, then the room

  void mark(std::size_t layer, const Vec2& point_mm, const Vec3& toward, double factor,
            double room_cd_m2) {
    surfaces.add_mark(layer, point_mm, toward, factor, light);
    light.back() += factor * room_cd_m2;
  }
  void edge(std::size_t edge, double along_mm, const Vec3& toward, double factor,
            double room_cd_m2) {
    surfaces.add_edge(edge, along_mm, toward, factor, light);
    light.back() += factor * room_cd_m2;
  }
  void outside(const Ray& ray, double factor) { surroundings.add(ray, factor, light); }
};

// One ray from the eye with all that becomes of it.
template <Geometry G, class Visitor>
class EyeRay {
 public:
  EyeRay(const Model& model, const G& geometry, const Surroundings& surroundings,
         const MarkRoom& mark_room, double pixel_rad, Visitor& visitor)
      : model_(model),
        geometry_(geometry),
        surroundings_(surroundings),
        mark_room_(mark_room),
        pixel_rad_(pixel_rad),
        visitor_(visitor) {}

  void outside(const Ray& ray, double weight, double way_mm, int entries) {
    // What has left a panel without hollows does not meet it again.
    const bool gone = entries > 0 && !geometry_.hollow();
    const std::optional<Hit> hit = gone ? std::nullopt : panel_ahead(ray);
    if (!hit || entries > kMostEntries || surroundings_.ahead(ray, hit->distance_mm)) {
      visitor_.outside(ray, weight);
      return;
    }
    const double way = way_mm + hit->distance_mm;
    const Vec3 arriving = to_local(*hit, ray.direction);  // z < 0
    const Vec3 toward = -arriving;
    if (toward.z() <= 0.0) return;  // along the surface, to the last digit
    const double left = weight * at_surface(*hit, ray.direction, toward, weight, way);
    if (left <= 0.0) return;
    const double index = model_.sheet.index;
    const Boundary here = boundary(index, toward.z());
    visitor_.outside({hit->position_mm, reflect(ray.direction, hit->normal)},
                     left * here.reflectance);
    const Vec3 onward =
        refracted(ray.direction, hit->normal, index, toward.z(), here.cos_refracted);
    stretch_ = stretch_at(*hit, ray.direction);
    inside({hit->position_mm, onward}, left * (1.0 - here.reflectance) / (index * index), way,
           entries + 1);
  }

 private:
  // Nearest point of the panel's surface ahead of a ray outside it.
  std::optional<Hit> panel_ahead(const Ray& ray) const {
    Ray within = ray;  // from where the way lies between the planes of the faces
    double before_mm = 0.0;
    const double z = ray.direction.z();
    if (z != 0.0) {
      const bool front = z < 0.0;
      const SurfaceId face = front ? kFrontFace : kBackFace;
      const double plane = front ? model_.thickness_mm : 0.0;
      const double distance = (plane - ray.origin_mm.z()) / z;
      if (distance > kLeft_mm) {
        before_mm = distance;
        within.origin_mm += distance * ray.direction;
        within.origin_mm.z() = plane;
        if (geometry_.has_face(face, within.origin_mm.head<2>())) {
          return Hit{distance, face, -1, within.origin_mm, Vec3(0.0, 0.0, front ? 1.0 : -1.0)};
        }
      }
    }
    std::optional<Hit> edge = geometry_.meet_from_outside(within);
    if (!edge) return std::nullopt;
    edge->distance_mm += before_mm;
    if (edge->distance_mm <= kLeft_mm) return std::nullopt;
    return edge;
  }

  void inside(const Ray& ray, double weight, double way_mm, int entries) {
    const double index = model_.sheet.index;
    auto flight = geometry_.launch(ray);
    for (int surface = 0; surface < kMostSurfaces; ++surface) {
      const Hit hit = flight.next();
      if (hit.surface == kNoSurface) return;
      weight *= transmittance(model_.sheet.absorption_per_mm, hit.distance_mm);
      way_mm += hit.distance_mm / index;  // a bundle widens less inside
      const Vec3 arriving = to_local(hit, flight.direction());
      if (arriving.z() <= 0.0) return;  // along the surface, to the last digit
      weight *= at_surface(hit, flight.direction(), -arriving, weight, way_mm);
      if (weight * index * index < kLeast) return;
      const Boundary here = boundary(1.0 / index, std::min(1.0, arriving.z()));
      if (here.cos_refracted > 0.0) {
        const Vec3 out = refracted(flight.direction(), -hit.normal, 1.0 / index,
                                   std::min(1.0, arriving.z()), here.cos_refracted);
        const double leaving = weight * (1.0 - here.reflectance) * index * index;
        const Vec2 stretch = stretch_;
        if (leaving >= kLeast) outside({hit.position_mm, out}, leaving, way_mm, entries);
        stretch_ = stretch;
        weight *= here.reflectance;
        if (weight * index * index < kLeast) return;
      }
      flight.mirror(hit);
    }
  }

  // Lets the visitor see what scatters there, toward `toward`; what is left for a smooth surface.
  double at_surface(const Hit& hit, const Vec3& direction, const Vec3& toward, double weight,
                    double way_mm) {
    const bool from_outside = toward.z() > 0.0;
    if (hit.surface >= kFirstEdge) return at_edge(hit, toward, weight);
    if (is_bare_face(model_, hit.surface)) return 1.0;
    const Vec2 half =
        0.5 * way_mm * pixel_rad_ * (from_outside ? stretch_at(hit, direction) : stretch_);
    const Vec2 point = hit.position_mm.head<2>();
    double clear = 1.0;
    for (std::size_t layer = 0; layer < model_.layers.size(); ++layer) {
      const double share =
          model_.layers[layer].engraved().burnt_area_mm2(point - half, point + half) /
          (4.0 * half.x() * half.y());
      if (share <= 0.0) continue;
      visitor_.mark(layer, point, toward, weight * share,
                    from_outside ? mark_room_.outside : mark_room_.inside);
      clear -= share;
    }
    return std::max(0.0, clear);
  }

  double at_edge(const Hit& hit, const Vec3& toward, double weight) {
    const auto edge = static_cast<std::size_t>(hit.surface - kFirstEdge);
    const Finish& finish = model_.edge_finish[edge];
    if (!finish.scatters()) return 1.0;
    const double index = model_.sheet.index;
    const bool from_outside = toward.z() > 0.0;
    const bool bare = finish.kind == Finish::Kind::polished;
    // Beyond the critical angle light never comes to what is behind a polished edge.
    if (bare && !from_outside && totally_reflected(index, -toward.z())) return 1.0;
    double returned = 1.0;  // of the room's light
    if (finish.kind == Finish::Kind::painted) returned = finish.paint_reflectance;
    if (finish.backing) returned = finish.backing->reflectance;
    const double room = returned * model_.room.cd_m2;
    visitor_.edge(edge, geometry_.along_mm(hit), toward, weight,
                  from_outside ? room : room * index * index);
    return 0.0;
  }

  // How much longer than across the ray its bundle is on a face, along x and y.
  static Vec2 stretch_at(const Hit& hit, const Vec3& direction) {
    if (hit.surface >= kFirstEdge) return Vec2(1.0, 1.0);
    const double z = std::max(std::abs(direction.z()), 1e-3);
    return Vec2(std::min(kMostStretch, std::hypot(1.0, direction.x() / z)),
                std::min(kMostStretch, std::hypot(1.0, direction.y() / z)));
  }

  const Model& model_;
  const G& geometry_;
  const Surroundings& surroundings_;
  const MarkRoom& mark_room_;
  double pixel_rad_;  // of a sample
  Visitor& visitor_;
  Vec2 stretch_ = Vec2(1.0, 1.0);
};

MarkRoom mark_room(const Model& model, const RoomView& room, const Viewer& viewer) {
  const Side side = viewer.toward.z() > 0.0 ? Side::front : Side::back;
  const double around = model.room.cd_m2;
  const double behind =
      model.room.backdrop && side == Side::front ? *model.room.backdrop * around : around;
  const double outside = luminance_of(room.mark, around, behind, around);
  const double index = model.sheet.index;
  if (side == model.art_side) return {outside, outside * index * index};
  // What the near face reflects is in the outlook, and added where a ray meets that face.
  const double reflected = fresnel(index, std::abs(viewer.toward.z()));
  const double beyond = std::max(0.0, outside - reflected * around) / (1.0 - reflected);
  return {outside, beyond * index * index};
}

}  // namespace

Camera camera_at(const Model& model, const Standpoint& from, int pixels) {
  Camera camera;
  const Vec3 centre = centre_of(model);
  const double out = from.side == Side::front ? 1.0 : -1.0;
  camera.eye_mm = centre + Vec3(-from.distance_mm * std::sin(from.bearing_rad), from.height_mm,
                                out * from.distance_mm * std::cos(from.bearing_rad));
  std::vector<Vec3> shown = base_corners(model);
  const Vec2& size = model.outline.size_mm;
  for (const Vec3& corner : box_corners(Vec3::Zero(), {size.x(), size.y(), model.thickness_mm}))
    shown.push_back(corner);

  camera.target_mm = centre;
  const Vec2 middle = extent_of(shown, camera).center();
  const Frame frame = frame_of(camera);
  camera.target_mm = camera.eye_mm + frame.to_world({middle.x(), middle.y(), 1.0});
  const Eigen::AlignedBox2d extent = extent_of(shown, camera);
  const Vec2 half = extent.max().cwiseMax(-extent.min());
  const Vec2 with_margin = half + Vec2::Constant(kPictureMargin * half.maxCoeff());
  camera.field_rad = 2.0 * std::atan(with_margin.maxCoeff());
  const Vec2 share = with_margin / with_margin.maxCoeff();
  camera.columns = static_cast<int>(std::lround(pixels * share.x()));
  camera.rows = static_cast<int>(std::lround(pixels * share.y()));
  return camera;
}

Viewer viewer_of(const Camera& camera, const Model& model) {
  return {camera.name, (camera.eye_mm - centre_of(model)).normalized()};
}

View::View(const Run& run, const Camera& camera, std::int64_t walks)
    : run_(run),
      camera_(camera),
      mark_room_(mark_room(*run.model, run.room[camera.viewer], viewer_of(camera, *run.model))),
      shape_(shape_of(*run.model, Faces::all_met)),
      surroundings_(run),
      surfaces_(run) {
  const Frame frame = frame_of(camera);
  const double pixel =
      2.0 * std::tan(0.5 * camera.field_rad) / std::max(camera.columns, camera.rows);
  right_ = pixel * frame.x;
  up_ = pixel * frame.y;
  ahead_ = frame.z;
  Scout scout{surfaces_};
  for (int row = 0; row < camera.rows; ++row) {
    go_on_if(run.settings.is_wanted);
    const int step = row % kLookEvery == 0 ? 1 : kLookEvery;
    for (int column = 0; column < camera.columns; column += step) {
      for (const double within : {0.25, 0.75}) trace(column + within, row + within, scout);
    }
  }
  surfaces_.prepare(walks);
}

// A place in the picture, in pixels from its upper left corner.
template <class Visitor>
void View::trace(double column, double row, Visitor& visitor) const {
  const Vec3 direction =
      ahead_ + (column - 0.5 * camera_.columns) * right_ + (0.5 * camera_.rows - row) * up_;
  std::visit(
      [&](const auto& geometry) {
        EyeRay eye(*run_.model, geometry, surroundings_, mark_room_, up_.norm() / kSamples,
                   visitor);
        eye.outside({camera_.eye_mm, direction.normalized()}, 1.0, 0.0, 0);
      },
      shape_);
}

PictureRows View::rows(int first, int count) const {
  const std::size_t planes = run_.model->channels.size() + 1;
  PictureRows picture{first, count, camera_.columns, planes, {}};
  picture.cd_m2.reserve(static_cast<std::size_t>(count) *
                        static_cast<std::size_t>(camera_.columns) * planes);
  std::vector<double> light(planes);
  Gatherer gatherer{surfaces_, surroundings_, light};
  for (int row = first; row < first + count; ++row) {
    go_on_if(run_.settings.is_wanted);
    for (int column = 0; column < camera_.columns; ++column) {
      std::fill(light.begin(), light.end(), 0.0);
      for (int sample = 0; sample < kSamples * kSamples; ++sample) {
        trace(column + (sample % kSamples + 0.5) / kSamples,
              row + (sample / kSamples + 0.5) / kSamples, gatherer);
      }
      for (const double plane : light) {
        picture.cd_m2.push_back(static_cast<float>(plane / (kSamples * kSamples)));
      }
    }
  }
  return picture;
}

}  // namespace rimeglow
