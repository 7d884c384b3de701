// The catalogue: boards and devices as plain-text files (data/, and any folder beside the robot file).
// Structs only; reading is in catalogue_file.h. Every part says where its figures come from (`source`).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/source_text.h"
#include "units/quantity.h"

namespace ringout::robot {

using ThermalResistance = Quantity<-1, -2, 3, 0, 1, 0>;      // K/W
using HeatCapacity = Quantity<1, 2, -2, 0, -1, 0>;           // J/K
using TemperatureCoefficient = Quantity<0, 0, 0, 0, -1, 0>;  // 1/K
using SpeedConstant = Quantity<-1, -2, 2, 1, 0, 1>;          // rad/s for each volt

// How far a figure may be off, as written behind it ("2.1 ohm +-10%"): the value itself stands where it always does.
// Which figure is meant is told by a path that quantity_paths.h resolves.
struct Tolerance {
  std::string path;         // "device.drive_motor_12v.stall_current", "output.lift.mechanism.friction", …
  double half_width = 0.0;  // SI, absolute, > 0; uniform over [value - half_width, value + half_width]
  Span place;
  std::string file;  // name of the text that `place` belongs to
};

// ---- boards -------------------------------------------------------------------------------------------------------

enum class PortKind { bridge, switch_input, analogue_input, encoder_input, servo, light, bus };

// How the controller's pins drive one bridge channel.
enum class DriveMode {
  pwm_and_two_directions,  // pins: pwm, forward, reverse; both directions low coasts, both high brakes
  pwm_and_direction,       // pins: pwm, direction
  two_pwm,                 // pins: pwm forward, pwm reverse
};

// A physical place where something plugs in. `index` counts ports of one kind from 0, in the board file's order; it is
// the number that frames, point table, plant and agent use.
struct BoardPort {
  std::string name;  // "OUT1", "ENC2", "SW3", "AN1"; as printed on the board or in the team's own file
  PortKind kind = PortKind::bridge;
  std::uint8_t index = 0;
  std::vector<std::string> pins;  // the chip's pin names, e.g. "PE3"
  bool inverted = false;          // bridge: positive command drives reverse; switch: level is inverted
  std::string bank;               // bridge: name of the bank that feeds it
  DriveMode drive = DriveMode::pwm_and_two_directions;
  bool can_brake = true;
  Resistance on_resistance = ohms(0.15);    // bridge: both switches in series
  Current current_limit = amperes(5);       // bridge: continuous limit of the channel (chopping limit)
  Frequency max_edge_rate = hertz(20000);   // encoder: most edges per second it counts
  double divider_ratio = 1.0;               // analogue: input voltage over pin voltage
  std::optional<std::uint8_t> adc_channel;  // analogue: the chip's converter channel
  std::optional<Voltage> voltage_max;       // bridge: most supply that it bears
};

struct BoardBank {
  std::string name;
  Current limit = amperes(20);
  std::optional<std::uint8_t> sense_adc;  // ADC channel of the bank's current sense
  double sense_volts_per_ampere = 0.0;
};

struct Board {
  std::string name;
  std::string description;
  std::string source;
  std::string chip;  // "atmega2560"
  Frequency clock = hertz(16'000'000);
  std::uint32_t line_rate_baud = 1'000'000;
  Voltage logic = volts(5);  // also the ADC's full scale
  int adc_bits = 10;
  std::vector<BoardPort> ports;
  std::vector<BoardBank> banks;
  std::uint8_t supply_adc = 0;        // ADC channel of the motor supply's divider
  double supply_divider_ratio = 4.0;  // supply voltage over pin voltage
  Voltage brown_out = volts(6.5);     // below this the controller itself may fail
  Voltage supply_low = volts(8.5);    // below this the agent turns outputs off
  Current idle_current = amperes(0.15);
  bool outputs_off_in_reset = true;            // bridges are pulled off while the chip is in reset
  bool usb_powered = true;                     // the controller stays alive with the supply disconnected
  std::optional<Voltage> input_voltage_max;    // most supply that its terminal bears
  std::optional<Current> regulator_limit;      // what its regulator gives to the logic and all that hangs on it
  std::optional<Current> sensor_supply_limit;  // what its sensor terminals give together
  std::vector<Tolerance> tolerances;           // paths "board.…"

  [[nodiscard]] const BoardPort* find(const std::string& port_name) const;
  [[nodiscard]] std::vector<const BoardPort*> of_kind(PortKind kind) const;  // in index order
};

// ---- devices ------------------------------------------------------------------------------------------------------

// A motor's heat as two bodies, winding and housing: what flows from one to the next through each kelvin between them.
// Given with time constants instead of capacities: capacity = time constant / the resistance beside it.
struct MotorHeat {
  ThermalResistance winding_to_housing;
  ThermalResistance housing_to_ambient;
  HeatCapacity winding_capacity;
  HeatCapacity housing_capacity;
  Temperature winding_limit = celsius(125);  // the winding's insulation
};

// The other kind of data sheet row; at 25 °C.
struct MotorConstantsRow {
  Resistance terminal_resistance;
  MotorConstant torque_constant;  // also from a speed constant: its reciprocal
  Current no_load_current;
};

// Brushed permanent-magnet motor; figures as on a data sheet at nominal voltage and 25 °C. Where the sheet gives
// constants instead, they stand in `constants`, and the row above follows from them (row_from_constants).
struct MotorDevice {
  Voltage nominal = volts(12);
  AngularSpeed free_speed;
  Current free_current;
  Torque stall_torque;  // gross: torque constant times stall current
  Current stall_current;
  Inertia rotor_inertia;
  Inductance inductance;
  std::optional<MotorConstantsRow> constants;
  std::optional<MotorHeat> heat;
  TemperatureCoefficient magnet_coefficient;  // change of the motor constant for each kelvin, mostly below zero
};

// free_speed = (U − I0·R)/k, free_current = I0, stall_current = U/R, stall_torque = k·U/R; only where it has constants.
void row_from_constants(MotorDevice& motor);

enum class LoadForm { other, solenoid, valve, lamp, pump };

// Solenoid, valve, lamp, pump: on or off; current at nominal voltage.
struct OnOffDevice {
  Voltage nominal = volts(12);
  Current current;
  double inrush_factor = 1.0;  // current at switching on over steady current
  Time inrush_time = milliseconds(0);
  LoadForm form = LoadForm::other;
};

struct ServoDevice {
  Voltage nominal = volts(5);
  Current stall_current;
};

struct LightDevice {
  int pixels = 1;
  Current current_per_pixel;
};

struct SwitchDevice {
  bool normally_closed = false;
  Time bounce = milliseconds(3);
};

// Two-channel incremental encoder; lines per revolution of the shaft it sits on (four counts a line).
struct EncoderDevice {
  int lines_per_revolution = 0;
  Voltage supply = volts(5);
  Current supply_current;
};

// A voltage that follows an angle (potentiometer) or a distance (range sensor), linear between two points.
struct AnalogueDevice {
  bool measures_distance = false;  // else: angle of the shaft it sits on
  double low_value = 0.0;          // rad or m, SI
  double high_value = 0.0;
  Voltage at_low;
  Voltage at_high;
  Voltage noise_rms = volts(0.005);
  Voltage supply = volts(5);
  Current supply_current;
};

struct BusDevice {
  std::string bus;  // "i2c", …
  int address = 0;
  std::string identity;
  Voltage supply = volts(5);
  Current supply_current;
};

struct OpenCircuitPoint {
  double state_of_charge = 0.0;  // 0..1
  Voltage open_circuit;
};

struct InternalPoint {
  double state_of_charge = 1.0;  // 0..1
  Temperature at = celsius(25);
  Resistance internal;
};

struct BatteryDevice {
  std::string chemistry;  // "lead-acid agm", …
  Voltage nominal = volts(12);
  Charge capacity;
  Voltage open_circuit_full;
  Voltage open_circuit_empty;
  Resistance internal;                         // charged, at 25 °C
  std::vector<OpenCircuitPoint> open_circuit;  // charge rising; empty: straight from empty to full
  std::vector<InternalPoint> internal_at;      // at other charges and temperatures; empty: always `internal`
  double peukert_exponent = 1.0;               // 1: the capacity does not depend on the current
  Time rated_time = seconds(20 * 3600.0);      // discharge time at which the capacity is stated
  std::optional<Voltage> cutoff;               // empty under load: no further
  std::optional<Current> max_discharge;
};

enum class ProtectionKind { fuse, breaker, resettable };

// One row of a maker's (or a standard's) limits: at this multiple of the rating it opens no earlier and no later.
struct LimitPoint {
  double multiple = 0.0;
  Time earliest = seconds(0);
  std::optional<Time> latest;  // absent: it need not open at all
};

// At this ambient temperature the current to be carried is multiplied by `factor` when a rating is chosen; so the part
// acts as if its rating were divided by it (above 1 where it is hot).
struct DeratingPoint {
  Temperature ambient;
  double factor = 1.0;
};

struct ProtectionDevice {
  ProtectionKind kind = ProtectionKind::fuse;
  Current rating;  // fuse, breaker: rated current; resettable: hold current
  Current trip;    // resettable: trip current; else 0
  Resistance cold;
  double melting_i2t = 0.0;             // A²s, fuse
  std::vector<LimitPoint> limits;       // multiples rising; multiples of the rating, resettable: of the hold current
  std::vector<DeratingPoint> derating;  // temperatures rising
  std::optional<Current> interrupting;  // largest current that it can break
  std::optional<Current> max_trip_at;   // resettable: at this current …
  std::optional<Time> max_trip_within;  // … it trips within this time
  std::optional<Resistance> r_min;      // resettable: least resistance as delivered
  std::optional<Resistance> r1_max;     // resettable: most resistance an hour after a trip
};

struct ConnectorDevice {
  Resistance contact = ohms(0.005);
  Current rating;
  std::optional<Area> wire_smallest;  // conductors that its terminals take
  std::optional<Area> wire_largest;
};

using DeviceSpec = std::variant<MotorDevice, OnOffDevice, ServoDevice, LightDevice, SwitchDevice, EncoderDevice,
                                AnalogueDevice, BusDevice, BatteryDevice, ProtectionDevice, ConnectorDevice>;

struct Device {
  std::string name;  // catalogue name, e.g. "geared_motor_12v_120rpm"
  std::string description;
  std::string source;
  DeviceSpec spec;
  std::optional<Voltage> voltage_min;  // the range in which it may be used
  std::optional<Voltage> voltage_max;
  std::vector<Tolerance> tolerances;  // paths "device.<name>.…"

  template <class Spec>
  [[nodiscard]] const Spec* as() const {
    return std::get_if<Spec>(&spec);
  }
};

struct Catalogue {
  std::vector<Board> boards;
  std::vector<Device> devices;

  [[nodiscard]] const Board* board(const std::string& name) const;
  [[nodiscard]] const Device* device(const std::string& name) const;
};

}  // namespace ringout::robot
