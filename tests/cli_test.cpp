// The program as a user meets it, in process: verbs, exit codes, folders, and what lands in them.
#include "cli.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <sstream>

#include <nlohmann/json.hpp>

#include "files.h"
#include "folder_writer.h"
#include "http_porch.h"
#include "own_folder.h"

namespace rimeglow::cli_test {
namespace {

namespace fs = std::filesystem;

class CommandLine : public OwnFolder {
 protected:
  void SetUp() override {
    write("square.svg",
          "<svg xmlns='http://www.w3.org/2000/svg' width='12mm' height='12mm' viewBox='0 0 12 12'>"
          "<path d='M0 0H12V12H0Z'/></svg>");
    // A mark of frost alone needs no walks over facets: many runs in short time.
    write("panel.toml",
          "[panel]\nwidth = \"80 mm\"\nheight = \"24 mm\"\nthickness = \"3 mm\"\n"
          "[art]\nfile = \"square.svg\"\n[mark.a]\nfrost = 1.0\n[lamp]\ncount = 4\nflux_each = \"9 "
          "lm\"\n");
  }

  int run(std::vector<std::string> arguments) {
    out.str("");
    err.str("");
    return run_command_line(arguments, out, err);
  }
  std::string scene() const { return (folder_ / "panel.toml").string(); }
  std::string at(const char* name) const { return (folder_ / name).string(); }

  std::ostringstream out, err;
};

TEST_F(CommandLine, HelpBeginsWithExamples) {
  EXPECT_EQ(run({"--help"}), kDone);
  EXPECT_EQ(out.str().find("Examples:"), 0u);
  EXPECT_EQ(run({"predict", "--help"}), kDone);
  EXPECT_EQ(out.str().find("Examples:"), 0u);
  EXPECT_NE(out.str().find("Exit codes: 0 done"), std::string::npos);
}

TEST_F(CommandLine, KeysExplainsAllTablesOrOne) {
  EXPECT_EQ(run({"keys"}), kDone);
  EXPECT_NE(out.str().find("* `thickness`: as measured"), std::string::npos);
  EXPECT_NE(out.str().find("* `flux_each`"), std::string::npos);
  EXPECT_EQ(run({"keys", "lamp"}), kDone);
  EXPECT_EQ(out.str().find("* `thickness`"), std::string::npos);
  EXPECT_NE(out.str().find("* `flux_each`"), std::string::npos);
  EXPECT_EQ(run({"keys", "lmap"}), kWrongUsage);
  EXPECT_NE(err.str().find("no table \"lmap\""), std::string::npos) << err.str();
}

TEST_F(CommandLine, AVerbThatIsNoneIsAnsweredWithTheNearest) {
  EXPECT_EQ(run({"predikt", scene()}), kWrongUsage);
  EXPECT_NE(err.str().find("\"predikt\"; do you mean predict?"), std::string::npos) << err.str();
  EXPECT_EQ(run({scene()}), kWrongUsage);
  EXPECT_NE(err.str().find("it may be one of vet, "), std::string::npos) << err.str();
}

TEST_F(CommandLine, ComparesValuesOfAKey) {
  const std::string made = at("compared");
  EXPECT_EQ(run({"compare", scene(), "--change", "edges.top", "--to", "sanded P320", "white card",
                 "--photons", "4000", "--out", made}),
            kDone)
      << err.str();
  EXPECT_NE(out.str().find("Sanding the top edge"), std::string::npos) << out.str();
  EXPECT_NE(out.str().find("A white card behind the top edge"), std::string::npos) << out.str();
  for (const char* name : {"comparison.html", "comparison.json", "glow-0.png", "glow-2.png",
                           "difference-1.png", "difference-2.png"}) {
    EXPECT_TRUE(fs::exists(fs::path(made) / name)) << name;
  }
  const std::string page = read(fs::path(made) / "comparison.html");
  EXPECT_NE(page.find("Art,\u00a0cd/m\u00b2, seen straight on"), std::string::npos);
  EXPECT_EQ(page.find("still inside"), std::string::npos) << "a billionth of the light";
  const auto json = nlohmann::json::parse(read(fs::path(made) / "comparison.json"));
  EXPECT_EQ(json["designs"].size(), 3u);
  EXPECT_EQ(json["photons"], 4000);
  const auto gain = json["rows"][0]["designs"][2]["ratio"];  // of the art, by the card
  EXPECT_LE(gain.at("low"), gain.at("value"));
  EXPECT_GE(gain.at("high"), gain.at("value"));
  // Ours again, so it may be replaced.
  EXPECT_EQ(run({"compare", scene(), "--change", "panel.thickness", "--to", "5mm", "--photons",
                 "4000", "--out", made, "--json"}),
            kDone)
      << err.str();
  EXPECT_EQ(nlohmann::json::parse(out.str())["designs"][1]["title"], "panel.thickness = 5mm");
  for (const char* name : {"glow-2.png", "seated-2.png", "difference-2.png"})
    EXPECT_FALSE(fs::exists(fs::path(made) / name)) << name << " is of designs no longer compared";
}

TEST_F(CommandLine, EvenSaysOnceWhatHoldsOfAllPieces) {
  write("other.toml", read("panel.toml") + "emitter = [\"1 mm\", \"4 mm\"]\n");
  run({"even", scene(), at("other.toml"), "--photons", "4096", "--out", at("set")});
  EXPECT_EQ(out.str().find("All pieces\n  Mind: The roughness"), 0u) << out.str() << err.str();
  EXPECT_EQ(out.str().rfind("Mind: The roughness"), 13u) << out.str();
  EXPECT_GT(out.str().rfind("Mind: The LEDs"), out.str().find("\nother\n")) << out.str();
}

TEST_F(CommandLine, ComparesTheVariantsOfAScene) {
  write("panel.toml", read(scene()) +
                          "[[variant]]\ntitle = \"Thick\"\nset.panel.thickness = \"5 mm\"\n"
                          "[[variant]]\ntitle = \"Ground\"\n"
                          "set.\"edges.top\" = { kind = \"ground\", alpha = 0.4 }\n"
                          "[[variant]]\ntitle = \"Sanded\"\n"
                          "set.edges.left = \"sanded P320\"\n");
  EXPECT_EQ(run({"vet", scene()}), kDone) << err.str();
  EXPECT_EQ(run({"compare", scene(), "--photons", "4000", "--out", at("made")}), kDone)
      << err.str();
  EXPECT_NE(out.str().find("\"Thick\""), std::string::npos) << out.str();
  EXPECT_NE(out.str().find("\"Ground\" "), std::string::npos) << out.str();
  EXPECT_NE(out.str().find("Sanding the left edge with P320 "), std::string::npos) << out.str();
}

TEST_F(CommandLine, VariantsAreVettedWithTheScene) {
  write("panel.toml",
        read(scene()) + "[[variant]]\ntitle = \"Thick\"\nset.panel.thickness = \"5 parsec\"\n");
  for (const char* verb : {"vet", "compare"}) {
    EXPECT_EQ(run({verb, scene()}), kWrongScene);
    EXPECT_NE(err.str().find("In the variant \"Thick\":"), std::string::npos) << err.str();
    EXPECT_NE(err.str().find("panel.thickness"), std::string::npos) << err.str();
  }
}

TEST_F(CommandLine, LooksFromTheUsualPlacesOrOne) {
  const std::string made = at("seen");
  EXPECT_EQ(run({"look", scene(), "--photons", "4000", "--pixels", "60", "--out", made}), kDone)
      << err.str();
  for (const char* name : {"look.json", "look.html", "straight.png", "seated.png",
                           "left-lit-room.png", "behind.png"}) {
    EXPECT_TRUE(fs::exists(fs::path(made) / name)) << name;
  }
  EXPECT_EQ(run({"look", scene(), "--photons", "4000", "--pixels", "60", "--out", made,
                 "--distance", "40cm", "--bearing", "20 deg", "--white", "500 cd/m2", "--json"}),
            kDone)
      << err.str();
  const auto json = nlohmann::json::parse(out.str());
  EXPECT_EQ(json["white_cd_m2"], 500.0);
  EXPECT_EQ(json["views"].size(), 1u);
  EXPECT_EQ(json["views"][0]["distance_mm"], 400.0);
  EXPECT_TRUE(fs::exists(fs::path(made) / "camera.png"));
  EXPECT_EQ(run({"look", scene(), "--distance", "nearby"}), kWrongUsage);
  EXPECT_NE(err.str().find("--distance"), std::string::npos) << err.str();
}

TEST_F(CommandLine, SaysWhatIsToBeMindedOfTheScene) {
  write("square.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='50' height='50'>"
        "<path d='M0 0H50V50H0Z'/></svg>");
  const std::string guess = "was guessed from 96 px per inch. Give the art's width.\n";
  const std::vector<std::vector<std::string>> calls = {
      {"predict"}, {"look", "--pixels", "60"}, {"compare", "--change", "lamp.gap", "--to", "1mm"}};
  for (const std::vector<std::string>& call : calls) {
    std::vector<std::string> arguments = {call[0], scene(), "--photons",
                                          "4000",  "--out", at(call[0].c_str())};
    arguments.insert(arguments.end(), call.begin() + 1, call.end());
    EXPECT_EQ(run(arguments), kDone) << err.str();
    EXPECT_NE(out.str().find(guess), std::string::npos) << out.str();
  }
  EXPECT_NE(read("look/look.html").find("was guessed from"), std::string::npos);
}

TEST_F(CommandLine, WrongUsageEndsWithTwo) {
  for (const auto& arguments : std::vector<std::vector<std::string>>{
           {},
           {"melt"},
           {"predict"},
           {"vet"},
           {"compare", scene()},
           {"compare", scene(), "--change", "edges.top"},
           {"compare", scene(), "--change", "panel.thickness", "--to", "1mm", "2mm", "3mm", "4mm",
            "5mm", "6mm"},
           {"predict", scene(), "--photons", "some"},
           {"predict", scene(), "--error", "0"},
           {"predict", scene(), "--set", "thickness"},
           {"predict", scene(), "--photons", "1000", "--error", "1%"},
           {"predict", scene(), "--threads", "0"}}) {
    EXPECT_EQ(run(arguments), kWrongUsage);
    EXPECT_NE(err.str().find("rimeglow: "), std::string::npos);
  }
  EXPECT_EQ(run({"compare", scene(), "--change", "panel.thickness", "--to", "1mm", "2mm", "3mm",
                 "4mm", "5mm", "6mm"}),
            kWrongUsage);
  EXPECT_NE(err.str().find("at most 5 variants"), std::string::npos) << err.str();
  EXPECT_EQ(run({"look", scene(), "--pixels", "9"}), kWrongUsage);
  EXPECT_NE(err.str().find("See rimeglow look --help"), std::string::npos) << err.str();
  EXPECT_EQ(run({"predict", scene(), "--out", at("a"), "--out", at("b")}), kWrongUsage);
  EXPECT_EQ(err.str().find("rimeglow: --out is given more than once; give it once\n"), 0u)
      << err.str();
}

TEST_F(CommandLine, AWrongSceneEndsWithThreeAndLeavesNothing) {
  write("bad.toml", "[panel]\nwidth = 80\n");
  EXPECT_EQ(run({"predict", at("bad.toml"), "--out", at("glow")}), kWrongScene);
  EXPECT_NE(err.str().find("bad.toml:2: panel.width: 80 needs a unit"), std::string::npos)
      << err.str();
  EXPECT_FALSE(fs::exists(folder_ / "glow"));
  EXPECT_EQ(run({"vet", at("none.toml")}), kWrongScene);
  EXPECT_NE(err.str().find("no such file"), std::string::npos);
  EXPECT_EQ(run({"vet", folder_.string()}), kWrongScene);
  EXPECT_EQ(run({"vet", scene(), "--set", "art.file=none.svg"}), kWrongScene);
  EXPECT_NE(err.str().find("art.file: none.svg"), std::string::npos) << err.str();
}

TEST_F(CommandLine, VetSaysWhatFollowsFromTheScene) {
  EXPECT_EQ(run({"vet", scene(), "--set", "machine.speed=300 mm/s"}), kDone) << err.str();
  for (const char* fact :
       {"nothing wrong found", "80.0 x 24.0 mm (3.15 x 0.94 in)", "about 6.9 g", "line art",
        "its width and height in mm", "36 lm in all", "minutes of engraving",
        "the art begins 6.0 mm from the LEDs of the bottom edge"}) {
    EXPECT_NE(out.str().find(fact), std::string::npos) << fact << "\n" << out.str();
  }
  ASSERT_EQ(run({"vet", scene(), "--set", "lamp.count=1"}), kDone) << err.str();
  EXPECT_EQ(out.str().find("the art begins"), std::string::npos) << "one LED shows as one";
}

TEST_F(CommandLine, AShopFileIsReadBesideTheSceneAndCounted) {
  write("shop.toml",
        "[panel.blank]\nwidth = \"80 mm\"\nheight = \"80 mm\"\nthickness = \"3 mm\"\n"
        "price = \"3 EUR\"\n[bench]\ntime = \"30 min\"\nrate = \"40 EUR/h\"\n");
  write("shopped.toml",
        "use = \"shop.toml\"\n[panel]\nuse = \"blank\"\n"
        "[lamp]\ncount = 4\nflux_each = \"9 lm\"\n");
  EXPECT_EQ(run({"vet", at("shopped.toml")}), kDone) << err.str();
  EXPECT_NE(out.str().find("Cost: 23.00 EUR, from blank 3.00 EUR and 30 min by hand 20.00 EUR, "
                           "without the base, which has no price\n"),
            std::string::npos)
      << out.str();
  const auto inputs = [&] {
    EXPECT_EQ(run({"follow", at("shopped.toml"), "--json", "--out", at("photon")}), kDone);
    return nlohmann::json::parse(out.str())["inputs"].get<std::string>();
  };
  const std::string before = inputs();
  EXPECT_EQ(inputs(), before);
  write("shop.toml", read("shop.toml") + "# a remark\n");
  EXPECT_NE(inputs(), before);
  write("shop.toml", read("shop.toml") + "[base.oak]\nslot_depth = 10\n");
  EXPECT_EQ(run({"vet", at("shopped.toml")}), kWrongScene);
  EXPECT_NE(err.str().find("shop.toml:11: base.oak.slot_depth: 10 needs a unit"), std::string::npos)
      << err.str();
  write("shop.toml", "[panel\n");
  EXPECT_EQ(run({"vet", at("shopped.toml")}), kWrongScene);
  EXPECT_NE(err.str().find("shop.toml:1: is not TOML"), std::string::npos) << err.str();
  EXPECT_EQ(run({"vet", at("shopped.toml"), "--set", "use=none.toml"}), kWrongScene);
  EXPECT_NE(err.str().find("use: none.toml: there is no such file"), std::string::npos)
      << err.str();
}

// 3.006 and 20.006 make 23.012, but 3.01 and 20.01 are read.
TEST_F(CommandLine, PartsOfTheCostAddUpAsTheyAreShown) {
  write("cents.toml",
        "[panel.blank]\nwidth = \"80 mm\"\nheight = \"80 mm\"\nthickness = \"3 mm\"\n"
        "price = \"3.006 EUR\"\n[bench]\ntime = \"30 min\"\nrate = \"40.012 EUR/h\"\n");
  write("priced.toml",
        "use = \"cents.toml\"\n[panel]\nuse = \"blank\"\n"
        "[lamp]\ncount = 4\nflux_each = \"9 lm\"\n");
  EXPECT_EQ(run({"vet", at("priced.toml")}), kDone) << err.str();
  EXPECT_NE(out.str().find("Cost: 23.02 EUR, from blank 3.01 EUR and 30 min by hand 20.01 EUR"),
            std::string::npos)
      << out.str();
}

TEST_F(CommandLine, FollowTellsOnePhotonsWay) {
  ASSERT_EQ(run({"follow", scene(), "--ending", "front.mark", "--out", at("one")}), kDone)
      << err.str();
  for (const char* words : {"LED ", "bottom, polished", "refracted in", "back, engraved",
                            "left through the front straight from the engraving", "Picture: "}) {
    EXPECT_NE(out.str().find(words), std::string::npos) << words << "\n" << out.str();
  }
  for (const char* name : {"photon.txt", "photon.png", "photon.json"}) {
    EXPECT_TRUE(fs::exists(folder_ / "one" / name)) << name;
  }
  const auto json = nlohmann::json::parse(read("one/photon.json"));
  EXPECT_EQ(json["end"], "front.mark");
  const std::string number = std::to_string(json["photon"].get<int>());
  ASSERT_EQ(run({"follow", scene(), "--photon", number, "--json", "--out", at("one")}), kDone);
  EXPECT_EQ(out.str(), read("one/photon.json"));
  ASSERT_EQ(run({"follow", scene(), "--set", "edges.bottom=laser-cut", "--out", at("cut")}), kDone);
  EXPECT_NE(out.str().find("bottom, laser-cut"), std::string::npos) << out.str();
  EXPECT_EQ(run({"follow", scene(), "--ending", "heaven", "--out", at("two")}), kWrongUsage);
  EXPECT_NE(err.str().find("front.mark, front.other"), std::string::npos) << err.str();
  EXPECT_EQ(run({"follow", scene(), "--photon", "-1", "--out", at("two")}), kWrongUsage);
  EXPECT_FALSE(fs::exists(folder_ / "two"));
}

TEST_F(CommandLine, PredictWritesItsFiveFilesAndTheSameNumbersAgain) {
  ASSERT_EQ(run({"predict", scene(), "--photons", "20000", "--out", at("one")}), kDone)
      << err.str();
  EXPECT_NE(out.str().find("Seen straight on"), std::string::npos);
  ASSERT_EQ(run({"predict", scene(), "--photons", "20000", "--threads", "1", "--out", at("two")}),
            kDone);
  for (const char* name :
       {"glow.png", "luminance.png", "glow.pfm", "report.html", "numbers.json"}) {
    ASSERT_TRUE(fs::exists(folder_ / "one" / name)) << name;
  }
  for (const char* name : {"glow.pfm", "numbers.json"}) {
    EXPECT_TRUE(read(folder_ / "one" / name) == read(folder_ / "two" / name)) << name;
  }
  const auto numbers = nlohmann::json::parse(read("one/numbers.json"));
  EXPECT_EQ(numbers["photons"], 20000);
  ASSERT_EQ(
      run({"predict", scene(), "--photons", "20000", "--seed", "2", "--out", at("one"), "--json"}),
      kDone);
  EXPECT_EQ(nlohmann::json::parse(out.str())["seed"], 2);
  EXPECT_EQ(out.str(), read("one/numbers.json"));
}

TEST_F(CommandLine, InchesAndMillimetresGiveTheSameNumbers) {
  ASSERT_EQ(run({"predict", scene(), "--photons", "5000", "--set", "panel.thickness=3.175 mm",
                 "--out", at("mm")}),
            kDone);
  ASSERT_EQ(run({"predict", scene(), "--photons", "5000", "--set", "panel.thickness=1/8 in",
                 "--out", at("in")}),
            kDone);
  EXPECT_TRUE(read("mm/glow.pfm") == read("in/glow.pfm"));
}

TEST_F(CommandLine, AForeignFolderIsLeftAlone) {
  fs::create_directories(folder_ / "holiday");
  write("holiday/photo.txt", "mine");
  const std::vector<std::string> predict = {"predict", scene(), "--photons",
                                            "2000",    "--out", at("holiday")};
  EXPECT_EQ(run(predict), kWrongUsage);
  EXPECT_NE(err.str().find("--replace"), std::string::npos);
  EXPECT_FALSE(fs::exists(folder_ / "holiday" / "glow.png"));
  std::vector<std::string> anyway = predict;
  anyway.push_back("--replace");
  EXPECT_EQ(run(anyway), kDone);
  EXPECT_EQ(read("holiday/photo.txt"), "mine");
  EXPECT_EQ(run({"predict", scene(), "--photons", "2000", "--out", scene()}), kWrongUsage);
}

// What only looks like a prediction's folder, or never ends when read, is a foreign one.
TEST_F(CommandLine, AFolderWithAStrangeNumbersFileIsForeign) {
  fs::create_directories(folder_ / "strange");
  const std::vector<std::string> predict = {"predict", scene(), "--photons",
                                            "2000",    "--out", at("strange")};
  for (const std::string& text : {std::string("[]"), std::string("{\"schema\": 1}"),
                                  "[" + std::string(100000, '['), std::string(11'000'000, ' ')}) {
    write("strange/numbers.json", text);
    EXPECT_EQ(run(predict), kWrongUsage);
    EXPECT_EQ(read("strange/numbers.json"), text);
  }
  fs::remove(folder_ / "strange" / "numbers.json");
  fs::create_symlink("/dev/zero", folder_ / "strange" / "numbers.json");
  EXPECT_EQ(run(predict), kWrongUsage);
}

// The scene's light would take hours to trace.
TEST_F(CommandLine, WhatCannotBeWrittenIsSaidBeforeLightIsTraced) {
  write("notes", "mine");
  EXPECT_EQ(run({"predict", scene(), "--photons", "67108864", "--out", at("notes/deeper/still")}),
            kWrongUsage);
  EXPECT_NE(err.str().find("notes is a file"), std::string::npos) << err.str();
  fs::create_directory(folder_ / "shut");
  fs::permissions(folder_ / "shut", fs::perms(0555));
  keep_power_of_root(false);
  EXPECT_THROW(may_write_to(folder_ / "shut" / "made", false, err), fs::filesystem_error);
  // Within an open one a shut folder can be exchanged, whether a slash is typed behind it or not.
  EXPECT_TRUE(may_write_to(folder_ / "shut" / "", false, err));
  EXPECT_NO_THROW(write_folder(folder_ / "shut" / "", std::vector<NamedFile>{{"a", "b"}}));
  fs::permissions(folder_ / "shut", fs::perms(0755));
  keep_power_of_root(true);
}

TEST_F(CommandLine, ASystemThatRefusesEndsWithFive) {
  EXPECT_EQ(run({"predict", scene(), "--photons", "2000", "--out", "/proc/rimeglow"}),
            kSystemRefused);
  EXPECT_NE(err.str().find("the system refused"), std::string::npos);
  EXPECT_NE(err.str().find("another folder with --out"), std::string::npos) << err.str();
  const HttpPorch taken(0);
  EXPECT_EQ(run({"serve", "--designs", at("designs"), "--port", std::to_string(taken.port())}),
            kSystemRefused);
  EXPECT_NE(err.str().find("Choose another port with --port"), std::string::npos) << err.str();
  EXPECT_EQ(run({"serve", "--designs", "/proc/rimeglow"}), kSystemRefused);
  EXPECT_NE(err.str().find("folder with --designs"), std::string::npos) << err.str();
}

TEST_F(CommandLine, ABlankIsPredictedAsWell) {
  write("blank.toml",
        "[panel]\nwidth = \"80 mm\"\nheight = \"24 mm\"\nthickness = \"3 mm\"\n"
        "[lamp]\ncount = 4\nflux_each = \"9 lm\"\n");
  EXPECT_EQ(run({"predict", at("blank.toml"), "--photons", "2000", "--out", at("blank")}), kDone)
      << err.str();
}

}  // namespace
}  // namespace rimeglow::cli_test
