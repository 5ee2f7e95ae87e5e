// Comparing speeds on a machine that others use too: contenders take turns in short laps, each
// round in the reverse order of the last, and what is compared are medians over the rounds.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace rimeglow::bench {

struct Effort {
  double cpu_s = 0.0;  // of all threads of this process
  double wall_s = 0.0;
};

Effort effort_of(const std::function<void()>& work);

struct Contender {
  std::string name;
  double work = 0.0;  // done in a lap: photons, say
  std::function<void()> lap;
};

enum class Clock { cpu, wall };

class Race {
 public:
  explicit Race(std::vector<Contender> contenders);

  void round();

  // Work a second: the median lap's.
  double rate(std::size_t contender, Clock clock) const;
  // How many times as fast `contender` is as `other`: the median of the rounds' ratios.
  double ratio(std::size_t contender, std::size_t other, Clock clock) const;
  // CPU seconds of all laps.
  double cpu_s(std::size_t contender) const;

 private:
  std::vector<double> rates(std::size_t contender, Clock clock) const;

  std::vector<Contender> contenders_;
  std::vector<std::vector<Effort>> efforts_;  // per contender and round
};

double median(std::vector<double> values);

}  // namespace rimeglow::bench
