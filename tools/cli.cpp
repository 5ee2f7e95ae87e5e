#include "cli.h"

#include <algorithm>
#include <ostream>
#include <system_error>

#include <CLI/CLI.hpp>

#include "arguments.h"
#include "compare_verb.h"
#include "even_plan.h"
#include "follow.h"
#include "look.h"
#include "make_even.h"
#include "predict.h"
#include "progress.h"
#include "run.h"
#include "scene_files.h"
#include "schema.h"
#include "serve.h"
#include "vet.h"
#include "words.h"

namespace rimeglow {
namespace {

constexpr const char* kExamples = R"(Examples:
  rimeglow vet scenes/star-map.toml            mistakes and derived facts, no light traced
  rimeglow predict scenes/star-map.toml        the glow, into star-map-glow/
  rimeglow predict scenes/star-map.toml --set 'edges.top="white card"' --out with-card
  rimeglow compare scenes/star-map.toml --change edges.top --to "sanded P320" "white card"
  rimeglow look scenes/star-map.toml           pictures from where people stand and sit
  rimeglow even scenes/star-map.toml           evenly, and the laser's files, into star-map-even/
  rimeglow follow scenes/star-map.toml --ending front.mark    one photon's way to the eye
  rimeglow serve                               a page to design on, on this machine only
  rimeglow keys                                what a scene may say

Rimeglow predicts how an engraved acrylic panel glows when LEDs light it through an edge.)";

constexpr const char* kPredictExamples = R"(Examples:
  rimeglow predict star-map.toml                        to 2 %, into ./star-map-glow/
  rimeglow predict star-map.toml --error 0.5%           finer
  rimeglow predict star-map.toml --set panel.thickness=5mm --out thicker
  rimeglow predict star-map.toml --json > numbers.json

Writes report.html, glow.png, luminance.png, glow.pfm and numbers.json.)";

constexpr const char* kEvenExamples = R"(Examples:
  rimeglow even star-map.toml                           into ./star-map-even/
  rimeglow even star-map.toml --set even.evenness=0.85
  rimeglow even star-map.toml plaque.toml --out set     a set, brought to one brightness
  rimeglow even star-map.toml --jig                     panel.svg with a sheet to lay blanks into

Chooses how densely each place is engraved so that the art glows evenly and as bright as that allows.
Writes engraving.png (for the laser, mirrored as needed), panel.svg, work-note.html, report.html,
pictures, numbers.json, and plan.toml, which predict reads.)";

constexpr const char* kVetExamples = R"(Examples:
  rimeglow vet star-map.toml
  rimeglow vet star-map.toml --set art.width=90mm

Reports the mistakes in a scene together, else what follows from it without tracing light.)";

constexpr const char* kCompareExamples = R"(Examples:
  rimeglow compare star-map.toml                        its [[variant]] tables, into ./star-map-comparison/
  rimeglow compare star-map.toml --change edges.top --to "sanded P320" "white card"
  rimeglow compare star-map.toml --change panel.thickness --to 5mm 8mm --photons 8000000

Sets variants against the scene as it stands, by the same photons: pictures at one exposure, maps of
what differs, and each difference with its error and how far it leans on what nobody has measured.
Writes comparison.html, comparison.json and the pictures.)";

constexpr const char* kLookExamples = R"(Examples:
  rimeglow look star-map.toml                          four views, into ./star-map-look/
  rimeglow look star-map.toml --distance 40cm --height 25cm --bearing "20 deg"
  rimeglow look star-map.toml --behind --white "3000 cd/m2" --pixels 1600

Pictures of the panel in its base as seen straight on, seated, from the left and from behind, or from
one place of your own, each in a dark room (1 cd/m2) and a lit one (100 cd/m2) at one exposure.
Writes look.html, look.json and the pictures.)";

constexpr const char* kFollowExamples = R"(Examples:
  rimeglow follow star-map.toml --photon 17             into ./star-map-photon-17/
  rimeglow follow star-map.toml --ending front.mark     the first that glows toward the front
  rimeglow follow star-map.toml --photon 500 --ending edges.top --json

Tells what one photon met, event by event, as predict of the same seed traced it: as a table, as a
picture (from the front and from the side) and as JSON. Writes photon.txt, photon.png, photon.json.)";

constexpr const char* kKeysExamples = R"(Examples:
  rimeglow keys           every key a scene may hold: what it is, takes, and is when left out
  rimeglow keys lamp      those of one table)";

constexpr const char* kServeExamples = R"(Examples:
  rimeglow serve                        opens on the design changed last; prints its address
  rimeglow serve --designs shop/designs --port 8000

A page for designing: the same engine, scenes and numbers as the command line. It answers to this
machine only, saves every change, and ends with Ctrl-C.)";

constexpr const char* kExitCodes = R"(
Exit codes: 0 done; 2 wrong usage; 3 something wrong in the scene or in what it names;
  4 --error not reached; 5 the system refused; 6 internal; 130 interrupted.)";

void describe_settings(CLI::App& verb, const std::string& changed, Arguments& to) {
  verb.add_option("--set", to.settings,
                  "key=value: change " + changed + " for this call; may be repeated")
      ->allow_extra_args(false)
      ->take_all();
}

// What all verbs share that write a folder.
void describe_writing(CLI::App& verb, const std::string& folder, const std::string& json,
                      Arguments& to) {
  verb.footer(kExitCodes);
  verb.add_option("--seed", to.seed,
                  "any whole number; each gives other photons, so other noise (1)");
  verb.add_option("--out", to.folder, "folder to write into (./<scene>-" + folder + ")");
  verb.add_flag("--replace", to.replace, "write into a folder that holds other files");
  verb.add_flag("--json", to.json, "print " + json + " instead of sentences");
}

CLI::Option* describe_tracing(CLI::App& verb, const std::string& photons, Arguments& to) {
  verb.add_option("--threads", to.threads, "threads to use (all); never changes a result")
      ->check(CLI::Range(1, 1024));
  return verb.add_option("--photons", to.photons, photons)
      ->check(CLI::Range(std::uint64_t{kBatches} * 2, kPhotonCeiling));
}

std::string by_default(std::uint64_t photons) { return " (" + std::to_string(photons) + ")"; }

void describe_predict(CLI::App& predict, Arguments& to) {
  predict.description(kPredictExamples);
  auto* photons = describe_tracing(predict, "trace exactly so many", to);
  predict.add_option("--error", to.error, "trace until the worst known patch is good to this (2%)")
      ->excludes(photons);
  describe_writing(predict, "glow", "numbers.json", to);
}

void describe_compare(CLI::App& compare, Arguments& to) {
  compare.description(kCompareExamples);
  auto* key = compare.add_option("--change", to.key, "the one key that the variants differ in");
  auto* values = compare.add_option("--to", to.values, "its values, a variant each");
  values->needs(key)->expected(-1);
  key->needs(values);
  describe_tracing(compare, "trace exactly so many for each design" + by_default(kUsualPhotons),
                   to);
  describe_writing(compare, "comparison", "comparison.json", to);
}

void describe_look(CLI::App& look, Arguments& to) {
  look.description(kLookExamples);
  look.add_option("--distance", to.distance, "of the eye from the panel's middle (50 cm)");
  look.add_option("--height", to.height, "of the eye above the panel's middle (0)");
  look.add_option("--bearing", to.bearing,
                  "how far round to the panel's left the eye is, -89 to 89 deg; --behind for the "
                  "other side (0 deg)");
  look.add_flag("--behind", to.behind, "from behind the panel");
  look.add_option("--white", to.white,
                  "the luminance drawn as white, as in \"3000 cd/m2\" (by the picture)");
  look.add_option("--pixels", to.pixels, "along the longer side of a picture (1000)")
      ->check(CLI::Range(50, 4000));
  describe_tracing(look, "trace exactly so many" + by_default(kUsualPhotons), to);
  describe_writing(look, "look", "look.json", to);
}

void describe_even(CLI::App& even, Arguments& to) {
  even.description(kEvenExamples);
  even.add_option("scenes", to.scenes, "the scene files (TOML)")->required();
  describe_tracing(
      even, "exactly so many for the final figures" + by_default(EvenOptions{}.final_photons), to);
  even.add_flag("--jig", to.jig, "draw a sheet to lay blanks into, too");
  describe_writing(even, "even", "numbers.json", to);
  describe_settings(even, "every scene", to);
}

void describe_follow(CLI::App& follow, Arguments& to) {
  follow.description(kFollowExamples);
  follow.add_option("--photon", to.photon, "its number, from 0 on (0)")
      ->check(CLI::Range(std::uint64_t{0}, kPhotonCeiling - 1));
  follow.add_option("--ending", to.ending,
                    "go on to the first that ends so, as the ledger in numbers.json names it");
  describe_writing(follow, "photon-<number>", "photon.json", to);
}

void describe_serve(CLI::App& serve, Arguments& to) {
  serve.description(kServeExamples);
  serve.footer(kExitCodes);
  serve.add_option("--port", to.port, "to listen on (7430, or a free one when it is taken)")
      ->check(CLI::Range(1, 65535));
  serve.add_option("--designs", to.designs, "folder of designs ($XDG_DATA_HOME/rimeglow/designs)");
}

struct Verbs {
  CLI::App &vet, &predict, &compare, &look, &even, &follow, &serve, &keys;
};

void describe(CLI::App& app, const Verbs& verbs, Arguments& to) {
  app.description(kExamples);
  app.footer(kExitCodes);
  app.require_subcommand(1);
  app.set_version_flag("--version", RIMEGLOW_VERSION);
  verbs.vet.description(kVetExamples);
  describe_predict(verbs.predict, to);
  describe_compare(verbs.compare, to);
  describe_look(verbs.look, to);
  describe_follow(verbs.follow, to);
  for (CLI::App* verb : {&verbs.vet, &verbs.predict, &verbs.compare, &verbs.look, &verbs.follow}) {
    verb->add_option("scene", to.scene, "the scene file (TOML)")->required();
    describe_settings(*verb, "the scene", to);
  }
  describe_even(verbs.even, to);
  describe_serve(verbs.serve, to);
  verbs.keys.description(kKeysExamples);
  verbs.keys.add_option("table", to.section, "a table's name, without brackets");
}

int vet_scene(const LoadedScene& scene, const Changes& settings, std::ostream& out,
              std::ostream& err) {
  const bool right =
      scene.variants.empty() || !load_variants(scene, scene.variants, settings, err).empty();
  if (!right) return kWrongScene;
  out << printable(scene.scene.title) << ": nothing wrong found\n" << facts_text(scene);
  return kDone;
}

int print_keys(const std::string& section, std::ostream& out) {
  const std::string text = section.empty() ? key_reference() : key_reference(section);
  if (text.empty()) {
    throw CLI::ValidationError(
        "table", "a scene has no table \"" + section + "\"; rimeglow keys lists them all");
  }
  out << text;
  return kDone;
}

int even_scenes(const Arguments& from, std::ostream& out, std::ostream& err) {
  const EvenRunOptions options = even_options_of(from);
  std::vector<LoadedScene> scenes;
  std::string problems;
  for (const std::string& file : from.scenes) {
    scenes.push_back(load_scene(file, changes_of(from.settings)));
    problems += problems_text(scenes.back());
  }
  err << problems;
  return problems.empty() ? even(scenes, options, out, err) : kWrongScene;
}

int run_verb(const CLI::App& app, const Arguments& arguments, std::ostream& out,
             std::ostream& err) {
  if (app.got_subcommand("keys")) return print_keys(arguments.section, out);
  if (app.got_subcommand("even")) return even_scenes(arguments, out, err);
  if (app.got_subcommand("serve")) return serve(serve_options_of(arguments), out, err);
  // Before the scene, which may be long to read: wrong options are refused here.
  const PredictOptions options = predict_options_of(arguments);
  const LookOptions look_options = look_options_of(arguments);
  const LoadedScene scene = load_scene(arguments.scene, changes_of(arguments.settings));
  if (!scene.problems.empty()) {
    err << problems_text(scene);
    return kWrongScene;
  }
  if (app.got_subcommand("vet")) {
    return vet_scene(scene, changes_of(arguments.settings), out, err);
  }
  if (app.got_subcommand("compare")) {
    return compare_designs(scene, compare_options_of(arguments), out, err);
  }
  if (app.got_subcommand("look")) return look(scene, look_options, out, err);
  if (app.got_subcommand("follow")) {
    return follow_photon(scene, follow_options_of(arguments), out, err);
  }
  return predict(scene, options, out, err);
}

// What is said instead of a verb, before the parser finds that there is none.
void look_for_verb(const CLI::App& app, const std::vector<std::string>& arguments) {
  std::vector<std::string> verbs;
  for (const CLI::App* verb : app.get_subcommands([](const CLI::App*) { return true; }))
    verbs.push_back(verb->get_name());
  const std::string wrong = arguments.empty() ? "" : arguments.front();
  if (!wrong.empty() && wrong.front() == '-') return;
  if (std::find(verbs.begin(), verbs.end(), wrong) != verbs.end()) return;
  const std::vector<std::string_view> names(verbs.begin(), verbs.end());
  const auto near = nearest(wrong, names);
  throw CLI::ParseError(
      (wrong.empty() ? "what shall be done?" : "there is no verb \"" + printable(wrong) + "\";") +
          (near ? " do you mean " + std::string(*near) + "?"
                : " it may be one of " + listed(verbs)),
      CLI::ExitCodes::RequiredError);
}

// In plainer words than the parser's.
std::string what_is_wrong(const CLI::App& app, const CLI::Error& error) {
  for (const CLI::App* verb : app.get_subcommands()) {
    for (const CLI::Option* option : verb->get_options()) {
      const bool is_single = option->get_expected_max() == 1 &&
                             option->get_multi_option_policy() == CLI::MultiOptionPolicy::Throw;
      if (is_single && option->results().size() > 1)
        return option->get_name() + " is given more than once; give it once";
    }
  }
  return error.what();
}

// The page has a port and a folder of designs where other verbs have --out.
std::string after_refusal(const std::system_error& error, bool is_page) {
  if (!is_page) return "Check permissions and free space, or choose another folder with --out.";
  if (error.code() == std::errc::address_in_use)
    return "Choose another port with --port, or leave it out: then a free one is found.";
  return "Check permissions and free space, or choose another --port or folder with --designs.";
}

}  // namespace

int run_command_line(const std::vector<std::string>& arguments, std::ostream& out,
                     std::ostream& err) {
  CLI::App app("", "rimeglow");
  const Verbs verbs = {
      *app.add_subcommand("vet", "mistakes and derived facts of a scene, no light traced"),
      *app.add_subcommand("predict", "the glow of a scene: report, pictures, numbers"),
      *app.add_subcommand("compare", "variants of a scene side by side, and what differs"),
      *app.add_subcommand("look", "camera pictures from where people look at it"),
      *app.add_subcommand(
          "even", "the engraving density at which the art glows evenly, and the laser's files"),
      *app.add_subcommand("follow", "one photon's way, event by event, with a picture"),
      *app.add_subcommand("serve", "a page to design on, on this machine only"),
      *app.add_subcommand("keys", "what a scene may say, table by table")};
  Arguments parsed;
  describe(app, verbs, parsed);
  try {
    look_for_verb(app, arguments);
    app.parse(std::vector<std::string>(arguments.rbegin(), arguments.rend()));
    const int code = run_verb(app, parsed, out, err);
    if (!out.flush())
      throw std::system_error(std::make_error_code(std::errc::io_error), "cannot print the result");
    return code;
  } catch (const CLI::Success& success) {
    return app.exit(success, out, err);
  } catch (const CLI::Error& error) {
    const std::vector<CLI::App*> verb = app.get_subcommands();
    err << "rimeglow: " << what_is_wrong(app, error) << "\nSee rimeglow "
        << (verb.empty() ? "" : verb.front()->get_name() + " ")
        << "--help, which begins with examples.\n";
    return kWrongUsage;
  } catch (const std::system_error& error) {
    err << "rimeglow: the system refused: " << error.what() << "\n"
        << after_refusal(error, app.got_subcommand("serve")) << "\n";
    return kSystemRefused;
  } catch (const EndlessLight& error) {
    err << "rimeglow: " << error.what()
        << "\nGive the sheet some absorption, or let an edge take or lose light.\n";
    return kWrongScene;
  } catch (const std::exception& error) {
    err << "rimeglow: a fault of the program, not of the scene: " << error.what()
        << "\nPlease report it with the scene.\n";
    return kInternal;
  }
}

}  // namespace rimeglow
