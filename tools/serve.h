// The page: a server on this machine only, until Ctrl-C.
#pragma once

#include <filesystem>
#include <iosfwd>
#include <optional>

namespace rimeglow {

struct ServeOptions {
  std::optional<int> port;  // else the usual one, or a free one when it is taken
  std::optional<std::filesystem::path> designs;
};

// Returns an ExitCode.
int serve(const ServeOptions& options, std::ostream& out, std::ostream& err);

}  // namespace rimeglow
