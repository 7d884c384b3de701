// The desk check: everything that the robot file lets one know before the battery goes in, as one plain value.
//
// Where names repeat (nodes, branches, wires), the report has one table and the cases refer to it by index. Outputs,
// protections, banks and duty cycles are referred to by their index in the robot. Every place is in the robot file.
// What a figure assumes and where its rule comes from is told once for its kind: `basis_of("wire.limit")`.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "base/result.h"
#include "desk/circuit.h"
#include "physics/motor.h"
#include "robot/robot.h"

namespace ringout::desk {

// What a kind of figure assumes, and whose rule it is. Ids: see basis.cpp ("case.voltage", "wire.limit", …).
struct Basis {
  std::string_view id = {};
  std::string_view assumption = {};
  std::string_view source = {};
};
[[nodiscard]] const std::vector<Basis>& all_bases();
[[nodiscard]] const Basis& basis_of(std::string_view id);

// ---- the network's parts, named -------------------------------------------------------------------------------------

struct NodeLabel {
  std::string name = {};  // "return", "battery terminals", "after fuse_lift", "board supply"
};

enum class BranchKind { source, wire, protection };

// What stands between two nodes of the supply.
struct BranchLabel {
  BranchKind kind = BranchKind::wire;
  std::string name = {};  // "fuse_lift", "fuse_lift supply wire": as in robot/path.h
  std::string key = {};   // of the robot file: "protection.fuse_lift.wire", "battery"
  Span place = {};
  NodeIndex from = ground;
  NodeIndex to = ground;
};

// Every wire that carries current to a load, in one order for all cases.
struct WireLabel {
  std::string name = {};  // "battery supply wire", "fuse_lift supply wire", "board supply wire", "lift wire"
  std::string key = {};   // "wire" table's path: "battery.wire", "protection.fuse_lift.wire", "output.lift.wire"
  Span place = {};
  std::optional<Current> limit = {};       // what it carries for ever; absent: no table tells
  std::string_view limit_basis = {};       // the basis' id
  std::optional<std::size_t> output = {};  // of Robot::outputs: a wire behind a driver, which carries motor current
};

// ---- one load case --------------------------------------------------------------------------------------------------

enum class CaseOrigin { robot_file, added };

struct TripInterval {
  Time earliest = {};  // infinite: never
  Time latest = {};    // infinite: it need not open at all
};

// value / limit; above 1 the limit is passed. `limit` absent: none is stated.
struct Share {
  Current current = {};
  std::optional<Current> limit = {};
  [[nodiscard]] double ratio() const { return limit ? current.si / limit->si : 0.0; }
};

struct OutputFigures {
  std::size_t output = 0;  // of Robot::outputs
  robot::Loading loading = robot::Loading::off;
  Regime regime = Regime::off;
  double level = 0.0;    // that it has in fact, signed: motor voltage / supply voltage
  Voltage supply = {};   // at its port's supply terminal
  Voltage device = {};   // at the motor's or load's terminals
  Current current = {};  // through motor, wire, connector, driver; signed as the level
  Current supply_current = {};
  AngularSpeed motor_speed = {};
  AngularSpeed output_speed = {};          // of the gear's output shaft
  std::optional<Speed> travel_speed = {};  // with a radius
  Torque motor_torque = {};                // k·I
  Torque output_torque = {};               // what the mechanism takes at the output shaft; stalled: what the gear gives
  Power electrical = {};                   // u·I at the device's terminals
  Power mechanical = {};                   // output torque · output speed
  double efficiency = 0.0;                 // mechanical / electrical; 0 where either is not positive
  bool speed_missed = false;               // at_speed asked for more than it reaches
  Share port = {};                         // against the port's limit
  Share connector = {};                    // absent limit: no connector
};

struct WireFigures {
  Current current = {};
  Voltage drop = {};      // both leads
  double drop_share = 0;  // of the battery's open-circuit voltage
};

struct ProtectionFigures {
  Current current = {};
  double multiple = 0.0;  // current / rating (derated)
  Voltage drop = {};
  TripInterval trip = {};
  std::string_view basis = {};  // of the limits: a basis' id
};

struct BankFigures {
  std::string bank = {};
  Share share = {};
};

struct CaseReport {
  std::string name = {};  // of the robot file, or the tool's: see load_cases.h
  std::string description = {};
  CaseOrigin origin = CaseOrigin::added;
  Span place = {};                     // of the case; nowhere for the tool's own
  std::optional<Error> unsolved = {};  // then no figure below means anything
  double state_of_charge = 1.0;
  Temperature ambient = {};
  Voltage open_circuit = {};     // of the battery
  Resistance internal = {};      // of the battery
  Current battery_current = {};  // delivered
  Voltage battery_terminals = {};
  Voltage controller = {};        // at the board's supply terminal
  Voltage above_supply_low = {};  // controller − the level at which the agent turns outputs off; negative: it does
  Voltage above_brown_out = {};
  std::vector<Voltage> nodes = {};                  // by DeskReport::nodes
  std::vector<Current> branches = {};               // by DeskReport::branches
  std::vector<OutputFigures> outputs = {};          // those that are not off
  std::vector<WireFigures> wires = {};              // by DeskReport::wires
  std::vector<ProtectionFigures> protections = {};  // by Robot::protections
  std::vector<BankFigures> banks = {};              // by Board::banks
  // Of Robot::protections: the one that has opened soonest at the latest; where none must open, the one that may
  // soonest.
  std::optional<std::size_t> first_to_open = {};
  bool first_is_certain = false;  // its latest is before every other's earliest
  // How well the network is solved.
  Current residual = {};  // largest sum of currents at a node
  double imbalance = 0.0;
  Power delivered = {}, heat = {}, converted = {}, constant = {};
};

// One motor held still at full level, all other outputs off.
struct BranchStall {
  std::size_t output = 0;
  Current current = {};  // of the motor
  Current supply_current = {};
  bool limited = false;  // by the driver
  Voltage controller = {};
  std::optional<std::size_t> first_to_open = {};  // of Robot::protections
  TripInterval trip = {};                         // of that one
  std::vector<double> multiples = {};            // current / rating (derated), by Robot::protections; 0: not on its way
  std::optional<Time> winding_limit_after = {};  // held so from ambient; infinite: never; absent: no thermal figures
  std::optional<Time> warm_limit_after =
      {};  // … from the duty cycle that settles hottest; absent: none with this motor
};

// A motor by itself: its sheet, and its line at the output's highest level, alone on a battery of the charge drawn, all
// resistances of its way included. At its driver's limit it gives k·limit at any speed below that of the line there; no
// figure but `line_stall` lies beyond.
struct MotorCurve {
  std::size_t output = 0;
  double constant_disagreement = 0.0;  // |kT/kE − 1| of its row; above 0.1 the row deserves a doubt
  MotorConstant k = {};
  Resistance winding = {};       // at 25 °C
  Resistance loop = {};          // winding, driver, wire, connector
  Current limit = {};            // of its driver; infinite: none stated
  double level = 1.0;            // the output's highest
  Voltage source = {};           // open-circuit voltage of the battery
  Voltage supply = {};           // at its port, running its mechanism; without load it is higher, held still lower
  AngularSpeed free_speed = {};  // of the motor shaft, without mechanism
  Current free_current = {};
  Torque stall_torque = {};  // at the motor shaft, k·I
  std::optional<Torque> stall_torque_hot =
      {};  // winding and magnets at the winding's limit; absent: no thermal figures
  Current stall_current = {};
  Current line_stall = {};                             // where the line without the driver's limit comes to rest
  Torque at_most_power = {}, at_most_efficiency = {};  // motor shaft torque
  Power most_power = {};
  double most_efficiency = 0.0;  // from the battery to the motor shaft, as `operating_efficiency`
  Torque operating_torque = {};  // at the motor shaft, running its mechanism
  AngularSpeed operating_speed = {};
  AngularSpeed output_speed = {};  // the same, of the gear's output shaft
  Current operating_current = {};
  double operating_efficiency = 0.0;
  physics::AngularAcceleration starting = {};  // from rest, of the motor shaft; below 0: it does not start
  Time to_63_percent = {};                     // of its speed, from rest, inductance neglected; infinite: never
};

// Of a MotorCurve, at the motor shaft.
struct MotorPoint {
  Torque torque = {};
  AngularSpeed speed = {};
  Current current = {};
  Power power = {};
  double efficiency = 0.0;
};
// From no load to the greatest torque, evenly in torque, `steps` + 1 of them; where the driver's limit ends the line,
// one more: standing at that torque. None where it does not turn.
[[nodiscard]] std::vector<MotorPoint> points_of(const MotorCurve& curve, int steps);

// ---- over time ------------------------------------------------------------------------------------------------------

struct CurvePoint {
  double at = 0.0;  // seconds
  double value = 0.0;
};

struct MotorHeatFigures {
  std::size_t output = 0;
  bool stated = false;  // thermal figures stand in the catalogue; else nothing below means anything
  Temperature limit = {};
  Temperature after_cycles = {};  // winding, hottest of cycle number `DutyFigures::cycles_shown`, from ambient
  Temperature settled = {};       // winding, hottest of a cycle repeated for ever
  Temperature settled_housing = {};
  Time limit_after = {};                 // from ambient, repeating the cycle; infinite: never
  double allowed_share = 1.0;            // of the time in which this cycle may be repeated, the rest at standstill
  std::vector<CurvePoint> winding = {};  // K, when DeskOptions::curves
};

// The protection's heat when the cycle is repeated: an early and a late specimen.
struct ProfileFigures {
  std::size_t protection = 0;
  double early_peak = 0.0;  // heat over that at which it opens, of the earliest specimen; 1 and above: it opens
  double late_peak = 0.0;
  TripInterval opens = {};  // from the start of the first cycle
};

struct DutyFigures {
  std::size_t cycle = 0;  // of Robot::duty_cycles
  std::optional<Error> unsolved = {};
  Time length = {};
  Current mean_current = {};       // of the battery
  Current effective_current = {};  // square mean
  Voltage lowest_controller = {};  // in any step, battery as stated
  Energy energy = {};              // at the battery's terminals, one cycle, battery as stated
  Charge charge = {};              // one cycle
  Time run_time = {};              // until the battery is empty or the controller too low
  double cycles = 0.0;             // in the run time
  std::string end_reason = {};     // "battery at its cutoff", "controller at its low level", …: see duty.cpp
  Voltage end_voltage = {};        // at the battery, at the end, in the step in which it ended
  Charge charge_per_day = {};
  Energy energy_per_day = {};
  double batteries_per_day = 0.0;  // charge of a day over charge got from one battery
  int cycles_shown = 10;
  std::vector<MotorHeatFigures> motors = {};
  std::vector<ProfileFigures> protections = {};
  // By the cycle's steps and Robot::outputs: how far it goes, signed, battery as stated; m where its travel is a
  // length, else rad of the gear's output shaft.
  std::vector<std::vector<double>> ways = {};
  std::vector<CurvePoint> run_curve = {};  // battery volts, heaviest step, against time, when DeskOptions::curves
};

// ---- tolerance ------------------------------------------------------------------------------------------------------

struct Interval {
  double nominal = 0.0;
  double low = 0.0, high = 0.0;    // 2.5 and 97.5 % of the draws
  double least = 0.0, most = 0.0;  // of all draws
  // At the corners of all tolerances, where the figure rises or falls with each of them; no draw can pass these.
  std::optional<double> corner_low = {}, corner_high = {};
};

struct Driver {
  std::size_t tolerance = 0;  // of Robot::tolerances
  double correlation = 0.0;   // with the figure, sign kept: of ranks in a Spread, else the root of the share
  double share = 0.0;         // of the variance
};

enum class SpreadUnit {
  volt,
  ampere,
  second,
  radian_per_second,
  radian_per_second_squared,
  newton_metre,
  watt,
  joule,
  coulomb,
  kelvin,
  ratio
};

struct SpreadFigure {
  std::string name = {};  // "controller voltage", "battery current", "lift current", "fuse_lift current"
  SpreadUnit unit = SpreadUnit::volt;
  Interval interval = {};
  std::vector<Driver> drivers = {};  // strongest first, at most five
};

struct Spread {
  std::size_t of_case = 0;  // of DeskReport::cases
  std::uint64_t seed = 1;
  int draws = 0;
  int unsolved = 0;         // draws without a solution; left out
  double brown_outs = 0.0;  // share of draws in which the controller falls below its brown-out level
  double lows = 0.0;        // … below its low level
  std::vector<SpreadFigure> figures = {};
};

// Every other figure that the report gives of a robot with tolerances: how far it may be off, without drawing each of
// them anew. See ranges.h.
enum class RangeOf {
  case_controller,    // of: case; voltage at the controller
  case_battery,       // of: case; current
  case_multiple,      // of: case, part: protection; current over rating
  wire_share,         // of: case, part: wire; current over limit
  port_share,         // of: case, part: output
  connector_share,    // of: case, part: output
  bank_share,         // of: case, part: bank
  stall_current,      // of: output; held still with all others off
  stall_supply,       // of: output
  stall_multiple,     // of: output, part: protection; current over rating
  stall_limit_after,  // of: output; until its winding is at its limit
  motor_speed,        // of: output; at its own load, at the gear's output shaft
  motor_current,
  motor_stall_current,
  motor_stall_hot,  // torque, winding and magnets at the winding's limit
  motor_power,      // the greatest
  motor_starting,
  motor_to_63_percent,
  mean_current,  // of: duty cycle, and so are all below
  effective_current,
  lowest_controller,
  cycle_energy,
  day_energy,
  day_charge,
  run_time,
  cycles,
  end_voltage,
  batteries_per_day,
  heat_after_cycles,  // part: output
  heat_settled,       // part: output
  heat_limit_after,   // part: output
  heat_allowed,       // part: output
  profile_peak,       // part: protection; of its heat at opening, earliest specimen
  profile_earliest,   // part: protection; opens, repeating the cycle
  profile_latest,     // part: protection
};

struct FigureRange {
  RangeOf what = RangeOf::case_controller;
  std::size_t of = 0;
  std::size_t part = 0;
  SpreadUnit unit = SpreadUnit::volt;
  Interval interval = {};                  // a time that is infinite: never
  std::vector<Driver> drivers = {};        // strongest first, at most five
  std::optional<TripInterval> opens = {};  // of a multiple: its time to open over the whole interval
};

// ---- rules ----------------------------------------------------------------------------------------------------------

struct RuleFinding {
  std::string rule = {};  // stable id
  Severity severity = Severity::warning;
  Span place = {};
  std::string text = {};    // with the figures
  std::string remedy = {};  // what to do
  robot::Discipline discipline = robot::Discipline::wiring;
};

// ---- all of it ------------------------------------------------------------------------------------------------------

enum class Curves { leave_out, include };

struct DeskOptions {
  std::uint64_t seed = 1;
  int draws = 1000;  // 0 or 1: no spread
  Curves curves = Curves::leave_out;
  int heat_cycles = 10;
};

struct DeskReport {
  std::vector<NodeLabel> nodes = {};       // ground first
  std::vector<BranchLabel> branches = {};  // source first
  std::vector<WireLabel> wires = {};
  std::vector<CaseReport> cases = {};             // the robot file's first, then the tool's own
  std::vector<std::size_t> by_severity = {};      // of cases, worst first: least controller margin
  std::vector<BranchStall> branch_stalls = {};    // each motor
  std::vector<MotorCurve> motors = {};            // each motor
  std::vector<DutyFigures> duties = {};           // each duty cycle of the robot file
  std::optional<Spread> spread = {};              // of the worst case
  std::vector<FigureRange> ranges = {};           // of what the report gives else, by RangeOf, `of` and `part`
  std::vector<std::size_t> idle_tolerances = {};  // of Robot::tolerances: those that move no figure of this report
  std::vector<RuleFinding> findings = {};         // worst first, then by place

  [[nodiscard]] const CaseReport* find_case(std::string_view name) const;
  // Null where no tolerance moves it.
  [[nodiscard]] const FigureRange* range(RangeOf what, std::size_t of, std::size_t part = 0) const;
};

// The robot must have been read without error.
[[nodiscard]] DeskReport desk_check(const robot::Robot& robot, const DeskOptions& options = {});

}  // namespace ringout::desk
