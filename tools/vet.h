// What can be said of a scene before any light is traced: sizes and where they come from, what is
// engraved, what the lamp gives, laser time, weight, and what deserves a second look.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scene_files.h"

namespace rimeglow {

std::string facts_text(const LoadedScene& scene);

// Of all marks, one after another, where the scene has a machine. `drawings` and `model` are the
// scene's.
std::optional<double> laser_minutes(const Scene& scene, const std::vector<Drawing>& drawings,
                                    const Model& model);

// Whether it may lie on the machine's bed, one way or the other.
bool fits_bed(const Vec2& size_mm, const MachineSpec& machine);
// "the jig, 430.0 x 330.0 mm, is larger than the machine's bed of 400.0 x 300.0 mm by 30 mm and 30
// mm".
std::string beyond_bed(const std::string& what, const Vec2& size_mm, const MachineSpec& machine);

// How large the art is and where that comes from; the scene must have art.
std::string art_size_text(const LoadedScene& scene);

// "tag.svg, 14 pieces, 1 hole": the panel must have an outline of its own.
std::string outline_in_words(const PanelSpec& panel);

// What deserves another look before the piece is made, in words that can follow "Mind:".
std::vector<std::string> second_looks(const LoadedScene& scene);
// The same as whole sentences, and which lumens are guessed: for who sees only the result.
std::vector<std::string> scene_warnings(const LoadedScene& scene);
// Besides where a jig is drawn: that it is too large for the machine.
std::optional<std::string> jig_warning(const LoadedScene& scene);

}  // namespace rimeglow
