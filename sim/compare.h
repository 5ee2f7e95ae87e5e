// Designs against each other: runs by the same photons, of which the first is the base. Every
// difference comes with the error that is left when what both runs have in common has cancelled,
// and with its span over inputs that nobody has measured.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "glow.h"

namespace rimeglow {

// What is compared. Luminances are compared as ratios, the others as differences of shares; hot
// spots where a design's LEDs show most, whichever edge that is.
struct Quantity {
  enum class Kind { art, evenness, hot_spots, edge, light };
  Kind kind = Kind::art;
  std::string name;    // of the edge, or of the ledger's entry
  std::string viewer;  // empty for light and hot spots

  bool is_luminance() const { return kind == Kind::art || kind == Kind::edge; }
  friend bool operator==(const Quantity&, const Quantity&) = default;
};

// One design's value, and what is different from the base's. None where a design has no such value:
// an edge that is exactly dark toward the viewer.
struct Compared {
  Estimate value;
  std::optional<Estimate> difference;
  std::optional<Estimate> ratio;  // of luminances
  std::optional<Span> span;       // of the ratio for luminances, else of the difference
};

struct ComparedRow {
  Quantity quantity;
  std::vector<std::optional<Compared>> designs;  // the base first
};

// Differences of luminance per engraved area, as the first viewer sees them, over the squares of
// the art's box; none where a square is not engraved.
struct DifferenceMap {
  CellGrid grid;
  std::vector<std::optional<Estimate>> cd_m2;  // see CellGrid::square_of

  // Of the square that holds a point.
  std::optional<Estimate> at(const Vec2& point_mm) const;
};

struct Comparison {
  std::vector<ComparedRow> rows;
  // By design. None for the base, and where the art is not the base's.
  std::vector<std::optional<DifferenceMap>> maps;
};

// Runs of the same seed and number of photons. Spans cost `span_photons` for each design and end of
// an input; 0 leaves them out.
Comparison compare(const std::vector<Run>& runs, std::uint64_t span_photons);

// The difference of a design in words: what it does to the art and to the edges whose finish it
// changes. `deed` names it, as "sanding the top edge".
std::string verdict_on(const Comparison& comparison, const std::vector<Run>& runs,
                       std::size_t design, const std::string& deed);

}  // namespace rimeglow
