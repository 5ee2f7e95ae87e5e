#include "scored_lines.h"

#include <algorithm>
#include <bit>
#include <utility>

#include "engraving_outline.h"

namespace rimeglow {
namespace {

using Way = std::vector<std::size_t>;  // from dot to dot

class Strokes {
 public:
  explicit Strokes(const Drawing& dots) : raster_(dots), dots_(dots), taken_(dots_.size(), false) {}

  // Every pixel in a way or beside one, and in two where they cross.
  std::vector<Way> ways(const IsWanted& is_wanted) {
    std::vector<Way> all;
    const auto add_from = [&](std::size_t pixel) {
      if (taken_[pixel]) return;
      go_on_if(is_wanted);
      if (Way way = way_through(pixel); !way.empty()) all.push_back(std::move(way));
    };
    for (const std::size_t pixel : dots_.all())
      if (std::popcount(dots_.about(pixel)) == 1) add_from(pixel);
    for (const std::size_t pixel : dots_.all()) add_from(pixel);
    return all;
  }

  // Evened out; of a dot or two that have no neighbours there is nothing to even out.
  ScoredLine line_along(const Way& way) const {
    ScoredLine line;
    for (const std::size_t pixel : way)
      line.push_back(way.size() < 3 ? middle_mm(pixel) : middle_of_dots_mm(pixel));
    return line;
  }

 private:
  Vec2 middle_mm(std::size_t dot) const {
    return raster_.origin_mm +
           raster_.pixel_mm * Vec2(dots_.column(dot) + 0.5, dots_.row(dot) + 0.5);
  }

  // Of a dot and those next to it.
  Vec2 middle_of_dots_mm(std::size_t dot) const {
    Vec2 sum_mm = middle_mm(dot);
    double count = 1.0;
    for (int k = 0; k < FiredDots::kAbout; ++k) {
      if (!dots_.fires(dots_.beside(dot, k))) continue;
      sum_mm += middle_mm(dots_.beside(dot, k));
      count += 1.0;
    }
    return sum_mm / count;
  }

  // Of one pixel beside a way nothing is left to follow.
  Way way_through(std::size_t pixel) {
    taken_[pixel] = true;
    Way way = {pixel};
    for (int end = 0; end < 2; ++end) {
      std::reverse(way.begin(), way.end());
      go_on_along(way);
    }
    const bool is_dot = way.size() == 1;
    join(way);
    if (is_dot && way.size() > 1) return {};
    if (way.front() == way.back()) return way;
    std::reverse(way.begin(), way.end());
    join(way);
    return way;
  }

  void go_on_along(Way& way) {
    for (Way on = ahead(way); !on.empty(); on = ahead(way)) {
      for (const std::size_t pixel : on) taken_[pixel] = true;
      way.insert(way.end(), on.begin(), on.end());
    }
  }

  // From a way's end to the next pixel that none has taken: straight on, else round a corner. A way
  // that meets another ends there, so that the other stays whole.
  Way ahead(const Way& way) const {
    Way free;
    for (int k = 0; k < FiredDots::kAbout; ++k)
      if (const std::size_t next = dots_.beside(way.back(), k); dots_.fires(next) && !taken_[next])
        free.push_back(next);
    const bool has_branches = std::popcount(dots_.about(way.back())) > 2;
    if (free.empty() || has_branches)
      if (Way on = straight_on(way); !on.empty()) return on;
    if (free.size() == 1 || (way.size() == 1 && !free.empty())) return {free.front()};
    return {};
  }

  // Toward the pixel farthest straight ahead that no way has taken, over those that are where ways
  // cross or share a few, as far as the first that is not.
  Way straight_on(const Way& way) const {
    constexpr std::size_t kBack = 13;  // pixels of a way that tell where it heads
    constexpr double kAhead_px = 8.0;  // two lines of one pixel share as many at 15 degrees
    constexpr double kAside = 1.7;     // 30 degrees: farther off nothing is straight ahead
    const Vec2 end_mm = middle_mm(way.back());
    const Vec2 back_mm = middle_mm(way[way.size() - std::min(way.size(), kBack)]);
    const Vec2 heading = (end_mm - back_mm).normalized();
    Way reached = {way.back()};
    std::vector<std::size_t> from = {0};
    std::size_t best = 0;
    double best_px = 0.0;
    for (std::size_t i = 0; i < reached.size(); ++i)
      for (int k = 0; k < FiredDots::kAbout; ++k) {
        const std::size_t next = dots_.beside(reached[i], k);
        if (!dots_.fires(next) || std::find(reached.begin(), reached.end(), next) != reached.end())
          continue;
        const Vec2 there = (middle_mm(next) - end_mm) / raster_.pixel_mm;
        const double ahead_px = there.dot(heading);
        const double aside_px = std::abs(cross(there, heading));
        if (ahead_px <= 0.0 || ahead_px > kAhead_px || aside_px > 2.0 + 0.4 * ahead_px) continue;
        reached.push_back(next);
        from.push_back(i);
        if (taken_[next] || ahead_px - kAside * aside_px <= best_px) continue;
        best_px = ahead_px - kAside * aside_px;
        best = reached.size() - 1;
      }
    Way on;
    for (std::size_t i = best; i != 0; i = from[i]) {
      if (!taken_[reached[i]]) on.clear();
      on.push_back(reached[i]);
    }
    std::reverse(on.begin(), on.end());
    return on;
  }

  // On to what was taken before, so that branches meet and rounds close.
  void join(Way& way) const {
    constexpr std::ptrdiff_t kOwn = 3;  // pixels at its end that it cannot but stand beside
    const auto own = way.end() - std::min<std::ptrdiff_t>(kOwn, std::ssize(way));
    for (const int k : {0, 2, 4, 6, 1, 3, 5, 7}) {
      const std::size_t pixel = dots_.beside(way.back(), k);
      if (!dots_.fires(pixel) || std::find(own, way.end(), pixel) != way.end()) continue;
      way.push_back(pixel);
      return;
    }
  }

  const Drawing& raster_;
  FiredDots dots_;
  std::vector<bool> taken_;  // by a way
};

double off_line_mm(const Vec2& point, const Vec2& from, const Vec2& to) {
  const Vec2 along = to - from;
  const double squared = along.squaredNorm();
  const double part =
      squared > 0.0 ? std::clamp((point - from).dot(along) / squared, 0.0, 1.0) : 0.0;
  return (point - from - part * along).norm();
}

// Fewest points within `far_mm` of all, by halving at the farthest (Douglas and Peucker 1973).
ScoredLine simplified(const ScoredLine& line, double far_mm) {
  std::vector<bool> is_kept(line.size(), false);
  is_kept.front() = is_kept.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> parts = {{0, line.size() - 1}};
  while (!parts.empty()) {
    const auto [from, to] = parts.back();
    parts.pop_back();
    std::size_t farthest = from;
    double most_mm = far_mm;
    for (std::size_t i = from + 1; i < to; ++i) {
      const double off_mm = off_line_mm(line[i], line[from], line[to]);
      if (off_mm <= most_mm) continue;
      most_mm = off_mm;
      farthest = i;
    }
    if (farthest == from) continue;
    is_kept[farthest] = true;
    parts.push_back({from, farthest});
    parts.push_back({farthest, to});
  }
  ScoredLine fewer;
  for (std::size_t i = 0; i < line.size(); ++i)
    if (is_kept[i]) fewer.push_back(line[i]);
  return fewer;
}

// The way through each point of a line, unit: between those to its neighbours, where it does not
// turn sharply; zero at corners and open ends.
std::vector<Vec2> ways_through(const ScoredLine& line) {
  constexpr double kCosSharp = 0.87;  // 30 degrees
  const std::size_t last = line.size() - 1;
  std::vector<Vec2> ways(line.size(), Vec2::Zero());
  const auto between = [&](std::size_t before, std::size_t at, std::size_t after) -> Vec2 {
    const Vec2 in = (line[at] - line[before]).normalized();
    const Vec2 out = (line[after] - line[at]).normalized();
    return in.dot(out) > kCosSharp ? Vec2((in + out).normalized()) : Vec2(Vec2::Zero());
  };
  for (std::size_t i = 1; i < last; ++i) ways[i] = between(i - 1, i, i + 1);
  if (last > 2 && line.front() == line.back()) ways.front() = ways.back() = between(last - 1, 0, 1);
  return ways;
}

// Bows, in short chords, for the chords of a curve: cubic ones along the ways through its points.
// Where such a bow would lie farther than `far_mm` from its chord, no curve was drawn.
ScoredLine bowed(const ScoredLine& line, double far_mm) {
  constexpr int kChords = 6;
  const std::vector<Vec2> ways = ways_through(line);
  ScoredLine bows = {line.front()};
  for (std::size_t i = 1; i < line.size(); ++i) {
    const Vec2 chord = line[i] - line[i - 1];
    const double length_mm = chord.norm();
    const auto along = [&](const Vec2& way) {
      return way.isZero() ? chord : Vec2(length_mm * way);
    };
    const Vec2 out = along(ways[i - 1]);
    const Vec2 in = along(ways[i]);
    const double height_mm =
        (std::abs(cross(out, chord)) + std::abs(cross(in, chord))) / (8.0 * length_mm);
    const bool is_curve = height_mm > 0.05 * far_mm && height_mm <= far_mm;
    for (int k = 1; k < kChords && is_curve; ++k) {
      const double t = static_cast<double>(k) / kChords;
      const double u = 1.0 - t;
      bows.push_back(line[i - 1] + t * t * (3.0 - 2.0 * t) * chord + t * u * (u * out - t * in));
    }
    bows.push_back(line[i]);
  }
  return bows;
}

}  // namespace

std::vector<ScoredLine> scored_lines(const Drawing& dots, const IsWanted& is_wanted) {
  constexpr double kFar_px = 1.0;  // a slanting line steps half a pixel either way, its ends too
  Strokes strokes(dots);
  std::vector<ScoredLine> lines;
  for (const Way& way : strokes.ways(is_wanted)) {
    const ScoredLine line = strokes.line_along(way);
    if (line.size() == 1) {
      const Vec2 half(0.5 * dots.pixel_mm, 0.0);
      lines.push_back({line.front() - half, line.front() + half});
    } else {
      const double far_mm = kFar_px * dots.pixel_mm;
      lines.push_back(bowed(simplified(line, far_mm), far_mm));
    }
  }
  return lines;
}

}  // namespace rimeglow
