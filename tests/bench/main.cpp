// Runs the benchmarks and tells what they found against the bars. Options besides Google
// Benchmark's own: --enforce ends with 1 when a bar is missed (else the machine's noise would fail
// builds).
#include <benchmark/benchmark.h>

#include <iostream>
#include <string_view>
#include <vector>

#include "memory.h"
#include "verdicts.h"

int main(int argc, char** argv) {
  using namespace rimeglow::bench;
  std::vector<char*> arguments(argv, argv + argc);
  const auto take = [&](std::string_view option) {
    return std::erase_if(arguments, [&](const char* argument) { return option == argument; }) > 0;
  };
  if (take(kPredictOption)) {
    predict_once();
    return 0;
  }
  const bool enforce = take("--enforce");
  int count = static_cast<int>(arguments.size());
  arguments.push_back(nullptr);
  benchmark::Initialize(&count, arguments.data());
  if (benchmark::ReportUnrecognizedArguments(count, arguments.data())) return 1;
  benchmark::RunSpecifiedBenchmarks();
  tell(std::cout);
  return enforce && !all_met() ? 1 : 0;
}
