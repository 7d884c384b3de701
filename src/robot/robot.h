// The drawn robot: what the robot file says, with every name resolved. Reading a file is in robot_file.h.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/source_text.h"
#include "robot/catalogue.h"
#include "units/quantity.h"

namespace ringout::robot {

// Where each key of one table of the robot file stands, so that later findings point at the text.
struct Places {
  Span whole;                        // the table's header
  std::map<std::string, Span> keys;  // key -> its value's place
  [[nodiscard]] Span of(const std::string& key) const;
};

enum class PointKind { bridge_motor, servo, on_off, light, switch_input, analogue, encoder, bus_device };
[[nodiscard]] bool is_output(PointKind kind);
// Servos, lights and bus devices are worked by the team's program alone; the agent drives or reads the others.
[[nodiscard]] bool agent_works(PointKind kind);
[[nodiscard]] const char* name_of(PointKind kind);  // as in the robot file: "bridge motor", "on/off", "encoder", …

enum class Off { coast, brake };  // what an output does when it is off
enum class Discipline { mechanics, wiring, programming };
[[nodiscard]] const char* name_of(Discipline d);

// How much must come off before a part can be touched; used for the order of checks. Minutes to reach it and close up.
struct Access {
  std::string place;  // "open", "under the deck", …
  Time effort = seconds(0);
};

enum class Laying { free, bundled };

struct Wire {
  int awg = 0;                            // 0: given as cross-section instead
  Area cross_section;                     // conductor, one lead
  Length length = metres(0);              // one way
  std::optional<Temperature> insulation;  // what its insulation bears for ever; absent: not stated
  Laying laying = Laying::free;           // bundled with others it cools worse
  [[nodiscard]] Resistance loop() const;  // both leads, copper at 20 °C (physics/wire.h)
};

struct Protection {
  std::string name;
  std::string device;
  std::string fed_from;  // another protection, or "battery"
  Wire wire;             // from where it is fed
  Access access;
  Places at;
};

struct Battery {
  std::string name;
  std::string device;
  std::optional<double> state_of_charge;  // 0..1
  Wire wire;
  Access access;
  Places at;
};

// Limits of travel of the mechanism in its own unit (`Mechanism::travel_is_length` says which), SI values.
struct Travel {
  double low = 0.0;   // hard stop
  double high = 0.0;  // hard stop
};

// What a motor moves, seen at the gearbox's output shaft. Gear ratio: motor turns over output turns.
struct Mechanism {
  double gear_ratio = 1.0;
  double gear_efficiency = 0.8;
  Angle backlash = degrees(0);   // at the output shaft
  Inertia inertia;               // at the output shaft, load included
  Torque friction;               // Coulomb, at the output shaft
  Damping viscous;               // at the output shaft
  Mass lifted = kilograms(0);    // weight that hangs on `radius`; positive travel lifts it
  std::optional<Radius> radius;  // metres of travel per radian of the output shaft, where travel is a length
  bool self_locking = false;     // does not move when the motor gives no torque
  std::optional<Travel> travel;  // absent: turns without end
  bool travel_is_length = false;
  double bump_clearance = 0.0;  // SI: room to both hard stops that a person provides before proving; 0: not stated
  std::optional<double> asked_speed;  // SI, rad/s or, with a radius, m/s: what the team wants of it
};

struct Output {
  std::string name;
  PointKind kind = PointKind::bridge_motor;
  std::string device;  // catalogue name
  std::string port;    // board port name
  std::string fed_by;  // protection name
  Wire wire;
  std::string connector;  // catalogue name or empty
  bool reversed = false;  // drawn so that a positive value needs a negative drive
  Off off = Off::coast;
  double max_level = 1.0;                  // fraction of supply, 0..1
  std::optional<Mechanism> mechanism;      // motors
  std::string positive_means;              // "raises", "closes", "forward": what a person sees for a positive value
  std::string visible_sign;                // what a person sees or hears where no sensor does ("mist from the nozzles")
  std::optional<std::string> low_switch;   // input that ends travel toward low
  std::optional<std::string> high_switch;  // input that ends travel toward high
  Access access;
  std::string owner;  // a person's or role's name
  Places at;
};

enum class SensesWhat { nothing, output_motion, travel_low_end, travel_high_end, surroundings };

struct Input {
  std::string name;
  PointKind kind = PointKind::switch_input;
  std::string device;
  std::string port;
  bool reversed = false;  // encoder channels exchanged, or analogue falling
  SensesWhat senses = SensesWhat::nothing;
  std::string senses_output;    // the output it watches, for the first three kinds
  bool on_motor_shaft = false;  // encoder: before the gear
  std::string hand_action;      // how a person makes it answer: "press the switch at the top of the mast"
  Wire wire;
  std::string connector;  // catalogue name or empty
  Access access;
  std::string owner;
  Places at;
};

// How an output is loaded. running: its mechanism's own load (friction, viscous, weight); stalled: held still;
// at_speed: turning at the stated speed.
enum class Loading { off, running, stalled, at_speed };
[[nodiscard]] const char* name_of(Loading loading);  // as in the robot file: "at speed"

struct OutputLoad {
  std::string output;
  Loading loading = Loading::running;
  double level = 1.0;  // fraction of the supply, -1..1; an on/off output: on where above zero
  double speed = 0.0;  // at_speed: SI at the output shaft, rad/s or, with a radius, m/s
  Span at;
};

// One state of the whole robot; outputs that are not named are off.
struct LoadCase {
  std::string name;
  std::string description;
  std::optional<double> state_of_charge;  // absent: the battery's
  std::optional<Temperature> ambient;     // absent: the robot's
  std::vector<OutputLoad> loads;
  Places at;
};

struct DutyStep {
  Time duration;
  std::vector<OutputLoad> loads;  // outputs that are not named are off
  Places at;
};

// What the robot does over and over.
struct DutyCycle {
  std::string name;
  std::string description;
  std::vector<DutyStep> steps;
  double repeats_per_day = 1.0;
  Places at;
};

struct Robot {
  std::string name;
  std::string description;
  bool invented = false;                   // demonstration data say so
  std::shared_ptr<const SourceText> text;  // the robot file
  Board board;
  std::string board_fed_by;  // protection that feeds the controller's own supply input
  Wire board_wire;
  Access board_access;
  Catalogue catalogue;
  Battery battery;
  std::vector<Protection> protections;
  std::vector<Output> outputs;  // in the file's order: this is the points' order everywhere
  std::vector<Input> inputs;
  std::map<std::string, std::string> owners;  // discipline name -> person
  Temperature ambient = celsius(25);
  std::vector<LoadCase> load_cases;
  std::vector<DutyCycle> duty_cycles;
  std::vector<Tolerance> tolerances;  // the robot file's, and those of the devices and the board it uses
  Places at;                          // table [robot]
  Places board_at;                    // table [board]
  Places owners_at;

  [[nodiscard]] const Protection* protection(const std::string& protection_name) const;
  // The protections between the battery and the named one, nearest the battery first, the named one last.
  [[nodiscard]] std::vector<const Protection*> feed_chain(const std::string& protection_name) const;
  [[nodiscard]] const Output* output(const std::string& name) const;
  [[nodiscard]] const Input* input(const std::string& name) const;
  [[nodiscard]] const Device& device_of(const std::string& catalogue_name) const;  // resolved files only
  [[nodiscard]] const BoardPort& port_of(const std::string& port_name) const;      // resolved files only
};

}  // namespace ringout::robot
