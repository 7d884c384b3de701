#include "robot/quantity_paths.h"

#include <charconv>
#include <initializer_list>
#include <utility>

namespace ringout::robot {

namespace {

using Figures = std::initializer_list<std::pair<std::string_view, double*>>;

double* pick(std::string_view key, Figures figures) {
  for (const auto& [name, figure] : figures) {
    if (name == key) return figure;
  }
  return nullptr;
}

template <class Q>
double* within(std::optional<Q>& figure) {
  return figure ? &figure->si : nullptr;
}
double* within(std::optional<double>& figure) {
  return figure ? &*figure : nullptr;
}

// Takes "opening." off the front.
bool take(std::string_view& path, std::string_view opening) {
  if (path.size() <= opening.size() || path.substr(0, opening.size()) != opening) return false;
  if (path[opening.size()] != '.') return false;
  path.remove_prefix(opening.size() + 1);
  return true;
}

// Takes "<name>." off the front and gives what has this name; of several that fit, the one with the longest name.
template <class Named>
Named* take_named(std::vector<Named>& all, std::string_view& path) {
  Named* best = nullptr;
  for (Named& one : all) {
    std::string_view rest = path;
    if (take(rest, one.name) && (best == nullptr || one.name.size() > best->name.size())) best = &one;
  }
  if (best != nullptr) path.remove_prefix(best->name.size() + 1);
  return best;
}

// Takes "<i>." off the front.
template <class Row>
Row* take_row(std::vector<Row>& rows, std::string_view& path) {
  std::size_t index = 0;
  const auto [end, problem] = std::from_chars(path.data(), path.data() + path.size(), index);
  const auto digits = static_cast<std::size_t>(end - path.data());
  if (problem != std::errc{} || index >= rows.size() || digits >= path.size() || path[digits] != '.') return nullptr;
  path.remove_prefix(digits + 1);
  return &rows[index];
}

double* in(MotorDevice& d, std::string_view key) {
  if (take(key, "heat")) {
    if (!d.heat) return nullptr;
    return pick(key, {{"winding_to_housing", &d.heat->winding_to_housing.si},
                      {"housing_to_ambient", &d.heat->housing_to_ambient.si},
                      {"winding_capacity", &d.heat->winding_capacity.si},
                      {"housing_capacity", &d.heat->housing_capacity.si}});
  }
  if (d.constants) {
    if (double* found = pick(key, {{"terminal_resistance", &d.constants->terminal_resistance.si},
                                   {"torque_constant", &d.constants->torque_constant.si},
                                   {"no_load_current", &d.constants->no_load_current.si}})) {
      return found;
    }
  }
  return pick(key, {{"free_speed", &d.free_speed.si},
                    {"free_current", &d.free_current.si},
                    {"stall_torque", &d.stall_torque.si},
                    {"stall_current", &d.stall_current.si},
                    {"rotor_inertia", &d.rotor_inertia.si},
                    {"inductance", &d.inductance.si},
                    {"magnet_coefficient", &d.magnet_coefficient.si}});
}

double* in(OnOffDevice& d, std::string_view key) {
  return pick(key, {{"nominal", &d.nominal.si},
                    {"current", &d.current.si},
                    {"inrush_factor", &d.inrush_factor},
                    {"inrush_time", &d.inrush_time.si}});
}
double* in(ServoDevice& d, std::string_view key) {
  return pick(key, {{"nominal", &d.nominal.si}, {"stall_current", &d.stall_current.si}});
}
double* in(LightDevice& d, std::string_view key) {
  return pick(key, {{"current_per_pixel", &d.current_per_pixel.si}});
}
double* in(SwitchDevice& d, std::string_view key) {
  return pick(key, {{"bounce", &d.bounce.si}});
}
double* in(EncoderDevice& d, std::string_view key) {
  return pick(key, {{"supply", &d.supply.si}, {"supply_current", &d.supply_current.si}});
}
double* in(AnalogueDevice& d, std::string_view key) {
  return pick(key, {{"low_value", &d.low_value},
                    {"high_value", &d.high_value},
                    {"at_low", &d.at_low.si},
                    {"at_high", &d.at_high.si},
                    {"noise_rms", &d.noise_rms.si},
                    {"supply", &d.supply.si},
                    {"supply_current", &d.supply_current.si}});
}
double* in(BusDevice& d, std::string_view key) {
  return pick(key, {{"supply", &d.supply.si}, {"supply_current", &d.supply_current.si}});
}

double* in(BatteryDevice& d, std::string_view key) {
  if (take(key, "open_circuit")) {
    OpenCircuitPoint* row = take_row(d.open_circuit, key);
    return row != nullptr && key == "voltage" ? &row->open_circuit.si : nullptr;
  }
  if (take(key, "internal_at")) {
    InternalPoint* row = take_row(d.internal_at, key);
    return row != nullptr && key == "internal" ? &row->internal.si : nullptr;
  }
  return pick(key, {{"capacity", &d.capacity.si},
                    {"open_circuit_full", &d.open_circuit_full.si},
                    {"open_circuit_empty", &d.open_circuit_empty.si},
                    {"internal", &d.internal.si},
                    {"peukert_exponent", &d.peukert_exponent}});
}

double* in(ProtectionDevice& d, std::string_view key) {
  return pick(key, {{"cold", &d.cold.si},
                    {"melting", &d.melting_i2t},
                    {"trip", &d.trip.si},
                    {"r_min", within(d.r_min)},
                    {"r1_max", within(d.r1_max)}});
}
double* in(ConnectorDevice& d, std::string_view key) {
  return pick(key, {{"contact", &d.contact.si}});
}

double* in(Wire& w, std::string_view key) {
  return pick(key, {{"length", &w.length.si}});
}

double* in(BoardPort& p, std::string_view key) {
  return pick(key, {{"on_resistance", &p.on_resistance.si},
                    {"current_limit", &p.current_limit.si},
                    {"max_edge_rate", &p.max_edge_rate.si},
                    {"divider_ratio", &p.divider_ratio}});
}

double* in_board(Robot& robot, std::string_view key) {
  Board& b = robot.board;
  if (take(key, "wire")) return in(robot.board_wire, key);
  if (take(key, "port")) {
    BoardPort* port = take_named(b.ports, key);
    return port == nullptr ? nullptr : in(*port, key);
  }
  if (take(key, "bank")) {
    BoardBank* bank = take_named(b.banks, key);
    if (bank == nullptr) return nullptr;
    return pick(key, {{"limit", &bank->limit.si}, {"sense_volts_per_ampere", &bank->sense_volts_per_ampere}});
  }
  return pick(key, {{"logic", &b.logic.si},
                    {"supply_divider_ratio", &b.supply_divider_ratio},
                    {"brown_out", &b.brown_out.si},
                    {"supply_low", &b.supply_low.si},
                    {"idle_current", &b.idle_current.si}});
}

double* in(Mechanism& m, std::string_view key) {
  if (take(key, "travel")) {
    if (!m.travel) return nullptr;
    return pick(key, {{"low", &m.travel->low}, {"high", &m.travel->high}});
  }
  return pick(key, {{"gear_ratio", &m.gear_ratio},
                    {"gear_efficiency", &m.gear_efficiency},
                    {"backlash", &m.backlash.si},
                    {"inertia", &m.inertia.si},
                    {"friction", &m.friction.si},
                    {"viscous", &m.viscous.si},
                    {"lifted", &m.lifted.si},
                    {"radius", within(m.radius)},
                    {"bump_clearance", &m.bump_clearance},
                    {"asked_speed", within(m.asked_speed)}});
}

double* in(std::vector<OutputLoad>& loads, std::string_view key) {
  OutputLoad* load = take_row(loads, key);
  return load != nullptr && key == "speed" ? &load->speed : nullptr;
}

double* in(LoadCase& c, std::string_view key) {
  if (take(key, "loads")) return in(c.loads, key);
  return pick(key, {{"state_of_charge", within(c.state_of_charge)}, {"ambient", within(c.ambient)}});
}

double* in(DutyCycle& c, std::string_view key) {
  if (!take(key, "step")) return pick(key, {{"repeats_per_day", &c.repeats_per_day}});
  DutyStep* step = take_row(c.steps, key);
  if (step == nullptr) return nullptr;
  if (take(key, "loads")) return in(step->loads, key);
  return pick(key, {{"duration", &step->duration.si}});
}

double* in(Output& o, std::string_view key) {
  if (take(key, "wire")) return in(o.wire, key);
  return take(key, "mechanism") && o.mechanism ? in(*o.mechanism, key) : nullptr;
}

template <class Named>
double* in_wire_of(std::vector<Named>& all, std::string_view path) {
  Named* one = take_named(all, path);
  return one != nullptr && take(path, "wire") ? in(one->wire, path) : nullptr;
}

template <class Named>
double* in_one_of(std::vector<Named>& all, std::string_view path) {
  Named* one = take_named(all, path);
  return one == nullptr ? nullptr : in(*one, path);
}

}  // namespace

double* quantity_at(Robot& robot, std::string_view path) {
  if (take(path, "device")) {
    Device* device = take_named(robot.catalogue.devices, path);
    if (device == nullptr) return nullptr;
    return std::visit([&](auto& spec) { return in(spec, path); }, device->spec);
  }
  if (take(path, "board")) return in_board(robot, path);
  if (take(path, "robot")) return pick(path, {{"ambient", &robot.ambient.si}});
  if (take(path, "battery")) {
    if (take(path, "wire")) return in(robot.battery.wire, path);
    return pick(path, {{"state_of_charge", within(robot.battery.state_of_charge)}});
  }
  if (take(path, "protection")) return in_wire_of(robot.protections, path);
  if (take(path, "output")) return in_one_of(robot.outputs, path);
  if (take(path, "input")) return in_wire_of(robot.inputs, path);
  if (take(path, "load_case")) return in_one_of(robot.load_cases, path);
  if (take(path, "duty_cycle")) return in_one_of(robot.duty_cycles, path);
  return nullptr;
}

}  // namespace ringout::robot
