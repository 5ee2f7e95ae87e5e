#include "even.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "glow.h"

namespace rimeglow {
namespace {

// 0.7 to 0.8 settles in three or four rounds without overshoot (own trials: 0.5 needs six, 1
// swings).
constexpr double kStep = 0.75;

// Rounds aim higher than what is asked, for new photons find a plan less even than those it was
// made with (0.850 became 0.824 to 0.838 in trials of 4e5 photons).
constexpr double kMargin = 0.03;
constexpr double kFlattery = 0.015;

constexpr double kPlanCell_mm = 5.0;
constexpr int kSteps = 255;  // of density: what a plan's file holds

double in_steps(double density) { return std::round(density * kSteps) / kSteps; }

Density full_plan(const Model& model) {
  const Vec2 size = model.art_upper_right_mm - model.art_lower_left_mm;
  Density density;
  density.lower_left_mm = model.art_lower_left_mm;
  density.columns = std::max(1, static_cast<int>(std::lround(size.x() / kPlanCell_mm)));
  density.rows = std::max(1, static_cast<int>(std::lround(size.y() / kPlanCell_mm)));
  density.cell_mm = size.cwiseQuotient(Vec2(density.columns, density.rows));
  density.share.assign(static_cast<std::size_t>(density.columns * density.rows), 1.0);
  return density;
}

// Light and area gathered from the cells of a run.
struct Gathered {
  double light = 0.0;  // luminance times area meant to glow
  double area = 0.0;
};

// Calls visit(middle, patch, light, area) for every cell of what a plan can thin, light and area as
// above.
template <class Visit>
void for_each_cell(const Run& run, std::size_t viewer, Visit&& visit) {
  const CellGrid& grid = run.map.grid;
  const double unit =
      run.model->flux_lm() * kScoreUnit / (static_cast<double>(run.photons) * kM2PerMm2);
  for (std::size_t layer = 0; layer < run.map.slot.size(); ++layer) {
    if (run.model->layers[layer].scored) continue;
    const std::vector<int>& slots = run.map.slot[layer];
    for (std::size_t i = 0; i < slots.size(); ++i) {
      if (slots[i] < 0) continue;
      const auto slot = static_cast<std::size_t>(slots[i]);
      const int column = static_cast<int>(i) % grid.columns;
      const int row = static_cast<int>(i) / grid.columns;
      std::int64_t score = 0;
      for (int channel = 0; channel < run.map.channels; ++channel)
        score += run.tally.field[static_cast<std::size_t>(channel) * run.map.channel_size() +
                                 slot * run.map.stride() + viewer];
      const ScoredCell& cell = run.map.cells[slot];
      const int patch = grid.strip_of(row) / (kStrips / kPatchesAcross) * kPatchesAcross +
                        grid.patch_column_of(column);
      visit(grid.middle_mm(i), static_cast<std::size_t>(patch),
            unit * static_cast<double>(score) * cell.catching_share, cell.engraved_mm2);
    }
  }
}

// What each cell of the plan glows at, weighed as the plan is read between its cells.
std::vector<Gathered> by_plan_cell(const Run& run, std::size_t viewer, const Density& plan) {
  std::vector<Gathered> cells(plan.share.size());
  for_each_cell(run, viewer, [&](const Vec2& middle, std::size_t, double light, double area) {
    const BetweenCells x =
        between_cells(middle.x(), plan.lower_left_mm.x(), plan.cell_mm.x(), plan.columns);
    const BetweenCells y =
        between_cells(middle.y(), plan.lower_left_mm.y(), plan.cell_mm.y(), plan.rows);
    for (const auto& [row, up] : {std::pair(y.first, 1.0 - y.part), std::pair(y.second, y.part)}) {
      for (const auto& [column, across] :
           {std::pair(x.first, 1.0 - x.part), std::pair(x.second, x.part)}) {
        Gathered& cell = cells[plan.index(column, row)];
        cell.light += up * across * light;
        cell.area += up * across * area;
      }
    }
  });
  return cells;
}

// What each counted patch would glow at, were it engraved in full.
std::vector<double> patches_in_full(const Run& run, const EvenWish& wish, const Density& plan,
                                    const ViewerGlow& glow) {
  std::vector<Gathered> patches(glow.patches.size());
  for_each_cell(run, wish.viewer,
                [&](const Vec2& middle, std::size_t patch, double light, double area) {
                  patches[patch].light += light / plan.at(middle);
                  patches[patch].area += area;
                });
  std::vector<double> in_full;
  for (std::size_t i = 0; i < patches.size(); ++i)
    if (glow.patches[i].counted) in_full.push_back(patches[i].light / patches[i].area);
  return in_full;
}

// Where next to nothing is drawn, what glows is the rim of dots beside it.
bool has_a_say(const Gathered& cell, const Density& plan) {
  constexpr double kLeastDrawn = 0.005;
  return cell.area > kLeastDrawn * plan.cell_mm.prod() && cell.light > 0.0;
}

Density stepped(const Density& plan, const std::vector<Gathered>& cells, double level,
                const DensityLimits& limits) {
  Density next = plan;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (!has_a_say(cells[i], plan)) continue;
    const double seen = cells[i].light / cells[i].area;
    next.share[i] = in_steps(next_density(plan.share[i], seen, level, limits));
  }
  return next;
}

bool is_even_enough(const EvenRound& round, const EvenWish& wish) {
  return round.evenness >= wish.evenness + kFlattery;
}

bool is_better(const EvenRound& one, const EvenRound& other, const EvenWish& wish) {
  const bool enough = is_even_enough(one, wish);
  if (enough != is_even_enough(other, wish)) return enough;
  return enough ? one.mean_cd_m2 > other.mean_cd_m2 : one.evenness > other.evenness;
}

// Root mean square over the cells that may change.
double mean_change(const Density& one, const Density& other, const std::vector<Gathered>& cells) {
  double squares = 0.0;
  double count = 0.0;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (!has_a_say(cells[i], one)) continue;
    squares += (one.share[i] - other.share[i]) * (one.share[i] - other.share[i]);
    count += 1.0;
  }
  return count > 0.0 ? std::sqrt(squares / count) : 0.0;
}

}  // namespace

double even_level(std::span<const double> in_full, double evenness) {
  double darkest = std::numeric_limits<double>::infinity();
  for (const double place : in_full) darkest = std::min(darkest, place);
  return darkest / evenness;
}

double next_density(double density, double seen, double level, const DensityLimits& limits) {
  return std::clamp(density * std::pow(level / seen, kStep), limits.least, limits.most);
}

double tone_error(const Run& run, std::size_t viewer) {
  constexpr double kToneSquare_mm = 3.0;
  constexpr double kLeastTone = 0.1;
  const CellGrid& grid = run.map.grid;
  const Vec2 size = grid.cell_mm.cwiseProduct(Vec2(grid.columns, grid.rows));
  const int across = std::max(1, static_cast<int>(size.x() / kToneSquare_mm));
  const int up = std::max(1, static_cast<int>(size.y() / kToneSquare_mm));
  std::vector<Gathered> squares(static_cast<std::size_t>(across * up));
  for_each_cell(run, viewer, [&](const Vec2& middle, std::size_t, double light, double area) {
    const Vec2 at = (middle - grid.lower_left_mm).cwiseQuotient(size);
    const int column = static_cast<int>(at.x() * across);
    const int row = static_cast<int>(at.y() * up);
    Gathered& square = squares[static_cast<std::size_t>(row * across + column)];
    square.light += light;
    square.area += area;
  });
  const double least_mm2 = kLeastTone * size.prod() / static_cast<double>(squares.size());
  std::erase_if(squares, [&](const Gathered& square) { return square.area < least_mm2; });
  double tones = 0.0;
  double lights = 0.0;
  for (const Gathered& square : squares) {
    tones += square.area * square.area;
    lights += square.area * square.light;
  }
  if (!(lights > 0.0)) return 0.0;
  double squared = 0.0;
  for (const Gathered& square : squares) {
    const double off = square.light / (square.area * lights / tones) - 1.0;
    squared += off * off;
  }
  return std::sqrt(squared / static_cast<double>(squares.size()));
}

std::vector<Drawing> dots_of(const std::vector<LayerArt>& art, const Density& density,
                             const IsWanted& is_wanted) {
  std::vector<Drawing> dots;
  for (const LayerArt& layer : art) dots.push_back(fired(layer, density, is_wanted));
  return dots;
}

std::shared_ptr<const Model> with_dots(const Model& blank, const std::vector<LayerArt>& art,
                                       const std::vector<Drawing>& dots,
                                       const BurntLayers& as_drawn, const IsWanted& is_wanted) {
  auto model = std::make_shared<Model>(blank);
  for (std::size_t i = 0; i < art.size(); ++i) {
    const bool is_burnt = !as_drawn.empty() && as_drawn[i];
    model->layers.push_back(is_burnt ? *as_drawn[i] : burnt_layer(art[i], dots[i], is_wanted));
  }
  return model;
}

Run burnt_by(const EvenSearch& search, const Density& plan) {
  const IsWanted& is_wanted = search.in_full.settings.is_wanted;
  const std::vector<Drawing> dots = dots_of(search.art, plan, is_wanted);
  return start_like(search.in_full,
                    with_dots(search.blank, search.art, dots, search.as_drawn, is_wanted));
}

EvenSearch begin_even(const Scene& scene, const std::vector<Drawing>& drawings, const Model& model,
                      const RunSettings& settings, const EvenWish& wish) {
  Model blank = model;
  blank.layers.clear();
  std::vector<LayerArt> art = layer_art(scene, drawings, Burning::by_density, settings.is_wanted);
  Density plan = full_plan(model);
  const std::vector<Drawing> dots = dots_of(art, plan, settings.is_wanted);
  BurntLayers as_drawn;
  for (std::size_t i = 0; i < art.size(); ++i) {
    as_drawn.push_back(art[i].screen ? nullptr
                                     : std::make_shared<const Layer>(
                                           burnt_layer(art[i], dots[i], settings.is_wanted)));
  }
  Run in_full = start(with_dots(blank, art, dots, as_drawn, settings.is_wanted), settings);
  return {wish,
          std::move(blank),
          std::move(art),
          std::move(as_drawn),
          std::move(plan),
          std::move(in_full)};
}

bool is_done(const EvenSearch& search) {
  return search.settled || static_cast<int>(search.rounds.size()) == kMostEvenRounds;
}

void advance(EvenSearch& search) {
  const bool first = search.rounds.empty();
  Run run = first ? std::move(search.in_full) : burnt_by(search, search.next);
  advance(run, search.wish.photons);
  const ViewerGlow glow = viewer_glow_of(run, search.wish.viewer);
  const Density plan = search.next;
  search.rounds.push_back({plan, glow.mean_cd_m2.mean, glow.evenness.mean});
  const std::vector<double> in_full = patches_in_full(run, search.wish, plan, glow);
  search.level_cd_m2 =
      search.wish.limits.most * even_level(in_full, std::min(search.wish.evenness + kMargin, 1.0));
  if (search.wish.level_cd_m2)
    search.level_cd_m2 = std::min(search.level_cd_m2, *search.wish.level_cd_m2);
  const std::vector<Gathered> cells = by_plan_cell(run, search.wish.viewer, plan);
  search.next = stepped(plan, cells, search.level_cd_m2, search.wish.limits);
  constexpr double kStill = 0.015;  // of density, about the noise of a cell's glow
  const bool still = mean_change(plan, search.next, cells) < kStill;
  const bool as_it_is =
      is_even_enough(search.rounds.back(), search.wish) && !search.wish.level_cd_m2;
  search.settled = still && (!first || as_it_is);
  if (first) search.in_full = std::move(run);
}

const EvenRound& best_round(const EvenSearch& search) {
  const EvenRound* best = &search.rounds.front();
  // A plan that shall match a level is the last, whose level is the one asked for.
  if (search.wish.level_cd_m2) return search.rounds.back();
  for (const EvenRound& round : search.rounds)
    if (is_better(round, *best, search.wish)) best = &round;
  return *best;
}

}  // namespace rimeglow
