// What the page asks to be written into a field of the ticket, and the scene's text with it. Pure.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include <nlohmann/json_fwd.hpp>

#include "document.h"

namespace rimeglow {

// A body of the page's as JSON: an object, small and flat. None when it is no such thing.
std::optional<nlohmann::json> small_object(std::string_view body);

// The text under a name, empty when there is none.
std::string text_at(const nlohmann::json& object, const char* name);

struct FieldEdit {
  std::string key;
  std::string typed;
  std::string standing;  // what stood in the field before
};
FieldEdit edit_in(const nlohmann::json& object);

// The scene's text with the edit, and the value as TOML; or what is wrong with what was typed.
struct EditedScene {
  std::string text;
  std::string toml;
};
std::variant<EditedScene, Problem> edited(const std::string& scene, const FieldEdit& edit);

}  // namespace rimeglow
