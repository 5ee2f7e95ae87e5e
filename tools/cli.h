// The command line: its verbs, options and exit codes. Results go to `out`, messages and progress
// to `err`.
#pragma once

#include <iosfwd>
#include <string>
#include <vector>

namespace rimeglow {

enum ExitCode : int {
  kDone = 0,
  kWrongUsage = 2,
  kWrongScene = 3,       // anything wrong in what the scene says or names
  kErrorNotReached = 4,  // --error was asked for and the ceiling on photons came first
  kSystemRefused = 5,    // permission, full disk
  kInternal = 6,
  kInterrupted = 130,
};

int run_command_line(const std::vector<std::string>& arguments, std::ostream& out,
                     std::ostream& err);

}  // namespace rimeglow
