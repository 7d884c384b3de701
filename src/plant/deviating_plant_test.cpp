// Each kind of deviation acts as its physics would.
#include <doctest/doctest.h>

#include <cmath>

#include "plant/plant_testing.h"

using namespace ringout;
using plant::DeviationKind;
using plant::Plant;
using namespace plant::testing;

namespace {

// How far an output's mechanism gets in 300 ms of half drive on the port where the robot file draws it.
double way_of(const std::string& output, const plant::Deviations& deviations) {
  Plant p(carrier(), deviations, 1);
  const double from = motor(p, output).position;
  p.command(bridge_of(output), {.duty = 0.5, .when_off = robot::Off::brake});
  run(p, 300);
  return motor(p, output).position - from;
}

std::vector<std::string> seen_on_port_of(const std::string& output, const plant::Deviations& deviations) {
  Plant p(carrier(), deviations, 1);
  p.command(bridge_of(output), {.duty = 0.6, .when_off = robot::Off::brake});
  run(p, 400);
  std::vector<std::string> names;
  for (const plant::Seen& s : p.look()) names.push_back(s.point);
  return names;
}

using Names = std::vector<std::string>;

}  // namespace

TEST_CASE("exchanged outputs answer on each other's ports, exchanged switches too") {
  const auto d = deviating({.kind = DeviationKind::exchanged, .points = {"clamp", "mist_pump"}});
  CHECK(seen_on_port_of("clamp", {}) == Names{"clamp"});
  CHECK(seen_on_port_of("clamp", d) == Names{"mist_pump"});
  CHECK(seen_on_port_of("mist_pump", d) == Names{"clamp"});
  const auto ends = deviating({.kind = DeviationKind::end_switches_exchanged, .points = {"lift"}});
  for (const auto& deviations : {plant::Deviations{}, ends}) {
    const bool exchanged = !deviations.all.empty();
    Plant p(carrier(), deviations, 1);
    p.work_by_hand("lift_top", true);
    run(p, 20);
    CHECK(p.switch_level(port_of("lift_top")) == exchanged);
    CHECK(p.switch_level(port_of("lift_bottom")) == !exchanged);
  }
}

TEST_CASE("a device on another port leaves its own port empty") {
  const auto d = deviating({.kind = DeviationKind::on_port, .points = {"belt"}, .port = "OUT8"});
  CHECK(seen_on_port_of("belt", d).empty());
  Plant p(carrier(), d, 1);
  p.command(7, {.duty = 0.6});
  run(p, 400);
  CHECK(motor(p, "belt").position > 0.01);
}

TEST_CASE("leads, windings, gears and wires") {
  struct Case {
    const char* name;
    const char* output;
    plant::Deviation deviation;
    double least, most;  // way over the healthy way
  };
  const Case cases[] = {
      {"leads reversed", "belt", {.kind = DeviationKind::leads_reversed, .points = {"belt"}}, -1.2, -0.8},
      {"wire open", "belt", {.kind = DeviationKind::open_wire, .points = {"belt"}}, -0.001, 0.001},
      {"supply wire open", "lift", {.kind = DeviationKind::open_wire, .part = "fuse_lift"}, -0.001, 0.001},
      {"fuse blown", "belt", {.kind = DeviationKind::blown_protection, .part = "fuse_deck"}, -0.01, 0.01},
      {"dead winding", "belt", {.kind = DeviationKind::dead_device, .points = {"belt"}}, -0.001, 0.001},
      {"jammed", "belt", {.kind = DeviationKind::jammed, .points = {"belt"}}, -0.001, 0.001},
      {"port dead", "belt", {.kind = DeviationKind::dead_port, .port = "OUT5"}, -0.001, 0.001},
      {"another port dead", "belt", {.kind = DeviationKind::dead_port, .port = "OUT4"}, 1.0, 1.0},
      {"coupling slips", "belt", {.kind = DeviationKind::slipping, .points = {"belt"}}, -0.001, 0.001},
      {"leads touch", "belt", {.kind = DeviationKind::shorted_wire, .points = {"belt"}}, -0.001, 0.001},
      {"bearing rubs", "clamp", {.kind = DeviationKind::stiff, .points = {"clamp"}}, 0.3, 0.95},
      {"brushes worn", "belt", {.kind = DeviationKind::weak_device, .points = {"belt"}}, 0.2, 0.9},
      {"intermittent",
       "belt",
       {.kind = DeviationKind::intermittent_wire, .points = {"belt"}, .fraction = 0.6, .mean_open_s = 0.02},
       0.05,
       0.9},
      {"other motor",
       "clamp",
       {.kind = DeviationKind::wrong_device, .points = {"clamp"}, .device = "belt_motor_12v"},
       0.3,
       0.93},
      {"weak battery",
       "drive_left",
       {.kind = DeviationKind::weak_battery, .state_of_charge = 0.05, .resistance_factor = 10.0},
       0.3,
       0.95},
      {"old firmware concerns the controller", "belt", {.kind = DeviationKind::old_firmware}, 1.0, 1.0},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    const double share = way_of(c.output, deviating(c.deviation)) / way_of(c.output, {});
    CHECK(share >= c.least);
    CHECK(share <= c.most);
  }
}

TEST_CASE("a jammed motor draws current, an open one none, and a branch that is open is named") {
  const auto current = [](plant::Deviation d) {
    Plant p(carrier(), deviating(std::move(d)), 1);
    p.command(bridge_of("belt"), {.duty = 0.5});
    run(p, 300);
    return motor(p, "belt").current;
  };
  CHECK(current({.kind = DeviationKind::jammed, .points = {"belt"}}) > 2.0);
  CHECK(current({.kind = DeviationKind::open_wire, .points = {"belt"}}) == 0.0);
  Plant p(carrier(), deviating({.kind = DeviationKind::blown_protection, .part = "fuse_deck"}), 1);
  CHECK(p.truth().tripped == Names{"fuse_deck"});
}

TEST_CASE("nothing is stored behind what was open before the start") {
  Plant p(carrier(), deviating({.kind = DeviationKind::blown_protection, .part = "main_breaker"}), 1);
  p.step(Duration::milliseconds(1));
  CHECK(p.adc_pin(carrier().board.supply_adc).si < 0.05);
  Plant sound(carrier(), {}, 1);
  sound.step(Duration::milliseconds(1));
  CHECK(sound.adc_pin(carrier().board.supply_adc).si > 1.0);
}

TEST_CASE("a slipping coupling: the motor runs without its load, so an encoder on the motor's shaft goes on") {
  Plant p(carrier(), deviating({.kind = DeviationKind::slipping, .points = {"lift"}}), 1);
  Counter c(p, "lift_encoder");
  const double from = motor(p, "lift").position;
  p.command(bridge_of("lift"), {.duty = 0.5});
  c.run(p, 300);
  CHECK(std::abs(c.counts) > 100);
  CHECK(motor(p, "lift").current > 0.0);
  CHECK(motor(p, "lift").position == from);
}

TEST_CASE("leads that touch draw what the driver gives, until the fuse opens; the motor draws nothing") {
  Plant p(carrier(), deviating({.kind = DeviationKind::shorted_wire, .points = {"clamp"}}), 1);
  p.command(bridge_of("clamp"), {.duty = 1.0});
  run(p, 20);
  CHECK(p.truth().battery_amperes > 5.0);
  CHECK(motor(p, "clamp").current == 0.0);
  CHECK(p.look().empty());
}

TEST_CASE("a fuse opens under a load beyond it and stays open") {
  // The big motor, jammed, on the pump's port: 10 A, the port's limit, through a 5 A fuse.
  plant::Deviations d;
  d.all.push_back({.kind = DeviationKind::wrong_device, .points = {"mist_pump"}, .device = "drive_motor_12v"});
  d.all.push_back({.kind = DeviationKind::jammed, .points = {"mist_pump"}});
  robot::Robot r = carrier();
  for (robot::BoardPort& port : r.board.ports) port.current_limit = amperes(10);
  Plant p(r, d, 1);
  p.command(bridge_of("mist_pump"), {.duty = 1.0});
  run(p, 20);
  CHECK(p.truth().tripped.empty());
  run(p, 3000);
  CHECK(p.truth().tripped == Names{"fuse_mist"});
  CHECK(p.truth().battery_amperes < 0.5);
  p.command(bridge_of("mist_pump"), {.duty = 0.0});
  run(p, 3000);
  CHECK(p.truth().tripped == Names{"fuse_mist"});
}

TEST_CASE("encoders: channels swapped, one channel dead, wire open, other disc") {
  const auto counts = [](const plant::Deviations& d) {
    Plant p(carrier(), d, 1);
    Counter c(p, "left_encoder");
    p.command(bridge_of("drive_left"), {.duty = 0.4});
    c.run(p, 500);
    return c;
  };
  const Counter healthy = counts({});
  CHECK(healthy.counts > 50);
  CHECK(counts(deviating({.kind = DeviationKind::channels_swapped, .points = {"left_encoder"}})).counts ==
        doctest::Approx(-healthy.counts).epsilon(0.02));
  const Counter dead =
      counts(deviating({.kind = DeviationKind::channel_dead, .points = {"left_encoder"}, .channel = "B"}));
  CHECK(std::abs(dead.counts) <= 1);  // rocks to and fro
  CHECK(dead.edges_a == doctest::Approx(healthy.edges_a).epsilon(0.02));
  CHECK(dead.edges_b == 0);
  const Counter open = counts(deviating({.kind = DeviationKind::open_wire, .points = {"left_encoder"}}));
  CHECK(open.edges_a + open.edges_b == 0);
  const Counter other =
      counts(deviating({.kind = DeviationKind::wrong_device, .points = {"left_encoder"}, .device = "encoder_250"}));
  CHECK(other.counts == doctest::Approx(healthy.counts / 2.0).epsilon(0.02));
}

TEST_CASE("a silent sensor says zero, an open wire wanders between") {
  const auto pin = [](const plant::Deviations& d) {
    Plant p(carrier(), d, 1);
    run(p, 100);
    return p.adc_pin(2).si;
  };
  CHECK(pin({}) > 0.5);
  CHECK(pin(deviating({.kind = DeviationKind::dead_device, .points = {"range_ahead"}})) < 0.05);
  const double open = pin(deviating({.kind = DeviationKind::open_wire, .points = {"range_ahead"}}));
  CHECK(open > 1.2);
  CHECK(open < 2.4);
}

TEST_CASE("sensors that are stuck, their supply, their port") {
  const auto pin = [](const plant::Deviations& d, bool held) {
    Plant p(carrier(), d, 1);
    p.work_by_hand("range_ahead", held);
    run(p, 200);
    return p.adc_pin(2).si;
  };
  const auto stuck = deviating({.kind = DeviationKind::stuck, .points = {"range_ahead"}});
  CHECK(std::abs(pin({}, true) - pin({}, false)) > 0.3);
  CHECK(pin(stuck, true) == doctest::Approx(pin(stuck, false)).epsilon(0.1));
  CHECK(pin(stuck, false) > 0.5);
  CHECK(pin(deviating({.kind = DeviationKind::no_sensor_supply}), false) < 0.05);
  CHECK(pin(deviating({.kind = DeviationKind::dead_port, .port = "AN2"}), false) < 0.05);

  const auto closed = [](const plant::Deviations& d, bool pressed) {
    Plant p(carrier(), d, 1);
    p.work_by_hand("tray_present", pressed);
    run(p, 50);
    return !p.switch_level(port_of("tray_present"));
  };
  const auto welded = deviating({.kind = DeviationKind::stuck, .points = {"tray_present"}});
  CHECK(!closed({}, false));
  CHECK(closed({}, true));
  CHECK(closed(welded, false));
  CHECK(closed(welded, true));
  CHECK(closed(deviating({.kind = DeviationKind::no_sensor_supply}), true));  // a contact to ground needs none
  CHECK(!closed(deviating({.kind = DeviationKind::dead_port, .port = "SW3"}), true));
}

TEST_CASE("a weak battery sags") {
  const auto sag = [](const plant::Deviations& d) {
    Plant p(carrier(), d, 1);
    const double open = p.truth().battery_volts;
    p.command(bridge_of("drive_left"), {.duty = 1.0});
    run(p, 30);
    return open - p.truth().battery_volts;
  };
  const double healthy = sag({});
  CHECK(healthy > 0.05);
  CHECK(sag(deviating({.kind = DeviationKind::weak_battery, .resistance_factor = 4.0})) > 2.5 * healthy);
}
