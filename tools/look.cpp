#include "look.h"

#include <algorithm>
#include <cmath>
#include <ostream>

#include <nlohmann/json.hpp>

#include "camera_picture.h"
#include "cli.h"
#include "folder_writer.h"
#include "html_inputs.h"
#include "html_page.h"
#include "interruption.h"
#include "own_folder.h"
#include "report.h"
#include "vet.h"
#include "words.h"

namespace rimeglow {
namespace {

using Json = nlohmann::ordered_json;

std::vector<NamedStandpoint> standpoints(const LookOptions& options) {
  const bool own =
      options.distance_mm || options.height_mm || options.bearing_rad || options.behind;
  if (!own) return usual_standpoints();
  Standpoint from;
  from.distance_mm = options.distance_mm.value_or(from.distance_mm);
  from.height_mm = options.height_mm.value_or(0.0);
  from.bearing_rad = options.bearing_rad.value_or(0.0);
  from.side = options.behind ? Side::back : Side::front;
  return {{"camera", from}};
}

// A dim panel's white would drown in a lit room.
Exposure in_lit_room(const Exposure& exposure, const LookOptions& options) {
  if (options.white_cd_m2) return exposure;
  return {std::max(exposure.white_cd_m2, 2.0 * kLitRoom_cd_m2)};
}

struct Shot {
  NamedStandpoint stand;
  Camera camera;
  std::string dark_png, lit_png;
};

// The model with an eye far away for each camera, whose room is seen.
std::vector<Shot> prepare(Model& model, const LookOptions& options) {
  std::vector<Shot> shots;
  model.viewers.clear();
  for (const NamedStandpoint& stand : standpoints(options)) {
    Camera camera = camera_at(model, stand.from, options.pixels);
    camera.name = stand.name;
    camera.viewer = model.viewers.size();
    model.viewers.push_back(viewer_of(camera, model));
    shots.push_back({stand, camera, "", ""});
  }
  return shots;
}

std::string look_json(const LoadedScene& scene, const Run& run, const std::vector<Shot>& shots,
                      const Exposure& exposure, const std::vector<std::string>& warnings) {
  Json views = Json::array();
  for (const Shot& shot : shots) {
    const Standpoint& from = shot.stand.from;
    views.push_back({{"name", shot.stand.name},
                     {"distance_mm", from.distance_mm},
                     {"height_mm", from.height_mm},
                     {"bearing_deg", degrees(from.bearing_rad)},
                     {"side", from.side == Side::front ? "front" : "back"}});
  }
  const Json json = {{"schema", std::string(kLookSchema)},
                     {"scene", scene.scene.title},
                     {"inputs", scene.inputs},
                     {"version", RIMEGLOW_VERSION},
                     {"seed", run.settings.seed},
                     {"photons", run.photons},
                     {"white_cd_m2", exposure.white_cd_m2},
                     {"views", views},
                     {"warnings", warnings}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string place_of(const NamedStandpoint& stand) {
  const Standpoint& from = stand.from;
  std::string text = spoken(0.1 * from.distance_mm) + " cm away";
  if (from.height_mm != 0.0) {
    text += ", " + spoken(0.1 * std::abs(from.height_mm)) + " cm " +
            (from.height_mm > 0.0 ? "above" : "below") + " its middle";
  }
  if (from.bearing_rad != 0.0) {
    text += ", " + fixed(std::abs(degrees(from.bearing_rad)), 0) + " degrees to the " +
            (from.bearing_rad > 0.0 ? "left" : "right");
  }
  return text + (from.side == Side::back ? ", from behind" : "");
}

std::string look_html(const LoadedScene& scene, const Run& run, const std::vector<Shot>& shots,
                      const Exposure& exposure, const std::vector<std::string>& warnings) {
  const std::string title = scene.scene.title;
  Html main = element(
      "p", prose(spoken(exposure.white_cd_m2) +
                 " cd/m2 is drawn as white, half of that and less in proportion; in a lit room "
                 "at least " +
                 spoken(2.0 * kLitRoom_cd_m2) +
                 ", unless white was asked for. Each picture says its own. What the panel's own "
                 "light does to table and base is left out."));
  for (const Shot& shot : shots) {
    const std::string place = place_of(shot.stand);
    const auto in_room = [&](const std::string& png, const std::string& room, double cd_m2) {
      return figure(png, "The panel in its base in a " + room + " room, the eye " + place + ".",
                    capitalised(room) + " room, " + spoken(cd_m2) + " cd/m2 all round.");
    };
    main += section(shot.stand.name, capitalised(seen_by(shot.stand.name)) + ", " + place,
                    element("div", {{"class", "pictures"}},
                            in_room(shot.dark_png, "dark", kDarkRoom_cd_m2) +
                                in_room(shot.lit_png, "lit", kLitRoom_cd_m2)));
  }
  main += warnings_section(warnings);
  const Html head =
      element("header", element("p", {{"class", "kind"}}, text("Camera pictures")) +
                            element("h1", title) + element("p", facts_in_short(scene.scene)));
  const Html foot =
      section("provenance", "To get the same again",
              provenance_list({RIMEGLOW_VERSION, scene.inputs, run.settings.seed, run.photons}));
  return html_page(title + " - camera pictures",
                   head + element("main", main) + element("footer", foot));
}

}  // namespace

int look(const LoadedScene& scene, const LookOptions& options, std::ostream& out,
         std::ostream& err) {
  const std::filesystem::path folder = options.folder_for(scene, "look");
  if (!may_write_to(folder, options.replace, err)) return kWrongUsage;
  auto model = std::make_shared<Model>(*scene.model);
  std::vector<Shot> shots = prepare(*model, options);
  RunSettings settings = run_settings(options);
  settings.arrivals = true;
  Run run = start(model, settings);
  const InterruptGuard guard;
  const bool done = trace_as_asked({&run, 1}, options, guard, err);
  std::vector<std::string> warnings = scene_warnings(scene);
  if (!done) warnings.insert(warnings.begin(), interrupted_after(run.photons));
  std::vector<CameraPicture> pictures;
  for (const Shot& shot : shots)
    pictures.push_back(take_picture(run, shot.camera, options.threads, Care::careful));
  Exposure exposure = exposure_of(pictures);
  if (options.white_cd_m2) exposure.white_cd_m2 = *options.white_cd_m2;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    shots[i].dark_png = png_of(developed(pictures[i], exposure, kDarkRoom_cd_m2));
    shots[i].lit_png =
        png_of(developed(pictures[i], in_lit_room(exposure, options), kLitRoom_cd_m2));
  }
  std::vector<NamedFile> files = {{"look.json", look_json(scene, run, shots, exposure, warnings)},
                                  {"look.html", look_html(scene, run, shots, exposure, warnings)}};
  for (const Shot& shot : shots) {
    files.push_back({shot.stand.name + ".png", shot.dark_png});
    files.push_back({shot.stand.name + "-lit-room.png", shot.lit_png});
  }
  write_folder(folder, files);
  if (options.json) {
    out << files.front().bytes;
  } else {
    out << printable(scene.scene.title) << "\n  " << spoken(exposure.white_cd_m2)
        << " cd/m2 is drawn as white.\n";
    tell_warnings(warnings, out);
    out << "Page: " << (folder / "look.html").string() << "\n";
  }
  return done ? kDone : kInterrupted;
}

}  // namespace rimeglow
