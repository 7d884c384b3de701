// Each rule has a robot in which it speaks, and one in which it does not: the demonstration's texts, robot file and
// catalogue, with a few words changed, read and checked as a person's own would be.

#include <doctest/doctest.h>

#include <cstring>
#include <map>
#include <set>

#include "desk/rules/rule.h"
#include "robot/robot_file.h"
#include "robot/testing.h"
#include "tests/golden.h"

using namespace ringout;
using namespace ringout::desk;
using robot::Robot;

namespace {

// In the first text that has `after`, the first `from` behind it becomes `to`; an empty `from`: `to` is put before
// `after`.
struct Edit {
  const char* after;
  const char* from;
  const char* to;
};

struct Spoilt {
  const char* rule;
  std::vector<Edit> loud;         // it speaks; none: in the demonstration itself
  std::vector<Edit> silent = {};  // it does not; none: in the demonstration itself
};

const char* const two_more_fuses =
    "[[protection]]\nname = \"fuse_clamp\"\ndevice = \"blade_fuse_5a\"\nfed_from = \"main_breaker\"\nwire = { size = "
    "\"18 AWG\", length = \"0.3 m\", insulation = \"105 degC\" }\n\n"
    "[[protection]]\nname = \"fuse_lamp\"\ndevice = \"blade_fuse_5a\"\nfed_from = \"main_breaker\"\nwire = { size = "
    "\"18 AWG\", length = \"0.3 m\", insulation = \"105 degC\" }\n\n";

const Spoilt supply_rows[] = {
    {"protection.larger-than-wire", {{"name = \"fuse_lift\"", "blade_fuse_10a", "blade_fuse_20a"}}},
    {"protection.guards-far-end-only", {}, {{"name = \"breaker_30a\"", "rating = \"30 A\"", "rating = \"9 A\""}}},
    {"protection.far-from-battery", {{"[battery]", "0.25 m", "0.8 m"}}},
    {"protection.branch-missing", {{"name = \"belt\"", "fuse_deck", "main_breaker"}}},
    {"protection.shared",
     {},
     {{"# ---- controller", "", two_more_fuses},
      {"name = \"clamp\"", "\"fuse_deck\"", "\"fuse_clamp\""},
      {"name = \"warning_lamp\"", "\"fuse_mist\"", "\"fuse_lamp\""}}},
    {"protection.shared-with-controller", {{"name = \"mist_pump\"", "\"fuse_mist\"", "\"resettable_controller\""}}},
    {"protection.upstream-not-larger", {{"name = \"breaker_30a\"", "rating = \"30 A\"", "rating = \"15 A\""}}},
    {"protection.cannot-break-short",
     {{"name = \"blade_fuse_10a\"", "interrupting = \"1000 A\"", "interrupting = \"100 A\""}}},
    {"protection.voltage-too-high", {{"name = \"blade_fuse_5a\"", "\"32 V\"", "\"12 V\""}}},
    {"protection.opens-in-use", {{"name = \"blade_fuse_5a\"", "rating = \"5 A\"", "rating = \"1 A\""}}},
    {"protection.may-open-in-use", {{"name = \"blade_fuse_5a\"", "rating = \"5 A\"", "rating = \"2 A\""}}},
    {"protection.opens-in-cycle", {{"name = \"blade_fuse_5a\"", "rating = \"5 A\"", "rating = \"1 A\""}}},
    {"protection.may-open-in-cycle", {{"name = \"blade_fuse_5a\"", "rating = \"5 A\"", "rating = \"2 A\""}}},
    {"protection.no-limits",
     {{"name = \"blade_fuse_5a\"",
       "limits = [\n"
       "  { multiple = 1.1, earliest = \"100 h\" },\n"
       "  { multiple = 1.35, earliest = \"0.75 s\", latest = \"600 s\" },\n"
       "  { multiple = 2.0, earliest = \"0.15 s\", latest = \"5 s\" },\n"
       "  { multiple = 3.5, earliest = \"0.04 s\", latest = \"0.5 s\" },\n"
       "  { multiple = 6.0, earliest = \"0.02 s\", latest = \"0.1 s\" },\n"
       "]",
       ""}}},
    {"protection.resets-by-itself", {{"name = \"fuse_lift\"", "blade_fuse_10a", "resettable_fuse_0_75a"}}},
    {"battery.over-discharge", {{"name = \"agm_12v_7ah\"", "\"105 A\"", "\"12 A\""}}},
    {"battery.under-cutoff", {{"name = \"agm_12v_7ah\"", "\"10.5 V\"", "\"11.5 V\""}}},
    {"battery.half-empty", {{"[battery]", "\"90 % +-5 %\"", "\"40 % +-5 %\""}}},
    {"battery.day-too-long", {{"[[duty_cycle]]", "\"120 +-20\"", "900"}}, {{"[[duty_cycle]]", "\"120 +-20\"", "10"}}},
    {"wire.burns-in-short", {{"name = \"drive_left\"", "size = \"16 AWG\"", "size = \"24 AWG\""}}},
    {"wire.short-not-cleared", {{"name = \"drive_left\"", "size = \"16 AWG\"", "size = \"28 AWG\""}}},
    {"wire.too-thin",
     {{"name = \"mist_pump\"", "size = \"18 AWG\", length = \"1.2 m\", insulation = \"105 degC\", bundle = true",
       "size = \"24 AWG\", length = \"1.2 m\", bundle = true"},
      {"name = \"mist_pump_12v\"", "\"1.6 A +-10 %\"", "\"4 A\""}}},
    {"wire.too-long", {{"name = \"mist_pump\"", "1.2 m", "15 m"}}},
    {"wire.insulation-unknown",
     {{"name = \"mist_pump\"", "size = \"18 AWG\", length = \"1.2 m\", insulation = \"105 degC\", bundle = true",
       "size = \"24 AWG\", length = \"1.2 m\", bundle = true"}}},
    {"wire.insulation-below-ambient",
     {{"name = \"lift_top\"", "length = \"1.4 m\"", "length = \"1.4 m\", insulation = \"20 degC\""}}},
    {"wire.no-length", {{"name = \"belt\"", "0.8 m", "0 m"}}},
    {"wire.analogue-long", {{"name = \"clamp_position\"", "1.1 m", "4 m"}}},
    {"connector.wire-does-not-fit", {{"name = \"belt\"", "18 AWG", "10 AWG"}}},
    {"connector.over-rating", {{"name = \"signal_pair_3a\"", "rating = \"3 A\"", "rating = \"1 A\""}}},
    {"connector.over-rating-stalled", {{"name = \"blade_pair_15a\"", "rating = \"15 A\"", "rating = \"5 A\""}}},
};

const Spoilt controller_rows[] = {
    {"controller.browns-out",
     {{"[battery]", "size = \"10 AWG\", length = \"0.25 m\"", "size = \"18 AWG\", length = \"9 m\""}}},
    {"controller.outputs-go-off",
     {{"[battery]", "size = \"10 AWG\", length = \"0.25 m\"", "size = \"18 AWG\", length = \"5 m\""}}},
    {"controller.input-voltage",
     {{"name = \"nursery_mega\"", "input_voltage_max = \"16 V\"", "input_voltage_max = \"12 V\""}}},
    {"controller.supply-not-readable",
     {{"name = \"nursery_mega\"", "supply_divider_ratio = 4", "supply_divider_ratio = 2"}}},
    {"controller.low-level-too-low", {{"name = \"nursery_mega\"", "\"8.5 V\"", "\"6 V\""}}},
    {"controller.low-level-too-high", {{"name = \"nursery_mega\"", "\"8.5 V\"", "\"11.8 V\""}}},
    {"controller.live-in-reset",
     {{"name = \"nursery_mega\"", "outputs_off_in_reset = true", "outputs_off_in_reset = false"}}},
    {"controller.sensor-supply", {{"name = \"nursery_mega\"", "\"0.5 A\"", "\"0.1 A\""}}},
    {"controller.regulator", {{"name = \"nursery_mega\"", "regulator_limit = \"1 A\"", "regulator_limit = \"0.2 A\""}}},
    {"port.voltage", {{"name = \"OUT3\"", "28 V", "12 V"}}},
    {"port.over-limit", {{"name = \"OUT5\"", "\"10 A\"", "\"0.4 A\""}}},
    {"port.limit-at-stall",
     {},
     {{"name = \"OUT1\"", "\"10 A\"", "\"30 A\""}, {"name = \"OUT2\"", "\"10 A\"", "\"30 A\""}}},
    {"port.inrush", {{"name = \"OUT7\"", "\"10 A\"", "\"5 A\""}}},
    {"bank.over-limit", {{"[[bank]]", "\"20 A\"", "\"1 A\""}}},
    {"bank.over-limit-stalled", {{"[[bank]]", "\"20 A\"", "\"12 A\""}}},
};

const Spoilt motor_rows[] = {
    {"motor.cannot-move-load",
     {{"name = \"lift\"", "friction = \"0.14 N*m\"", "friction = \"9 N*m\""}},
     {{"name = \"lift\"", "max_level = \"100 %\"", "max_level = \"70 %\""},
      {"name = \"lift\"", "friction = \"0.14 N*m\"", "friction = \"1.6 N*m\""}}},
    {"motor.little-torque",
     {{"name = \"lift\"", "friction = \"0.14 N*m\"", "friction = \"2.3 N*m\""}},
     {{"name = \"lift\"", "max_level = \"100 %\"", "max_level = \"70 %\""},
      {"name = \"lift\"", "friction = \"0.14 N*m\"", "friction = \"1.1 N*m\""}}},
    {"motor.row-contradicts-itself", {{"name = \"drive_motor_12v\"", "\"0.4330 N*m\"", "\"0.6 N*m\""}}},
    {"gear.contradicts-speed",
     {{"name = \"lift\"", "gear_ratio = 15", "gear_ratio = 60"}},
     {{"name = \"drive_left\"", "max_level = \"100 %\"", "max_level = \"70 %\""}}},
    {"gear.much-faster-than-asked", {{"name = \"lift\"", "gear_ratio = 15", "gear_ratio = 1"}}},
    {"gear.upside-down", {{"name = \"lift\"", "gear_ratio = 15", "gear_ratio = 0.0667"}}},
    {"motor.speed-not-reached", {{"name = \"lift\"", "\"20 mm/s\"", "\"34 mm/s\""}}},
    {"motor.stall-outlasts-protection",
     {},
     {{"name = \"drive_left\"", "\"100 %\"", "\"5 %\""},
      {"name = \"drive_right\"", "\"100 %\"", "\"5 %\""},
      {"name = \"lift\"", "\"100 %\"", "\"5 %\""},
      {"name = \"clamp\"", "\"60 %\"", "\"5 %\""},
      {"name = \"belt\"", "\"80 %\"", "\"5 %\""}}},
    {"motor.too-hot-in-cycles", {{"# up", "loading = \"at speed\", speed = \"20 mm/s\"", "loading = \"stalled\""}}},
    {"motor.too-hot-in-the-end", {{"name = \"lift_motor_12v\"", "\"9 K/W +-20 %\"", "\"200 K/W\""}}},
    {"motor.too-hot-in-the-end", {{"name = \"lift_motor_12v\"", "\"9 K/W +-20 %\"", "\"2000 K/W\""}}},
    {"motor.no-heat-figures",
     {{"name = \"lift_motor_12v\"",
       "[motor.heat]\nwinding_to_housing = \"4 K/W +-20 %\"\nhousing_to_ambient = \"9 K/W +-20 %\"  # mounted, in "
       "still air\nwinding_capacity = \"12 J/K\"\nhousing_capacity = \"110 J/K\"\nwinding_limit = \"125 degC\"",
       ""}}},
    {"device.voltage-too-high", {{"name = \"warning_lamp_12v\"", "\"15 V\"", "\"12.5 V\""}}},
    {"device.voltage-too-low", {{"name = \"mist_pump_12v\"", "voltage_min = \"10 V\"", "voltage_min = \"12.8 V\""}}},
    {"lift.self-locking-doubtful",
     {{"name = \"lift\"", "friction = \"0.14 N*m\"", "friction = \"0.05 N*m\""},
      {"name = \"lift\"", "lifted = \"8 kg +-1 kg\"", "lifted = \"80 kg\""}},
     // A screw of 40 % locks in itself, however little friction its load has.
     {{"name = \"lift\"", "gear_efficiency = \"80 % +-5 %\"", "gear_efficiency = \"40 %\""},
      {"name = \"lift\"", "friction = \"0.14 N*m\"", "friction = \"0.05 N*m\""},
      {"name = \"lift\"", "lifted = \"8 kg +-1 kg\"", "lifted = \"80 kg\""}}},
};

const Spoilt other_rows[] = {
    {"encoder.near-port-limit", {{"name = \"ENC3\"", "10 kHz", "3300 Hz"}}},
    {"encoder.coarse",
     {{"name = \"lift\"", "high = \"300 mm\"", "high = \"0.5 mm\""},
      {"name = \"lift\"", "bump_clearance = \"100 mm\"", "bump_clearance = \"0.2 mm\""}}},
    {"motion.unsensed", {{"name = \"lift_encoder\"", "of = \"lift\"", "of = \"belt\""}}},
    {"analogue.small-span", {{"name = \"AN2\"", "divider_ratio = 1", "divider_ratio = 8"}}},
    {"analogue.end-like-open-wire", {{"name = \"range_sensor_80cm\"", "at_high = \"0.5 V\"", "at_high = \"0.02 V\""}}},
    {"analogue.noisy", {{"name = \"range_sensor_80cm\"", "\"12 mV\"", "\"100 mV\""}}},
    {"sensor.voltage", {{"name = \"encoder_12\"", "\"5.5 V\"", "\"4.8 V\""}}},
    {"sensor.supply-differs", {{"name = \"encoder_12\"", "supply = \"5 V\"", "supply = \"12 V\""}}},
    {"end-switch.open-contact",
     {},
     {{"name = \"lift_bottom\"", "limit_switch_no", "limit_switch_nc"},
      {"name = \"lift_top\"", "limit_switch_no", "limit_switch_nc"}}},
    {"switch.bounces-long", {{"name = \"limit_switch_no\"", "\"3 ms\"", "\"30 ms\""}}},
    {"case.no-solution",
     {{"[battery]", "size = \"10 AWG\", length = \"0.25 m\"", "size = \"22 AWG\", length = \"25 m\""}}},
    {"case.level-over-largest", {{"{ output = \"clamp\"", "level = \"60 %\"", "level = \"90 %\""}}},
    {"cycle.stalled-for-long", {{"# up", "loading = \"at speed\", speed = \"20 mm/s\"", "loading = \"stalled\""}}},
    {"cycle.longer-than-a-day", {{"[[duty_cycle]]", "\"120 +-20\"", "2000"}}},
    {"cycle.past-the-end", {{"# up", "loading = \"at speed\", speed = \"20 mm/s\"", "loading = \"running\""}}},
    {"cycle.past-the-end", {{"# down again", "\"-20 mm/s\"", "\"20 mm/s\""}}},
    {"cycle.past-the-end", {{"# holds it", "\"1 s\"", "\"2 s\""}}},
    {"cycle.ends-elsewhere", {{"# down again", "\"12 s\"", "\"10 s\""}}},
};

const Spoilt drawing_rows[] = {
    {"robot.bad-name", {{"[[output]]", "\"drive_left\"", "\"drive-left\""}}},
    {"robot.name-taken", {{"[[output]]", "\"mist_pump\"", "\"Belt\""}}},
    {"robot.unknown-port", {{"[[output]]", "\"OUT1\"", "\"OUT9\""}}},
    {"robot.wrong-port-kind", {{"[[output]]", "\"OUT1\"", "\"ENC6\""}}},
    {"robot.port-twice", {{"[[output]]", "\"OUT1\"", "\"OUT2\""}}},
    {"robot.unknown-device", {{"[[output]]", "\"drive_motor_12v\"", "\"drive_motor_21v\""}}},
    {"robot.wrong-device-kind", {{"[[output]]", "\"drive_motor_12v\"", "\"limit_switch_no\""}}},
    {"robot.unknown-protection", {{"[[output]]", "\"fuse_mist\"", "\"fuse_mast\""}}},
    {"robot.feed-cycle", {{"[[protection]]", "fed_from = \"battery\"", "fed_from = \"fuse_lift\""}}},
    {"robot.senses-whom", {{"[[input]]", "of = \"lift\"\n", ""}}},
    {"robot.no-owner", {{"[[output]]", "owner = \"wiring\"\n", ""}}},
    {"robot.unknown-owner", {{"[[output]]", "owner = \"wiring\"", "owner = \"Ulla\""}}},
    {"robot.unused-protection", {{"[board]", "\"resettable_controller\"", "\"main_breaker\""}}},
    {"robot.no-disconnect", {{"[[protection]]", "fed_from = \"main_breaker\"", "fed_from = \"battery\""}}},
    {"robot.wrong-voltage", {{"name = \"mist_pump\"", "\"mist_pump_12v\"", "\"mist_pump_24v\""}}},
    {"robot.never-moves", {{"[[output]]", "max_level = \"60 %\"", "max_level = 0"}}},
    {"robot.port-cannot-brake", {{"name = \"lift\"", "\"OUT3\"", "\"PLAIN1\""}}},
    {"robot.load-can-fall",
     {{"name = \"lift\"", "off = \"brake\"", "off = \"coast\""}, {"name = \"lift\"", "self_locking = true", ""}}},
    {"robot.lift-without-end-switch", {{"[[output]]", "high_switch = \"lift_top\"", "#"}}},
    {"robot.end-unguarded",
     {{"name = \"clamp_position\"", "senses = \"motion\"\nof = \"clamp\"", "senses = \"surroundings\""}}},
    {"robot.end-switch-is-none", {{"[[output]]", "high_switch = \"lift_top\"", "high_switch = \"range_ahead\""}}},
    {"robot.end-switch-disagrees", {{"[[output]]", "high_switch = \"lift_top\"", "high_switch = \"lift_bottom\""}}},
    {"robot.end-switch-without-travel", {{"[[output]]", "travel = { low = \"0 mm\", high = \"300 mm\" }", "#"}}},
    {"robot.end-switch-unused", {{"[[output]]", "high_switch = \"lift_top\"", "#"}}},
    {"robot.no-clearance", {{"[[output]]", "bump_clearance = \"100 mm\"", "#"}}},
    {"robot.clearance-too-large", {{"[[output]]", "bump_clearance = \"100 mm\"", "bump_clearance = \"151 mm\""}}},
    {"robot.cannot-be-seen", {{"[[output]]", "visible_sign = \"mist", "positive_means = \"mist"}}},
    {"robot.no-positive-means", {{"[[output]]", "positive_means = \"raises the tray\"", "#"}}},
    {"robot.senses-nothing", {{"[[input]]", "senses = \"surroundings\"", "#"}}},
    {"robot.nothing-to-sense", {{"name = \"belt_encoder\"", "of = \"belt\"", "of = \"warning_lamp\""}}},
    {"robot.no-hand-action", {{"name = \"range_ahead\"", "hand_action", "#"}}},
    {"robot.encoder-too-fast", {{"name = \"left_encoder\"", "\"encoder_500\"", "\"encoder_5000\""}}},
    {"robot.sensor-range-short", {{"[[output]]", "high = \"90 deg\"", "high = \"130 deg\""}}},
    {"robot.analogue-over-range", {{"name = \"range_ahead\"", "\"range_sensor_80cm\"", "\"sensor_10v\""}}},
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

// The demonstration's texts, the robot file first.
const std::vector<SourceText>& sound_texts() {
  static const std::vector<SourceText> texts = [] {
    std::vector<SourceText> out{robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/robot.toml")};
    for (SourceText& t : robot::testing::catalogue_texts(RINGOUT_SOURCE_DIR)) out.push_back(std::move(t));
    out.emplace_back("more.toml", more_devices);
    return out;
  }();
  return texts;
}

std::vector<SourceText> edited(std::vector<SourceText> texts, const std::vector<Edit>& edits) {
  for (const Edit& edit : edits) {
    CAPTURE(std::string(edit.after));
    CAPTURE(std::string(edit.from));
    bool done = false;
    for (SourceText& text : texts) {
      const std::size_t after = text.text().find(edit.after);
      if (after == std::string::npos) continue;
      const std::size_t at = text.text().find(edit.from, after);
      REQUIRE(at != std::string::npos);
      std::string changed = text.text();
      changed.replace(at, std::strlen(edit.from), edit.to);
      text = SourceText(text.name(), changed);
      done = true;
      break;
    }
    REQUIRE(done);
  }
  return texts;
}

struct Told {
  Severity severity = Severity::note;
  int line = 0;
  std::string text;
};
// All findings by rule: of the reading, or of the desk check where the texts read without error.
std::multimap<std::string, Told> told_of(const std::vector<SourceText>& texts) {
  std::multimap<std::string, Told> out;
  Diagnostics found;
  robot::Catalogue catalogue = robot::read_catalogue({texts.begin() + 1, texts.end()}, found);
  for (robot::BoardPort& p : catalogue.boards[0].ports) {
    if (p.name != "OUT8") continue;
    p.name = "PLAIN1";
    p.can_brake = false;
  }
  const std::optional<Robot> robot = robot::read_robot(texts[0], catalogue, found);
  for (const Diagnostic& d : found.all()) out.emplace(d.id, Told{d.severity, d.span.line, d.message});
  if (!robot) return out;
  for (const RuleFinding& f : desk_check(*robot, {.draws = 0}).findings) {
    out.emplace(f.rule, Told{f.severity, f.place.line, f.text});
  }
  return out;
}

// Adds what a person reads when the rule speaks; lines are those of the spoiled robot file.
template <std::size_t N>
void check_rows(const Spoilt (&rows)[N], const std::vector<SourceText>& sound, std::set<std::string>& done,
                std::string* texts) {
  const auto in_order = told_of(sound);
  for (const Spoilt& row : rows) {
    CAPTURE(std::string(row.rule));
    const Rule* rule = rule_named(row.rule);
    REQUIRE(rule != nullptr);
    const auto loud = row.loud.empty() ? in_order : told_of(edited(sound, row.loud));
    const auto silent = row.silent.empty() ? in_order : told_of(edited(sound, row.silent));
    const auto [first, last] = loud.equal_range(row.rule);
    CHECK(first != last);
    CHECK(silent.count(row.rule) == 0);
    CHECK(silent.size() + 5 > in_order.size());  // it was read and checked
    done.insert(row.rule);
    if (texts != nullptr) *texts += std::string(row.rule) + "\n";
    for (auto at = first; at != last; ++at) {
      CHECK(at->second.severity == rule->severity);
      if (texts != nullptr) *texts += "  line " + std::to_string(at->second.line) + ": " + at->second.text + "\n";
    }
  }
}

void check_all_done(const std::set<std::string>& done, bool desk) {
  for (const Rule& r : all_rules()) {
    CAPTURE(std::string(r.id));
    if ((r.home == Home::desk) == desk) CHECK(done.count(std::string(r.id)) == 1);
  }
}

}  // namespace

TEST_CASE("each rule of figures speaks where it should and is silent where it should be") {
  std::set<std::string> done;
  std::string texts;
  check_rows(supply_rows, sound_texts(), done, &texts);
  check_rows(controller_rows, sound_texts(), done, &texts);
  check_rows(motor_rows, sound_texts(), done, &texts);
  check_rows(other_rows, sound_texts(), done, &texts);
  check_all_done(done, true);
  ringout::testing::check_golden("desk/rules.txt", texts);
}

TEST_CASE("each rule of the drawing speaks where it should and is silent on the demonstration") {
  std::vector<SourceText> sound = sound_texts();
  const std::string base = sound[0].text().substr(0, sound[0].text().find("# ---- load cases"));
  sound[0] = SourceText("robot.toml", base);
  std::set<std::string> done;
  check_rows(drawing_rows, sound, done, nullptr);
  const std::string bus =
      "[[input]]\nname = \"tilt_1\"\nkind = \"bus device\"\ndevice = \"tilt_sensor_bus\"\nport = \"BUS1\"\nowner = "
      "\"wiring\"\n";
  std::string two = base;
  for (int i = 1; i < 60; ++i) {
    std::string one = bus;
    two += one.replace(one.find("tilt_1"), 6, "tilt_" + std::to_string(i));
    sound[0] = SourceText("robot.toml", two);
    if (i == 2) CHECK(told_of(sound).count("robot.bus-address-twice") == 1);
  }
  CHECK(told_of(sound).count("robot.too-many-points") == 1);
  done.insert("robot.bus-address-twice");
  done.insert("robot.too-many-points");
  check_all_done(done, false);
}
