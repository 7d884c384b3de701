// What the desk check's and the cold check's JSON share; not for others.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>
#include <string_view>

#include "desk/desk.h"

namespace ringout::cli {

using Json = nlohmann::ordered_json;

// Infinite is null: never.
[[nodiscard]] inline Json finite(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

[[nodiscard]] inline Json trip_json(const desk::TripInterval& trip) {
  return {{"earliest_s", finite(trip.earliest.si)}, {"latest_s", finite(trip.latest.si)}};
}

// The id of one of all bases; a figure that is not there has none.
[[nodiscard]] inline Json basis_json(std::string_view id) {
  return id.empty() ? Json(nullptr) : Json(desk::basis_of(id).id);
}

[[nodiscard]] Json spread_json(const robot::Robot& robot, const desk::DeskReport& report);  // null: none
[[nodiscard]] Json ranges_json(const robot::Robot& robot, const desk::DeskReport& report);

}  // namespace ringout::cli
