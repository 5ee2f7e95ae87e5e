// Closure of the absolute scale: luminances times cosine over area and hemisphere are the lumens
// that the ledger says left, and a luminance map adds up to the mean of its viewer.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "batch_statistics.h"
#include "panels.h"

namespace rimeglow {
namespace {

// Gauss-Legendre on (0, 1) with 4 nodes (Abramowitz and Stegun 25.4.30) in sin^2 of the angle from
// the normal, in which a Lambertian surface is even, times evenly spread azimuths.
constexpr std::array<double, 4> kNodes = {0.0694318442, 0.3300094782, 0.6699905218, 0.9305681558};
constexpr std::array<double, 4> kWeights = {0.1739274226, 0.3260725774, 0.3260725774, 0.1739274226};
constexpr int kAzimuths = 8;

std::vector<Viewer> hemisphere(Side side) {
  const double out = side == Side::front ? 1.0 : -1.0;
  std::vector<Viewer> eyes;
  for (const double sin2 : kNodes) {
    for (int k = 0; k < kAzimuths; ++k) {
      const double azimuth = 2.0 * kPi * (k + 0.5) / kAzimuths;
      eyes.push_back({"eye " + std::to_string(eyes.size()),
                      {std::sqrt(sin2) * std::cos(azimuth), std::sqrt(sin2) * std::sin(azimuth),
                       out * std::sqrt(1.0 - sin2)}});
    }
  }
  return eyes;
}

// Lumens that leave the engraved area toward the eyes [first, first + 32), as a share of the
// lamps'.
Estimate seen_flux(const Run& run, std::size_t first, std::size_t surface_sums, double) {
  (void)surface_sums;
  return jackknife([&](int omitted) {
    double photons = 0.0;
    double flux = 0.0;
    for (int b = 0; b < kBatches; ++b) {
      if (b == omitted) continue;
      const BatchSums& batch = run.tally.batches[static_cast<std::size_t>(b)];
      photons += static_cast<double>(batch.photons);
      for (std::size_t i = 0; i < kNodes.size() * kAzimuths; ++i) {
        double score = 0;
        for (std::size_t block = 0; block < run.map.block_engraved_mm2.size(); ++block)
          score += static_cast<double>(batch.blocks[block * run.map.stride() + first + i]);
        flux += kPi * kWeights[i / kAzimuths] / kAzimuths * kScoreUnit * score;
      }
    }
    return flux / photons;
  });
}

TEST(Closure, Explore) {
  for (Side side : {Side::back, Side::front})
    for (double alpha : {0.2, 0.5, 1.0})
      for (double frost : {0.0, 0.3, 1.0}) {
        Model model = panels::sign_blank();
        panels::engrave(model, side, panels::ground(alpha, frost), panels::mixed());
        model.viewers = hemisphere(Side::front);
        for (const Viewer& v : hemisphere(Side::back)) model.viewers.push_back(v);
        auto m = std::make_shared<const Model>(model);
        RunSettings st;
        st.seed = 5;
        st.threads = 1;
        st.response_walks = 1 << 16;
        auto run = start(m, st);
        advance(run, 100000);
        const Estimate f = seen_flux(run, 0, 0, 0), b = seen_flux(run, 32, 0, 0);
        const Estimate lf = panels::ledger_share(run, kFrontMark),
                       lb = panels::ledger_share(run, kBackMark);
        std::printf(
            "side %d a %.1f f %.1f: front %.4f+-%.4f ledger %.4f+-%.4f ratio %.4f | back "
            "%.4f+-%.4f ledger %.4f+-%.4f ratio %.4f\n",
            side == Side::front, alpha, frost, f.mean, f.standard_error, lf.mean, lf.standard_error,
            f.mean / lf.mean, b.mean, b.standard_error, lb.mean, lb.standard_error,
            b.mean / lb.mean);
      }
}

}  // namespace
}  // namespace rimeglow
