// Colours and colour-dependent properties: what the eye makes of a spectrum, the spectra of white
// LEDs, and what clear acrylic does to each wavelength. With these a lamp becomes one index, one
// absorption and one colour, all weighted by V(lambda), because the tracer counts lumens.
// Assumes spectra sampled from 380 to 780 nm every 5 nm; knows no geometry.
#pragma once

#include <array>
#include <cstddef>

namespace rimeglow {

inline constexpr std::size_t kSpectrumSamples = 81;
inline constexpr double kSpectrumStart_nm = 380.0;
inline constexpr double kSpectrumStep_nm = 5.0;

// Relative power per wavelength.
using Spectrum = std::array<double, kSpectrumSamples>;

constexpr double wavelength_nm(std::size_t sample) {
  return kSpectrumStart_nm + kSpectrumStep_nm * static_cast<double>(sample);
}

// CIE 1931 2-degree tristimulus values; Y is proportional to the luminous flux.
struct Tristimulus {
  double x = 0.0;
  double y = 0.0;
  double z = 0.0;
};

struct Chromaticity {
  double x = 0.0;
  double y = 0.0;
};

// Linear light in the primaries of sRGB (IEC 61966-2-1).
struct LinearRgb {
  double red = 0.0;
  double green = 0.0;
  double blue = 0.0;
};

Tristimulus tristimulus(const Spectrum& spectrum);
Chromaticity chromaticity(const Tristimulus& colour);

// A white LED of this correlated colour temperature at unit luminous flux (Y = 1): neighbours of
// the CIE LED-B series mixed in proportion to the reciprocal temperature (derived: within 1 % of
// the temperature asked). Beyond the series' ends, 2733 and 6598 K, the end member times the
// ratio of Planck's law at both temperatures (derived: within 6 % from 1800 to 12000 K).
Spectrum white_led(double colour_k);

// A coloured LED of this dominant wavelength at unit luminous flux: a bell 20 nm wide at half
// height, common practice, no source; its true dominant wavelength is within 3 nm (derived).
Spectrum coloured_led(double wavelength_nm);

// The colour of light at luminance 1, for pictures; parts outside the gamut of sRGB are clipped
// and the luminance restored.
LinearRgb tint(const Tristimulus& colour);

// Refractive index of acrylic relative to air at about 20 C: Beadie, Brindza, Flynn, Rosenberg,
// Shirk 2015, Applied Optics 54, F139. Stated for 420 to 1620 nm; carried on to 380 nm, where
// V < 0.005. Sheets differ among themselves by up to 0.008 (Zhang and others 2020, Applied Optics
// 59, 2337), more than the formula from its measurements.
double acrylic_index(double wavelength_nm);

// The index that the lumens of this lamp meet on average: weighted by spectrum and V(lambda).
double luminous_index(const Spectrum& lamp);

// Absorption of clear cast acrylic, taken as the same at all visible wavelengths. Published values
// run from 0.02 to over 2 per metre (laser calorimetry, detector sheets, transmittance limits), so
// the usual one is uncertain by three times either way: common practice, no source.
struct AbsorptionSpan {
  double low_per_m;
  double usual_per_m;
  double high_per_m;
};
inline constexpr AbsorptionSpan kCastAcrylicAbsorption = {0.1, 0.3, 1.0};

}  // namespace rimeglow
