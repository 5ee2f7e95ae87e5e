#include "workbench_compare.h"

#include <cstdint>
#include <utility>
#include <vector>

#include "compare.h"
#include "run.h"

namespace rimeglow {
namespace {

// What both have in common cancels, so that fewer photons than the picture's tell their difference.
constexpr std::uint64_t kComparedPhotons = std::uint64_t{1} << 20;
constexpr std::uint64_t kEndPhotons = std::uint64_t{1} << 17;

}  // namespace

Contrast compared(std::shared_ptr<const Model> base, std::shared_ptr<const Model> other,
                  const std::string& deed, ContrastPicture picture, const IsWanted& is_wanted) {
  RunSettings settings = coarse({}, kComparedPhotons);
  settings.is_wanted = is_wanted;
  std::vector<Run> runs;
  for (auto& model : {std::move(base), std::move(other)}) {
    runs.push_back(start(model, settings));
    advance(runs.back(), kComparedPhotons);
  }
  const Comparison comparison = compare(runs, kEndPhotons);
  Contrast contrast{verdict_on(comparison, runs, 1, deed), {}};
  const auto& map = comparison.maps[1];
  if (map && picture == ContrastPicture::drawn)
    contrast.picture = difference_picture(runs[1], *map);
  return contrast;
}

}  // namespace rimeglow
