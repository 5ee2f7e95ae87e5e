#include "page_edit.h"

#include <nlohmann/json.hpp>

#include "ticket.h"
#include "ticket_rows.h"

namespace rimeglow {

std::optional<nlohmann::json> small_object(std::string_view body) {
  constexpr std::size_t kMostBytes = 64 * 1024;
  constexpr int kDeepest = 3;
  if (body.size() > kMostBytes) return std::nullopt;
  const auto no_deeper = [](int depth, nlohmann::json::parse_event_t, nlohmann::json&) {
    return depth <= kDeepest;
  };
  nlohmann::json parsed = nlohmann::json::parse(body, no_deeper, false);
  return parsed.is_object() ? std::optional(std::move(parsed)) : std::nullopt;
}

std::string text_at(const nlohmann::json& object, const char* name) {
  const auto found = object.find(name);
  return found != object.end() && found->is_string() ? found->get<std::string>() : std::string();
}

FieldEdit edit_in(const nlohmann::json& object) {
  return {text_at(object, "key"), text_at(object, "value"), text_at(object, "standing")};
}

std::variant<EditedScene, Problem> edited(const std::string& scene, const FieldEdit& edit) {
  const auto value = toml_of(edit.key, edit.typed, edit.standing);
  if (const auto* problem = std::get_if<Problem>(&value)) return *problem;
  const std::string& toml = std::get<std::string>(value);
  auto text = with_field(scene, edit.key, toml);
  if (const auto* problem = std::get_if<Problem>(&text)) return *problem;
  return EditedScene{std::get<std::string>(text), toml};
}

}  // namespace rimeglow
