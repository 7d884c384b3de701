// First power: what may flow at rest, from what the robot file and the catalogue say. Every output is off.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "cold/steps.h"
#include "robot/sensor_current.h"

namespace ringout::cold {
namespace {

using robot::Robot;

constexpr double idle_spread = 0.3;      // of the controller's own current, where no tolerance is stated: our choice
constexpr double regulated_rest = 0.05;  // of a servo's stall or a light's full current, at rest: our choice
constexpr double drivers_rest = 0.05;    // A, of a branch with its outputs off: common practice (from memory)
constexpr double meter_digits = 0.02;    // A: two digits of a 10 A range (from memory)

struct Amperes {
  double low = 0.0;
  double high = 0.0;
};
Amperes on_the_meter(Amperes a) {
  return {std::max(0.0, 0.99 * a.low - meter_digits), 1.01 * a.high + meter_digits};
}

double sensor_current(const Robot& robot) {
  double sum = 0.0;
  for (const auto& input : robot.inputs) {
    const robot::Device& device = robot.device_of(input.device);
    sum += robot::sensor_current(device).si + stated_half_width(device, "supply_current");
  }
  return sum;
}

// Of the servos and lights that hang on this protection; without a name, of those that the board feeds.
double rest_current(const Robot& robot, const std::string& fed_by) {
  double sum = 0.0;
  for (const auto& output : robot.outputs) {
    if (output.fed_by != fed_by) continue;
    const robot::Device& device = robot.device_of(output.device);
    if (const auto* s = device.as<robot::ServoDevice>()) sum += regulated_rest * s->stall_current.si;
    if (const auto* l = device.as<robot::LightDevice>()) sum += regulated_rest * l->current_per_pixel.si * l->pixels;
  }
  return sum;
}

double idle_half_width(const Robot& robot) {
  for (const auto& t : robot.board.tolerances) {
    if (t.path == "board.idle_current") return t.half_width;
  }
  return idle_spread * robot.board.idle_current.si;
}

// Sensors' sheets state the most that they take: the least is the controller alone.
Amperes board_at_rest(const Robot& robot) {
  return {robot.board.idle_current.si - idle_half_width(robot), most_at_rest(robot)};
}

std::string board_words(const Robot& robot) {
  const double servos = rest_current(robot, "");
  return fmt::format("controller {:.0f} mA +-{:.0f} mA, sensors up to {:.0f} mA{}, meter {:.0f} mA",
                     robot.board.idle_current.si * 1e3, idle_half_width(robot) * 1e3, sensor_current(robot) * 1e3,
                     servos > 0.0 ? fmt::format(", servos and lights at rest {:.0f} mA", servos * 1e3) : "",
                     meter_digits * 1e3);
}

// What it takes when it is on by mistake, at the least: a motor without load, a lamp or valve its steady current.
std::optional<double> when_on(const Robot& robot, const robot::Output& output) {
  const robot::Device& device = robot.device_of(output.device);
  if (const auto* motor = device.as<robot::MotorDevice>()) return motor->free_current.si;
  if (const auto* load = device.as<robot::OnOffDevice>()) return load->current.si;
  return std::nullopt;
}

Step power_step(std::string id, std::string subject, std::string prepare, Amperes amperes, std::string from) {
  Step s;
  s.id = std::move(id);
  s.kind = StepKind::first_power;
  s.subject = std::move(subject);
  s.prepare = std::move(prepare);
  s.low = amperes.low;
  s.high = amperes.high;
  s.range = "10 A";
  s.from = std::move(from);
  return s;
}

// What the drivers take at rest, yet so little that one output on by mistake is seen.
Step branch_step(const Robot& robot, const robot::Protection& p) {
  const robot::Output* least = nullptr;
  for (const auto& output : robot.outputs) {
    if (output.fed_by != p.name || !when_on(robot, output)) continue;
    if (least == nullptr || *when_on(robot, output) < *when_on(robot, *least)) least = &output;
  }
  const std::string prepare = p.name + " in as well; how much more flows than before";
  const double servos = rest_current(robot, p.name);
  const std::string resting = servos > 0.0 ? fmt::format("servos and lights at rest {:.0f} mA; ", servos * 1e3) : "";
  if (least == nullptr) {
    return power_step("power." + p.name, p.name, prepare, {0.0, 1.01 * servos + meter_digits},
                      (resting.empty() ? "nothing hangs on it; " : resting) + "two digits of a 10 A range");
  }
  const double on = *when_on(robot, *least);
  const double most = std::max(meter_digits, std::min(drivers_rest, 0.5 * on)) + servos;
  return power_step(
      "power." + p.name, p.name, prepare, {0.0, most},
      resting + fmt::format("all off: at most {:.0f} mA for the drivers, and half of the {:.0f} mA of {} when it is "
                            "on; not below two digits of a 10 A range",
                            drivers_rest * 1e3, on * 1e3, least->name));
}

}  // namespace

double most_at_rest(const robot::Robot& robot) {
  return robot.board.idle_current.si + idle_half_width(robot) + sensor_current(robot) + rest_current(robot, "");
}

std::vector<Step> power_steps(const robot::Robot& robot) {
  const auto feeds_others = [&](const std::string& name) {
    return std::any_of(robot.protections.begin(), robot.protections.end(),
                       [&](const auto& other) { return other.fed_from == name; });
  };
  std::vector<Step> steps;
  const bool at_once = feeds_others(robot.board_fed_by);  // no branch of its own: it is on with the rails
  const Amperes board = on_the_meter(board_at_rest(robot));
  steps.push_back(power_step("power.rails", "",
                             "serial line unplugged; all branch protections out or open, disconnect closed",
                             at_once ? board : on_the_meter({}),
                             at_once ? board_words(robot) : "nothing is connected; two digits of a 10 A range"));
  if (!robot.board_fed_by.empty() && !at_once) {
    steps.push_back(power_step("power.board", robot.board_fed_by, robot.board_fed_by + " in: the controller alone",
                               board, board_words(robot)));
  }
  for (const auto& p : robot.protections) {
    if (!feeds_others(p.name) && p.name != robot.board_fed_by) steps.push_back(branch_step(robot, p));
  }
  return steps;
}

}  // namespace ringout::cold
