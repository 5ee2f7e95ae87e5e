#include "verdicts.h"

#include <algorithm>
#include <iomanip>
#include <vector>

namespace rimeglow::bench {
namespace {

std::vector<Verdict>& verdicts() {
  static std::vector<Verdict> all;
  return all;
}

const char* bar_words(Wanted wanted) {
  return wanted == Wanted::at_least ? "at least " : "at most ";
}

}  // namespace

bool Verdict::met() const {
  if (wanted == Wanted::nothing) return true;
  return wanted == Wanted::at_least ? value >= bar : value <= bar;
}

void note(const Verdict& verdict) {
  std::vector<Verdict>& all = verdicts();
  const auto same = std::find_if(all.begin(), all.end(),
                                 [&](const Verdict& other) { return other.what == verdict.what; });
  if (same == all.end()) {
    all.push_back(verdict);
  } else {
    *same = verdict;
  }
}

void tell(std::ostream& out) {
  out << "\nMeasured against the bars (ratios are firm, single figures are this machine's "
         "today):\n";
  for (const Verdict& verdict : verdicts()) {
    out << std::left << std::setw(72) << verdict.what << std::right << std::setw(10)
        << std::setprecision(3) << verdict.value << ' ' << std::left << std::setw(4)
        << verdict.unit;
    if (verdict.wanted != Wanted::nothing) {
      out << (verdict.met() ? "  good: " : "  MISSED: ") << bar_words(verdict.wanted)
          << verdict.bar;
    }
    out << '\n';
  }
}

bool all_met() {
  const std::vector<Verdict>& all = verdicts();
  return std::all_of(all.begin(), all.end(), [](const Verdict& verdict) { return verdict.met(); });
}

}  // namespace rimeglow::bench
