#include "desk/load_cases.h"

#include <algorithm>

namespace ringout::desk {
namespace {

OutputSetting setting_of(const robot::OutputLoad& load) {
  return {.loading = load.loading, .level = load.level, .speed = load.speed};
}

OutputSetting stalled(const robot::Output& output) {
  return {.loading = robot::Loading::stalled, .level = output.max_level};
}

constexpr double nearly_empty = 0.2;

CaseSetting everything_off(const robot::Robot& robot) {
  return {.state_of_charge = robot.battery.state_of_charge.value_or(1.0),
          .ambient = robot.ambient,
          .outputs = std::vector<OutputSetting>(robot.outputs.size())};
}

CaseSetting everything_as_asked(const robot::Robot& robot) {
  CaseSetting s = everything_off(robot);
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) s.outputs[o] = as_asked(robot.outputs[o]);
  return s;
}

std::string names_of(const robot::Robot& robot, const std::vector<std::size_t>& outputs) {
  std::string names;
  for (const std::size_t o : outputs) {
    if (!names.empty()) names += o == outputs.back() ? " and " : ", ";
    names += robot.outputs[o].name;
  }
  return names;
}

void stall(const robot::Robot& robot, const std::vector<std::size_t>& outputs, CaseSetting& setting) {
  for (const std::size_t o : outputs) setting.outputs[o] = stalled(robot.outputs[o]);
}

void add_own(const robot::Robot& robot, const Layout& layout, std::vector<PlannedCase>& all) {
  const auto add = [&](std::string name, std::string description, CaseSetting setting) {
    all.push_back({.name = std::move(name), .description = std::move(description), .setting = std::move(setting)});
  };
  add("all_off", "every output off: the controller and its sensors alone", everything_off(robot));
  add("all_at_asked_speed", "every motor at the speed asked for or running at its highest level, everything else on",
      everything_as_asked(robot));
  const std::vector<std::size_t> drives = drive_outputs(robot, layout);
  if (drives.empty()) return;
  const std::string names = names_of(robot, drives);
  CaseSetting alone = everything_off(robot);
  stall(robot, drives, alone);
  add("drives_stalled", names + " held still at full level, everything else off", alone);
  if (alone.state_of_charge > nearly_empty) {
    alone.state_of_charge = nearly_empty;
    add("drives_stalled_low", names + " held still at full level, everything else off, battery at 20 %",
        std::move(alone));
    all.back().own_charge = nearly_empty;
  }
  CaseSetting with_all = everything_as_asked(robot);
  stall(robot, drives, with_all);
  add("drives_stalled_all_on", names + " held still at full level, everything else on", std::move(with_all));
  std::vector<std::size_t> lifts;
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const auto& mechanism = robot.outputs[o].mechanism;
    if (mechanism && mechanism->lifted.si > 0.0 && motor_of(robot, layout, o) != nullptr) lifts.push_back(o);
  }
  if (lifts.empty()) return;
  CaseSetting lifting = everything_off(robot);
  stall(robot, drives, lifting);
  for (const std::size_t o : lifts) {
    lifting.outputs[o] = {.loading = robot::Loading::running, .level = robot.outputs[o].max_level};
  }
  add("lift_while_drives_start", names_of(robot, lifts) + " raising its load while " + names + " start from rest",
      std::move(lifting));
}

}  // namespace

OutputSetting as_asked(const robot::Output& output) {
  if (output.mechanism && output.mechanism->asked_speed) {
    return {.loading = robot::Loading::at_speed, .level = output.max_level, .speed = *output.mechanism->asked_speed};
  }
  return {.loading = robot::Loading::running, .level = output.max_level};
}

std::vector<std::size_t> drive_outputs(const robot::Robot& robot, const Layout& layout) {
  std::map<std::size_t, std::vector<std::size_t>> by_device;
  std::vector<std::size_t> endless;
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const auto& mechanism = robot.outputs[o].mechanism;
    if (motor_of(robot, layout, o) == nullptr || !mechanism || mechanism->travel || !mechanism->radius) continue;
    endless.push_back(o);
    by_device[layout.outputs[o].device].push_back(o);
  }
  const std::vector<std::size_t>* most = nullptr;
  double most_amperes = 0.0;
  for (const auto& [device, outputs] : by_device) {
    const double amperes = motor_of(robot, layout, outputs[0])->stall_current.si * static_cast<double>(outputs.size());
    if (outputs.size() < 2 || amperes <= most_amperes) continue;
    most = &outputs;
    most_amperes = amperes;
  }
  return most != nullptr ? *most : endless;
}

std::vector<PlannedCase> load_cases(const robot::Robot& robot, const Layout& layout) {
  std::vector<PlannedCase> all;
  for (std::size_t c = 0; c < robot.load_cases.size(); ++c) {
    const robot::LoadCase& from = robot.load_cases[c];
    PlannedCase planned{.name = from.name,
                        .description = from.description,
                        .origin = CaseOrigin::robot_file,
                        .place = from.at.whole,
                        .file_case = c,
                        .setting = everything_off(robot)};
    for (const robot::OutputLoad& load : from.loads) {
      const auto at = layout.output_named.find(load.output);
      planned.file_outputs.push_back(at == layout.output_named.end() ? nowhere : at->second);
    }
    refresh(robot, planned);
    all.push_back(std::move(planned));
  }
  add_own(robot, layout, all);
  return all;
}

void refresh(const robot::Robot& robot, PlannedCase& planned) {
  planned.setting.state_of_charge = planned.own_charge.value_or(robot.battery.state_of_charge.value_or(1.0));
  planned.setting.ambient = robot.ambient;
  if (planned.file_case == nowhere) {
    for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
      OutputSetting& setting = planned.setting.outputs[o];
      if (setting.loading == robot::Loading::off) continue;
      const robot::Loading loading = setting.loading;
      setting = as_asked(robot.outputs[o]);
      setting.loading = loading;
    }
    return;
  }
  const robot::LoadCase& from = robot.load_cases[planned.file_case];
  if (from.state_of_charge) planned.setting.state_of_charge = *from.state_of_charge;
  if (from.ambient) planned.setting.ambient = *from.ambient;
  for (std::size_t n = 0; n < from.loads.size(); ++n) {
    const std::size_t o = planned.file_outputs[n];
    if (o != nowhere) planned.setting.outputs[o] = setting_of(from.loads[n]);
  }
}

CaseSetting setting_of(const robot::Robot& robot, const Layout& layout, const std::vector<robot::OutputLoad>& loads) {
  CaseSetting setting = everything_off(robot);
  for (const robot::OutputLoad& load : loads) {
    const auto at = layout.output_named.find(load.output);
    if (at != layout.output_named.end()) setting.outputs[at->second] = setting_of(load);
  }
  return setting;
}

}  // namespace ringout::desk
