#include "desk/moved_robot.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "robot/quantity_paths.h"

namespace ringout::desk {

MovedRobot::MovedRobot(const robot::Robot& robot) : robot_(robot) {
  const auto has_tolerance = [&](const std::string& path) {
    return std::any_of(robot.tolerances.begin(), robot.tolerances.end(), [&](const auto& t) { return t.path == path; });
  };
  for (const robot::Tolerance& t : robot.tolerances) {
    double* at = robot::quantity_at(robot_, t.path);
    quantities_.push_back({.at = at, .nominal = at != nullptr ? *at : 0.0, .half_width = t.half_width});
  }
  for (robot::Device& device : robot_.catalogue.devices) {
    auto* battery = std::get_if<robot::BatteryDevice>(&device.spec);
    if (battery == nullptr) continue;
    for (Moved& q : quantities_) {
      if (q.at != &battery->internal.si || q.nominal <= 0.0) continue;
      for (std::size_t n = 0; n < battery->internal_at.size(); ++n) {
        if (has_tolerance(fmt::format("device.{}.internal_at.{}.internal", device.name, n))) continue;
        double& row = battery->internal_at[n].internal.si;
        q.followers.push_back({.at = &row, .nominal = row});
      }
    }
  }
}

void MovedRobot::move(std::span<const double> offsets) {
  for (std::size_t t = 0; t < quantities_.size(); ++t) move_one(t, offsets[t]);
}

void MovedRobot::move_one(std::size_t tolerance, double offset) {
  const Moved& q = quantities_[tolerance];
  if (q.at == nullptr) return;
  *q.at = q.nominal + offset * q.half_width;
  for (const Follower& f : q.followers) *f.at = f.nominal * (*q.at / q.nominal);
}

}  // namespace ringout::desk
