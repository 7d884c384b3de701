// For each rule a robot in which it speaks; in the demonstration robot, or where that has the note itself in one made
// silent, it does not.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "desk/rules/rule.h"
#include "robot/robot_file.h"
#include "robot/testing.h"
#include "tests/golden.h"

using namespace ringout;
using namespace ringout::desk;
using robot::Robot;

namespace {

const Robot& demonstration() {
  static const Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}

const DeskReport& its_report() {
  static const DeskReport report = desk_check(demonstration(), {.draws = 0});
  return report;
}

bool fires(const char* rule, const Robot& robot, const DeskReport& report) {
  const auto found = findings_of(robot, report);
  return std::any_of(found.begin(), found.end(), [&](const RuleFinding& f) { return f.rule == rule; });
}

template <class Spec>
Spec& spec(Robot& r, const char* device) {
  for (robot::Device& d : r.catalogue.devices) {
    if (d.name == device) return std::get<Spec>(d.spec);
  }
  FAIL("no such device");
  throw 0;
}
robot::Device& device(Robot& r, const char* name) {
  const auto at = std::find_if(r.catalogue.devices.begin(), r.catalogue.devices.end(),
                               [&](const auto& d) { return d.name == name; });
  REQUIRE(at != r.catalogue.devices.end());
  return *at;
}
robot::Output& output(Robot& r, const char* name) {
  return *std::find_if(r.outputs.begin(), r.outputs.end(), [&](const auto& o) { return o.name == name; });
}
robot::Input& input(Robot& r, const char* name) {
  return *std::find_if(r.inputs.begin(), r.inputs.end(), [&](const auto& i) { return i.name == name; });
}
robot::Protection& protection(Robot& r, const char* name) {
  return *std::find_if(r.protections.begin(), r.protections.end(), [&](const auto& p) { return p.name == name; });
}
robot::BoardPort& port(Robot& r, const char* name) {
  return *std::find_if(r.board.ports.begin(), r.board.ports.end(), [&](const auto& p) { return p.name == name; });
}
robot::BatteryDevice& battery(Robot& r) {
  return spec<robot::BatteryDevice>(r, "agm_12v_7ah");
}
robot::MotorDevice& motor(Robot& r, const char* name) {
  return spec<robot::MotorDevice>(r, name);
}
robot::ProtectionDevice& guard(Robot& r, const char* name) {
  return spec<robot::ProtectionDevice>(r, name);
}

void again(const Robot& r, DeskReport& report) {
  report = desk_check(r, {.draws = 0});
}
CaseReport& usual(DeskReport& report) {
  return *std::find_if(report.cases.begin(), report.cases.end(),
                       [](const CaseReport& c) { return c.name == "all_at_asked_speed"; });
}
CaseReport& held(DeskReport& report) {
  return report.cases[0];
}

struct Firing {
  const char* rule;
  void (*spoil)(Robot&, DeskReport&);
};

const Firing supply_rows[] = {
    {"protection.larger-than-wire",
     [](Robot& r, DeskReport&) { protection(r, "fuse_lift").device = "blade_fuse_20a"; }},
    {"protection.guards-far-end-only", [](Robot& r, DeskReport&) { guard(r, "breaker_30a").rating = amperes(40); }},
    {"protection.far-from-battery", [](Robot& r, DeskReport&) { r.battery.wire.length = metres(0.8); }},
    {"protection.branch-missing", [](Robot& r, DeskReport&) { output(r, "belt").fed_by = "main_breaker"; }},
    {"protection.shared", [](Robot& r, DeskReport&) { output(r, "belt").fed_by = "fuse_lift"; }},
    {"protection.shared-with-controller", [](Robot& r, DeskReport&) { r.board_fed_by = "fuse_mist"; }},
    {"protection.upstream-not-larger", [](Robot& r, DeskReport&) { guard(r, "breaker_30a").rating = amperes(15); }},
    {"protection.cannot-break-short",
     [](Robot& r, DeskReport&) { guard(r, "blade_fuse_10a").interrupting = amperes(100); }},
    {"protection.voltage-too-high", [](Robot& r, DeskReport&) { device(r, "blade_fuse_5a").voltage_max = volts(12); }},
    {"protection.opens-in-use",
     [](Robot& r, DeskReport& d) {
       guard(r, "blade_fuse_5a").rating = amperes(1);
       again(r, d);
     }},
    {"protection.may-open-in-use",
     [](Robot& r, DeskReport& d) {
       guard(r, "blade_fuse_5a").rating = amperes(2);
       guard(r, "blade_fuse_5a").limits = {{.multiple = 1.0, .earliest = seconds(3600), .latest = {}}};
       again(r, d);
     }},
    {"protection.opens-in-cycle", [](Robot&, DeskReport& d) { d.duties[0].protections[1].late_peak = 1.2; }},
    {"protection.may-open-in-cycle", [](Robot&, DeskReport& d) { d.duties[0].protections[1].early_peak = 1.2; }},
    {"protection.no-limits", [](Robot& r, DeskReport&) { guard(r, "blade_fuse_5a").limits.clear(); }},
    {"protection.resets-by-itself",
     [](Robot& r, DeskReport&) { protection(r, "fuse_lift").device = "resettable_fuse_0_75a"; }},
    {"battery.over-discharge", [](Robot& r, DeskReport&) { battery(r).max_discharge = amperes(12); }},
    {"battery.under-cutoff", [](Robot& r, DeskReport&) { battery(r).cutoff = volts(12.5); }},
    {"battery.half-empty", [](Robot& r, DeskReport&) { r.battery.state_of_charge = 0.4; }},
    {"battery.day-too-long", [](Robot&, DeskReport& d) { d.duties[0].batteries_per_day = 1.5; }},
    {"wire.too-thin",
     [](Robot& r, DeskReport& d) {
       output(r, "belt").wire.cross_section = square_millimetres(0.2);
       motor(r, "belt_motor_12v").free_current = amperes(5);
       again(r, d);
       for (WireLabel& w : d.wires) w.limit = w.name == "belt wire" ? std::optional(amperes(0.5)) : w.limit;
     }},
    {"wire.too-long",
     [](Robot& r, DeskReport& d) {
       output(r, "mist_pump").wire.length = metres(15);
       again(r, d);
     }},
    {"wire.insulation-unknown",
     [](Robot&, DeskReport& d) {
       for (WireLabel& w : d.wires) w.limit = w.name == "belt wire" ? std::optional(amperes(1)) : w.limit;
     }},
    {"wire.insulation-below-ambient",
     [](Robot& r, DeskReport&) { input(r, "lift_top").wire.insulation = celsius(20); }},
    {"wire.no-length", [](Robot& r, DeskReport&) { output(r, "belt").wire.length = metres(0); }},
    {"wire.analogue-long", [](Robot& r, DeskReport&) { input(r, "clamp_position").wire.length = metres(4); }},
    {"connector.wire-does-not-fit",
     [](Robot& r, DeskReport&) { output(r, "belt").wire.cross_section = square_millimetres(6); }},
    {"connector.over-rating",
     [](Robot& r, DeskReport& d) {
       spec<robot::ConnectorDevice>(r, "signal_pair_3a").rating = amperes(1);
       again(r, d);
     }},
    {"connector.over-rating-stalled",
     [](Robot& r, DeskReport& d) {
       spec<robot::ConnectorDevice>(r, "blade_pair_15a").rating = amperes(5);
       again(r, d);
     }},
};

const Firing controller_rows[] = {
    {"controller.browns-out", [](Robot&, DeskReport& d) { usual(d).above_brown_out = volts(-0.5); }},
    {"controller.outputs-go-off", [](Robot&, DeskReport& d) { held(d).above_supply_low = volts(-0.1); }},
    {"controller.input-voltage", [](Robot& r, DeskReport&) { r.board.input_voltage_max = volts(12); }},
    {"controller.supply-not-readable", [](Robot& r, DeskReport&) { r.board.supply_divider_ratio = 2; }},
    {"controller.low-level-too-low", [](Robot& r, DeskReport&) { r.board.supply_low = volts(6); }},
    {"controller.low-level-too-high", [](Robot& r, DeskReport&) { r.board.supply_low = volts(11.8); }},
    {"controller.live-in-reset", [](Robot& r, DeskReport&) { r.board.outputs_off_in_reset = false; }},
    {"controller.sensor-supply", [](Robot& r, DeskReport&) { r.board.sensor_supply_limit = amperes(0.1); }},
    {"controller.regulator", [](Robot& r, DeskReport&) { r.board.regulator_limit = amperes(0.2); }},
    {"port.voltage", [](Robot& r, DeskReport&) { port(r, "OUT3").voltage_max = volts(12); }},
    {"port.over-limit",
     [](Robot& r, DeskReport& d) {
       port(r, "OUT5").current_limit = amperes(0.4);
       again(r, d);
     }},
    {"port.limit-at-stall",
     [](Robot& r, DeskReport& d) {
       port(r, "OUT1").current_limit = amperes(5);
       again(r, d);
     }},
    {"port.inrush", [](Robot& r, DeskReport&) { port(r, "OUT7").current_limit = amperes(5); }},
    {"bank.over-limit", [](Robot&, DeskReport& d) { usual(d).banks[0].share.current = amperes(25); }},
    {"bank.over-limit-stalled", [](Robot&, DeskReport& d) { held(d).banks[0].share.current = amperes(25); }},
};

const Firing motor_rows[] = {
    {"motor.cannot-move-load", [](Robot& r, DeskReport&) { output(r, "lift").mechanism->friction = newton_metres(9); }},
    {"motor.little-torque", [](Robot& r, DeskReport&) { output(r, "lift").mechanism->friction = newton_metres(2.4); }},
    {"motor.row-contradicts-itself",
     [](Robot& r, DeskReport& d) {
       motor(r, "drive_motor_12v").stall_torque = newton_metres(0.6);
       again(r, d);
     }},
    {"gear.contradicts-speed", [](Robot& r, DeskReport&) { output(r, "lift").mechanism->gear_ratio = 60; }},
    {"gear.much-faster-than-asked", [](Robot& r, DeskReport&) { output(r, "lift").mechanism->gear_ratio = 1; }},
    {"gear.upside-down", [](Robot& r, DeskReport&) { output(r, "lift").mechanism->gear_ratio = 1.0 / 15.0; }},
    {"motor.speed-not-reached",
     [](Robot& r, DeskReport& d) {
       output(r, "lift").mechanism->asked_speed = 0.034;
       again(r, d);
     }},
    {"motor.stall-outlasts-protection",
     [](Robot&, DeskReport& d) { d.branch_stalls[0].winding_limit_after = seconds(3); }},
    {"motor.too-hot-in-cycles", [](Robot&, DeskReport& d) { d.duties[0].motors[2].after_cycles = celsius(140); }},
    {"motor.too-hot-in-the-end", [](Robot&, DeskReport& d) { d.duties[0].motors[2].settled = celsius(140); }},
    {"motor.no-heat-figures", [](Robot& r, DeskReport&) { motor(r, "lift_motor_12v").heat.reset(); }},
    {"device.voltage-too-high", [](Robot& r, DeskReport&) { device(r, "warning_lamp_12v").voltage_max = volts(12.5); }},
    {"device.voltage-too-low", [](Robot& r, DeskReport&) { device(r, "mist_pump_12v").voltage_min = volts(12.8); }},
    {"lift.self-locking-doubtful",
     [](Robot& r, DeskReport&) { output(r, "lift").mechanism->friction = newton_metres(0.05); }},
};

const Firing other_rows[] = {
    {"encoder.near-port-limit", [](Robot& r, DeskReport&) { port(r, "ENC3").max_edge_rate = hertz(3300); }},
    {"encoder.coarse", [](Robot& r, DeskReport&) { output(r, "lift").mechanism->travel->high = 0.0005; }},
    {"motion.unsensed", [](Robot& r, DeskReport&) { input(r, "lift_encoder").senses_output = "belt"; }},
    {"analogue.small-span", [](Robot& r, DeskReport&) { port(r, "AN2").divider_ratio = 8; }},
    {"analogue.end-like-open-wire",
     [](Robot& r, DeskReport&) { spec<robot::AnalogueDevice>(r, "range_sensor_80cm").at_high = volts(0.02); }},
    {"analogue.noisy",
     [](Robot& r, DeskReport&) { spec<robot::AnalogueDevice>(r, "range_sensor_80cm").noise_rms = volts(0.1); }},
    {"sensor.voltage", [](Robot& r, DeskReport&) { device(r, "encoder_12").voltage_max = volts(3.6); }},
    {"sensor.supply-differs",
     [](Robot& r, DeskReport&) { spec<robot::EncoderDevice>(r, "encoder_12").supply = volts(12); }},
    {"end-switch.open-contact", [](Robot&, DeskReport&) {}},
    {"switch.bounces-long",
     [](Robot& r, DeskReport&) { spec<robot::SwitchDevice>(r, "limit_switch_no").bounce = milliseconds(30); }},
    {"case.no-solution", [](Robot&, DeskReport& d) { d.cases[1].unsolved = Error{}; }},
    {"case.level-over-largest", [](Robot& r, DeskReport&) { r.duty_cycles[0].steps[2].loads[0].level = 0.9; }},
    {"cycle.stalled-for-long",
     [](Robot& r, DeskReport&) { r.duty_cycles[0].steps[3].loads[0].loading = robot::Loading::stalled; }},
    {"cycle.longer-than-a-day", [](Robot& r, DeskReport&) { r.duty_cycles[0].repeats_per_day = 2000; }},
    {"cycle.past-the-end",
     [](Robot& r, DeskReport&) {
       r.duty_cycles[0].steps[3].loads[0].loading = robot::Loading::at_speed;
       r.duty_cycles[0].steps[3].loads[0].speed = 0.03;
     }},
};

// The demonstration without what its notes are about.
void silence(Robot& r, DeskReport& d) {
  output(r, "clamp").fed_by = "fuse_lift";
  output(r, "lift").fed_by = "fuse_drive_left";
  output(r, "drive_left").fed_by = "fuse_deck";
  output(r, "belt").fed_by = "fuse_drive_right";
  output(r, "drive_right").fed_by = "fuse_mist";
  for (const char* name : {"mist_pump", "warning_lamp"}) output(r, name).fed_by.clear();
  guard(r, "breaker_30a").rating = amperes(9);
  for (robot::BoardPort& p : r.board.ports) p.current_limit = amperes(30);
  spec<robot::SwitchDevice>(r, "limit_switch_no").normally_closed = true;
  for (BranchStall& s : d.branch_stalls) s.winding_limit_after.reset();
  for (DutyFigures& f : d.duties) f.batteries_per_day = 0.5;
  for (CaseReport& c : d.cases) {
    for (OutputFigures& o : c.outputs) {
      o.regime = Regime::running;
      o.port.current = amperes(1);
    }
  }
}

// What a person reads when the rule speaks; the places are those of the demonstration's file.
std::string told(const char* rule, const Robot& robot, const DeskReport& report) {
  std::string text = std::string(rule) + "\n";
  for (const RuleFinding& f : findings_of(robot, report)) {
    if (f.rule == rule) text += "  line " + std::to_string(f.place.line) + ": " + f.text + "\n";
  }
  return text;
}

void check_rows(const Firing* begin, const Firing* end, std::set<std::string>& done, std::string& texts) {
  Robot silent = demonstration();
  DeskReport silent_report = its_report();
  silence(silent, silent_report);
  for (const Firing* row = begin; row != end; ++row) {
    CAPTURE(row->rule);
    REQUIRE(rule_named(row->rule) != nullptr);
    Robot robot = demonstration();
    DeskReport report = its_report();
    row->spoil(robot, report);
    CHECK(fires(row->rule, robot, report));
    CHECK((!fires(row->rule, demonstration(), its_report()) || !fires(row->rule, silent, silent_report)));
    done.insert(row->rule);
    texts += told(row->rule, robot, report);
  }
}

// Rules of reading and of the drawing: the demonstration's text with the first `from` after `after` replaced.
struct Spoilt {
  const char* rule;
  const char* after;
  const char* from;
  const char* to;
};

const Spoilt spoilt_rows[] = {
    {"robot.bad-name", "[[output]]", "\"drive_left\"", "\"drive-left\""},
    {"robot.name-taken", "[[output]]", "\"mist_pump\"", "\"Belt\""},
    {"robot.unknown-port", "[[output]]", "\"OUT1\"", "\"OUT9\""},
    {"robot.wrong-port-kind", "[[output]]", "\"OUT1\"", "\"ENC6\""},
    {"robot.port-twice", "[[output]]", "\"OUT1\"", "\"OUT2\""},
    {"robot.unknown-device", "[[output]]", "\"drive_motor_12v\"", "\"drive_motor_21v\""},
    {"robot.wrong-device-kind", "[[output]]", "\"drive_motor_12v\"", "\"limit_switch_no\""},
    {"robot.unknown-protection", "[[output]]", "\"fuse_mist\"", "\"fuse_mast\""},
    {"robot.feed-cycle", "[[protection]]", "fed_from = \"battery\"", "fed_from = \"fuse_lift\""},
    {"robot.senses-whom", "[[input]]", "of = \"lift\"\n", ""},
    {"robot.no-owner", "[[output]]", "owner = \"wiring\"\n", ""},
    {"robot.unknown-owner", "[[output]]", "owner = \"wiring\"", "owner = \"Ulla\""},
    {"robot.unused-protection", "[board]", "\"resettable_controller\"", "\"main_breaker\""},
    {"robot.no-disconnect", "[[protection]]", "fed_from = \"main_breaker\"", "fed_from = \"battery\""},
    {"robot.wrong-voltage", "name = \"mist_pump\"", "\"mist_pump_12v\"", "\"mist_pump_24v\""},
    {"robot.never-moves", "[[output]]", "max_level = \"60 %\"", "max_level = 0"},
    {"robot.port-cannot-brake", "name = \"lift\"", "\"OUT3\"", "\"PLAIN1\""},
    {"robot.load-can-fall", "name = \"lift\"", "off = \"brake\"", "off = \"coast\""},
    {"robot.lift-without-end-switch", "[[output]]", "high_switch = \"lift_top\"", "#"},
    {"robot.end-unguarded", "name = \"clamp_position\"", "senses = \"motion\"\nof = \"clamp\"",
     "senses = \"surroundings\""},
    {"robot.end-switch-is-none", "[[output]]", "high_switch = \"lift_top\"", "high_switch = \"range_ahead\""},
    {"robot.end-switch-disagrees", "[[output]]", "high_switch = \"lift_top\"", "high_switch = \"lift_bottom\""},
    {"robot.end-switch-without-travel", "[[output]]", "travel = { low = \"0 mm\", high = \"300 mm\" }", "#"},
    {"robot.end-switch-unused", "[[output]]", "high_switch = \"lift_top\"", "#"},
    {"robot.no-clearance", "[[output]]", "bump_clearance = \"100 mm\"", "#"},
    {"robot.clearance-too-large", "[[output]]", "bump_clearance = \"100 mm\"", "bump_clearance = \"151 mm\""},
    {"robot.cannot-be-seen", "[[output]]", "visible_sign = \"mist", "positive_means = \"mist"},
    {"robot.no-positive-means", "[[output]]", "positive_means = \"raises the tray\"", "#"},
    {"robot.senses-nothing", "[[input]]", "senses = \"surroundings\"", "#"},
    {"robot.nothing-to-sense", "name = \"belt_encoder\"", "of = \"belt\"", "of = \"warning_lamp\""},
    {"robot.no-hand-action", "name = \"range_ahead\"", "hand_action", "#"},
    {"robot.encoder-too-fast", "name = \"left_encoder\"", "\"encoder_500\"", "\"encoder_5000\""},
    {"robot.sensor-range-short", "[[output]]", "high = \"90 deg\"", "high = \"130 deg\""},
    {"robot.analogue-over-range", "name = \"range_ahead\"", "\"range_sensor_80cm\"", "\"sensor_10v\""},
};

const char* const more_devices = R"(
[[on_off]]
name = "mist_pump_24v"
source = "invented"
nominal = "24 V"
current = "1 A"

[[encoder]]
name = "encoder_5000"
source = "invented"
lines_per_revolution = 5000

[[analogue]]
name = "sensor_10v"
source = "invented"
measures = "distance"
low_value = "10 cm"
high_value = "80 cm"
at_low = "0.5 V"
at_high = "10 V"
)";

std::set<std::string> ids_of(const std::string& text) {
  std::vector<SourceText> texts = robot::testing::catalogue_texts(RINGOUT_SOURCE_DIR);
  texts.emplace_back("more.toml", more_devices);
  Diagnostics found;
  robot::Catalogue catalogue = robot::read_catalogue(texts, found);
  for (robot::BoardPort& p : catalogue.boards[0].ports) {
    if (p.name != "OUT8") continue;
    p.name = "PLAIN1";
    p.can_brake = false;
  }
  const std::optional<Robot> robot = robot::read_robot(SourceText("robot.toml", text), catalogue, found);
  std::set<std::string> out;
  for (const Diagnostic& d : found.all()) out.insert(d.id);
  if (!robot) return out;
  for (const RuleFinding& f : findings_of(*robot, desk_check(*robot, {.draws = 0}))) out.insert(f.rule);
  return out;
}

}  // namespace

TEST_CASE("each rule of figures speaks where it should and is silent where it should be") {
  std::set<std::string> done;
  std::string texts;
  check_rows(std::begin(supply_rows), std::end(supply_rows), done, texts);
  check_rows(std::begin(controller_rows), std::end(controller_rows), done, texts);
  check_rows(std::begin(motor_rows), std::end(motor_rows), done, texts);
  check_rows(std::begin(other_rows), std::end(other_rows), done, texts);
  for (const Rule& r : all_rules()) {
    CAPTURE(std::string(r.id));
    if (r.home == Home::desk) CHECK(done.count(std::string(r.id)) == 1);
  }
  ringout::testing::check_golden("desk/rules.txt", texts);
}

TEST_CASE("each rule of the drawing speaks where it should and is silent on the demonstration") {
  std::string base = robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml").text();
  base = base.substr(0, base.find("# ---- load cases"));
  const std::set<std::string> in_order = ids_of(base);
  std::set<std::string> done;
  for (const Spoilt& row : spoilt_rows) {
    CAPTURE(row.rule);
    std::string text = base;
    const std::size_t at = text.find(row.from, text.find(row.after));
    REQUIRE(at != std::string::npos);
    text.replace(at, std::string(row.from).size(), row.to);
    if (std::string(row.rule) == "robot.load-can-fall") text.replace(text.find("self_locking = true"), 19, "");
    CHECK(ids_of(text).count(row.rule) == 1);
    CHECK(in_order.count(row.rule) == 0);
    done.insert(row.rule);
  }
  const std::string bus =
      "[[input]]\nname = \"tilt_1\"\nkind = \"bus device\"\ndevice = \"tilt_sensor_bus\"\nport = \"BUS1\"\nowner = "
      "\"wiring\"\n";
  std::string two = base;
  for (int i = 1; i < 60; ++i) {
    std::string one = bus;
    two += one.replace(one.find("tilt_1"), 6, "tilt_" + std::to_string(i));
    if (i == 2) CHECK(ids_of(two).count("robot.bus-address-twice") == 1);
  }
  CHECK(ids_of(two).count("robot.too-many-points") == 1);
  done.insert("robot.bus-address-twice");
  done.insert("robot.too-many-points");
  for (const Rule& r : all_rules()) {
    CAPTURE(std::string(r.id));
    if (r.home != Home::desk) CHECK(done.count(std::string(r.id)) == 1);
  }
}
