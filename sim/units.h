// The unit system, in one place. Lengths are millimetres, angles radians, wavelengths nanometres,
// luminous flux lumens, luminance cd/m2, absorption per millimetre. Every name whose unit is not
// evident ends in it (`thickness_mm`, `flux_lm`); a name without one is a pure number.
// Axes: x right, y up, z toward the viewer in front; the origin is the lower left of the panel's
// box on its back face, so the sheet fills 0 <= z <= thickness.
#pragma once

#include <numbers>

namespace rimeglow {

inline constexpr double kPi = std::numbers::pi;
inline constexpr double kMmPerInch = 25.4;
inline constexpr double kMmPerM = 1000.0;
inline constexpr double kM2PerMm2 = 1e-6;

constexpr double radians(double degrees) { return degrees * kPi / 180.0; }
constexpr double degrees(double radians) { return radians * 180.0 / kPi; }

}  // namespace rimeglow
