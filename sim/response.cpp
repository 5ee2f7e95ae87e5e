#include "response.h"

#include <omp.h>

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>

#include "microfacet.h"
#include "optics.h"
#include "sampling.h"

namespace rimeglow {
namespace {

// Nodes each way of the coarser table that holds the higher orders: they are smooth.
constexpr int kCoarse = 33;
constexpr int kCoarseNodes = kCoarse * kCoarse;
constexpr int kChunks = 64;            // fixed, so that sums do not depend on the number of threads
constexpr int kWalksAtOnce = 1 << 12;  // between two questions whether they are still wanted

using Coarse = Eigen::VectorXd;

// Equal-area disc: solid angle = 2 area. Points beyond the rim stand for the horizon.
Vec3 direction_on_disc(Vec2 disc) {
  constexpr double kRim = 0.9999;  // a hair above the horizon, where every factor is finite
  const double radius = disc.norm();
  if (radius > kRim) disc *= kRim / radius;
  const double z = 1.0 - disc.squaredNorm();
  return {disc.x() * std::sqrt(1.0 + z), disc.y() * std::sqrt(1.0 + z), z};
}

Vec2 disc_of(const Vec3& direction) {
  const double scale = 1.0 / std::sqrt(1.0 + direction.z());
  return {direction.x() * scale, direction.y() * scale};
}

// The four hat functions that hold a point of the disc, of a table of so many nodes each way.
HatShares hats_at(const Vec2& disc, int nodes = kCoarse) {
  const double u = std::clamp((disc.x() + 1.0) * 0.5, 0.0, 1.0) * (nodes - 1);
  const double v = std::clamp((disc.y() + 1.0) * 0.5, 0.0, 1.0) * (nodes - 1);
  const int column = std::min(static_cast<int>(u), nodes - 2);
  const int row = std::min(static_cast<int>(v), nodes - 2);
  const double s = u - column;
  const double t = v - row;
  const int first = row * nodes + column;
  return {{first, first + 1, first + nodes, first + nodes + 1},
          {(1 - s) * (1 - t), s * (1 - t), (1 - s) * t, s * t}};
}

// Least squares of the higher orders on the hats, weighted by the projected solid angle by which
// light arrives. A little smoothness binds the nodes at the rim, which few arrivals decide.
class HatFit {
 public:
  HatFit() {
    std::vector<Eigen::Triplet<double>> entries;
    add_mass(entries);
    add_smoothness(entries);
    Eigen::SparseMatrix<double> matrix(kCoarseNodes, kCoarseNodes);
    matrix.setFromTriplets(entries.begin(), entries.end());
    solver_.compute(matrix);
  }

  Coarse solve(const Coarse& moments) const { return solver_.solve(moments); }

 private:
  static void add_mass(std::vector<Eigen::Triplet<double>>& entries) {
    constexpr int kFine = 8 * (kCoarse - 1);
    constexpr double kArea = 4.0 / (double{kFine} * kFine);
    for (int j = 0; j < kFine; ++j) {
      for (int i = 0; i < kFine; ++i) {
        const Vec2 disc((i + 0.5) * 2.0 / kFine - 1.0, (j + 0.5) * 2.0 / kFine - 1.0);
        const double cos_arriving = 1.0 - disc.squaredNorm();
        if (cos_arriving <= 0.0) continue;
        const HatShares hats = hats_at(disc);
        for (std::size_t a = 0; a < 4; ++a) {
          for (std::size_t b = 0; b < 4; ++b) {
            entries.emplace_back(hats.node[a], hats.node[b],
                                 2.0 * kArea * cos_arriving * hats.share[a] * hats.share[b]);
          }
        }
      }
    }
  }

  static void add_smoothness(std::vector<Eigen::Triplet<double>>& entries) {
    // Relative to a node's mass of about 2 (2/32)^2: a hundredth, felt only near the rim.
    constexpr double kStiffness = 8e-5;
    for (int node = 0; node < kCoarseNodes; ++node) {
      for (const int step : {1, kCoarse}) {
        const int neighbour = node + step;
        if (neighbour >= kCoarseNodes || (step == 1 && neighbour % kCoarse == 0)) continue;
        entries.emplace_back(node, node, kStiffness);
        entries.emplace_back(neighbour, neighbour, kStiffness);
        entries.emplace_back(node, neighbour, -kStiffness);
        entries.emplace_back(neighbour, node, -kStiffness);
      }
    }
  }

  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver_;
};

// Whether light that is sent back may have met more than one facet, or what lies behind the
// surface.
bool has_higher_orders(const Finish& finish) {
  if (finish.kind == Finish::Kind::painted) return false;
  return finish.kind != Finish::Kind::rough || finish.rough.frost_share < 1.0 || finish.backing;
}

// Directions as likely as this one, where the surface knows none: turned about its normal when the
// eye looks along it, else the mirror image in the eye's plane.
std::vector<Vec3> equally_likely(const Vec3& direction, const Vec3& eye) {
  constexpr int kTurns = 16;
  std::vector<Vec3> likely = {direction};
  const Vec2 across = Vec2(-eye.y(), eye.x()).normalized();
  if (across.squaredNorm() > 0.0) {
    const double side = direction.x() * across.x() + direction.y() * across.y();
    likely.emplace_back(direction.x() - 2.0 * side * across.x(),
                        direction.y() - 2.0 * side * across.y(), direction.z());
    return likely;
  }
  static const Eigen::AngleAxisd kTurn(2.0 * kPi / kTurns, Vec3::UnitZ());
  for (int turn = 1; turn < kTurns; ++turn) likely.push_back(kTurn * likely.back());
  return likely;
}

// Calls note(arriving direction, share) for what walks [first, first + count) from the eye send
// back into the acrylic beyond what first_order() tells.
template <class Note>
void walk_back(const Finish& finish, double index, const Vec3& from_eye, std::uint64_t seed,
               int first, int count, const IsWanted& is_wanted, const Note& note) {
  const int least = finish.kind == Finish::Kind::polished ? 1 : 2;
  for (int k = first; k < first + count; ++k) {
    if ((k - first) % kWalksAtOnce == 0) go_on_if(is_wanted);
    const Draws draws(seed, static_cast<std::uint64_t>(k));
    const Outcome outcome = interact(finish, index, from_eye, draws);
    const bool into_acrylic = outcome.direction.z() < 0.0;
    if (outcome.fate == Fate::absorbed || outcome.order < least || !into_acrylic) continue;
    const Vec3 arriving = -outcome.direction;  // the light that would come the other way
    if (!finish.isotropic()) {
      note(arriving, 1.0);
      continue;
    }
    const std::vector<Vec3> likely = equally_likely(arriving, from_eye);
    for (const Vec3& way : likely) note(way, 1.0 / static_cast<double>(likely.size()));
  }
}

// Moments of the higher orders over the hats, each by its own part of the walks.
std::vector<Coarse> higher_moments(const Finish& finish, double index, const Sight& sight,
                                   const ResponseSettings& settings) {
  std::vector<Coarse> chunks(kChunks, Coarse::Zero(kCoarseNodes));
  if (!has_higher_orders(finish)) return chunks;
  const int per_chunk = std::max(1, settings.walks / kChunks);
  const Vec3 from_eye = -sight.toward;
  bool is_whole = true;
#pragma omp parallel for schedule(dynamic) num_threads(settings.threads) reduction(&& : is_whole)
  for (int chunk = 0; chunk < kChunks; ++chunk) {
    is_whole = is_whole && is_finished([&] {
                 Coarse& moments = chunks[static_cast<std::size_t>(chunk)];
                 walk_back(finish, index, from_eye, settings.seed, chunk * per_chunk, per_chunk,
                           settings.is_wanted, [&](const Vec3& arriving, double share) {
                             hats_at(disc_of(arriving)).add(share, moments);
                           });
               });
  }
  if (!is_whole) throw Unwanted();
  for (Coarse& chunk : chunks) chunk /= per_chunk;
  return chunks;
}

// Frost and first facet order, 1/sr, for light arriving along `direction`.
double first_order(const Finish& finish, double index, const Vec3& direction, const Vec3& toward) {
  const bool outward = toward.z() > 0.0;
  if (finish.kind == Finish::Kind::painted) return outward ? 0.0 : finish.paint_reflectance / kPi;
  if (finish.kind == Finish::Kind::polished || (finish.backing && outward)) return 0.0;
  const Rough& rough = finish.rough;
  const double frost = rough.frost_radiance(index, outward);
  const Vec3 in = to_grain(rough, flipped(-direction));
  const Vec3 out = to_grain(rough, flipped(toward));
  const double facets = outward ? single_transmission(rough.slopes, 1.0 / index, in, out)
                                : single_reflection(rough.slopes, 1.0 / index, in, out);
  return rough.frost_share * frost + (1.0 - rough.frost_share) * facets;
}

// How much light arrives along `direction`: any that LEDs may send there before something scatters
// it, of one radiance within the cone into which the lit edges refract.
double from_leds(const Model& model, const Frame& frame, const Vec3& direction) {
  const double cos_cone = critical_cosine(model.sheet.index);
  const Vec2 way = frame.to_world(direction).head<2>();
  const bool is_lit = std::any_of(model.lamps.begin(), model.lamps.end(), [&](const LedRow& row) {
    return way.dot(row.inward()) > cos_cone;
  });
  return is_lit || model.lamps.empty() ? direction.z() : 0.0;
}

// Calls visit(node of the fine table, its direction).
template <class Visit>
void for_each_node(const Visit& visit) {
  for (int row = 0; row < Response::kNodes; ++row) {
    for (int column = 0; column < Response::kNodes; ++column) {
      const Vec2 disc(2.0 * column / (Response::kNodes - 1) - 1.0,
                      2.0 * row / (Response::kNodes - 1) - 1.0);
      visit(static_cast<std::size_t>(row * Response::kNodes + column), direction_on_disc(disc));
    }
  }
}

// How finely the first order is to be sampled between two nodes: below alpha 0.12 lobes through
// the surface are so narrow that nodes alone would miss part of their light, or tell it twice.
int samples_between_nodes(const Finish& finish) {
  const Slopes& slopes = finish.rough.slopes;
  if (finish.kind != Finish::Kind::rough) return 1;
  return static_cast<int>(std::ceil(0.12 / std::min(slopes.alpha_x, slopes.alpha_y)));
}

// first_order() on the fine nodes; of narrow lobes its mean over each node's hat.
std::vector<double> first_orders(const Finish& finish, double index, const Vec3& toward) {
  std::vector<double> values(Response::node_count()), weights(Response::node_count());
  const int samples = samples_between_nodes(finish);
  const int across = samples > 1 ? samples * (Response::kNodes - 1) : 0;
  for (int k = 0; k < across * across; ++k) {
    const Vec2 disc = Vec2(k % across + 0.5, k / across + 0.5) * 2.0 / across - Vec2(1.0, 1.0);
    if (disc.squaredNorm() >= 1.0) continue;
    const HatShares hats = hats_at(disc, Response::kNodes);
    hats.add(first_order(finish, index, direction_on_disc(disc), toward), values);
    hats.add(1.0, weights);
  }
  for_each_node([&](std::size_t node, const Vec3& direction) {
    double& value = values[node];
    value =
        weights[node] > 0.0 ? value / weights[node] : first_order(finish, index, direction, toward);
  });
  return values;
}

// The LEDs' light as a surface meets it, the same for all who look at it: on the fine nodes, and
// what a fit's moments add to all that is seen of it. The fit is symmetric, so that moments need no
// fit of their own for that.
struct LedsLight {
  std::vector<double> arriving;
  Coarse seen_of_moments;

  LedsLight(const Model& model, const Frame& frame, const HatFit& fit)
      : arriving(Response::node_count()) {
    Coarse light = Coarse::Zero(kCoarseNodes);
    for_each_node([&](std::size_t node, const Vec3& direction) {
      arriving[node] = from_leds(model, frame, direction);
      hats_at(disc_of(direction)).add(arriving[node], light);
    });
    seen_of_moments = fit.solve(light);
  }
};

double between(const Coarse& nodes, const HatShares& hats) {
  double value = 0.0;
  for (std::size_t i = 0; i < 4; ++i) value += hats.share[i] * nodes[hats.node[i]];
  return value;
}

// Standard error of what the higher orders add to a table's sum over the LEDs' light.
double noise_of(const std::vector<Coarse>& chunks, const Coarse& moments, const LedsLight& light) {
  double squares = 0.0;
  for (const Coarse& chunk : chunks)
    squares += std::pow(light.seen_of_moments.dot(chunk - moments), 2);
  return std::sqrt(squares / (kChunks * (kChunks - 1.0)));
}

void tabulate(Response& response, std::size_t viewer, const Finish& finish, double index,
              const Sight& sight, const LedsLight& light, const HatFit& fit,
              const ResponseSettings& settings) {
  const bool outward = sight.toward.z() > 0.0;
  if (finish.backing && outward) return;  // opaque from outside
  // Reverse walks give f_t out to in; f_t in to out is 1/n^2 of it.
  const double reciprocity = outward ? 1.0 / (index * index) : 1.0;
  const std::vector<Coarse> chunks = higher_moments(finish, index, sight, settings);
  Coarse moments = Coarse::Zero(kCoarseNodes);
  for (const Coarse& chunk : chunks) moments += chunk / kChunks;
  const Coarse higher = fit.solve(moments);
  const std::vector<double> first = first_orders(finish, index, sight.toward);
  double seen = 0.0;  // of the LEDs' light
  for_each_node([&](std::size_t node, const Vec3& direction) {
    const double rest = between(higher, hats_at(disc_of(direction)));
    const double value = first[node] + reciprocity * std::max(0.0, rest);
    seen += light.arriving[node] * value;
    response.node(node)[viewer] = static_cast<float>(sight.factor * value);
  });
  if (seen > 0.0) response.set_noise(viewer, reciprocity * noise_of(chunks, moments, light) / seen);
}

// What the sheet leaves of light on its way from a surface to the face that the eye looks through:
// from a mark across all of it, from an edge as the mean over its height.
double past_sheet(const Model& model, const Frame& frame, const Sight& sight) {
  if (sight.toward.z() > 0.0) return 1.0;
  const double rise = std::abs(frame.to_world(sight.toward).z());
  const double across = model.sheet.absorption_per_mm * model.thickness_mm / rise;
  const bool is_face = std::abs(frame.z.z()) == 1.0;
  if (is_face) return std::exp(-across);
  return across > 0.0 ? -std::expm1(-across) / across : 1.0;
}

Response response_of(const Model& model, int groups, const Finish& finish, const Frame& frame,
                     const HatFit& fit, const ResponseSettings& settings) {
  Response response(groups);
  const LedsLight light(model, frame, fit);
  for (std::size_t v = 0; v < model.viewers.size(); ++v) {
    auto sight = sight_of(model.viewers[v], frame, model.sheet.index);
    if (!sight) continue;
    sight->factor *= past_sheet(model, frame, *sight);
    tabulate(response, v, finish, model.sheet.index, *sight, light, fit, settings);
  }
  return response;
}

// The same for eyes that are not among the viewers, over other hats.
Eigen::VectorXd moments_for(const FitRequest& request, double index, std::uint64_t seed,
                            const IsWanted& is_wanted) {
  const HatLayout& layout = request.hats->layout();
  Eigen::VectorXd moments = Eigen::VectorXd::Zero(layout.nodes());
  if (!has_higher_orders(*request.finish)) return moments;
  walk_back(*request.finish, index, -request.toward, seed, 0, request.walks, is_wanted,
            [&](const Vec3& arriving, double share) {
              hat_shares(layout, arriving).add(share * layout.fit_weight(arriving), moments);
            });
  return moments / request.walks;
}

Eigen::VectorXf fitted(const FitRequest& request, double index, std::uint64_t seed,
                       const IsWanted& is_wanted) {
  const bool outward = request.toward.z() > 0.0;
  if (outward && (request.finish->backing || request.finish->kind == Finish::Kind::painted)) {
    return Eigen::VectorXf::Zero(request.hats->layout().nodes());
  }
  const double reciprocity = outward ? 1.0 / (index * index) : 1.0;
  const Eigen::VectorXd first = request.hats->moments([&](const Vec3& direction) {
    return first_order(*request.finish, index, direction, request.toward);
  });
  return request.hats->fit(first + reciprocity * moments_for(request, index, seed, is_wanted))
      .cast<float>();
}

}  // namespace

std::vector<Eigen::VectorXf> fit_responses(const std::vector<FitRequest>& requests, double index,
                                           std::uint64_t seed, int threads,
                                           const IsWanted& is_wanted) {
  std::vector<Eigen::VectorXf> fits(requests.size());
  bool is_whole = true;
#pragma omp parallel for schedule(dynamic) num_threads(threads) reduction(&& : is_whole)
  for (std::size_t k = 0; k < requests.size(); ++k) {
    is_whole =
        is_whole && is_finished([&] { fits[k] = fitted(requests[k], index, seed, is_wanted); });
  }
  if (!is_whole) throw Unwanted();
  return fits;
}

std::optional<Sight> sight_of(const Viewer& viewer, const Frame& frame, double index) {
  constexpr double kGrazing = 1e-6;  // an eye in the surface's plane sees nothing of it
  const double facing = viewer.toward.dot(frame.z);
  if (facing > kGrazing) return Sight{frame.to_local(viewer.toward), 1.0};
  const double cos_face = std::abs(viewer.toward.z());
  if (facing > -kGrazing || cos_face < kGrazing) return std::nullopt;
  // Backwards from the eye through the face it looks at.
  const Vec3 face(0.0, 0.0, viewer.toward.z() > 0.0 ? 1.0 : -1.0);
  const Vec3 inside = *refract(-viewer.toward, face, index);
  const double factor = (1.0 - fresnel(index, cos_face)) / (index * index);
  return Sight{frame.to_local(-inside), factor};
}

Responses respond(const Model& model, const ResponseSettings& settings) {
  ResponseSettings resolved = settings;
  if (resolved.threads <= 0) resolved.threads = omp_get_num_procs();
  static const HatFit fit;  // the same for every model
  Responses responses;
  responses.groups = (static_cast<int>(model.viewers.size()) + kViewerGroup - 1) / kViewerGroup;
  const Frame art_face = face_frame(model.art_side);
  for (const Layer& layer : model.layers) {
    responses.layers.push_back(
        response_of(model, responses.groups, layer.mark, art_face, fit, resolved));
  }
  for (std::size_t e = 0; e < model.edge_finish.size(); ++e) {
    const auto outward = seat_normal(model.outline, static_cast<int>(e));
    if (!outward || !model.edge_finish[e].scatters()) {
      responses.edges.emplace_back();
      continue;
    }
    const Frame frame = edge_frame(*outward);
    responses.edges.emplace_back(
        response_of(model, responses.groups, model.edge_finish[e], frame, fit, resolved));
  }
  return responses;
}

}  // namespace rimeglow
