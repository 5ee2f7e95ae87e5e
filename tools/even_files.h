// The files of one even plan, packed before the first is written.
#pragma once

#include <string>
#include <vector>

#include "even_plan.h"
#include "folder_writer.h"
#include "laser_files.h"

namespace rimeglow {

// report.html, numbers.json, plan.toml with density.png and the art, the engravings, panel.svg,
// work-note.html and the pictures.
std::vector<NamedFile> even_files(const EvenResult& result, const LoadedScene& scene, Jig jig,
                                  const IsWanted& is_wanted = always);

// numbers.json of the planned panel as `predict` has it, and what is `even`'s under that name.
std::string even_json(const EvenResult& result, const LoadedScene& scene);

}  // namespace rimeglow
