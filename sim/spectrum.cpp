#include "spectrum.h"

#include <algorithm>
#include <cmath>

#include "spectrum_tables.h"

namespace rimeglow {

namespace {

static_assert(kSpectralRows.front().wavelength_nm == kSpectrumStart_nm);
static_assert(kSpectralRows.size() == kSpectrumSamples);

// Second radiation constant, m K (CIE 015:2018).
constexpr double kSecondRadiation_m_k = 1.4388e-2;

constexpr double kMPerNm = 1e-9;

Spectrum member(std::size_t led) {
  Spectrum spectrum{};
  for (std::size_t i = 0; i < kSpectrumSamples; ++i) {
    spectrum[i] = kSpectralRows[i].white[led];
  }
  return spectrum;
}

Spectrum scaled(Spectrum spectrum, double factor) {
  for (double& power : spectrum) power *= factor;
  return spectrum;
}

Spectrum at_unit_flux(const Spectrum& spectrum) {
  return scaled(spectrum, 1.0 / tristimulus(spectrum).y);
}

// Planck's law at one temperature over another; common factors cancel.
double planck_ratio(double wavelength_nm, double above_k, double below_k) {
  const double reach_k = kSecondRadiation_m_k / (wavelength_nm * kMPerNm);
  return std::expm1(reach_k / below_k) / std::expm1(reach_k / above_k);
}

Spectrum beyond_the_series(std::size_t end, double colour_k) {
  Spectrum spectrum = member(end);
  for (std::size_t i = 0; i < kSpectrumSamples; ++i) {
    spectrum[i] *= planck_ratio(wavelength_nm(i), colour_k, kWhiteLedColour_k[end]);
  }
  return at_unit_flux(spectrum);
}

Spectrum between(std::size_t cooler, double colour_k) {
  const double from = 1.0 / kWhiteLedColour_k[cooler];
  const double to = 1.0 / kWhiteLedColour_k[cooler + 1];
  const double share = (1.0 / colour_k - from) / (to - from);
  const Spectrum first = scaled(at_unit_flux(member(cooler)), 1.0 - share);
  const Spectrum second = scaled(at_unit_flux(member(cooler + 1)), share);
  Spectrum mix{};
  for (std::size_t i = 0; i < kSpectrumSamples; ++i) mix[i] = first[i] + second[i];
  return mix;
}

double luminance(const LinearRgb& rgb) {
  return 0.2126 * rgb.red + 0.7152 * rgb.green + 0.0722 * rgb.blue;
}

}  // namespace

Tristimulus tristimulus(const Spectrum& spectrum) {
  Tristimulus sum;
  for (std::size_t i = 0; i < kSpectrumSamples; ++i) {
    const auto& matching = kSpectralRows[i].matching;
    sum.x += matching[0] * spectrum[i];
    sum.y += matching[1] * spectrum[i];
    sum.z += matching[2] * spectrum[i];
  }
  return sum;
}

Chromaticity chromaticity(const Tristimulus& colour) {
  const double sum = colour.x + colour.y + colour.z;
  return {colour.x / sum, colour.y / sum};
}

Spectrum white_led(double colour_k) {
  if (colour_k < kWhiteLedColour_k.front()) return beyond_the_series(0, colour_k);
  if (colour_k >= kWhiteLedColour_k.back()) return beyond_the_series(kWhiteLeds - 1, colour_k);
  const auto next = std::upper_bound(kWhiteLedColour_k.begin(), kWhiteLedColour_k.end(), colour_k);
  return between(static_cast<std::size_t>(next - kWhiteLedColour_k.begin()) - 1, colour_k);
}

Spectrum coloured_led(double wavelength) {
  constexpr double kWidth_nm = 20.0;
  Spectrum spectrum{};
  for (std::size_t i = 0; i < kSpectrumSamples; ++i) {
    const double away = (wavelength_nm(i) - wavelength) / kWidth_nm;
    spectrum[i] = std::exp(-4.0 * std::log(2.0) * away * away);
  }
  return at_unit_flux(spectrum);
}

LinearRgb tint(const Tristimulus& colour) {
  // IEC 61966-2-1, CIE XYZ to linear sRGB.
  const auto [x, y, z] = colour;
  LinearRgb rgb{3.2406 * x - 1.5372 * y - 0.4986 * z, -0.9689 * x + 1.8758 * y + 0.0415 * z,
                0.0557 * x - 0.2040 * y + 1.0570 * z};
  rgb = {std::max(rgb.red, 0.0), std::max(rgb.green, 0.0), std::max(rgb.blue, 0.0)};
  const double scale = 1.0 / luminance(rgb);
  return {rgb.red * scale, rgb.green * scale, rgb.blue * scale};
}

double acrylic_index(double wavelength_nm) {
  const double um2 = wavelength_nm * wavelength_nm * 1e-6;  // wavelength squared, micrometres
  const double per_um2 = 1.0 / um2;
  const double infrared = 2.1778 + um2 * (6.1209e-3 - um2 * 1.5004e-3);
  const double visible =
      per_um2 * (2.3678e-2 + per_um2 * (-4.2137e-3 + per_um2 * (7.3417e-4 - per_um2 * 4.5042e-5)));
  return std::sqrt(infrared + visible);
}

double luminous_index(const Spectrum& lamp) {
  double weighted = 0.0;
  for (std::size_t i = 0; i < kSpectrumSamples; ++i) {
    weighted += acrylic_index(wavelength_nm(i)) * kSpectralRows[i].matching[1] * lamp[i];
  }
  return weighted / tristimulus(lamp).y;
}

}  // namespace rimeglow
