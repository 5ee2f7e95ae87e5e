// What was said on the command line, and what each verb makes of it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "compare_verb.h"
#include "follow.h"
#include "look.h"
#include "make_even.h"
#include "predict.h"
#include "scene_files.h"
#include "serve.h"

namespace rimeglow {

struct Arguments : Tracing {
  std::string scene;
  std::vector<std::string> scenes;
  bool jig = false;
  std::vector<std::string> settings;
  std::string section;
  std::string error;
  std::string key;
  std::vector<std::string> values;
  std::string distance, height, bearing, white;
  bool behind = false;
  int pixels = 1000;
  std::uint64_t photon = 0;
  std::string ending;
  std::optional<int> port;
  std::string designs;
};

// These throw CLI::ValidationError, which says what is no such value.
Changes changes_of(const std::vector<std::string>& settings);
PredictOptions predict_options_of(const Arguments& from);
FollowOptions follow_options_of(const Arguments& from);
CompareOptions compare_options_of(const Arguments& from);
LookOptions look_options_of(const Arguments& from);
EvenRunOptions even_options_of(const Arguments& from);
ServeOptions serve_options_of(const Arguments& from);

}  // namespace rimeglow
