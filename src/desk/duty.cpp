#include "desk/duty.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "physics/discharge.h"

namespace ringout::desk {
namespace {

constexpr double nearly_empty = 0.1;   // charge of the second solution
constexpr double most_groups = 500.0;  // more cycles than this are taken several at a time
constexpr int most_cycles = 100'000;   // of those groups
constexpr int curve_points = 60;
constexpr double same_volts = 1e-6;

// The battery's load in a step, and the battery voltage at which the controller would be at its low level.
struct StepLoad {
  physics::DischargeStep load;
  Voltage controller_low;
};

SolvedStep read_step(const CaseSolver& solver, const Solution& s, Time duration) {
  const Layout& layout = solver.layout();
  SolvedStep step{.duration = duration,
                  .battery = s.sources[0],
                  .terminals = s.nodes[Layout::terminals],
                  .controller = s.nodes[layout.board],
                  .loads = s.chopped_loads};
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    step.protections.push_back({std::abs(s.resistors[layout.resistor_of_protection(p)].si)});
  }
  for (const ChoppedLoad& load : solver.circuit().chopped_loads) step.k.push_back(load.k);
  return step;
}

// The straight line through both solutions; a load that takes less current at more voltage is taken as one of fixed
// power.
StepLoad step_load(const robot::Robot& robot, const SolvedStep& full, const std::optional<SolvedStep>& empty) {
  StepLoad step{.load = {.fixed = full.battery, .per_volt = {}, .power = {}, .duration = full.duration},
                .controller_low = robot.board.supply_low + (full.terminals - full.controller)};
  if (!empty || (full.terminals - empty->terminals).si < same_volts) return step;
  const Voltage apart = full.terminals - empty->terminals;
  const physics::Conductance slope = (full.battery - empty->battery) / apart;
  if (slope.si >= 0.0) {
    step.load.per_volt = slope;
    step.load.fixed = full.battery - slope * full.terminals;
  } else {
    step.load.fixed = {};
    step.load.power = full.battery * full.terminals;
  }
  const double follows = (full.controller - empty->controller) / apart;
  if (follows > 0.0) {
    step.controller_low = full.terminals + (robot.board.supply_low - full.controller) / follows;
  }
  return step;
}

void sum_up(const std::vector<SolvedStep>& steps, DutyFigures& f) {
  double square = 0.0;
  f.lowest_controller = steps.front().controller;
  for (const SolvedStep& s : steps) {
    f.length += s.duration;
    f.charge += s.battery * s.duration;
    f.energy += s.battery * s.terminals * s.duration;
    square += s.battery.si * s.battery.si * s.duration.si;
    f.lowest_controller = std::min(f.lowest_controller, s.controller);
  }
  f.mean_current = f.charge / f.length;
  f.effective_current = {std::sqrt(square / f.length.si)};
}

struct Run {
  BatteryModel model;
  physics::BatteryState state;
  std::vector<physics::DischargeStep> cycle;
  Voltage cutoff;
};

// Battery volts under the heaviest step while the charge falls evenly from the stated one to that at the end.
std::vector<CurvePoint> run_curve(const Run& run, double end_charge) {
  const auto heaviest = std::max_element(run.cycle.begin(), run.cycle.end(), [&](const auto& a, const auto& b) {
    const auto at_a = physics::loaded(run.state, a), at_b = physics::loaded(run.state, b);
    return at_a && at_b && at_a->current < at_b->current;
  });
  std::vector<CurvePoint> curve;
  physics::BatteryState at = run.state;
  const double step = (run.state.state_of_charge - end_charge) / curve_points;
  double time = 0.0;
  for (int n = 0; n <= curve_points; ++n) {
    at.state_of_charge = run.state.state_of_charge - step * n;
    const auto now = physics::loaded(at, *heaviest);
    if (!now) break;
    curve.push_back({.at = time, .value = now->terminals.si});
    Charge counted;
    Time length;
    for (const physics::DischargeStep& s : run.cycle) {
      const auto load = physics::loaded(at, s);
      if (load) counted += physics::counted_current(run.state.rating, load->current) * s.duration;
      length += s.duration;
    }
    if (counted.si <= 0.0) break;
    time += step * (run.state.rating.capacity * length / counted).si;
  }
  return curve;
}

void run_down(const robot::Robot& robot, const Layout& layout, const std::vector<StepLoad>& loads,
              const DeskOptions& options, double per_day, DutyFigures& f) {
  const auto* device = robot.catalogue.devices[layout.battery_device].as<robot::BatteryDevice>();
  Run run{.model = battery_model(*device), .state = {}, .cycle = {}, .cutoff = device->cutoff.value_or(Voltage{})};
  run.state = {.rating = run.model.rating,
               .open_circuit = run.model.open_circuit,
               .internal = run.model.internal,
               .by_charge = run.model.by_charge,
               .temperature_factor = physics::resistance_factor(run.model.by_temperature, robot.ambient),
               .state_of_charge = robot.battery.state_of_charge.value_or(1.0)};
  Voltage low;
  for (const StepLoad& s : loads) low = std::max(low, s.controller_low);
  const bool controller_first = low > run.cutoff;
  run.cutoff = std::max(run.cutoff, low);
  const double expected = f.charge.si > 0.0 ? run.state.rating.capacity / f.charge : 0.0;
  const double group = std::max(1.0, std::ceil(expected / most_groups));
  for (const StepLoad& s : loads) {
    run.cycle.push_back(s.load);
    run.cycle.back().duration = s.load.duration * group;
  }
  const physics::Discharge d = physics::discharge(run.state, run.cycle, run.cutoff, most_cycles);
  f.run_time = d.run_time;
  f.cycles = d.cycles * group;
  f.end_voltage = d.loaded_at_end;
  switch (d.ended) {
    case physics::Ended::cutoff:
      f.end_reason = controller_first ? "controller at its low level" : "battery at its cutoff";
      break;
    case physics::Ended::empty:
      f.end_reason = "charge used up";
      break;
    case physics::Ended::overloaded:
      f.end_reason = "load beyond what the battery can give";
      break;
    case physics::Ended::cycles_done:
      f.end_reason = "cycle takes next to nothing";
      break;
  }
  f.charge_per_day = f.charge * per_day;
  f.energy_per_day = f.energy * per_day;
  f.batteries_per_day = f.charge_per_day.si <= 0.0 ? 0.0
                        : d.charge.si > 0.0        ? f.charge_per_day / d.charge
                                                   : std::numeric_limits<double>::infinity();
  if (options.curves == Curves::include) f.run_curve = run_curve(run, d.state_of_charge);
}

DutyFigures one_cycle(const robot::Robot& robot, CaseSolver& solver, std::size_t index, const DeskOptions& options) {
  const robot::DutyCycle& cycle = robot.duty_cycles[index];
  DutyFigures f{.cycle = index, .cycles_shown = options.heat_cycles};
  std::vector<SolvedStep> steps;
  std::vector<StepLoad> loads;
  for (const robot::DutyStep& step : cycle.steps) {
    if (step.duration.si <= 0.0) continue;
    CaseSetting setting = setting_of(robot, solver.layout(), step.loads);
    const auto full = solver.solve(setting);
    if (!full) {
      f.unsolved = full.error();
      return f;
    }
    steps.push_back(read_step(solver, **full, step.duration));
    setting.state_of_charge = std::min(nearly_empty, 0.5 * setting.state_of_charge);
    const auto empty = solver.solve(setting);
    std::optional<SolvedStep> last;
    if (empty) last = read_step(solver, **empty, step.duration);
    loads.push_back(step_load(robot, steps.back(), last));
  }
  if (steps.empty()) return f;
  sum_up(steps, f);
  run_down(robot, solver.layout(), loads, options, cycle.repeats_per_day, f);
  f.motors = motor_heat(robot, solver.layout(), steps, options);
  f.protections = protection_profiles(robot, solver.layout(), steps);
  return f;
}

}  // namespace

std::vector<DutyFigures> duty_figures(const robot::Robot& robot, CaseSolver& solver, const DeskOptions& options) {
  std::vector<DutyFigures> all;
  for (std::size_t c = 0; c < robot.duty_cycles.size(); ++c) all.push_back(one_cycle(robot, solver, c, options));
  return all;
}

}  // namespace ringout::desk
