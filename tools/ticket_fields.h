// The fields of a ticket's sentences, each made from its key's row in the schema.
#pragma once

#include <string>

#include "quantity.h"
#include "ray.h"
#include "scene.h"
#include "ticket.h"

namespace rimeglow {

// A few digits, no more than a scene would have: 0.5, 110, 0.3333.
std::string short_number(double value);

Segment length_field(const std::string& key, double mm);
Segment quantity_field(const std::string& key, double value, Dimension dimension);
Segment place_field(const std::string& key, const Vec2& mm);
Segment choice_field(const std::string& key, const std::string& value);
Segment plain_field(const std::string& key, const std::string& value);
Segment blank_field(const std::string& key, const std::string& words);  // nothing said so far
Segment finish_field(const std::string& key, EdgeSpec::Kind kind, const std::string& grit);

}  // namespace rimeglow
