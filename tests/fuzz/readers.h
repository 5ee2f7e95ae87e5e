// One call for each reader of files from strangers: fed any bytes, it takes or refuses them. The
// fuzz programs and the test of the kept inputs call these.
#pragma once

#include <cstdlib>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include <nlohmann/json.hpp>

#include "art_reader.h"
#include "dropped_files.h"
#include "http_gates.h"
#include "ies_reader.h"
#include "model.h"
#include "numbers.h"
#include "outline_reader.h"
#include "own_folder.h"
#include "page_edit.h"
#include "panel_shape.h"
#include "scene_reader.h"
#include "scene_reading.h"
#include "svg_gate.h"

namespace rimeglow {

inline void feed_scene(std::string_view bytes) {
  const auto parsed = parse_scene(bytes);
  const Node* document = std::get_if<Node>(&parsed);
  if (document == nullptr) return;
  const ReadScene read = read_scene(*document, "fuzz");
  if (read.problems.empty()) check_scene(read.scene);
  read_scene(*document, "fuzz", document);  // as a scene and the shop file it uses
}

// `change` is a line of key=value, as --set has it.
inline void feed_setting(std::string_view change) {
  Node document;
  document.value = Node::Table{};
  const std::size_t equals = std::min(change.find('='), change.size());
  set_key(document, change.substr(0, equals), change.substr(std::min(equals + 1, change.size())));
}

// Of a folder that may be replaced.
inline void feed_numbers(std::string_view bytes) { has_schema(bytes, kNumbersSchema); }

inline void feed_svg_gate(std::string_view bytes) {
  try {
    vet_svg(bytes);
  } catch (const ArtError&) {
  }
}

inline void feed_outline(std::string_view bytes) {
  try {
    PanelSpec panel;
    shape_panel(panel, read_outline(bytes, OutlineSize::by_file).lines);
  } catch (const ArtError&) {
  }
}

inline void feed_ies(std::string_view bytes) {
  try {
    const MeasuredLight light = read_ies(bytes);
    for (const double u : {0.0, 0.3, 0.9999999}) {
      if (!light.far_field->sample(u, 1.0 - u).allFinite()) std::abort();
    }
  } catch (const ArtError&) {
  }
}

// PNG and JPEG only: what draws SVG is not ours and works in a process of its own.
inline void feed_picture(std::string_view bytes) {
  if (bytes.empty() || (bytes[0] != '\x89' && bytes[0] != '\xFF')) return;
  ArtRequest request;
  request.width_mm = 20.0;
  request.pixel_mm = 0.5;
  try {
    decode_art(bytes, request);
  } catch (const ArtError&) {
  }
}

// A request to the page's server as it comes over the wire: through the gates, and when it is an
// edit of a field, into a scene, which can then still be read.
inline void feed_request(std::string_view bytes) {
  if (auto files = files_in(bytes)) sorted_out(std::move(*files), nullptr);
  const Framing begun = framing_of(bytes.substr(0, bytes.size() / 2));
  if (begun != Framing::partial && begun != framing_of(bytes)) std::abort();
  RequestHead head;
  const std::size_t blank = std::min(bytes.find("\n\n"), bytes.size());
  std::string_view lines = bytes.substr(0, blank);
  while (!lines.empty()) {
    const std::string_view line = lines.substr(0, lines.find('\n'));
    lines.remove_prefix(std::min(line.size() + 1, lines.size()));
    const std::size_t colon = std::min(line.find(head.method.empty() ? ' ' : ':'), line.size());
    const std::string name(line.substr(0, colon));
    const std::string value(line.substr(std::min(colon + 1, line.size())));
    if (head.method.empty()) {
      head.method = name;
      head.path = value;
    } else {
      head.headers.emplace_back(name, value);
    }
  }
  if (refused_at({80, "t"}, head)) return;
  const auto body = small_object(bytes.substr(std::min(blank + 2, bytes.size())));
  if (!body) return;
  const auto made =
      edited("title = \"a\"\n[panel]\nwidth = \"9 mm\"\n[[lamp]]\ncount = 1\n", edit_in(*body));
  const auto* scene = std::get_if<EditedScene>(&made);
  if (scene && std::holds_alternative<Problem>(parse_scene(scene->text))) std::abort();
}

}  // namespace rimeglow
