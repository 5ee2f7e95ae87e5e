#include "compare.h"

#include <algorithm>
#include <cmath>

#include "measures.h"
#include "spans.h"

namespace rimeglow {
namespace {

// One design's value of a quantity.
struct Measured {
  Quantity quantity;
  Replicates value;
};

void measure_art(const Run& run, std::vector<Measured>& out) {
  if (run.map.cells.empty()) return;
  const BatchTotals blocks(run, &BatchSums::blocks);
  for (std::size_t v = 0; v < run.model->viewers.size(); ++v) {
    const std::string& viewer = run.model->viewers[v].name;
    const Eye eye(run, blocks, v);
    const Region all = whole_art(run.map);
    out.push_back({{Quantity::Kind::art, "", viewer},
                   replicates([&](int omitted) { return eye.luminance(all, omitted); })});
    const auto extremes = extremes_of(run, eye);
    if (!extremes || !(eye.luminance(extremes->brightest, kEveryBatch) > 0.0)) continue;
    out.push_back({{Quantity::Kind::evenness, "", viewer}, replicates([&](int omitted) {
                     return eye.luminance(extremes->darkest, omitted) /
                            eye.luminance(extremes->brightest, omitted);
                   })});
  }
  const std::vector<EdgeSpots> spots = hot_spots(run);
  const auto worst = std::max_element(spots.begin(), spots.end(), [](const auto& a, const auto& b) {
    return a.contrast.all < b.contrast.all;
  });
  if (worst != spots.end()) {
    out.push_back({{Quantity::Kind::hot_spots, "", ""}, worst->contrast});
  }
}

void measure_edges(const Run& run, std::vector<Measured>& out) {
  const Model& model = *run.model;
  for (const auto& [edge, viewer, cd_m2] : edge_luminances(run)) {
    out.push_back(
        {{Quantity::Kind::edge, model.outline.edges[edge].name, model.viewers[viewer].name},
         cd_m2});
  }
}

void measure_light(const Run& run, std::vector<Measured>& out) {
  const BatchTotals ledger(run, &BatchSums::ledger);
  const std::vector<std::string> names = ledger_names(run.model->outline);
  for (std::size_t entry = 0; entry < names.size(); ++entry) {
    out.push_back({{Quantity::Kind::light, names[entry], ""}, replicates([&](int omitted) {
                     return kLedgerUnit * ledger.per_photon(entry, omitted);
                   })});
  }
}

std::vector<Measured> measured(const Run& run) {
  std::vector<Measured> all;
  measure_art(run, all);
  measure_edges(run, all);
  measure_light(run, all);
  return all;
}

const Measured* find(const std::vector<Measured>& all, const Quantity& quantity) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Measured& measured) {
    return measured.quantity == quantity;
  });
  return found == all.end() ? nullptr : &*found;
}

Compared compared(const Measured& here, const Measured* base) {
  Compared result{jackknife(here.value), {}, {}, {}};
  if (!base) return result;
  result.difference = difference(here.value, base->value);
  if (here.quantity.is_luminance() && base->value.all > 0.0) {
    result.ratio = ratio(here.value, base->value);
  }
  return result;
}

using Measurements = std::vector<std::vector<Measured>>;  // by design

std::vector<ComparedRow> rows_of(const Measurements& designs) {
  std::vector<ComparedRow> rows;
  for (const std::vector<Measured>& design : designs) {
    for (const Measured& measured : design) {
      const bool known = std::any_of(rows.begin(), rows.end(), [&](const ComparedRow& row) {
        return row.quantity == measured.quantity;
      });
      if (!known) rows.push_back({measured.quantity, {}});
    }
  }
  std::stable_sort(rows.begin(), rows.end(), [](const ComparedRow& a, const ComparedRow& b) {
    return a.quantity.kind < b.quantity.kind;
  });
  for (ComparedRow& row : rows) {
    const Measured* base = find(designs.front(), row.quantity);
    for (const std::vector<Measured>& design : designs) {
      const Measured* here = find(design, row.quantity);
      row.designs.push_back(here ? std::optional(compared(*here, base)) : std::nullopt);
    }
  }
  return rows;
}

// What a design does to a quantity, as spans are counted.
std::optional<Replicates> effect(const Quantity& quantity, const Measured* here,
                                 const Measured* base) {
  if (!here || !base) return std::nullopt;
  return quantity.is_luminance() ? here->value / base->value : here->value - base->value;
}

// Carries over to the long runs what an input at its end does to the effects of the short ones.
void widen(std::vector<ComparedRow>& rows, const std::string& input, const Measurements& usual,
           const Measurements& at_end) {
  for (ComparedRow& row : rows) {
    const auto effect_in = [&](const Measurements& designs, std::size_t d) {
      return effect(row.quantity, find(designs[d], row.quantity),
                    find(designs.front(), row.quantity));
    };
    for (std::size_t d = 1; d < row.designs.size(); ++d) {
      if (!row.designs[d] || !row.designs[d]->span) continue;
      const auto before = effect_in(usual, d);
      const auto after = effect_in(at_end, d);
      if (!before || !after) continue;
      Compared& here = *row.designs[d];
      const double value = here.ratio ? here.ratio->mean : here.difference->mean;
      const auto reached =
          carried(value, *before, *after, here.ratio ? Carried::in_ratio : Carried::in_difference);
      if (reached) here.span->widen(input, value, *reached);
    }
  }
}

// Nothing is known of any input yet.
void begin_spans(std::vector<ComparedRow>& rows) {
  for (ComparedRow& row : rows) {
    for (std::size_t d = 1; d < row.designs.size(); ++d) {
      auto& here = row.designs[d];
      if (!here || !here->difference || (row.quantity.is_luminance() && !here->ratio)) continue;
      const double value = here->ratio ? here->ratio->mean : here->difference->mean;
      here->span = Span::about(value);
    }
  }
}

// One input after another at either end, in all designs alike.
void add_spans(Comparison& comparison, const std::vector<Run>& runs, std::uint64_t photons) {
  std::vector<Run> usual;
  Measurements before;
  for (const Run& run : runs) {
    usual.push_back(start(run.model, coarse(run.settings, photons)));
    advance(usual.back(), photons);
    before.push_back(measured(usual.back()));
  }
  begin_spans(comparison.rows);
  for (const InputEnd& end : input_ends()) {
    Measurements after = before;
    for (std::size_t d = 0; d < usual.size(); ++d) {
      if (const auto changed = at_end(usual[d], end)) after[d] = measured(*changed);
    }
    widen(comparison.rows, end.input, before, after);
  }
}

bool same_art(const ScoreMap& a, const ScoreMap& b) {
  return a.grid.columns == b.grid.columns && a.grid.rows == b.grid.rows &&
         a.grid.lower_left_mm == b.grid.lower_left_mm && a.grid.cell_mm == b.grid.cell_mm;
}

// Luminance per engraved area of each square.
class SquareLuminance {
 public:
  explicit SquareLuminance(const Run& run) : run_(run), sums_(run, &BatchSums::squares) {}

  Replicates of(std::size_t square) const {
    const double engraved_m2 = run_.map.square_engraved_mm2[square] * kM2PerMm2;
    return replicates([&](int omitted) {
      return run_.model->flux_lm() * kScoreUnit * sums_.per_photon(square, omitted) / engraved_m2;
    });
  }

 private:
  const Run& run_;
  BatchTotals sums_;
};

std::optional<DifferenceMap> difference_map(const Run& run, const Run& base) {
  if (run.map.cells.empty() || !same_art(run.map, base.map)) return std::nullopt;
  DifferenceMap map{run.map.grid, {}};
  const SquareLuminance here(run);
  const SquareLuminance there(base);
  for (std::size_t square = 0; square < run.map.square_engraved_mm2.size(); ++square) {
    const bool engraved =
        run.map.square_engraved_mm2[square] > 0.0 && base.map.square_engraved_mm2[square] > 0.0;
    map.cd_m2.push_back(engraved ? std::optional(difference(here.of(square), there.of(square)))
                                 : std::nullopt);
  }
  return map;
}

}  // namespace

std::optional<Estimate> DifferenceMap::at(const Vec2& point_mm) const {
  const Vec2 cell = (point_mm - grid.lower_left_mm).cwiseQuotient(grid.cell_mm);
  const int column = static_cast<int>(std::floor(cell.x()));
  const int row = static_cast<int>(std::floor(cell.y()));
  if (column < 0 || row < 0 || column >= grid.columns || row >= grid.rows) return std::nullopt;
  return cd_m2[static_cast<std::size_t>(grid.square_of(column, row))];
}

Comparison compare(const std::vector<Run>& runs, std::uint64_t span_photons) {
  Measurements designs;
  for (const Run& run : runs) designs.push_back(measured(run));
  Comparison comparison;
  comparison.rows = rows_of(designs);
  comparison.maps.emplace_back();
  for (std::size_t d = 1; d < runs.size(); ++d) {
    comparison.maps.push_back(difference_map(runs[d], runs.front()));
  }
  if (span_photons > 0) add_spans(comparison, runs, span_photons);
  return comparison;
}

}  // namespace rimeglow
