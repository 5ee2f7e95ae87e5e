// The program itself, as a process: Ctrl-C, kill, a terminal or disk that takes nothing. Every run
// ends with the exit code that its help promises, leaves whole results and no process behind.
#include <gtest/gtest.h>

#include <array>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <random>
#include <sstream>
#include <thread>

#include <nlohmann/json.hpp>

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "cli.h"
#include "files.h"
#include "interruption.h"
#include "writers.h"

namespace rimeglow::program_test {
namespace {

namespace fs = std::filesystem;
using Milliseconds = std::chrono::milliseconds;

double seconds(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

// Processor time of a running process (proc(5), fields 14 and 15 of stat).
double processor_s(pid_t process) {
  const std::string text = bytes_of("/proc/" + std::to_string(process) + "/stat");
  std::istringstream fields(text.substr(std::min(text.rfind(')'), text.size() - 1) + 1));
  std::string skipped;
  for (int i = 3; i < 14; ++i) fields >> skipped;
  double user = 0.0, system = 0.0;
  fields >> user >> system;
  return (user + system) / static_cast<double>(sysconf(_SC_CLK_TCK));
}

// Gone, or dead and waiting for whoever adopted it.
bool is_dead(pid_t process) {
  const std::string text = bytes_of("/proc/" + std::to_string(process) + "/stat");
  return text.empty() || text[text.rfind(')') + 2] == 'Z';
}

struct Ended {
  int status = 0;
  double processor_s = 0.0;
};

class Program : public OwnFolder {
 protected:
  void SetUp() override {
    write("square.svg",
          "<svg xmlns='http://www.w3.org/2000/svg' width='5mm' height='5mm'>"
          "<path d='M0 0H90V90H0Z'/></svg>");
    write("tiny.toml", scene_with("square.svg"));
  }

  // Small, and of frost alone, which needs no walks over facets: many runs in short time.
  static std::string scene_with(const std::string& art) {
    return "[panel]\nwidth = \"30 mm\"\nheight = \"12 mm\"\nthickness = \"3 mm\"\n[art]\nfile = "
           "\"" +
           art +
           "\"\n[mark.a]\nfrost = 1.0\n[lamp]\ncount = 3\npitch = \"8 mm\"\nflux_each = \"9 lm\"\n";
  }

  // Begins a run in the test's folder; what it says goes to out.txt and err.txt there.
  pid_t begin(std::vector<std::string> arguments, const char* out = "out.txt") const {
    arguments.insert(arguments.begin(), RIMEGLOW_PROGRAM);
    std::vector<char*> words;
    for (std::string& argument : arguments) words.push_back(argument.data());
    words.push_back(nullptr);
    const pid_t process = fork();
    if (process != 0) return process;
    const int kWrite = O_WRONLY | O_CREAT | O_TRUNC;
    const bool is_ready = chdir(folder_.c_str()) == 0 && dup2(open(out, kWrite, 0600), 1) == 1 &&
                          dup2(open("err.txt", kWrite, 0600), 2) == 2;
    if (is_ready) execv(words[0], words.data());
    _exit(99);
  }

  static Ended end_of(pid_t process) {
    Ended ended;
    rusage used{};
    wait4(process, &ended.status, 0, &used);
    ended.processor_s = seconds(used.ru_utime) + seconds(used.ru_stime);
    return ended;
  }

  int run(const std::vector<std::string>& arguments, const char* out = "out.txt") const {
    return exit_code(end_of(begin(arguments, out)));
  }

  static int exit_code(const Ended& ended) {
    return WIFEXITED(ended.status) ? WEXITSTATUS(ended.status) : -WTERMSIG(ended.status);
  }

  std::map<std::string, std::string> glow() const {
    std::map<std::string, std::string> found;
    std::error_code none;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder_ / "glow", none))
      found[entry.path().filename()] = bytes_of(entry.path());
    return found;
  }

  // The process that reads the art, once it is there.
  static pid_t reader_of(pid_t process) {
    const std::string name = std::to_string(process);
    for (int i = 0; i < 2000; ++i) {
      std::istringstream children(bytes_of("/proc/" + name + "/task/" + name + "/children"));
      pid_t child = 0;
      if (children >> child) return child;
      std::this_thread::sleep_for(Milliseconds(5));
    }
    return 0;
  }
};

const std::vector<std::string> kEndless = {"predict", "tiny.toml", "--error",   "0.001%",
                                           "--out",   "glow",      "--threads", "1"};

// Whatever a shop's shell or another program has set up for OpenMP: the same bytes (OpenMP 5.1
// spec, chapter 6: its environment variables).
TEST_F(Program, NoOpenMpVariableChangesAResult) {
  const std::vector<std::string> predict = {"predict",   "tiny.toml", "--photons", "20000",
                                            "--replace", "--out",     "seen"};
  ASSERT_EQ(run(predict), kDone);
  const std::string usual = read("seen/numbers.json");
  ASSERT_FALSE(usual.empty());
  const std::vector<std::map<std::string, std::string>> settings = {
      {{"OMP_NUM_THREADS", "5"},
       {"OMP_DYNAMIC", "true"},
       {"OMP_SCHEDULE", "static,7"},
       {"OMP_PROC_BIND", "true"}},
      {{"OMP_THREAD_LIMIT", "1"}, {"OMP_MAX_ACTIVE_LEVELS", "0"}, {"OMP_STACKSIZE", "nonsense"}}};
  for (const auto& variables : settings) {
    for (const auto& [name, value] : variables) setenv(name.c_str(), value.c_str(), 1);
    EXPECT_EQ(run(predict), kDone);
    for (const auto& [name, value] : variables) unsetenv(name.c_str());
    EXPECT_EQ(read("seen/numbers.json"), usual) << variables.begin()->first;
  }
}

// Ends runs with this signal later and later, until one has traced light.
TEST_F(Program, OneSignalKeepsWhatWasReachedAndMarksIt) {
  for (const int number : {SIGINT, SIGTERM}) {
    fs::remove_all(folder_ / "glow");
    [[maybe_unused]] double took_s = 0.0;
    for (double wait_ms = 300.0; wait_ms < 60000.0 && glow().empty(); wait_ms *= 1.6) {
      const pid_t process = begin(kEndless);
      std::this_thread::sleep_for(Milliseconds(static_cast<int>(wait_ms)));
      const double before_s = processor_s(process);
      kill(process, number);
      const Ended ended = end_of(process);
      took_s = ended.processor_s - before_s;
      EXPECT_EQ(exit_code(ended), kInterrupted);
      if (glow().empty()) {
        EXPECT_EQ(read("err.txt"), "\nrimeglow: interrupted; nothing was written\n");
      }
    }
    ASSERT_EQ(glow().size(), 5U);
    const auto numbers = nlohmann::json::parse(glow()["numbers.json"]);
    EXPECT_NE(numbers["warnings"].dump().find("Interrupted after"), std::string::npos);
    EXPECT_NE(glow()["report.html"].find("Interrupted after"), std::string::npos);
    EXPECT_NE(read("out.txt").find("Interrupted after"), std::string::npos);
#ifndef __SANITIZE_ADDRESS__
    EXPECT_LT(took_s, 1.0) << "of processor time, on one thread, whatever else the machine does";
#endif
  }
}

TEST_F(Program, OnceAFileIsMadeNoSignalSaysThatThereIsNone) {
  const auto ended_after_writing = [&] {
    write_whole(folder_ / "made", "made");
    end_when_interrupted();
    raise(SIGTERM);
  };
  EXPECT_EXIT(ended_after_writing(), testing::ExitedWithCode(kInterrupted),
              "^\nrimeglow: interrupted\n$");
}

TEST_F(Program, TwoSignalsEndItAtOnce) {
  for (const int wait_ms : {100, 400, 1600}) {
    const pid_t process = begin(kEndless);
    std::this_thread::sleep_for(Milliseconds(wait_ms));
    const double before_s = processor_s(process);
    kill(process, SIGINT);
    std::this_thread::sleep_for(Milliseconds(1));
    kill(process, SIGTERM);
    const Ended ended = end_of(process);
    // Another signal may come before the program has begun to listen.
    if (exit_code(ended) != -SIGINT) {
      EXPECT_EQ(exit_code(ended), kInterrupted);
    }
    EXPECT_LT(ended.processor_s - before_s, 0.2);
    EXPECT_TRUE(glow().empty() || glow().size() == 5U);
  }
}

TEST_F(Program, NoReaderOfArtOutlivesIt) {
  std::string bomb =
      "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/"
      "xlink' width='9mm' height='9mm'><g id='l0'><path d='M0 0h1v1z'/></g>";
  for (int level = 1; level <= 9; ++level) {
    bomb += "<g id='l" + std::to_string(level) + "'>";
    for (int i = 0; i < 10; ++i) bomb += "<use xlink:href='#l" + std::to_string(level - 1) + "'/>";
    bomb += "</g>";
  }
  write("bomb.svg", bomb + "</svg>");
  write("bomb.toml", scene_with("bomb.svg"));
  for (const int number : {SIGINT, SIGTERM, SIGKILL}) {
    const pid_t process = begin({"vet", "bomb.toml"});
    const pid_t reader = reader_of(process);
    ASSERT_GT(reader, 0);
    kill(process, number);
    EXPECT_EQ(exit_code(end_of(process)), number == SIGKILL ? -SIGKILL : int{kInterrupted});
    for (int i = 0; i < 1000 && !is_dead(reader); ++i) std::this_thread::sleep_for(Milliseconds(5));
    EXPECT_TRUE(is_dead(reader)) << "after signal " << number;
  }
}

// More kills by hand: RIMEGLOW_KILLS=200.
TEST_F(Program, KilledAtAnyMomentItLeavesOldOrNew) {
  const char* const asked = std::getenv("RIMEGLOW_KILLS");
  const int kills =
      asked != nullptr ? std::atoi(asked) : std::max(4, 20 / RIMEGLOW_TEST_PHOTON_DIVISOR);
  const auto predict = [](int seed) {
    return std::vector<std::string>{
        "predict", "tiny.toml", "--photons", "2000",   "--out",
        "glow",    "--threads", "1",         "--seed", std::to_string(seed)};
  };
  std::array<std::map<std::string, std::string>, 2> whole;
  double run_s = 0.0;
  for (int seed : {2, 1}) {
    const auto begun = std::chrono::steady_clock::now();
    ASSERT_EQ(run(predict(seed)), kDone) << read("err.txt");
    run_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    whole[static_cast<std::size_t>(seed - 1)] = glow();
  }
  ASSERT_NE(whole[0], whole[1]);
  std::mt19937 draw(20260401);
  for (int i = 0; i < kills; ++i) {
    const pid_t process = begin(predict(1 + i % 2));
    const double share = std::uniform_real_distribution<double>(0.0, 1.0)(draw);
    if (i % 4 == 0) {
      std::this_thread::sleep_for(std::chrono::duration<double>(share * run_s));
    } else {
      // Most while it writes: wait for its passing folder.
      while (!fs::exists(folder_ / ".glow.part") && waitpid(process, nullptr, WNOHANG) == 0)
        std::this_thread::sleep_for(std::chrono::microseconds(200));
      std::this_thread::sleep_for(std::chrono::duration<double>(0.03 * share));
    }
    kill(process, SIGKILL);
    end_of(process);
    const auto found = glow();
    ASSERT_TRUE(found == whole[0] || found == whole[1]) << "after kill " << i;
  }
  ASSERT_EQ(run(predict(2)), kDone) << read("err.txt");
  EXPECT_EQ(glow(), whole[1]);
  EXPECT_FALSE(fs::exists(folder_ / ".glow.part"));
}

TEST_F(Program, AnInterruptedReplacementIsPutBackAndSaid) {
  ASSERT_EQ(run({"predict", "tiny.toml", "--photons", "2000", "--out", "glow"}), kDone);
  const auto before = glow();
  // As a kill between two files leaves it.
  fs::create_directories(folder_ / "glow" / ".glow.part");
  fs::rename(folder_ / "glow" / "numbers.json",
             folder_ / "glow" / ".glow.part" / "old-numbers.json");
  EXPECT_EQ(run({"predict", "tiny.toml", "--photons", "2000", "--out", "glow"}), kDone);
  EXPECT_EQ(read("err.txt"),
            "rimeglow: an earlier run was killed while it replaced the files in glow; the old ones "
            "have been put back\n");
  EXPECT_EQ(glow(), before);
}

TEST_F(Program, WhatCannotBePrintedIsAnError) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "this system has no /dev/full";
  for (const std::vector<std::string>& arguments : std::vector<std::vector<std::string>>{
           {"keys"},
           {"vet", "tiny.toml"},
           {"predict", "tiny.toml", "--photons", "2000", "--json", "--out", "glow"}}) {
    EXPECT_EQ(run(arguments, "/dev/full"), kSystemRefused) << arguments[0];
    EXPECT_NE(read("err.txt").find("cannot print the result"), std::string::npos);
  }
}

TEST_F(Program, AHostileTitleCannotCommandTheTerminal) {
  write("title.toml", "title = \"a\\u001B[2Jb\"\n" + scene_with("square.svg"));
  EXPECT_EQ(run({"vet", "title.toml"}), kDone) << read("err.txt");
  EXPECT_EQ(read("out.txt").find("a?[2Jb"), 0U);
  write("keys.toml", "\"\\u001B[2J\" = 1\n" + scene_with("square.svg"));
  EXPECT_EQ(run({"vet", "keys.toml"}), kWrongScene);
  EXPECT_EQ(read("err.txt").find('\x1B'), std::string::npos);
}

TEST_F(Program, ThousandsOfMistakesAreCountedNotListed) {
  std::string text = scene_with("square.svg");
  for (int i = 0; i < 50000; ++i) text += "k" + std::to_string(i) + " = 1\n";
  write("many.toml", text);
  EXPECT_EQ(run({"vet", "many.toml"}), kWrongScene);
  const std::string said = read("err.txt");
  EXPECT_NE(said.find("and 49900 more.\n"), std::string::npos) << said.substr(said.size() - 100);
}

}  // namespace
}  // namespace rimeglow::program_test
