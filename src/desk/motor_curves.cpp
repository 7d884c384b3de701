#include "desk/motor_curves.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/check.h"
#include "physics/limited_drive.h"

namespace ringout::desk {
namespace {

constexpr Time never = {std::numeric_limits<double>::infinity()};

// The protections between the battery and this one, this one last.
std::vector<std::size_t> chain_to(const Layout& layout, std::size_t protection) {
  std::vector<std::size_t> chain;
  for (std::size_t p = protection; p != nowhere && chain.size() <= layout.fed_from.size(); p = layout.fed_from[p]) {
    chain.push_back(p);
  }
  std::reverse(chain.begin(), chain.end());
  return chain;
}

// The supply's own numbers, everything off, and each protection's resistance with its wire.
struct Feeds {
  Circuit circuit;
  CaseSetting setting;

  Feeds(const robot::Robot& robot, const Layout& layout) : circuit(layout.circuit) {
    setting = setting_of(robot, layout, {});
    // Everything is off: no motor's row is read, so nothing can fail.
    RINGOUT_CHECK(set_values(robot, layout, setting, circuit).has_value());
  }
  [[nodiscard]] Resistance of(const Layout& layout, std::size_t p) const {
    return circuit.resistors[layout.resistor_of_wire(p)].resistance +
           circuit.resistors[layout.resistor_of_protection(p)].resistance;
  }
  [[nodiscard]] Resistance to(const Layout& layout, std::size_t protection) const {
    Resistance sum = circuit.sources[0].internal + circuit.resistors[0].resistance;
    for (const std::size_t p : chain_to(layout, protection)) sum += of(layout, p);
    return sum;
  }
};

constexpr NodeIndex fork = 1, port = 2, board = 3;
constexpr Resistance least = ohms(10e-6);

// Source behind all that both share; then the motor's own way and the controller's.
Circuit pair_of(const Layout& layout, const Feeds& feeds, const std::vector<std::size_t>& to_motor,
                const std::vector<std::size_t>& to_board) {
  Circuit c;
  c.nodes = 4;
  Resistance shared = feeds.circuit.sources[0].internal + feeds.circuit.resistors[0].resistance;
  std::size_t common = 0;
  while (common < to_motor.size() && common < to_board.size() && to_motor[common] == to_board[common]) {
    shared += feeds.of(layout, to_motor[common++]);
  }
  Resistance motor_way = least, board_way = feeds.circuit.resistors[layout.resistor_of_board()].resistance;
  for (std::size_t n = common; n < to_motor.size(); ++n) motor_way += feeds.of(layout, to_motor[n]);
  for (std::size_t n = common; n < to_board.size(); ++n) board_way += feeds.of(layout, to_board[n]);
  c.sources.push_back({.node = fork, .emf = feeds.circuit.sources[0].emf, .internal = shared});
  c.resistors.push_back({.from = fork, .to = port, .resistance = motor_way});
  c.resistors.push_back({.from = fork, .to = board, .resistance = board_way});
  c.current_loads.push_back({.node = board, .current = feeds.circuit.current_loads[0].current});
  c.chopped_loads.push_back({.node = port, .loop = ohms(1)});
  return c;
}

// Everything of one motor in a circuit of its own; the other outputs are off.
Result<ChoppedLoad> lone_load(const robot::Robot& robot, const Layout& layout, const robot::MotorDevice& device,
                              std::size_t o) {
  const auto row = motor_row(device);
  if (!row) return tl::unexpected<Error>(row.error());
  const physics::MotorConstants motor = motor_at(device, row->constants, robot.ambient);
  ChoppedLoad load{.node = port, .level = robot.outputs[o].max_level};
  load.loop = loop_parts(robot, layout, o, robot.ambient).total() + motor.winding;
  load.k = motor.k;
  load.mechanism = mechanism_current(motor, robot.outputs[o].mechanism);
  if (layout.outputs[o].port != nowhere) load.limit = robot.board.ports[layout.outputs[o].port].current_limit;
  return load;
}

Time winding_limit_after(const robot::MotorDevice& device, Current i, const physics::BodyTemperatures& from,
                         Temperature ambient) {
  const auto row = motor_row(device);
  const auto bodies = motor_bodies(device, row->constants.winding);
  const physics::HeatLoad load{.current = {std::abs(i.si)}, .to_housing = {}};
  return physics::time_to(*bodies, from, load, ambient, device.heat->winding_limit);
}

// What opens on the motor's way; the controller's own current runs through the shared part of it too.
void find_first(const robot::Robot& robot, const Layout& layout, const std::vector<std::size_t>& to_motor,
                const std::vector<std::size_t>& to_board, Current board_draw, BranchStall& stall) {
  std::vector<ProtectionFigures> on_way;
  for (std::size_t n = 0; n < to_motor.size(); ++n) {
    const bool shared = n < to_board.size() && to_board[n] == to_motor[n];
    ProtectionFigures f{.current = stall.supply_current + (shared ? board_draw : Current{})};
    f.trip = {.earliest = never, .latest = never};
    const auto* device = spec_at<robot::ProtectionDevice>(robot, layout.protection_devices[to_motor[n]]);
    if (device != nullptr && device->rating.si > 0.0) {
      const ProtectionModel model = protection_model(*device, robot.ambient);
      const auto opening = model.time_to_open(f.current);
      f.trip = {.earliest = opening.earliest, .latest = opening.latest};
      f.multiple = f.current / model.rating;
    }
    on_way.push_back(f);
  }
  stall.multiples.assign(robot.protections.size(), 0.0);
  for (std::size_t n = 0; n < to_motor.size(); ++n) stall.multiples[to_motor[n]] = on_way[n].multiple;
  const auto first = first_to_open(on_way);
  if (!first) return;
  stall.first_to_open = to_motor[*first];
  stall.trip = on_way[*first].trip;
}

}  // namespace

std::vector<BranchStall> branch_stalls(const robot::Robot& robot, const Layout& layout,
                                       std::span<const std::size_t> of) {
  const Feeds feeds(robot, layout);
  const std::vector<std::size_t> to_board = chain_to(layout, layout.board_fed_by);
  std::vector<BranchStall> all;
  std::optional<Network> network;
  Solution solution;
  for (const std::size_t o : of) {
    const robot::MotorDevice* device = motor_of(robot, layout, o);
    if (device == nullptr) continue;
    const std::vector<std::size_t> to_motor = chain_to(layout, layout.output_fed_by[o]);
    Circuit circuit = pair_of(layout, feeds, to_motor, to_board);
    const auto load = lone_load(robot, layout, *device, o);
    if (!load) continue;
    circuit.chopped_loads[0] = *load;
    if (!network) network = *Network::of(circuit);
    if (!network->solve(circuit, solution)) continue;
    const LoadState& state = solution.chopped_loads[0];
    BranchStall stall{.output = o,
                      .current = state.current,
                      .supply_current = state.supply_current,
                      .limited = state.regime == Regime::current_limited,
                      .controller = solution.nodes[board]};
    stall.trip = {.earliest = never, .latest = never};
    find_first(robot, layout, to_motor, to_board, circuit.current_loads[0].current, stall);
    if (device->heat) {
      stall.winding_limit_after =
          winding_limit_after(*device, state.current, physics::all_at(robot.ambient), robot.ambient);
    }
    all.push_back(stall);
  }
  return all;
}

void add_warm_limits(const robot::Robot& robot, const Layout& layout, const std::vector<DutyFigures>& duties,
                     std::vector<BranchStall>& stalls) {
  for (BranchStall& stall : stalls) {
    const MotorHeatFigures* hottest = nullptr;
    for (const DutyFigures& duty : duties) {
      for (const MotorHeatFigures& m : duty.motors) {
        if (m.output != stall.output || !m.stated || duty.unsolved) continue;
        if (hottest == nullptr || m.settled > hottest->settled) hottest = &m;
      }
    }
    if (hottest == nullptr) continue;
    // One that runs away is at its limit.
    const physics::BodyTemperatures from{std::min(hottest->settled, hottest->limit),
                                         std::min(hottest->settled_housing, hottest->limit)};
    stall.warm_limit_after =
        winding_limit_after(*motor_of(robot, layout, stall.output), stall.current, from, robot.ambient);
  }
}

namespace {

const double most_of_the_way = 1.0 - std::exp(-1.0);  // what a time constant brings

Current limit_of(const robot::Robot& robot, const Layout& layout, std::size_t o) {
  const std::size_t own = layout.outputs[o].port;
  return own == nowhere ? Current{std::numeric_limits<double>::infinity()} : robot.board.ports[own].current_limit;
}

void read_best(const physics::DriveTrain& train, const physics::Drive& drive, MotorCurve& curve) {
  const physics::DrivePoint free = physics::operating_point(train, drive, curve.limit);
  const physics::DrivePoint stall = physics::point_at_speed(train, drive, {}, curve.limit);
  const physics::DrivePoint power = physics::most_power(train, drive, curve.limit);
  const physics::DrivePoint efficient = physics::most_efficient(train, drive, curve.limit);
  curve.free_speed = free.motor_speed;
  curve.free_current = free.motor_current;
  curve.stall_current = stall.motor_current;
  curve.stall_torque = train.motor.k * stall.motor_current;
  curve.line_stall = physics::point_at_speed(train, drive, {}).motor_current;
  curve.at_most_power = power.output_torque;
  curve.most_power = power.delivered;
  curve.at_most_efficiency = efficient.output_torque;
  curve.most_efficiency = efficient.efficiency;
}

Torque hot_stall_torque(physics::DriveTrain train, physics::Drive drive, const robot::MotorDevice& device,
                        const physics::MotorConstants& sheet, Current limit) {
  train.motor = motor_at(device, sheet, device.heat->winding_limit);
  return train.motor.k * physics::point_at_speed(train, drive, {}, limit).motor_current;
}

void read_operating(const physics::DriveTrain& train, const physics::Drive& drive, MotorCurve& curve) {
  const physics::DrivePoint running = physics::operating_point(train, drive, curve.limit);
  curve.supply = running.at_driver;
  curve.operating_torque = running.motor_torque;
  curve.operating_speed = running.motor_speed;
  curve.output_speed = running.output_speed;
  curve.operating_current = running.motor_current;
  const Power at_shaft = running.motor_torque * running.motor_speed;
  if (running.from_source.si > 0.0) curve.operating_efficiency = at_shaft / running.from_source;
}

// From rest, all that the current runs through in one resistance; a driver's limit caps the first torque.
void read_start(const robot::Robot& robot, const robot::MotorDevice& device, const physics::DriveTrain& train,
                const physics::Drive& drive, MotorCurve& curve) {
  const auto& mechanism = robot.outputs[curve.output].mechanism;
  const RunningCurrent load = mechanism_current(train.motor, mechanism).forward;
  const physics::RunUp run_up{.u = drive.source * drive.duty,
                              .r = physics::total_resistance(train, drive.duty),
                              .k = train.motor.k,
                              .standing = load.steady,
                              .viscous = train.motor.k * load.rising,
                              .inertia = inertia_at_rotor(device, mechanism),
                              .limit = curve.limit};
  curve.starting = run_up.k * (curve.stall_current - load.steady) / run_up.inertia;
  curve.to_63_percent = physics::run_up_time(run_up, most_of_the_way);
}

}  // namespace

std::vector<MotorCurve> motor_curves(const robot::Robot& robot, const Layout& layout, std::span<const std::size_t> of) {
  const Feeds feeds(robot, layout);
  std::vector<MotorCurve> all;
  for (const std::size_t o : of) {
    const robot::MotorDevice* device = motor_of(robot, layout, o);
    const auto row = device != nullptr ? motor_row(*device) : tl::unexpected<Error>(Error{});
    if (!row) continue;
    const LoopParts parts = loop_parts(robot, layout, o, robot.ambient);
    physics::DriveTrain train{.motor = motor_at(*device, row->constants, robot.ambient),
                              .gear = {},
                              .driver = parts.driver,
                              .leads = parts.wire + parts.contacts,
                              .before_driver = feeds.to(layout, layout.output_fed_by[o]),
                              .load = {}};
    const physics::Drive drive{.source = feeds.circuit.sources[0].emf, .duty = robot.outputs[o].max_level};
    MotorCurve curve{.output = o,
                     .constant_disagreement = row->disagreement,
                     .k = row->constants.k,
                     .winding = row->constants.winding,
                     .loop = parts.total() + row->constants.winding,
                     .limit = limit_of(robot, layout, o),
                     .level = drive.duty,
                     .source = drive.source};
    read_best(train, drive, curve);
    if (device->heat) curve.stall_torque_hot = hot_stall_torque(train, drive, *device, row->constants, curve.limit);
    if (robot.outputs[o].mechanism) {
      train.gear = gear_of(*robot.outputs[o].mechanism);
      train.load = load_of(*robot.outputs[o].mechanism);
    }
    read_operating(train, drive, curve);
    read_start(robot, *device, train, drive, curve);
    all.push_back(curve);
  }
  return all;
}

std::vector<MotorPoint> points_of(const MotorCurve& c, int steps) {
  std::vector<MotorPoint> points;
  if (c.free_speed.si <= 0.0) return points;
  const MotorConstant k = c.stall_torque / c.stall_current;  // at the ambient temperature
  const Current most = c.stall_current - c.free_current;
  for (int n = 0; n <= steps; ++n) {
    MotorPoint p{.torque = k * most * n / steps};
    p.current = c.free_current + most * n / steps;
    p.speed = c.free_speed * std::max(0.0, (c.line_stall - p.current) / (c.line_stall - c.free_current));
    p.power = p.torque * p.speed;
    p.efficiency = p.power / (c.source * c.level * p.current);
    points.push_back(p);
  }
  if (c.stall_current < c.line_stall) points.push_back({.torque = k * most, .speed = {}, .current = c.stall_current});
  return points;
}

}  // namespace ringout::desk
