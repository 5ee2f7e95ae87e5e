// Amounts of light that are none, light that is lost and light without end fail a run: never a
// wrong figure in silence. Derived from conservation of energy; exact, so without false alarm.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>

#include "panels.h"

namespace rimeglow::numerics_test {
namespace {

Model sign() {
  Model model = panels::sign_blank();
  panels::engrave(model, Side::back, panels::ground(0.5, 0.3), panels::squares());
  model.viewers = {panels::eye(0.0, 0.0, Side::front)};
  return model;
}

void trace_with(const std::function<void(Model&)>& change) {
  Model model = sign();
  change(model);
  panels::traced(model, 640);
}

TEST(Numerics, LightThatIsNoAmountFailsTheRun) {
  EXPECT_NO_THROW(trace_with([](Model&) {}));
  const double no_number = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(trace_with([&](Model& model) { model.sheet.absorption_per_mm = no_number; }),
               std::logic_error);
  EXPECT_THROW(trace_with([](Model& model) { model.sheet.absorption_per_mm = -0.01; }),
               std::logic_error)
      << "light that grows on its way";
  EXPECT_THROW(trace_with([&](Model& model) { model.sheet.index = no_number; }), std::logic_error);
}

TEST(Numerics, AResponseThatIsNoLuminanceFailsTheStart) {
  const double no_number = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(trace_with([&](Model& model) {
                 model.layers.front().mark.rough.frost_reflectance = no_number;
               }),
               std::logic_error);
}

// A run is a value: faults are planted in it, and the next round finds them.
TEST(Numerics, LostAndEndlessLightFailTheRunBeyondTheirLimits) {
  const auto good = panels::traced(sign(), 64000);
  const auto planted = [&](LedgerEntry entry, double photons, bool cut) {
    auto run = good;
    BatchSums& batch = run.tally.batches[5];
    const std::int64_t units = fixed_point(photons, kLedgerUnit);
    batch.ledger[static_cast<std::size_t>(entry)] += units;
    batch.ledger[kMissed] -= units;
    if (cut) batch.cut += units;
    return run;
  };
  auto lost = planted(kLost, 6.0, false);
  EXPECT_NO_THROW(advance(lost, 64)) << "under a ten-thousandth";
  lost = planted(kLost, 7.0, false);
  EXPECT_THROW(advance(lost, 64), std::logic_error);
  auto endless = planted(kTrapped, 60.0, true);
  EXPECT_NO_THROW(advance(endless, 64)) << "under a thousandth";
  endless = planted(kTrapped, 70.0, true);
  EXPECT_THROW(advance(endless, 64), EndlessLight);
  auto open = good;
  open.tally.batches[5].ledger[kFrontMark] += fixed_point(1e-3, kLedgerUnit);
  EXPECT_THROW(advance(open, 64), std::logic_error) << "a ledger that does not close";
}

}  // namespace
}  // namespace rimeglow::numerics_test
