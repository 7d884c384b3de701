#include "bind/test_robot.h"

#include <fmt/format.h>

namespace ringout::bind {
namespace {

using namespace ringout::robot;

Board board() {
  Board b;
  b.name = "nursery_mega";
  b.chip = "atmega2560";
  b.supply_adc = 0;
  for (std::uint8_t i = 0; i < 8; ++i) {
    b.ports.push_back({.name = fmt::format("OUT{}", i + 1),
                       .kind = PortKind::bridge,
                       .index = i,
                       .pins = {fmt::format("PC{}", i)},
                       .bank = i < 4 ? "A" : "B"});
  }
  for (std::uint8_t i = 0; i < 6; ++i) {
    b.ports.push_back({.name = fmt::format("ENC{}", i + 1), .kind = PortKind::encoder_input, .index = i});
  }
  for (std::uint8_t i = 0; i < 8; ++i) {
    b.ports.push_back({.name = fmt::format("SW{}", i + 1), .kind = PortKind::switch_input, .index = i});
  }
  b.ports.back().inverted = true;
  const std::uint8_t channels[] = {1, 2, 5, 6, 7};
  for (std::uint8_t i = 0; i < 5; ++i) {
    b.ports.push_back(
        {.name = fmt::format("AN{}", i + 1), .kind = PortKind::analogue_input, .index = i, .adc_channel = channels[i]});
  }
  b.banks = {{"A", amperes(30), 3, 0.1}, {"B", amperes(20), 4, 0.1}};
  return b;
}

Device device(std::string name, DeviceSpec spec) {
  return {std::move(name), "", "invented", std::move(spec)};
}

Catalogue catalogue() {
  Catalogue c;
  c.boards.push_back(board());
  MotorDevice drive{volts(12), rpm(5300), amperes(0.9), newton_metres(0.42), amperes(20)};
  c.devices.push_back(device("drive_motor_12v", drive));
  c.devices.push_back(
      device("small_motor_12v", MotorDevice{volts(12), rpm(6000), amperes(0.3), newton_metres(0.1), amperes(6)}));
  c.devices.push_back(device("mist_pump_12v", OnOffDevice{volts(12), amperes(1.5)}));
  c.devices.push_back(device("warning_lamp_12v", OnOffDevice{volts(12), amperes(0.4)}));
  c.devices.push_back(device("shaft_encoder_256", EncoderDevice{256}));
  c.devices.push_back(device("snap_switch", SwitchDevice{}));
  c.devices.push_back(device("snap_switch_closed", SwitchDevice{.normally_closed = true}));
  c.devices.push_back(device(
      "potentiometer_270",
      AnalogueDevice{
          .low_value = 0.0, .high_value = degrees(270).in(radians(1)), .at_low = volts(0.0), .at_high = volts(5.0)}));
  c.devices.push_back(device("range_sensor_80cm", AnalogueDevice{.measures_distance = true,
                                                                 .low_value = 0.1,
                                                                 .high_value = 0.8,
                                                                 .at_low = volts(0.5),
                                                                 .at_high = volts(4.5)}));
  c.devices.push_back(
      device("agm_12v_18ah", BatteryDevice{.chemistry = "lead-acid agm", .capacity = ampere_hours(18)}));
  c.devices.push_back(device("breaker_60a", ProtectionDevice{.kind = ProtectionKind::breaker, .rating = amperes(60)}));
  c.devices.push_back(device("blade_fuse_25a", ProtectionDevice{.kind = ProtectionKind::fuse, .rating = amperes(25)}));
  c.devices.push_back(
      device("resettable_3a",
             ProtectionDevice{.kind = ProtectionKind::resettable, .rating = amperes(3), .trip = amperes(5.5)}));
  c.devices.push_back(device("lever_connector", ConnectorDevice{}));
  return c;
}

Output motor(std::string name, std::string device_name, std::string port, std::string fed_by, std::string means) {
  Output o;
  o.name = std::move(name);
  o.device = std::move(device_name);
  o.port = std::move(port);
  o.fed_by = std::move(fed_by);
  o.wire = {.awg = 16, .length = metres(0.9)};
  o.connector = "lever_connector";
  o.mechanism = Mechanism{};
  o.positive_means = std::move(means);
  return o;
}

Output on_off(std::string name, std::string device_name, std::string port, std::string fed_by) {
  Output o;
  o.name = std::move(name);
  o.kind = PointKind::on_off;
  o.device = std::move(device_name);
  o.port = std::move(port);
  o.fed_by = std::move(fed_by);
  o.wire = {.awg = 18, .length = metres(1.4)};
  o.visible_sign = "seen or heard at the nozzles";
  return o;
}

Input input(std::string name, PointKind kind, std::string device_name, std::string port, SensesWhat what,
            std::string output) {
  Input i;
  i.name = std::move(name);
  i.kind = kind;
  i.device = std::move(device_name);
  i.port = std::move(port);
  i.senses = what;
  i.senses_output = std::move(output);
  i.wire = {.awg = 24, .length = metres(0.7)};
  return i;
}

void add_outputs(Robot& r) {
  r.outputs = {motor("drive_left", "drive_motor_12v", "OUT1", "fuse_drive_left", "forward"),
               motor("drive_right", "drive_motor_12v", "OUT2", "fuse_drive_right", "forward"),
               motor("lift", "drive_motor_12v", "OUT3", "fuse_lift", "raises"),
               motor("clamp", "small_motor_12v", "OUT4", "fuse_deck", "closes"),
               motor("belt", "small_motor_12v", "OUT5", "fuse_deck", "carries to the rear"),
               on_off("mist_pump", "mist_pump_12v", "OUT6", "fuse_aux"),
               on_off("warning_lamp", "warning_lamp_12v", "OUT7", "fuse_aux")};
  for (auto* drive : {&r.outputs[0], &r.outputs[1]}) {
    drive->mechanism->gear_ratio = 30;
    drive->mechanism->radius = metres_per_radian(0.08);
    drive->mechanism->travel_is_length = true;
  }
  r.outputs[1].reversed = true;
  Mechanism& lift = *r.outputs[2].mechanism;
  lift.gear_ratio = 50;
  lift.radius = metres_per_radian(0.02);
  lift.travel = Travel{0.0, 0.45};
  lift.travel_is_length = true;
  lift.lifted = kilograms(6);
  r.outputs[2].off = Off::brake;
  r.outputs[2].low_switch = "lift_bottom";
  r.outputs[2].high_switch = "lift_top";
  Mechanism& clamp = *r.outputs[3].mechanism;
  clamp.gear_ratio = 100;
  clamp.travel = Travel{degrees(20).in(radians(1)), degrees(110).in(radians(1))};
  r.outputs[3].max_level = 0.6;
}

void add_inputs(Robot& r) {
  const auto motion = SensesWhat::output_motion;
  r.inputs = {
      input("left_encoder", PointKind::encoder, "shaft_encoder_256", "ENC1", motion, "drive_left"),
      input("right_encoder", PointKind::encoder, "shaft_encoder_256", "ENC2", motion, "drive_right"),
      input("lift_encoder", PointKind::encoder, "shaft_encoder_256", "ENC3", motion, "lift"),
      input("belt_encoder", PointKind::encoder, "shaft_encoder_256", "ENC4", motion, "belt"),
      input("lift_bottom", PointKind::switch_input, "snap_switch", "SW1", SensesWhat::travel_low_end, "lift"),
      input("lift_top", PointKind::switch_input, "snap_switch_closed", "SW2", SensesWhat::travel_high_end, "lift"),
      input("tray_present", PointKind::switch_input, "snap_switch", "SW8", SensesWhat::surroundings, ""),
      input("clamp_position", PointKind::analogue, "potentiometer_270", "AN1", motion, "clamp"),
      input("range_ahead", PointKind::analogue, "range_sensor_80cm", "AN2", SensesWhat::surroundings, "")};
  r.inputs[1].reversed = true;
  r.inputs[2].on_motor_shaft = true;
  r.inputs[6].hand_action = "lay a tray on the deck";
  r.inputs[8].hand_action = "hold a board before the sensor";
}

}  // namespace

Robot tray_carrier_for_tests() {
  Robot r;
  r.name = "Tray carrier";
  r.invented = true;
  r.text = std::make_shared<SourceText>("examples/tray_carrier/robot.toml", "");
  r.catalogue = catalogue();
  r.board = r.catalogue.boards.front();
  r.board_fed_by = "fuse_aux";
  r.board_wire = {.awg = 18, .length = metres(0.2)};
  r.battery = {.name = "main_battery", .device = "agm_12v_18ah", .wire = {.awg = 6, .length = metres(0.4)}};
  const auto fuse = [](const char* name, const char* device_name, const char* from) {
    return Protection{
        .name = name, .device = device_name, .fed_from = from, .wire = {.awg = 14, .length = metres(0.3)}};
  };
  r.protections = {fuse("main_breaker", "breaker_60a", "battery"),
                   fuse("fuse_drive_left", "blade_fuse_25a", "main_breaker"),
                   fuse("fuse_drive_right", "blade_fuse_25a", "main_breaker"),
                   fuse("fuse_lift", "blade_fuse_25a", "main_breaker"),
                   fuse("fuse_deck", "blade_fuse_25a", "main_breaker"),
                   fuse("fuse_aux", "resettable_3a", "main_breaker")};
  r.owners = {{"mechanics", "Ines"}, {"wiring", "Tomas"}, {"programming", "Wanja"}};
  add_outputs(r);
  add_inputs(r);
  return r;
}

}  // namespace ringout::bind
