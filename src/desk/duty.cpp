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
constexpr int even_steps = 12;
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
                  .loads = s.chopped_loads,
                  .circuits = solver.circuit().chopped_loads};
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    step.protections.push_back({std::abs(s.resistors[layout.resistor_of_protection(p)].si)});
  }
  for (const ChoppedLoad& load : step.circuits) step.supplies.push_back(s.nodes[load.node]);
  return step;
}

// Fixed current and conductance through both solutions; where less current flows at more voltage, fixed current and
// fixed power: what a controller, a lamp and a motor at a given speed take together.
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
    step.load.power =
        (full.battery - empty->battery) * full.terminals * empty->terminals / (empty->terminals - full.terminals);
    step.load.fixed = full.battery - step.load.power / full.terminals;
  }
  const double follows = (full.controller - empty->controller) / apart;
  if (follows > 0.0) {
    step.controller_low = full.terminals + (robot.board.supply_low - full.controller) / follows;
  }
  return step;
}

// How far each output goes in the step.
std::vector<double> ways_of(const robot::Robot& robot, const Layout& layout, const SolvedStep& step) {
  std::vector<double> ways(robot.outputs.size(), 0.0);
  for (std::size_t o = 0; o < ways.size(); ++o) {
    const auto& mechanism = robot.outputs[o].mechanism;
    if (!mechanism || motor_of(robot, layout, o) == nullptr) continue;
    const double angle = (step.loads[layout.outputs[o].load].speed * step.duration).si / mechanism->gear_ratio;
    ways[o] = angle * (mechanism->travel_is_length && mechanism->radius ? mechanism->radius->si : 1.0);
  }
  return ways;
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

// The battery emptied evenly, from the stated charge to that at the end.
struct EvenRun {
  Time time = {};
  Charge charge = {};  // out of the terminals
  Voltage end = {};    // under the heaviest step
};

const physics::DischargeStep& heaviest_of(const Run& run) {
  return *std::max_element(run.cycle.begin(), run.cycle.end(), [&](const auto& a, const auto& b) {
    const auto at_a = physics::loaded(run.state, a), at_b = physics::loaded(run.state, b);
    return at_a && at_b && at_a->current < at_b->current;
  });
}

// The charge at which the heaviest step comes to the cutoff; 0 where it is used up first.
double end_charge_of(const Run& run, const physics::DischargeStep& heaviest) {
  physics::BatteryState at = run.state;
  const auto holds = [&](double charge) {
    at.state_of_charge = charge;
    const auto now = physics::loaded(at, heaviest);
    return now && now->terminals > run.cutoff;
  };
  double low = 0.0, high = run.state.state_of_charge;
  if (holds(low)) return low;
  if (!holds(high)) return high;
  for (int n = 0; n < 40; ++n) {
    const double middle = 0.5 * (low + high);
    (holds(middle) ? high : low) = middle;
  }
  return high;
}

// In equal steps of charge, each cycle as at the step's middle; every step's end goes into `curve`.
EvenRun run_evenly(const Run& run, double end_charge, int steps, std::vector<CurvePoint>* curve) {
  const physics::DischargeStep& heaviest = heaviest_of(run);
  EvenRun even;
  physics::BatteryState at = run.state;
  const double step = (run.state.state_of_charge - end_charge) / steps;
  for (int n = 0;; ++n) {
    at.state_of_charge = run.state.state_of_charge - step * n;
    const auto now = physics::loaded(at, heaviest);
    if (!now) return even;
    even.end = now->terminals;
    if (curve != nullptr) curve->push_back({.at = even.time.si, .value = now->terminals.si});
    if (n == steps) return even;
    at.state_of_charge -= 0.5 * step;
    Charge counted, given;
    Time length;
    for (const physics::DischargeStep& s : run.cycle) {
      const auto load = physics::loaded(at, s);
      if (load) counted += physics::counted_current(run.state.rating, load->current) * s.duration;
      if (load) given += load->current * s.duration;
      length += s.duration;
    }
    if (counted.si <= 0.0) return even;
    const double cycles = step * (run.state.rating.capacity / counted);
    even.time += length * cycles;
    even.charge += given * cycles;
  }
}

const char* reason_of(physics::Ended ended, bool controller_first) {
  switch (ended) {
    case physics::Ended::cutoff:
      return controller_first ? "controller at its low level" : "battery at its cutoff";
    case physics::Ended::empty:
      return "charge used up";
    case physics::Ended::overloaded:
      return "load beyond what the battery can give";
    case physics::Ended::cycles_done:
      return "cycle takes next to nothing";
  }
  return "";
}

Run run_of(const robot::Robot& robot, const Layout& layout) {
  const auto* device = robot.catalogue.devices[layout.battery_device].as<robot::BatteryDevice>();
  Run run{.model = battery_model(*device), .state = {}, .cycle = {}, .cutoff = device->cutoff.value_or(Voltage{})};
  run.state = {.rating = run.model.rating,
               .open_circuit = {},
               .internal = run.model.internal,
               .by_charge = {},
               .temperature_factor = physics::resistance_factor(run.model.by_temperature, robot.ambient),
               .state_of_charge = robot.battery.state_of_charge.value_or(1.0)};
  return run;
}

// A battery of that charge for each day's cycles.
void count_days(double per_day, Charge from_one, DutyFigures& f) {
  f.charge_per_day = f.charge * per_day;
  f.energy_per_day = f.energy * per_day;
  f.batteries_per_day = f.charge_per_day.si <= 0.0 ? 0.0
                        : from_one.si > 0.0        ? f.charge_per_day / from_one
                                                   : std::numeric_limits<double>::infinity();
}

void run_down(const robot::Robot& robot, const Layout& layout, const std::vector<StepLoad>& loads,
              const DeskOptions& options, double per_day, RunDown how, DutyFigures& f) {
  Run run = run_of(robot, layout);
  run.state.open_circuit = run.model.open_circuit;
  run.state.by_charge = run.model.by_charge;
  Voltage low;
  for (const StepLoad& s : loads) low = std::max(low, s.controller_low);
  const bool controller_first = low > run.cutoff;
  run.cutoff = std::max(run.cutoff, low);
  for (const StepLoad& s : loads) run.cycle.push_back(s.load);
  if (how == RunDown::evenly) {
    const EvenRun even = run_evenly(run, end_charge_of(run, heaviest_of(run)), even_steps, nullptr);
    f.run_time = even.time;
    f.cycles = even.time / f.length;
    f.end_voltage = even.end;
    count_days(per_day, even.charge, f);
    return;
  }
  const double expected = f.charge.si > 0.0 ? run.state.rating.capacity / f.charge : 0.0;
  const double group = std::max(1.0, std::ceil(expected / most_groups));
  for (physics::DischargeStep& s : run.cycle) s.duration = s.duration * group;
  const physics::Discharge d = physics::discharge(run.state, run.cycle, run.cutoff, most_cycles);
  f.run_time = d.run_time;
  f.cycles = d.cycles * group;
  f.end_voltage = d.loaded_at_end;
  f.end_reason = reason_of(d.ended, controller_first);
  count_days(per_day, d.charge, f);
  if (options.curves == Curves::include) (void)run_evenly(run, d.state_of_charge, curve_points, &f.run_curve);
}

}  // namespace

// Solved from where the same one lay before: figures that moved within their tolerances lie nearby.
Result<const Solution*> DutyChecker::solve(std::size_t cycle, std::size_t solution, const CaseSetting& setting) {
  if (near_.size() <= cycle) near_.resize(cycle + 1);
  std::vector<std::vector<Voltage>>& known = near_[cycle];
  if (known.size() <= solution) known.resize(solution + 1);
  auto solved = solver_.solve(setting, known[solution].empty() ? nullptr : &known[solution]);
  if (solved && known[solution].empty()) known[solution] = (*solved)->nodes;
  return solved;
}

DutyFigures DutyChecker::figures(std::size_t index, const DeskOptions& options, RunDown how) {
  const robot::DutyCycle& cycle = robot_.duty_cycles[index];
  DutyFigures f{.cycle = index, .cycles_shown = options.heat_cycles};
  std::vector<SolvedStep> steps;
  std::vector<StepLoad> loads;
  for (std::size_t n = 0; n < cycle.steps.size(); ++n) {
    const robot::DutyStep& step = cycle.steps[n];
    f.ways.emplace_back(robot_.outputs.size(), 0.0);
    if (step.duration.si <= 0.0) continue;
    CaseSetting setting = setting_of(robot_, solver_.layout(), step.loads);
    const auto full = solve(index, 2 * n, setting);
    if (!full) {
      f.unsolved = full.error();
      return f;
    }
    steps.push_back(read_step(solver_, **full, step.duration));
    f.ways.back() = ways_of(robot_, solver_.layout(), steps.back());
    setting.state_of_charge = std::min(nearly_empty, 0.5 * setting.state_of_charge);
    const auto empty = solve(index, 2 * n + 1, setting);
    std::optional<SolvedStep> last;
    if (empty) last = read_step(solver_, **empty, step.duration);
    loads.push_back(step_load(robot_, steps.back(), last));
  }
  if (steps.empty()) return f;
  sum_up(steps, f);
  run_down(robot_, solver_.layout(), loads, options, cycle.repeats_per_day, how, f);
  if (settled_.size() <= index) settled_.resize(index + 1);
  f.motors = motor_heat(robot_, solver_.layout(), steps, options, settled_[index]);
  f.protections = protection_profiles(robot_, solver_.layout(), steps, elements_);
  return f;
}

}  // namespace ringout::desk
