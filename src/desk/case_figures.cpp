#include "desk/case_figures.h"

#include <algorithm>
#include <cmath>

#include "base/check.h"

namespace ringout::desk {
namespace {

Current size_of(Current i) {
  return {std::abs(i.si)};
}

// What the gear gives a load that stands: the motor's torque less its own friction and the gear's loss.
Torque standing_torque(const MotorConstant k, Current i, Current free_current, const robot::Mechanism* mechanism) {
  const Current left{std::max(0.0, std::abs(i.si) - free_current.si)};
  const double gear = mechanism != nullptr ? mechanism->gear_ratio * mechanism->gear_efficiency : 1.0;
  return k * left * gear * (i.si < 0.0 ? -1.0 : 1.0);
}

void read_motor(const robot::Output& output, Current free_current, const ChoppedLoad& load, const LoadState& state,
                OutputFigures& f) {
  const robot::Mechanism* mechanism = output.mechanism ? &*output.mechanism : nullptr;
  f.motor_speed = state.speed;
  f.output_speed = state.speed / (mechanism != nullptr ? mechanism->gear_ratio : 1.0);
  if (mechanism != nullptr && mechanism->radius) f.travel_speed = *mechanism->radius * f.output_speed;
  f.motor_torque = load.k * state.current;
  if (state.speed.si == 0.0 || load.speed_is == SpeedIs::given) {
    f.output_torque = standing_torque(load.k, state.current, free_current, mechanism);
  } else if (mechanism != nullptr) {
    const physics::Load on = load_of(*mechanism);
    f.output_torque = on.weight + on.friction * (state.speed.si > 0.0 ? 1.0 : -1.0) + on.viscous * f.output_speed;
  }
  f.mechanical = f.output_torque * f.output_speed;
  f.speed_missed = load.speed_is == SpeedIs::held && state.regime != Regime::held_speed;
}

OutputFigures read_driven(const robot::Robot& robot, const Layout& layout, std::size_t o, const CaseSetting& setting,
                          const ChoppedLoad& load, const LoadState& state, Voltage supply, Detail detail) {
  const OutputPlace& place = layout.outputs[o];
  OutputFigures f{.output = o, .loading = setting.outputs[o].loading, .regime = state.regime};
  f.current = state.current;
  f.supply_current = state.supply_current;
  f.port = {.current = size_of(state.current), .limit = load.limit};
  f.connector.current = size_of(state.current);
  if (detail == Detail::shares) return f;
  f.level = supply.si > 0.0 ? state.motor / supply : 0.0;
  f.supply = supply;
  f.device = state.motor - loop_parts(robot, layout, o, setting.ambient).total() * state.current;
  f.electrical = f.device * state.current;
  if (const auto* motor = spec_at<robot::MotorDevice>(robot, place.device)) {
    const Current free = motor_at(*motor, motor_row(*motor)->constants, setting.ambient).free_current;
    read_motor(robot.outputs[o], free, load, state, f);
  }
  if (f.mechanical.si > 0.0 && f.electrical.si > 0.0) f.efficiency = f.mechanical / f.electrical;
  return f;
}

// A servo or light: the board's regulator keeps its voltage, or it hangs on the supply with a feed of its own.
OutputFigures read_steady(const robot::Robot& robot, const Layout& layout, std::size_t o, const CaseSetting& setting,
                          Voltage supply) {
  OutputFigures f{.output = o, .loading = setting.outputs[o].loading, .regime = Regime::running};
  f.level = setting.outputs[o].level;
  f.supply = supply;
  f.current = f.supply_current = regulated_current(robot, layout, o, setting.outputs[o]);
  const bool regulated = layout.outputs[o].steady == nowhere;
  f.device = regulated ? robot.board.logic : supply - loop_parts(robot, layout, o, setting.ambient).total() * f.current;
  f.electrical = f.device * f.current;
  f.port.current = f.connector.current = f.current;
  return f;
}

void read_outputs(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting, const Circuit& circuit,
                  const Solution& solution, Detail detail, CaseReport& report) {
  for (std::size_t o = 0; o < robot.outputs.size(); ++o) {
    const OutputPlace& place = layout.outputs[o];
    if (setting.outputs[o].loading == robot::Loading::off) continue;
    if (place.load == nowhere) {
      report.outputs.push_back(read_steady(robot, layout, o, setting, solution.nodes[place.node]));
    } else {
      const ChoppedLoad& load = circuit.chopped_loads[place.load];
      if (load.level == 0.0) continue;
      report.outputs.push_back(read_driven(robot, layout, o, setting, load, solution.chopped_loads[place.load],
                                           solution.nodes[place.node], detail));
    }
    OutputFigures& f = report.outputs.back();
    if (const auto* plug = spec_at<robot::ConnectorDevice>(robot, place.connector); plug && plug->rating.si > 0.0) {
      f.connector.limit = plug->rating;
    }
  }
}

void read_wires(const robot::Robot& robot, const Layout& layout, const Circuit& circuit, const Solution& solution,
                Detail detail, CaseReport& report) {
  const auto wire = [&](std::size_t index, Current i, Resistance r) {
    const Voltage drop{std::abs(i.si) * r.si};
    report.wires[index] = {.current = size_of(i), .drop = drop, .drop_share = drop / report.open_circuit};
  };
  const auto supply_wire = [&](std::size_t index, std::size_t resistor) {
    wire(index, solution.resistors[resistor], circuit.resistors[resistor].resistance);
  };
  report.wires.assign(layout.wires.size(), {});
  supply_wire(0, 0);
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    supply_wire(layout.wire_of_protection(p), layout.resistor_of_wire(p));
  }
  supply_wire(layout.wire_of_board(), layout.resistor_of_board());
  for (const OutputFigures& f : report.outputs) {
    const std::size_t index = layout.wire_of_output(f.output);
    if (detail == Detail::shares) {
      report.wires[index].current = size_of(f.current);
    } else {
      wire(index, f.current, wire_resistance(robot.outputs[f.output].wire, report.ambient));
    }
  }
}

void read_multiples(const robot::Robot& robot, const Layout& layout, const Solution& solution, CaseReport& report) {
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    const auto* device = spec_at<robot::ProtectionDevice>(robot, layout.protection_devices[p]);
    ProtectionFigures f{.current = size_of(solution.resistors[layout.resistor_of_protection(p)]), .trip = {}};
    if (device != nullptr && device->rating.si > 0.0) f.multiple = f.current / rating_at(*device, report.ambient);
    report.protections.push_back(f);
  }
}

void read_protections(const robot::Robot& robot, const Layout& layout, const Solution& solution, CaseReport& report) {
  for (std::size_t p = 0; p < layout.protection_devices.size(); ++p) {
    const auto* device = spec_at<robot::ProtectionDevice>(robot, layout.protection_devices[p]);
    ProtectionFigures f{.current = size_of(solution.resistors[layout.resistor_of_protection(p)]), .trip = {}};
    if (device != nullptr && device->rating.si > 0.0) {
      const ProtectionModel model = protection_model(*device, report.ambient);
      const physics::OpeningInterval opening = model.time_to_open(f.current);
      f.multiple = f.current / model.rating;
      f.trip = {.earliest = opening.earliest, .latest = opening.latest};
      f.basis = model.basis;
    }
    f.drop = solution.nodes[layout.before(p)] - solution.nodes[layout.after(p)];
    report.protections.push_back(f);
  }
  report.first_to_open = first_to_open(report.protections);
  if (!report.first_to_open) return;
  report.first_is_certain = true;
  for (std::size_t p = 0; p < report.protections.size(); ++p) {
    const Time latest = report.protections[*report.first_to_open].trip.latest;
    if (p != *report.first_to_open && !(latest < report.protections[p].trip.earliest)) report.first_is_certain = false;
  }
}

void read_banks(const robot::Robot& robot, const Layout& layout, CaseReport& report) {
  for (const robot::BoardBank& bank : robot.board.banks) {
    Current sum;
    for (const OutputFigures& f : report.outputs) {
      const std::size_t port = layout.outputs[f.output].port;
      if (port != nowhere && robot.board.ports[port].bank == bank.name) sum += size_of(f.supply_current);
    }
    report.banks.push_back({.bank = bank.name, .share = {.current = sum, .limit = bank.limit}});
  }
}

}  // namespace

std::optional<std::size_t> first_to_open(const std::vector<ProtectionFigures>& protections) {
  std::optional<std::size_t> first;
  for (std::size_t p = 0; p < protections.size(); ++p) {
    const TripInterval& trip = protections[p].trip;
    if (!std::isfinite(trip.earliest.si) || protections[p].current.si <= 0.0) continue;
    if (!first) {
      first = p;
      continue;
    }
    const TripInterval& best = protections[*first].trip;
    if (trip.latest < best.latest || (trip.latest == best.latest && trip.earliest < best.earliest)) first = p;
  }
  return first;
}

void read_off(const robot::Robot& robot, const Layout& layout, const CaseSetting& setting, const Circuit& circuit,
              const Solution& solution, Detail detail, CaseReport& report) {
  report.open_circuit = circuit.sources[0].emf;
  report.internal = circuit.sources[0].internal;
  report.battery_current = solution.sources[0];
  report.battery_terminals = solution.nodes[Layout::terminals];
  report.controller = solution.nodes[layout.board];
  report.nodes = solution.nodes;
  read_outputs(robot, layout, setting, circuit, solution, detail, report);
  read_wires(robot, layout, circuit, solution, detail, report);
  read_banks(robot, layout, report);
  if (detail == Detail::shares) return read_multiples(robot, layout, solution, report);
  read_protections(robot, layout, solution, report);
  report.above_supply_low = report.controller - robot.board.supply_low;
  report.above_brown_out = report.controller - robot.board.brown_out;
  report.branches.push_back(solution.sources[0]);
  report.branches.insert(report.branches.end(), solution.resistors.begin(), solution.resistors.end());
  report.residual = solution.residual;
  report.imbalance = solution.imbalance;
  report.delivered = solution.delivered;
  report.heat = solution.heat;
  report.converted = solution.converted;
  report.constant = solution.constant;
}

CaseSolver::CaseSolver(const robot::Robot& robot) : robot_(robot), layout_(lay_out(robot)), circuit_(layout_.circuit) {
  auto network = Network::of(circuit_);
  RINGOUT_CHECK(network.has_value());  // every part of the layout hangs on the battery
  network_ = std::move(*network);
}

Result<const Solution*> CaseSolver::solve(const CaseSetting& setting, const std::vector<Voltage>* near) {
  if (auto set = set_values(robot_, layout_, setting, circuit_); !set) return tl::unexpected<Error>(set.error());
  // What holds no solution yet has no room for one.
  const bool has_near = near != nullptr && near->size() == circuit_.nodes && !solution_.nodes.empty();
  if (has_near) solution_.nodes = *near;
  const auto solved = has_near ? network_->solve_near(circuit_, solution_) : network_->solve(circuit_, solution_);
  if (!solved) return tl::unexpected<Error>(solved.error());
  return &solution_;
}

CaseReport CaseSolver::report(const PlannedCase& planned) {
  CaseReport report{.name = planned.name,
                    .description = planned.description,
                    .origin = planned.origin,
                    .place = planned.place,
                    .state_of_charge = planned.setting.state_of_charge,
                    .ambient = planned.setting.ambient};
  if (const auto solved = solve(planned.setting)) {
    read_off(robot_, layout_, planned.setting, circuit_, **solved, Detail::all, report);
  } else {
    report.unsolved = solved.error();
  }
  return report;
}

void CaseSolver::shares(const PlannedCase& planned, const std::vector<Voltage>& near, CaseReport& report) {
  report.ambient = planned.setting.ambient;
  report.state_of_charge = planned.setting.state_of_charge;
  report.unsolved.reset();
  report.outputs.clear();
  report.protections.clear();
  report.banks.clear();
  if (const auto solved = solve(planned.setting, &near)) {
    read_off(robot_, layout_, planned.setting, circuit_, **solved, Detail::shares, report);
  } else {
    report.unsolved = solved.error();
  }
}

}  // namespace ringout::desk
