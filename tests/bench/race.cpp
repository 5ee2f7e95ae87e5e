#include "race.h"

#include <time.h>

#include <algorithm>
#include <utility>

namespace rimeglow::bench {
namespace {

double seconds(clockid_t clock) {
  timespec now{};
  clock_gettime(clock, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace

Effort effort_of(const std::function<void()>& work) {
  const double cpu_s = seconds(CLOCK_PROCESS_CPUTIME_ID);
  const double wall_s = seconds(CLOCK_MONOTONIC);
  work();
  return {seconds(CLOCK_PROCESS_CPUTIME_ID) - cpu_s, seconds(CLOCK_MONOTONIC) - wall_s};
}

Race::Race(std::vector<Contender> contenders)
    : contenders_(std::move(contenders)), efforts_(contenders_.size()) {
  for (const Contender& contender : contenders_) contender.lap();  // warms caches and threads
}

void Race::round() {
  const bool backward = efforts_.front().size() % 2 == 1;
  for (std::size_t turn = 0; turn < contenders_.size(); ++turn) {
    const std::size_t k = backward ? contenders_.size() - 1 - turn : turn;
    efforts_[k].push_back(effort_of(contenders_[k].lap));
  }
}

std::vector<double> Race::rates(std::size_t contender, Clock clock) const {
  std::vector<double> rates;
  for (const Effort& effort : efforts_[contender]) {
    rates.push_back(contenders_[contender].work /
                    (clock == Clock::cpu ? effort.cpu_s : effort.wall_s));
  }
  return rates;
}

double Race::rate(std::size_t contender, Clock clock) const {
  return median(rates(contender, clock));
}

double Race::ratio(std::size_t contender, std::size_t other, Clock clock) const {
  std::vector<double> ratios = rates(contender, clock);
  const std::vector<double> others = rates(other, clock);
  for (std::size_t round = 0; round < ratios.size(); ++round) ratios[round] /= others[round];
  return median(std::move(ratios));
}

double Race::cpu_s(std::size_t contender) const {
  double sum = 0.0;
  for (const Effort& effort : efforts_[contender]) sum += effort.cpu_s;
  return sum;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t middle = values.size() / 2;
  return values.size() % 2 == 1 ? values[middle] : 0.5 * (values[middle - 1] + values[middle]);
}

}  // namespace rimeglow::bench
