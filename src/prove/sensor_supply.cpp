#include "prove/sensor_supply.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ringout::prove {

namespace {

constexpr double nothing_share = 0.04;  // of the converter's range: a pin that nothing drives, and its noise
constexpr std::size_t too_many_for_chance = 2;

bool is_supplied(const robot::Input& in) {
  return in.kind == robot::PointKind::encoder || in.kind == robot::PointKind::analogue;
}

}  // namespace

std::vector<std::string> without_supply(const robot::Robot& robot, std::span<const capture::Sample> at_rest) {
  const double full = std::exp2(robot.board.adc_bits);
  std::vector<std::string> silent;
  for (const robot::Input& in : robot.inputs) {
    const robot::BoardPort& port = robot.port_of(in.port);
    const auto* device = robot.device_of(in.device).as<robot::AnalogueDevice>();
    if (in.kind != robot::PointKind::analogue || device == nullptr || !port.adc_channel) continue;
    double sum = 0.0;
    for (const capture::Sample& s : at_rest) sum += s.adc.at(*port.adc_channel);
    if (at_rest.empty() || sum / static_cast<double>(at_rest.size()) > nothing_share * full) return {};
    const double least = std::min(device->at_low, device->at_high).si / port.divider_ratio;
    if (least > nothing_share * robot.board.logic.si) silent.push_back(in.name);
  }
  if (silent.size() < too_many_for_chance) silent.clear();
  return silent;
}

std::vector<std::string> without_supply(const robot::Robot& robot, std::span<const Finding> findings) {
  std::vector<std::string> silent;
  for (const robot::Input& in : robot.inputs) {
    const auto at =
        std::find_if(findings.begin(), findings.end(), [&](const Finding& f) { return f.point == in.name; });
    if (!is_supplied(in) || at == findings.end() || at->condition == Condition::untested) continue;
    if (at->condition != Condition::silent) return {};
    silent.push_back(in.name);
  }
  if (silent.size() < too_many_for_chance) silent.clear();
  return silent;
}

std::string measure_supply_words(const robot::Robot& robot, const std::vector<std::string>& silent) {
  std::string names;
  for (const std::string& name : silent) names += (names.empty() ? "" : ", ") + name;
  return fmt::format(
      "measure the sensors' supply at the board before anything else ({:.1f} V are drawn): {} say nothing "
      "at once. Where it is low, unplug the sensors one after another until it comes back",
      robot.board.logic.si, names);
}

}  // namespace ringout::prove
