#include <algorithm>
#include <cmath>
#include <limits>

#include "desk/duty.h"

namespace ringout::desk {
namespace {

constexpr int points_per_step = 6;
constexpr std::size_t most_points = 600;
constexpr double carried = 1e5;  // s: a table's "for ever"

// One motor of a duty cycle: its steps as they are with the motor cold, and what it is made of.
struct Heated {
  const robot::MotorDevice& device;
  const std::optional<robot::Mechanism>& mechanism;
  physics::MotorConstants sheet;  // at 25 °C
  physics::MotorBodies bodies;
  const std::vector<SolvedStep>& steps;
  std::size_t load;  // of the circuit's chopped loads
  Temperature ambient;
};

// The steps' heat with a motor whose winding and magnets have these temperatures, or a cold one where that takes more.
std::vector<physics::HeatStep> heat_steps(const Heated& h, physics::MotorTemperatures now) {
  const physics::MotorConstants cold = motor_at(h.device, h.sheet, h.ambient);
  const physics::MotorConstants warm = motor_at(h.device, h.sheet, now);
  const Torque friction = h.sheet.k * h.sheet.free_current;
  const MechanismCurrent mechanism = mechanism_current(warm, h.mechanism);
  std::vector<physics::HeatStep> heat;
  for (const SolvedStep& s : h.steps) {
    const LoadState& state = s.loads[h.load];
    ChoppedLoad circuit = s.circuits[h.load];
    circuit.loop = circuit.loop - cold.winding + warm.winding;
    circuit.k = warm.k;
    circuit.mechanism = mechanism;
    const LoadState then = load_at(circuit, s.supplies[h.load]);
    const auto larger = [](double a, double b) { return std::max(std::abs(a), std::abs(b)); };
    heat.push_back({.load = {.current = {larger(state.current.si, then.current.si)},
                             .to_housing = {friction.si * larger(state.speed.si, then.speed.si)}},
                    .duration = s.duration});
  }
  return heat;
}

// The steps' heat at the temperatures at which the cycle settles, which follow from it: taken anew until they stay. A
// motor beyond its winding's limit is counted as at the limit: no further figure would mean anything.
struct SettledSteps {
  physics::MotorTemperatures at;
  std::vector<physics::HeatStep> steps;
  std::optional<physics::CycleHeat> cycle;  // nothing: it runs away
};

SettledSteps settled_steps(const Heated& h, physics::MotorTemperatures from) {
  constexpr int most_rounds = 8;
  constexpr double same = 0.05;  // K
  const Temperature limit = std::max(h.device.heat->winding_limit, h.ambient);
  SettledSteps all{.at = from, .steps = heat_steps(h, from), .cycle = {}};
  for (int round = 0;; ++round) {
    all.cycle = physics::settled_cycle(h.bodies, all.steps, h.ambient);
    const auto& settled = all.cycle;
    const physics::MotorTemperatures next{.winding = settled ? std::min(settled->hottest, limit) : limit,
                                          .magnets = settled ? std::min(settled->end.housing, limit) : limit};
    const double moved =
        std::max(std::abs((next.winding - all.at.winding).si), std::abs((next.magnets - all.at.magnets).si));
    if (moved < same || round == most_rounds) return all;
    all.at = next;
    all.steps = heat_steps(h, next);
  }
}

std::vector<CurvePoint> winding_curve(const physics::MotorBodies& bodies, const std::vector<physics::HeatStep>& cycle,
                                      Temperature ambient, int cycles) {
  std::vector<CurvePoint> curve = {{.at = 0.0, .value = ambient.si}};
  physics::BodyTemperatures now = physics::all_at(ambient);
  Time at;
  for (int n = 0; n < cycles; ++n) {
    for (const physics::HeatStep& step : cycle) {
      const Time part = step.duration / points_per_step;
      for (int k = 0; k < points_per_step && curve.size() < most_points; ++k) {
        now = physics::heated(bodies, now, step.load, ambient, part);
        at += part;
        curve.push_back({.at = at.si, .value = now.winding.si});
      }
    }
  }
  return curve;
}

}  // namespace

std::vector<MotorHeatFigures> motor_heat(const robot::Robot& robot, const Layout& layout,
                                         const std::vector<SolvedStep>& steps, const DeskOptions& options,
                                         SettledMotors& known) {
  std::vector<MotorHeatFigures> all;
  for (std::size_t o = 0; o < layout.outputs.size(); ++o) {
    const OutputPlace& place = layout.outputs[o];
    if (place.load == nowhere || place.device == nowhere) continue;
    const auto* device = robot.catalogue.devices[place.device].as<robot::MotorDevice>();
    const bool used = std::any_of(steps.begin(), steps.end(),
                                  [&](const SolvedStep& s) { return s.loads[place.load].current.si != 0.0; });
    if (device == nullptr || !used) continue;
    const auto row = motor_row(*device);
    const auto bodies = row ? motor_bodies(*device, row->constants.winding) : std::nullopt;
    MotorHeatFigures f{.output = o, .stated = bodies.has_value()};
    if (bodies) {
      const auto before = known.find(o);
      const physics::MotorTemperatures from =
          before != known.end() ? before->second
                                : physics::MotorTemperatures{.winding = robot.ambient, .magnets = robot.ambient};
      const auto [at, cycle, settled] = settled_steps({.device = *device,
                                                       .mechanism = robot.outputs[o].mechanism,
                                                       .sheet = row->constants,
                                                       .bodies = *bodies,
                                                       .steps = steps,
                                                       .load = place.load,
                                                       .ambient = robot.ambient},
                                                      from);
      known.emplace(o, at);
      const physics::BodyTemperatures cold = physics::all_at(robot.ambient);
      f.limit = device->heat->winding_limit;
      f.after_cycles =
          physics::run_cycles(*bodies, cold, cycle, robot.ambient, std::max(1, options.heat_cycles)).hottest;
      const Temperature endless = {std::numeric_limits<double>::infinity()};
      f.settled = settled ? settled->hottest : endless;
      f.settled_housing = settled ? settled->end.housing : endless;
      f.limit_after = physics::time_to(*bodies, cold, cycle, robot.ambient, f.limit);
      f.allowed_share = physics::allowed_share(*bodies, cycle, {}, robot.ambient, f.limit);
      if (options.curves == Curves::include) {
        f.winding = winding_curve(*bodies, cycle, robot.ambient, options.heat_cycles);
      }
    }
    all.push_back(std::move(f));
  }
  return all;
}

std::vector<ProfileFigures> protection_profiles(const robot::Robot& robot, const Layout& layout,
                                                const std::vector<SolvedStep>& steps, ElementsOfDevices& known) {
  std::vector<ProfileFigures> all;
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    const std::size_t index = layout.protection_devices[p];
    const auto* device = spec_at<robot::ProtectionDevice>(robot, index);
    if (device == nullptr || device->rating.si <= 0.0) continue;
    const ProtectionModel model = protection_model(*device, robot.ambient);
    auto at = known.find(index);
    if (at == known.end()) at = known.emplace(index, physics::bounding_elements(model.limits)).first;
    const physics::BoundingElements& elements = at->second;
    std::vector<physics::CurrentStep> cycle;
    Current most;
    for (const SolvedStep& s : steps) {
      cycle.push_back({.current = s.protections[p], .duration = s.duration});
      most = std::max(most, s.protections[p]);
    }
    const physics::ThermalShare peak = physics::settled_peak(elements, model.rating, cycle);
    ProfileFigures f{.protection = p, .early_peak = peak.fast, .late_peak = peak.slow, .opens = {}};
    f.opens = {.earliest = physics::for_ever(), .latest = physics::for_ever()};
    // What even the greatest current of the cycle never opens needs no thought of its time.
    if (model.time_to_open(most).earliest.si < carried) {
      const physics::OpeningInterval opening = physics::time_to_open(model.limits, elements, model.rating, cycle);
      f.opens = {.earliest = opening.earliest, .latest = opening.latest};
    }
    all.push_back(f);
  }
  return all;
}

}  // namespace ringout::desk
