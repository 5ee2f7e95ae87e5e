// What a stranger needs to use the library: include, link, ask. Fails if the answer is wrong.
#include <cmath>
#include <iostream>

#include <rimeglow/optics.h>
#include <rimeglow/spectrum.h>

int main() {
  using namespace rimeglow;
  const double index = luminous_index(white_led(4000.0));
  const double cos_critical = std::sqrt(1.0 - 1.0 / (index * index));
  const double critical_deg = std::acos(cos_critical) * 180.0 / std::acos(-1.0);
  std::cout << "White light in acrylic meets the index " << index
            << " and is totally reflected beyond " << critical_deg << " degrees.\n";
  const bool turns = totally_reflected(index, 0.999 * cos_critical) &&
                     !totally_reflected(index, 1.001 * cos_critical);
  // Beadie and others 2015 give 1.491 to 1.494 from 590 to 550 nm, so 42.0 to 42.2 degrees.
  return turns && critical_deg > 42.0 && critical_deg < 42.2 ? 0 : 1;
}
