#include <algorithm>
#include <map>
#include <tuple>

#include "cold/steps.h"

namespace ringout::cold {
namespace {

bool of_supply(StepKind kind) {
  return kind == StepKind::meter_leads || kind == StepKind::rail_short || kind == StepKind::frame_short ||
         kind == StepKind::feed || kind == StepKind::feed_crossed;
}

// The most that any part at a place asks for.
std::map<std::string, Time> efforts(const robot::Robot& robot) {
  std::map<std::string, Time> by_place;
  const auto add = [&](const robot::Access& access) {
    Time& effort = by_place[access.place];
    effort = std::max(effort, access.effort);
  };
  add(robot.battery.access);
  add(robot.board_access);
  for (const auto& p : robot.protections) add(p.access);
  for (const auto& o : robot.outputs) add(o.access);
  for (const auto& i : robot.inputs) add(i.access);
  return by_place;
}

}  // namespace

std::vector<Step> ordered(const robot::Robot& robot, std::vector<Step> steps) {
  const std::string& battery = robot.battery.access.place;
  const std::string& board = robot.board_access.place;
  std::map<std::string, std::size_t> first;  // where a place comes up first
  std::map<std::string, bool> supply_alone;  // a place of the supply and of nothing else
  for (std::size_t n = 0; n < steps.size(); ++n) {
    const Step& s = steps[n];
    first.emplace(s.place, n);
    const auto [at, fresh] = supply_alone.emplace(s.place, true);
    at->second = at->second && of_supply(s.kind);
  }
  const std::map<std::string, Time> effort = efforts(robot);
  const auto rank = [&](const Step& s) {
    const bool at_battery = s.place == battery && (battery == board || of_supply(s.kind));
    if (at_battery) return std::tuple(0, Time{}, std::size_t{0});
    if (s.place == board) return std::tuple(2, Time{}, std::size_t{0});
    if (supply_alone.at(s.place)) return std::tuple(1, Time{}, first.at(s.place));
    return std::tuple(3, effort.at(s.place), first.at(s.place));
  };
  std::stable_sort(steps.begin(), steps.end(), [&](const Step& a, const Step& b) { return rank(a) < rank(b); });
  return steps;
}

}  // namespace ringout::cold
