// The numbers behind the verdicts, as tables of the report.
#pragma once

#include <string>

#include "glow.h"
#include "html.h"

namespace rimeglow {

// Less than this counts as nothing: roulette's books are off by as much by chance.
inline constexpr double kSmallestShare = 1e-6;

std::string share_with_error(const Estimate& share);

Html viewers_table(const Glow& glow);
Html rows_table(const ViewerGlow& viewer);
Html patches_table(const ViewerGlow& viewer);
Html ledger_table(const Glow& glow);
Html edges_table(const Glow& glow);

}  // namespace rimeglow
