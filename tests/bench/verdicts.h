// What was measured against what is wanted, told in words at the end of a run.
#pragma once

#include <ostream>
#include <string>

namespace rimeglow::bench {

enum class Wanted { at_least, at_most, nothing };

struct Verdict {
  std::string what;  // "photons a second against the plain zigzag, line art"
  double value = 0.0;
  Wanted wanted = Wanted::nothing;
  double bar = 0.0;
  std::string unit;  // "x", "MB"

  bool met() const;
};

// Kept for the summary; measured again, the last value counts.
void note(const Verdict& verdict);

void tell(std::ostream& out);
bool all_met();

}  // namespace rimeglow::bench
