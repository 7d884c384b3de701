// The catalogue: boards and devices as plain-text files (data/, and any folder beside the robot file).
// Structs only; reading is in catalogue_file.h. Every part says where its figures come from (`source`).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "units/quantity.h"

namespace ringout::robot {

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
  bool outputs_off_in_reset = true;  // bridges are pulled off while the chip is in reset
  bool usb_powered = true;           // the controller stays alive with the supply disconnected

  [[nodiscard]] const BoardPort* find(const std::string& port_name) const;
  [[nodiscard]] std::vector<const BoardPort*> of_kind(PortKind kind) const;  // in index order
};

// ---- devices ------------------------------------------------------------------------------------------------------

// Brushed permanent-magnet motor; figures as on a data sheet at nominal voltage and 25 °C.
struct MotorDevice {
  Voltage nominal = volts(12);
  AngularSpeed free_speed;
  Current free_current;
  Torque stall_torque;  // gross: torque constant times stall current
  Current stall_current;
  Inertia rotor_inertia;
  Inductance inductance;
};

// Solenoid, valve, lamp, pump: on or off; current at nominal voltage.
struct OnOffDevice {
  Voltage nominal = volts(12);
  Current current;
  double inrush_factor = 1.0;  // current at switching on over steady current
  Time inrush_time = milliseconds(0);
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
};

struct BusDevice {
  std::string bus;  // "i2c", …
  int address = 0;
  std::string identity;
};

struct BatteryDevice {
  std::string chemistry;  // "lead-acid agm", …
  Voltage nominal = volts(12);
  Charge capacity;
  Voltage open_circuit_full;
  Voltage open_circuit_empty;
  Resistance internal;
};

enum class ProtectionKind { fuse, breaker, resettable };

struct ProtectionDevice {
  ProtectionKind kind = ProtectionKind::fuse;
  Current rating;  // fuse, breaker: rated current; resettable: hold current
  Current trip;    // resettable: trip current; else 0
  Resistance cold;
  double melting_i2t = 0.0;  // A²s, fuse
};

struct ConnectorDevice {
  Resistance contact = ohms(0.005);
  Current rating;
};

using DeviceSpec = std::variant<MotorDevice, OnOffDevice, ServoDevice, LightDevice, SwitchDevice, EncoderDevice,
                                AnalogueDevice, BusDevice, BatteryDevice, ProtectionDevice, ConnectorDevice>;

struct Device {
  std::string name;  // catalogue name, e.g. "geared_motor_12v_120rpm"
  std::string description;
  std::string source;
  DeviceSpec spec;

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
