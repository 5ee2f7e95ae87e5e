#include "run.h"

#include <omp.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string>
#include <utility>

#include "walk.h"
#include "words.h"

namespace rimeglow {
namespace {

// Half angle of the cone in which light from a polished edge is counted toward a viewer.
constexpr double kConeCos = 0.9961946980917455;  // 5 degrees

// A polished edge's light has one direction for every direction it came from; it is counted.
struct EdgeCount {
  Vec3 toward = Vec3::Zero();
  double score = 0.0;  // radiance, times area, per unit of flux in the cone
};

// What never changes while photons are traced.
struct Scoring {
  const ScoreMap& map;
  const ArrivalMap& arrivals;
  const Responses& responses;
  SurfaceId art_face;
  Vec2 cells_per_mm;
  std::vector<std::vector<EdgeCount>> counts;  // per edge and viewer
  std::vector<bool> looked_at;                 // per piece of the outline: faces as its seat
  std::vector<std::size_t> channel_of;         // per row of LEDs
};

// Scores the photons of one batch.
template <Geometry G>
class TallyScorer {
 public:
  TallyScorer(const Scoring& scoring, const G& geometry, std::vector<std::int64_t>& field,
              std::vector<std::int64_t>& arrivals, BatchSums& batch)
      : scoring_(scoring),
        geometry_(geometry),
        field_(field),
        arrivals_(arrivals),
        batch_(batch),
        known_(scoring.map.slot.size(), {Vec3::Zero(), std::vector<double>(scoring.map.stride())}) {
  }

  void begin(std::size_t row) {
    channel_ = scoring_.channel_of[row] * scoring_.map.channel_size();
    arrivals_channel_ = scoring_.channel_of[row] * scoring_.arrivals.channel_size();
    walls_channel_ = scoring_.channel_of[row] * static_cast<std::size_t>(scoring_.map.edges);
  }

  void deposit(LedgerEntry entry, double weight) {
    // Roulette's gains are booked against kTrapped, and may take the sheet's loss beyond one
    // photon.
    const double least = entry == kTrapped ? -1.0 : 0.0;
    if (!(weight >= least && weight <= 2.0)) {
      ++batch_.faults;
      return;
    }
    batch_.ledger[static_cast<std::size_t>(entry)] += fixed_point(weight, kLedgerUnit);
  }

  void arrive(const Hit& hit, const Vec3& arriving, double weight) {
    if (is_fault(weight)) return;
    if (!arrivals_.empty()) note_direction(hit, arriving, weight);
    if (hit.surface == scoring_.art_face) return arrive_at_art(hit, arriving, weight);
    if (is_looked_at(hit)) arrive_at_edge(hit, arriving, weight);
  }

  void scatter(const Hit&, const Finish&, const Vec3&, double, const Draws&) {}

  void wander(const LedRow& row, const Ray&, const std::optional<Ray>& inside, double weight) {
    if (inside || is_fault(weight)) return;
    batch_.walls[walls_channel_ + static_cast<std::size_t>(row.edge)] +=
        fixed_point(weight, kLedgerUnit);
  }

  void cut(double weight) { batch_.cut += fixed_point(weight, kLedgerUnit); }

  void leave(const Hit& hit, const Vec3& direction, double weight) {
    if (is_fault(weight) || !is_looked_at(hit)) return;
    const auto edge = static_cast<std::size_t>(hit.surface - kFirstEdge);
    const std::vector<EdgeCount>& counts = scoring_.counts[edge];
    for (std::size_t viewer = 0; viewer < counts.size(); ++viewer) {
      if (direction.dot(counts[viewer].toward) < kConeCos) continue;
      batch_.edges[edge * scoring_.map.stride() + viewer] +=
          fixed_point(weight * counts[viewer].score, kScoreUnit);
    }
  }

 private:
  // Of light under way; it never grows.
  bool is_fault(double weight) {
    const bool fault = !(weight >= 0.0 && weight <= 1.0);
    batch_.faults += fault ? 1 : 0;
    return fault;
  }

  bool is_looked_at(const Hit& hit) const {
    return hit.surface >= kFirstEdge && scoring_.looked_at[static_cast<std::size_t>(hit.piece)];
  }

  void note_direction(const Hit& hit, const Vec3& arriving, double weight) {
    const ArrivalMap& map = scoring_.arrivals;
    if (hit.surface == scoring_.art_face) {
      const int cell = map.art_cell(hit.position_mm.head<2>());
      if (cell >= 0)
        share_out(map.face_hats, map.of_art(static_cast<std::size_t>(cell)), arriving, weight);
    } else if (hit.surface >= kFirstEdge &&
               map.by_edge[static_cast<std::size_t>(hit.surface - kFirstEdge)]) {
      const std::size_t cell = map.edge_cell(hit.surface - kFirstEdge, geometry_.along_mm(hit));
      share_out(kEdgeHats, map.of_edge(cell), arriving, weight);
    }
  }

  void share_out(const HatLayout& layout, std::size_t first, const Vec3& arriving, double weight) {
    const HatShares hats = hat_shares(layout, arriving);
    std::int64_t* nodes = arrivals_.data() + arrivals_channel_ + first;
    for (std::size_t i = 0; i < 4; ++i) {
      nodes[hats.node[i]] += fixed_point(weight * hats.share[i], kScoreUnit);
    }
  }

  void arrive_at_art(const Hit& hit, const Vec3& arriving, double weight) {
    const CellGrid& grid = scoring_.map.grid;
    const double u = (hit.position_mm.x() - grid.lower_left_mm.x()) * scoring_.cells_per_mm.x();
    const double v = (hit.position_mm.y() - grid.lower_left_mm.y()) * scoring_.cells_per_mm.y();
    if (!(u >= 0.0 && v >= 0.0 && u < grid.columns && v < grid.rows)) return;
    const std::size_t cell = grid.index(static_cast<int>(u), static_cast<int>(v));
    for (std::size_t layer = 0; layer < scoring_.map.slot.size(); ++layer) {
      const int slot = scoring_.map.slot[layer][cell];
      if (slot >= 0) score_cell(static_cast<std::size_t>(slot), layer, arriving, weight);
    }
  }

  void score_cell(std::size_t slot, std::size_t layer, const Vec3& arriving, double weight) {
    const ScoredCell& cell = scoring_.map.cells[slot];
    const std::size_t stride = scoring_.map.stride();
    std::int64_t* field = field_.data() + channel_ + slot * stride;
    std::int64_t* block = batch_.blocks.data() + static_cast<std::size_t>(cell.block) * stride;
    const std::vector<double>& response = response_along(layer, arriving);
    for (std::size_t i = 0; i < stride; ++i) {
      const double score = weight * response[i];
      field[i] += fixed_point(score, kScoreUnit);
      block[i] += fixed_point(score * cell.catching_share, kScoreUnit);
    }
    if (stride == 0) return;
    const std::int64_t first = fixed_point(weight * response[0] * cell.catching_share, kScoreUnit);
    batch_.squares[static_cast<std::size_t>(cell.square)] += first;
    for (const std::size_t phase : cell.phases) batch_.phases[phase] += first;
  }

  // A zigzag meets the art's face again and again along one direction.
  const std::vector<double>& response_along(std::size_t layer, const Vec3& arriving) {
    Known& known = known_[layer];
    if (known.arriving != arriving) {
      known.arriving = arriving;
      scoring_.responses.layers[layer].look_up(
          arriving, [&](int group, const std::array<float, kViewerGroup>& response) {
            std::copy(response.begin(), response.end(),
                      known.response.begin() + group * kViewerGroup);
          });
    }
    return known.response;
  }

  void arrive_at_edge(const Hit& hit, const Vec3& arriving, double weight) {
    const auto edge = static_cast<std::size_t>(hit.surface - kFirstEdge);
    const std::optional<Response>& response = scoring_.responses.edges[edge];
    if (!response) return;
    std::int64_t* sums = batch_.edges.data() + edge * scoring_.map.stride();
    response->look_up(arriving, [&](int group, const std::array<float, kViewerGroup>& value) {
      for (std::size_t i = 0; i < kViewerGroup; ++i) {
        sums[static_cast<std::size_t>(group) * kViewerGroup + i] +=
            fixed_point(weight * static_cast<double>(value[i]), kScoreUnit);
      }
    });
  }

  struct Known {
    Vec3 arriving = Vec3::Zero();
    std::vector<double> response;  // by viewer
  };

  const Scoring& scoring_;
  const G& geometry_;
  std::vector<std::int64_t>& field_;
  std::vector<std::int64_t>& arrivals_;  // empty where no camera is asked for
  BatchSums& batch_;
  std::size_t arrivals_channel_ = 0;
  std::size_t walls_channel_ = 0;
  std::size_t channel_ = 0;   // where the field of this photon's colour begins
  std::vector<Known> known_;  // per layer, what was looked up last
};

// Light of a polished edge toward each viewer that sees it from outside: flux in the cone over
// its solid angle and the cosine is radiance times area.
std::vector<std::vector<EdgeCount>> edge_counts(const Model& model) {
  std::vector<std::vector<EdgeCount>> counts(model.edge_finish.size());
  const double solid_angle = 2.0 * kPi * (1.0 - kConeCos);
  for (std::size_t e = 0; e < counts.size(); ++e) {
    const auto outward = seat_normal(model.outline, static_cast<int>(e));
    if (!outward || model.edge_finish[e].scatters()) continue;
    for (const Viewer& viewer : model.viewers) {
      const double facing = viewer.toward.dot(*outward);
      const bool seen = facing >= kGrazingEdge;
      counts[e].push_back({viewer.toward, seen ? 1.0 / (solid_angle * facing) : 0.0});
    }
  }
  return counts;
}

Scoring scoring_of(const Run& run) {
  const Model& model = *run.model;
  const bool art = !model.layers.empty();
  std::vector<std::size_t> channel_of;
  for (const LedRow& row : model.lamps) channel_of.push_back(row.channel);
  std::vector<bool> looked_at;
  for (const OutlinePiece& piece : model.outline.pieces) {
    looked_at.push_back(faces_as_seat(model.outline, piece));
  }
  return {run.map,
          run.arrival_map,
          run.responses,
          art ? face_id(model.art_side) : kNoSurface,
          run.map.grid.cell_mm.cwiseInverse(),
          edge_counts(model),
          std::move(looked_at),
          std::move(channel_of)};
}

// Photons of a batch between two questions whether they are still wanted.
constexpr std::uint64_t kTracedAtOnce = 256;

// How many of the photons [first, first + count) belong to a batch, and the first of them.
struct BatchShare {
  std::uint64_t first = 0;
  std::uint64_t count = 0;
};

BatchShare share_of(std::uint64_t first, std::uint64_t count, std::uint64_t batch) {
  const std::uint64_t begin = first + (batch + kBatches - first % kBatches) % kBatches;
  if (begin >= first + count) return {begin, 0};
  return {begin, (first + count - begin + kBatches - 1) / kBatches};
}

void check_ledger(const BatchSums& batch) {
  std::int64_t sum = 0;
  for (const std::int64_t entry : batch.ledger) sum += entry;
  const double photons = static_cast<double>(batch.photons);
  const double gap = std::abs(static_cast<double>(sum) * kLedgerUnit - photons);
  if (gap > 1e-9 * photons) {
    throw std::logic_error("the light ledger of a batch is off by " + std::to_string(gap) +
                           " photons of " + std::to_string(photons));
  }
}

void check_light(const Tally& tally) {
  std::uint64_t faults = 0;
  std::int64_t photons = 0;
  std::int64_t cut = 0;
  std::int64_t lost = 0;
  for (const BatchSums& batch : tally.batches) {
    faults += batch.faults;
    photons += static_cast<std::int64_t>(batch.photons);
    cut += batch.cut;
    lost += batch.ledger[kLost];
  }
  if (faults > 0) {
    throw std::logic_error(std::to_string(faults) + " deposits of light were no amount of light");
  }
  for (const BatchSums& batch : tally.batches) check_ledger(batch);
  const double emitted = static_cast<double>(photons) / kLedgerUnit;
  // Of few photons a single one would be too much.
  if (static_cast<double>(lost) > std::max(kMostLost * emitted, 1.0 / kLedgerUnit)) {
    throw std::logic_error("no surface was found for " +
                           percent(static_cast<double>(lost) / emitted) + " of the light");
  }
  if (static_cast<double>(cut) > kMostCut * emitted) {
    throw EndlessLight(percent(static_cast<double>(cut) / emitted) +
                       " of the light was still on its way after meeting " +
                       std::to_string(kMaxHits) + " surfaces: this panel hardly loses any");
  }
}

// The field's fixed point relies on it.
void check_table(const Response& table) {
  for (std::size_t k = 0; k < Response::node_count(); ++k) {
    for (std::size_t v = 0; v < table.stride(); ++v) {
      const float value = table.node(k)[v];
      if (!(value >= 0.0f && value <= static_cast<float>(kMostScore))) {
        throw std::logic_error("a surface's response is no luminance: " + std::to_string(value));
      }
    }
  }
}

Run without_photons(std::shared_ptr<const Model> model, const RunSettings& settings, Shape shape,
                    Responses responses, ScoreMap map, std::vector<RoomView> room) {
  Tally tally(map);
  ArrivalMap arrivals = settings.arrivals ? arrival_map(*model, map) : ArrivalMap{};
  std::vector<std::int64_t> arrived(arrivals.size(), 0);
  return {
      std::move(model), settings,         std::move(shape),    std::move(responses), std::move(map),
      std::move(room),  std::move(tally), std::move(arrivals), std::move(arrived),   0};
}

}  // namespace

RunSettings coarse(RunSettings settings, std::uint64_t photons) {
  constexpr std::uint64_t kFewest = 1 << 12;
  constexpr std::uint64_t kMost = 1 << 16;
  settings.response_walks = static_cast<int>(std::clamp(photons / 4, kFewest, kMost));
  settings.room_rays = 1;
  settings.arrivals = false;
  return settings;
}

Run start(std::shared_ptr<const Model> model, const RunSettings& settings) {
  RunSettings resolved = settings;
  if (resolved.threads <= 0) resolved.threads = omp_get_num_procs();
  Responses responses = respond(
      *model, {resolved.seed, resolved.response_walks, resolved.threads, resolved.is_wanted});
  for (const Response& table : responses.layers) check_table(table);
  for (const auto& table : responses.edges) {
    if (table) check_table(*table);
  }
  ScoreMap map = score_map(*model, responses.groups, resolved.is_wanted);
  Shape shape = shape_of(*model);
  std::vector<RoomView> room =
      room_views(*model, shape, map, resolved.seed, resolved.room_rays, resolved.is_wanted);
  return without_photons(std::move(model), resolved, std::move(shape), std::move(responses),
                         std::move(map), std::move(room));
}

Run start_like(const Run& run, std::shared_ptr<const Model> model) {
  ScoreMap map = score_map(*model, run.responses.groups, run.settings.is_wanted);
  return without_photons(std::move(model), run.settings, run.shape, run.responses, std::move(map),
                         run.room);
}

void advance(Run& run, std::uint64_t photons) {
  if (photons > kPhotonCeiling - run.photons) {
    throw std::length_error("a run holds at most " + std::to_string(kPhotonCeiling) + " photons");
  }
  const Scoring scoring = scoring_of(run);
  std::vector<std::vector<std::int64_t>> fields(static_cast<std::size_t>(run.settings.threads));
  std::vector<std::vector<std::int64_t>> arrived(fields.size());
  bool is_whole = true;
#pragma omp parallel num_threads(run.settings.threads)
  {
    std::vector<std::int64_t>& field = fields[static_cast<std::size_t>(omp_get_thread_num())];
    field.assign(run.tally.field.size(), 0);
    std::vector<std::int64_t>& arrivals = arrived[static_cast<std::size_t>(omp_get_thread_num())];
    arrivals.assign(run.arrivals.size(), 0);
#pragma omp for schedule(dynamic) reduction(&& : is_whole)
    for (int b = 0; b < kBatches; ++b) {
      BatchSums& batch = run.tally.batches[static_cast<std::size_t>(b)];
      const BatchShare share = share_of(run.photons, photons, static_cast<std::uint64_t>(b));
      const auto traced = [&](const auto& geometry) {
        TallyScorer scorer(scoring, geometry, field, arrivals, batch);
        for (std::uint64_t k = 0; k < share.count; ++k) {
          if (k % kTracedAtOnce == 0) go_on_if(run.settings.is_wanted);
          trace(*run.model, geometry, run.settings.seed, share.first + k * kBatches, scorer);
        }
      };
      is_whole = is_whole && is_finished([&] { std::visit(traced, run.shape); });
      batch.photons += share.count;
    }
  }
  if (!is_whole) throw Unwanted();
  for (const std::vector<std::int64_t>& field : fields) {
    for (std::size_t i = 0; i < field.size(); ++i) run.tally.field[i] += field[i];
  }
  for (const std::vector<std::int64_t>& arrivals : arrived) {
    for (std::size_t i = 0; i < arrivals.size(); ++i) run.arrivals[i] += arrivals[i];
  }
  check_light(run.tally);
  run.photons += photons;
}

}  // namespace rimeglow
