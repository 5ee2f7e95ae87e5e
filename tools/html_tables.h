// The numbers behind the verdicts, as tables of the report.
#pragma once

#include "glow.h"
#include "html.h"

namespace rimeglow {

Html viewers_table(const Glow& glow);
Html rows_table(const ViewerGlow& viewer);
Html patches_table(const ViewerGlow& viewer);
Html ledger_table(const Glow& glow);
Html edges_table(const Glow& glow);

}  // namespace rimeglow
