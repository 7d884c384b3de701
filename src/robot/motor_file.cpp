// A [[motor]] of a catalogue file, given by either kind of data sheet row, with its heat.
#include <fmt/format.h>

#include "robot/catalogue_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

namespace {

using Dim = Dimension;

constexpr const char* speed_row[] = {"free_speed", "free_current", "stall_torque", "net_stall_torque", "stall_current"};
constexpr const char* constants_row[] = {"terminal_resistance", "torque_constant", "speed_constant", "no_load_current"};

// k·Is as it stands, or from what a sheet prints as left at the shaft, k·(Is − I0): that times Is/(Is − I0).
void read_stall_torque(TableReader& t, MotorDevice& d) {
  if (t.find("net_stall_torque") == nullptr) {
    t.quantity("stall_torque", Need::required, Dim::torque, above_zero, d.stall_torque.si);
    return;
  }
  if (t.find("stall_torque") != nullptr) {
    t.error("net_stall_torque", "catalogue.motor-figures",
            fmt::format("{} gives stall_torque and net_stall_torque, which are one figure", t.what()),
            "keep stall_torque where the sheet has torque constant times stall current, net_stall_torque where it has "
            "the torque at the shaft, friction taken off");
    return;
  }
  Torque net;
  if (!t.quantity("net_stall_torque", Need::required, Dim::torque, above_zero, net.si)) return;
  if (d.stall_current <= d.free_current) return;  // told with the currents
  const double gross = d.stall_current / (d.stall_current - d.free_current);
  d.stall_torque = net * gross;
  t.carry_tolerance("net_stall_torque", "stall_torque", gross);
}

void read_speed_row(TableReader& t, MotorDevice& d) {
  t.quantity("free_speed", Need::required, Dim::angular_speed, above_zero, d.free_speed.si);
  t.quantity("free_current", Need::required, Dim::current, above_zero, d.free_current.si);
  t.quantity("stall_current", Need::required, Dim::current, above_zero, d.stall_current.si);
  read_stall_torque(t, d);
  const bool sound = d.free_current.si <= 0 || d.stall_current > d.free_current;
  if (!sound && d.stall_current.si > 0) {
    t.error("stall_current", "catalogue.motor-figures",
            fmt::format("the stall current of {} is not above its free current", t.what()),
            "the two are probably exchanged");
  }
}

// k from either constant: one motor has one k, and the speed constant is its reciprocal.
bool read_k(TableReader& t, MotorConstant& k) {
  const bool both = t.find("torque_constant") != nullptr && t.find("speed_constant") != nullptr;
  if (both) {
    t.error("speed_constant", "catalogue.motor-figures",
            fmt::format("{} has a torque constant and a speed constant, which are one figure", t.what()),
            "leave one of them out");
    return false;
  }
  if (t.find("speed_constant") == nullptr) {
    return t.quantity("torque_constant", Need::required, Dim::motor_constant, above_zero, k.si);
  }
  SpeedConstant speed;
  if (!t.quantity("speed_constant", Need::required, Dim::speed_constant, above_zero, speed.si)) return false;
  k = 1.0 / speed;
  t.carry_tolerance("speed_constant", "torque_constant", k.si / speed.si);  // the same share of the value
  return true;
}

void read_constants_row(TableReader& t, bool nominal, MotorDevice& d) {
  MotorConstantsRow row;
  bool all = t.quantity("terminal_resistance", Need::required, Dim::resistance, above_zero, row.terminal_resistance.si);
  all = read_k(t, row.torque_constant) && all;
  all = t.quantity("no_load_current", Need::required, Dim::current, above_zero, row.no_load_current.si) && all;
  if (!all || !nominal) return;
  if (row.no_load_current * row.terminal_resistance >= d.nominal) {
    t.error("no_load_current", "catalogue.motor-figures",
            fmt::format("{} could not turn: its no-load current alone drops the nominal voltage", t.what()),
            "compare the units of terminal_resistance and no_load_current with the data sheet's");
    return;
  }
  d.constants = row;
  row_from_constants(d);
}

// A capacity, or a time constant, which is the capacity times the resistance beside it.
void read_capacity(TableReader& t, const char* capacity, const char* time_constant, ThermalResistance beside,
                   HeatCapacity& into) {
  if (t.find(time_constant) == nullptr) {
    t.quantity(capacity, Need::required, Dim::heat_capacity, above_zero, into.si);
    return;
  }
  if (t.find(capacity) != nullptr) {
    t.error(time_constant, "catalogue.motor-figures",
            fmt::format("{} gives {} and {}, which are one figure", t.what(), capacity, time_constant),
            "leave one of them out");
    return;
  }
  Time tau;
  if (!t.quantity(time_constant, Need::required, Dim::time, above_zero, tau.si) || beside.si <= 0) return;
  into = tau / beside;
  t.carry_tolerance(time_constant, capacity, 1.0 / beside.si);
}

void read_heat(TableReader& in, MotorDevice& d) {
  const Node* node = in.table("heat", Need::optional,
                              "{ winding_to_housing = \"4 K/W\", housing_to_ambient = \"9 K/W\", winding_capacity = "
                              "\"12 J/K\", housing_capacity = \"120 J/K\" }");
  if (node == nullptr) return;
  MotorHeat heat;
  TableReader t(in.source(), *node, fmt::format("the heat of {}", in.what()), in.found());
  t.tolerances_like(in, "heat");
  t.quantity("winding_to_housing", Need::required, Dim::thermal_resistance, above_zero, heat.winding_to_housing.si);
  t.quantity("housing_to_ambient", Need::required, Dim::thermal_resistance, above_zero, heat.housing_to_ambient.si);
  read_capacity(t, "winding_capacity", "winding_time_constant", heat.winding_to_housing, heat.winding_capacity);
  read_capacity(t, "housing_capacity", "housing_time_constant", heat.housing_to_ambient, heat.housing_capacity);
  t.exact_quantity("winding_limit", Need::optional, Dim::temperature, material_range, heat.winding_limit.si);
  t.finish();
  d.heat = heat;
}

}  // namespace

DeviceSpec read_motor(TableReader& t) {
  MotorDevice d;
  const bool nominal = t.exact_quantity("nominal", Need::required, Dim::voltage, above_zero, d.nominal.si);
  bool constants = false;
  for (const char* key : constants_row) constants = (t.find(key) != nullptr) || constants;
  const char* other = nullptr;
  for (const char* key : speed_row) {
    if (t.find(key) != nullptr && other == nullptr) other = key;
  }
  if (constants && other != nullptr) {
    t.error(other, "catalogue.two-motor-rows",
            fmt::format("{} is given by its constants and by its free speed and stall as well", t.what()),
            "keep one kind of row: nominal with free_speed, free_current, stall_torque (or net_stall_torque) and "
            "stall_current, or nominal "
            "with terminal_resistance, torque_constant or speed_constant, and no_load_current");
  } else if (constants) {
    read_constants_row(t, nominal, d);
  } else {
    read_speed_row(t, d);
  }
  t.quantity("rotor_inertia", Need::required, Dim::inertia, above_zero, d.rotor_inertia.si);
  t.quantity("inductance", Need::required, Dim::inductance, above_zero, d.inductance.si);
  t.quantity("magnet_coefficient", Need::optional, Dim::temperature_coefficient, {-0.005, 0.005},
             d.magnet_coefficient.si);
  read_heat(t, d);
  return d;
}

}  // namespace ringout::robot
