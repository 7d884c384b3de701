#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <set>
#include <sstream>

#include "cold/judge.h"
#include "cold/sheet.h"
#include "robot/testing.h"

namespace ringout::cold {
namespace {

const robot::Robot& tray_carrier() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}
const Sheet& sheet() {
  static const Sheet sheet = cold_sheet(tray_carrier());
  return sheet;
}

// A robot without a fault, read by a meter whose leads have 0.2 ohm.
Readings as_drawn() {
  Readings readings;
  for (const Step& step : sheet().steps) {
    const double high = std::isinf(step.high) ? open_circuit : 0.5 * (step.low + step.high);
    readings[step.id].values.assign(static_cast<std::size_t>(step.readings), high);
  }
  for (const Step& step : sheet().power) readings[step.id].values = {0.5 * (step.low + step.high)};
  readings["meter.leads"].values = {0.2};
  for (auto& [id, reading] : readings) {
    const Step* step = find(sheet(), id);
    if (id == "meter.leads" || step->kind == StepKind::first_power) continue;
    for (double& value : reading.values) value += 0.2;
  }
  return readings;
}

const Judgement& of(const std::vector<Judgement>& all, const std::string& id) {
  for (const Judgement& j : all) {
    if (j.step->id == id) return j;
  }
  FAIL("no step " << id);
  return all.front();
}

std::vector<std::string> faults(const std::vector<Judgement>& all) {
  std::vector<std::string> ids;
  for (const Judgement& j : all) {
    if (is_fault(j.verdict)) ids.push_back(j.step->id);
  }
  return ids;
}

std::string demonstration_list() {
  return robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/cold_readings.txt").text();
}

}  // namespace

TEST_CASE("each conductor, rail, device and branch has its step, once") {
  std::set<std::string> ids;
  for (const auto* steps : {&sheet().steps, &sheet().power}) {
    for (const Step& step : *steps) {
      CHECK(ids.insert(step.id).second);
      CHECK(step.low <= step.high);
      CHECK_FALSE(step.id.empty());
    }
  }
  for (const auto& output : tray_carrier().outputs) {
    for (const char* end : {".loop", ".plus", ".minus"}) CHECK(ids.count(output.name + end) == 1);
  }
  for (const auto& p : tray_carrier().protections) CHECK(ids.count(p.name + ".plus") == 1);
  for (const char* end : {".supply", ".plus", ".minus", ".a", ".b"})
    CHECK(ids.count("lift_encoder" + std::string(end)) == 1);
  for (const char* end : {".supply", ".plus", ".minus", ".signal"})
    CHECK(ids.count("clamp_position" + std::string(end)) == 1);
  CHECK(ids.count("fuse_lift.minus") == 1);  // the way back has its own metres
  for (const char* id :
       {"rails.short", "frame.plus", "frame.minus", "board.crossed", "lift_top.worked", "power.board"}) {
    CHECK(ids.count(id) == 1);
  }
}

TEST_CASE("servos, lights and bus devices have their leads too, each with its pin") {
  robot::Robot robot = tray_carrier();
  robot.outputs.push_back(robot::testing::servo_on(robot, ""));
  robot::Input level = robot.inputs[0];
  level.name = "level";
  level.kind = robot::PointKind::bus_device;
  level.device = "tilt_sensor_bus";
  level.port = "BUS1";
  robot.inputs.push_back(level);
  const Sheet wider = cold_sheet(robot);
  for (const char* id : {"tilt.supply", "tilt.plus", "tilt.minus", "tilt.signal", "level.supply", "level.clock"}) {
    CHECK_MESSAGE(find(wider, id) != nullptr, id);
  }
  REQUIRE(find(wider, "level.data") != nullptr);
  CHECK(find(wider, "level.data")->red == "plug of BUS1, data (pin PD1)");
  CHECK(find(wider, "tilt.loop") == nullptr);
}

namespace {

// How often a place is gone to, over how many places there are.
std::size_t more_than_once(const robot::Robot& robot) {
  std::vector<std::string> opened;
  for (const Step& step : cold_sheet(robot).steps) {
    if (opened.empty() || opened.back() != step.place) opened.push_back(step.place);
  }
  return opened.size() - std::set<std::string>(opened.begin(), opened.end()).size();
}

}  // namespace

TEST_CASE("each place is opened once, wherever things sit") {
  const robot::Robot& as_it_is = tray_carrier();
  CHECK(more_than_once(as_it_is) == 0);
  robot::Robot robot = as_it_is;
  robot.protections[2].access.place = "on the deck";  // a fuse apart, beside devices
  robot.protections[4].access.place = "behind a panel";
  robot.outputs[2].access.place = "fuse box";
  robot.inputs[3].access.place = robot.board_access.place;
  CHECK(more_than_once(robot) == 0);
  robot = as_it_is;
  robot.board_access.place = robot.battery.access.place;
  robot.outputs[0].access.place = robot.battery.access.place;
  CHECK(more_than_once(robot) == 0);
  // A motor beside the battery: its leads need the controller's plug pulled, and the rails must be read before that.
  robot = as_it_is;
  robot.outputs[0].access.place = robot.battery.access.place;
  CHECK(more_than_once(robot) == 1);
}

TEST_CASE("the rails come first, the supply from the battery outwards, and no lead before its plug is pulled") {
  const auto at = [&](const char* id) { return find(sheet(), id) - sheet().steps.data(); };
  CHECK(at("meter.leads") == 0);
  CHECK(at("rails.short") == 1);
  CHECK(at("main_breaker.plus") < at("fuse_lift.plus"));
  CHECK(at("fuse_lift.plus") < at("board.plus"));
  CHECK(at("lift.loop") < at("lift.plus"));
  CHECK(at("lift_encoder.supply") < at("lift_encoder.a"));
}

TEST_CASE("expected ohms of the lift's loop, added up by hand") {
  // Winding 12 V / 9 A = 1.333 ohm; 18 AWG 0.9 m there and back 37.7 mohm; two contacts of 3 mohm.
  const Step* loop = find(sheet(), "lift.loop");
  REQUIRE(loop != nullptr);
  CHECK(loop->low < 1.333 + 0.038);
  CHECK(loop->low > 0.8);
  CHECK(loop->high > 1.333 * 1.6);
  CHECK(loop->high < 3.0);
  CHECK(loop->readings == 5);
}

TEST_CASE("a winding is as far off as its sheet says, or a tenth") {
  robot::Robot robot = tray_carrier();  // its lift's stall current: 8 %
  const auto high = [&] { return find(cold_sheet(robot), "lift.loop")->high; };
  const double stated = high();
  for (robot::Device& d : robot.catalogue.devices) {
    if (d.name == "lift_motor_12v") d.tolerances.clear();
  }
  const double unstated = high();
  // The winding's 1.333 ohm at 45 degC, its lower quartile up to 1.6 times, 1 % of the meter: 2 % more.
  CHECK(unstated - stated == doctest::Approx(0.02 * 1.333 * 1.0786 * 1.6 * 1.01).epsilon(0.02));
}

TEST_CASE("first power: limits from the controller's, the sensors' and the outputs' own figures") {
  // Idle 150 mA +-20 %, sensors 35 + 35 + 8 + 35 + 1 + 33 = 147 mA; the meter 1 % and 20 mA.
  const Step* board = find(sheet(), "power.board");
  REQUIRE(board != nullptr);
  CHECK(board->low == doctest::Approx(0.99 * 0.120 - 0.02));
  CHECK(board->high == doctest::Approx(1.01 * (0.180 + 0.147) + 0.02));
  CHECK(board->from == "controller 150 mA +-30 mA, sensors up to 147 mA, meter 20 mA");
  CHECK(find(sheet(), "power.rails")->high == doctest::Approx(0.02));
  CHECK(find(sheet(), "power.fuse_deck")->high == doctest::Approx(0.05));  // below the clamp's 120 mA
  robot::Robot robot = tray_carrier();
  for (robot::Device& d : robot.catalogue.devices) {
    if (auto* lamp = std::get_if<robot::OnOffDevice>(&d.spec); lamp != nullptr && d.name == "warning_lamp_12v")
      lamp->current = amperes(0.06);
  }
  CHECK(find(cold_sheet(robot), "power.fuse_mist")->high == doctest::Approx(0.03));  // half of a small lamp
  robot.board_fed_by = "main_breaker";  // no branch of its own: it is on with the rails
  CHECK(find(cold_sheet(robot), "power.board") == nullptr);
  CHECK(find(cold_sheet(robot), "power.rails")->high == doctest::Approx(board->high));
}

TEST_CASE("two leads of a sensor in each other's holes; its supply shorted") {
  Readings readings;
  readings["lift_encoder.plus"].values = readings["lift_encoder.minus"].values = {open_circuit};
  readings["left_encoder.a"].values = readings["left_encoder.b"].values = {open_circuit};
  readings["range_ahead.supply"].values = {0.6};
  const auto all = judged(sheet(), readings);
  CHECK(of(all, "left_encoder.a").explanation.find("left_encoder.b's end") != std::string::npos);
  CHECK(of(all, "lift_encoder.plus").explanation.find("destroy lift_encoder") != std::string::npos);
  CHECK(of(all, "range_ahead.supply").verdict == Verdict::shorted);
  CHECK(of(all, "range_ahead.supply").explanation.find("range_ahead are shorted") != std::string::npos);
}

TEST_CASE("a robot without a fault is good throughout, the meter's leads deducted") {
  const auto all = judged(sheet(), as_drawn());
  CHECK(faults(all).empty());
  for (const Judgement& j : all) CHECK_MESSAGE(j.verdict == Verdict::good, j.step->id);
}

TEST_CASE("without readings nothing is judged") {
  for (const Judgement& j : judged(sheet(), {})) CHECK(j.verdict == Verdict::not_read);
}

TEST_CASE("the demonstration's readings: a wire open, two leads exchanged, a rail short; each is named") {
  const auto readings = read_list("cold_readings.txt", demonstration_list(), sheet());
  REQUIRE_MESSAGE(readings, (readings ? "" : readings.error().message));
  const auto all = judged(sheet(), *readings);
  CHECK(of(all, "rails.short").verdict == Verdict::shorted);
  CHECK(of(all, "rails.short").explanation.find("do not connect the battery") != std::string::npos);
  CHECK(of(all, "lift.loop").verdict == Verdict::open);
  CHECK(of(all, "lift.minus").verdict == Verdict::open);
  CHECK(of(all, "lift.plus").verdict == Verdict::good);
  CHECK(of(all, "clamp.loop").verdict == Verdict::exchanged);
  CHECK(of(all, "clamp.loop").other == "mist_pump");
  CHECK(of(all, "mist_pump.loop").verdict == Verdict::exchanged);
  CHECK(of(all, "mist_pump.loop").other == "clamp");
  CHECK(faults(all) == std::vector<std::string>{"rails.short", "lift.loop", "clamp.loop", "mist_pump.loop",
                                                "mist_pump.plus", "clamp.plus", "lift.minus"});
}

TEST_CASE("one fault at a time is named") {
  struct Case {
    std::string id;
    std::vector<double> values;
    Verdict verdict;
  };
  for (const Case& c :
       {Case{"frame.plus", {40.0}, Verdict::too_low}, Case{"fuse_lift.plus", {open_circuit}, Verdict::open},
        Case{"fuse_lift.plus", {1.4}, Verdict::too_high}, Case{"belt.loop", {0.25, 0.25, 0.3}, Verdict::shorted},
        Case{"belt.loop", {2.5}, Verdict::more_readings}, Case{"lift_top.rest", {0.4}, Verdict::shorted},
        Case{"power.board", {1.9}, Verdict::too_high}, Case{"drive_left.plus", {1.2}, Verdict::too_high}}) {
    Readings readings = as_drawn();
    readings[c.id].values = c.values;
    const auto all = judged(sheet(), readings);
    CHECK_MESSAGE(of(all, c.id).verdict == c.verdict, c.id << ": " << name_of(of(all, c.id).verdict));
    CHECK_MESSAGE(!of(all, c.id).explanation.empty(), c.id);
  }
}

TEST_CASE("one reading that fits another device is no proof of an exchange; an open lead beside a closed loop is") {
  Readings readings;
  readings["clamp.loop"].values = {3.3, 3.4, 3.3};
  readings["mist_pump.loop"].values = {5.4, 5.5, 5.4};
  const auto alone = judged(sheet(), readings);
  CHECK(of(alone, "clamp.loop").verdict == Verdict::too_low);
  CHECK(of(alone, "clamp.loop").explanation.find("read clamp.plus") != std::string::npos);
  CHECK(of(alone, "mist_pump.loop").verdict == Verdict::good);
  readings["clamp.plus"].values = {open_circuit};
  const auto told = judged(sheet(), readings);
  CHECK(of(told, "clamp.loop").verdict == Verdict::exchanged);
  CHECK(of(told, "clamp.plus").other == "mist_pump");
}

TEST_CASE("a loop that is open in some positions of the shaft is not good") {
  Readings readings;
  readings["drive_left.loop"].values = {1.1, open_circuit, 1.0, 1.2, open_circuit};
  CHECK(of(judged(sheet(), readings), "drive_left.loop").verdict == Verdict::open);
}

TEST_CASE("supply leads exchanged, a motor's leads reversed, end switches exchanged") {
  Readings readings = as_drawn();
  readings["board.plus"].values = {open_circuit};
  readings["board.crossed"].values = {0.4};
  readings["belt.plus"].values = {2.6};
  readings["belt.minus"].values = {2.6};
  readings["lift_bottom.worked"].values = {open_circuit};
  readings["lift_top.worked"].values = {open_circuit};
  const auto all = judged(sheet(), readings);
  CHECK(of(all, "board.plus").verdict == Verdict::reversed);
  CHECK(of(all, "belt.plus").verdict == Verdict::reversed);
  CHECK(of(all, "lift_top.worked").other == "lift_bottom");
}

TEST_CASE("a switch that answers the other way round has its other contact wired, whatever another one does") {
  Readings readings = as_drawn();  // both are normally open
  readings["lift_top.rest"].values = {0.4};
  readings["lift_top.worked"].values = {open_circuit};
  readings["lift_bottom.worked"].values = {open_circuit};
  const auto all = judged(sheet(), readings);
  for (const char* id : {"lift_top.rest", "lift_top.worked"}) {
    CHECK(of(all, id).verdict == Verdict::inverted);
    CHECK(of(all, id).other.empty());
    CHECK(
        of(all, id).explanation ==
        "closed at rest and open when worked: its other contact is wired. Move its lead to the normally open contact, "
        "or draw a switch that is normally closed.");
  }
  CHECK(of(all, "lift_bottom.worked").other.empty());
  CHECK(of(all, "lift_bottom.worked").explanation.starts_with("open at rest and when worked"));
}

TEST_CASE("a switch drawn normally closed: inverted, stuck, and read once") {
  robot::Robot robot = tray_carrier();
  for (robot::Device& d : robot.catalogue.devices) {
    if (auto* contact = std::get_if<robot::SwitchDevice>(&d.spec); contact != nullptr) contact->normally_closed = true;
  }
  const Sheet closed = cold_sheet(robot);
  Readings readings;
  readings["lift_top.rest"].values = {open_circuit};
  readings["lift_top.worked"].values = {0.4};
  readings["lift_bottom.rest"].values = {0.4};
  readings["lift_bottom.worked"].values = {0.4};
  readings["tray_present.worked"].values = {0.4};
  const auto all = judged(closed, readings);
  CHECK(of(all, "lift_top.rest").verdict == Verdict::inverted);
  CHECK(of(all, "lift_top.worked").verdict == Verdict::inverted);
  CHECK(of(all, "lift_bottom.rest").verdict == Verdict::good);
  CHECK(of(all, "lift_bottom.worked").verdict == Verdict::shorted);
  for (const Judgement& j : all) {
    CAPTURE(j.step->id);
    CHECK(j.other.empty());
    CHECK(j.explanation.find("winding") == std::string::npos);
    CHECK(j.explanation.find("exchanged") == std::string::npos);
  }
  // Only one that rests open can be on the plug of one that stays open.
  readings.erase("tray_present.worked");
  readings["lift_top.rest"].values = readings["lift_top.worked"].values = {open_circuit};
  CHECK(of(judged(closed, readings), "lift_bottom.worked").other.empty());
  readings["lift_top.rest"].values = readings["lift_top.worked"].values = {0.4};
  CHECK(of(judged(closed, readings), "lift_bottom.worked").other == "lift_top");
}

TEST_CASE("brushes: the lower quartile counts, not one bad contact") {
  Readings readings = as_drawn();
  readings["lift.loop"].values = {1.7, 1.8, 1.75, 9.0, 31.0};
  CHECK(of(judged(sheet(), readings), "lift.loop").verdict == Verdict::good);
}

TEST_CASE("a lead that is open in one of its readings is never good, and no reading hides a worse one") {
  Readings readings = as_drawn();
  readings["lift.plus"].values = {open_circuit, 0.3};
  readings["lift.minus"].values = {0.3, 1.8};
  readings["rails.short"].values = {open_circuit, 0.3};
  const auto all = judged(sheet(), readings);
  CHECK(of(all, "lift.plus").verdict == Verdict::open);
  CHECK(of(all, "lift.plus").explanation.find("shaft") == std::string::npos);
  CHECK(of(all, "lift.minus").verdict == Verdict::too_high);
  CHECK(of(all, "lift.minus").judged == doctest::Approx(1.6));
  CHECK(of(all, "rails.short").verdict == Verdict::shorted);
}

TEST_CASE("a servo on a protection of its own is part of that branch at rest, not of the controller") {
  robot::Robot robot = tray_carrier();
  robot.outputs.push_back(robot::testing::servo_on(robot, "fuse_lift"));
  const Sheet wider = cold_sheet(robot);
  const auto* servo = robot.device_of(robot.outputs.back().device).as<robot::ServoDevice>();
  const double rest = 0.05 * servo->stall_current.si;
  CHECK(find(wider, "power.board")->high == find(sheet(), "power.board")->high);
  CHECK(find(wider, "power.fuse_lift")->high == doctest::Approx(find(sheet(), "power.fuse_lift")->high + rest));
}

TEST_CASE("decimal commas are refused, not read as something else") {
  for (const char* line : {"rails.short;a;b;c;2,4\n", "rails.short,a,b,c,2,4\n", "rails.short,2,4\n",
                           "rails.short = 2,4\n", "lift.loop;a;b;c;1,7 1,8 1,7\n", "lift.loop,a,b,c,1,7 1,8 1,7\n"}) {
    CAPTURE(std::string(line));
    const auto list = read_list("t.csv", line, sheet());
    REQUIRE_FALSE(list);
    CHECK(list.error().message.find("is no reading") != std::string::npos);
    CHECK(list.error().message.find(": a point, no comma") != std::string::npos);
  }
  const auto typed = read_values("0,3", StepKind::output_loop);
  REQUIRE_FALSE(typed);
  CHECK(typed.error().hint == "write 0.3: a point, no comma");
  CHECK(read_values("1,200", StepKind::output_loop).error().hint.find("blanks between") != std::string::npos);
  CHECK(read_values("1.234,5", StepKind::output_loop).error().hint.find("blanks between") != std::string::npos);
  const std::string with_unit = read_values("1,5kohm", StepKind::output_loop).error().hint;
  CHECK(with_unit == "write 1.5 kohm: a point, no comma");
  CHECK(read_values("1.5 kohm", StepKind::output_loop));
  CHECK(read_values("1,2,3", StepKind::output_loop).error().hint.find("blanks between") != std::string::npos);
  const auto quoted = read_list("t.csv", "\"lift.loop\",\"plug of OUT3; +\",b,c,\"1.5 1.6 1.7\"\n", sheet());
  REQUIRE(quoted);
  CHECK(quoted->at("lift.loop").values == std::vector<double>{1.5, 1.6, 1.7});
}

TEST_CASE("lists of readings: what is wrong is told line by line") {
  const auto wrong = read_list("mine.txt",
                               "lift.lop = 1.5\n\nlift.loop = much\nclamp.loop = 5\nclamp.loop = 6\nbelt.loop 3\n"
                               "power.board = 2 ohm\nrails.short = -3\n",
                               sheet());
  REQUIRE_FALSE(wrong);
  CHECK(wrong.error().message ==
        "mine.txt:1: there is no step \"lift.lop\"; did you mean lift.loop?\n"
        "mine.txt:3: \"much\" is no reading; write ohms, as in 1.5, 2.2 kohm or open; several with blanks between\n"
        "mine.txt:5: clamp.loop stands there twice\n"
        "mine.txt:6: \"belt.loop 3\" is no line of readings; write ID = READINGS\n"
        "mine.txt:7: \"ohm\" is no reading; write amperes, as in 0.16 or 160 mA\n"
        "mine.txt:8: \"-3\" is no reading; write ohms, as in 1.5, 2.2 kohm or open; several with blanks between");
}

TEST_CASE("a file that is no list is told in a few lines, and an empty one is no list") {
  std::string page;
  for (int n = 0; n < 40; ++n) page += "<p>\n";
  const auto wrong = read_list("page.html", page, sheet());
  REQUIRE_FALSE(wrong);
  CHECK(std::count(wrong.error().message.begin(), wrong.error().message.end(), '\n') == 10);
  CHECK(wrong.error().message.ends_with("\nand 30 lines more like these: is page.html a list of readings?"));
  const auto empty = read_list("t.csv", "id,red,black,expected,reading\nlift.loop,a,b,c,\n", sheet());
  REQUIRE_FALSE(empty);
  CHECK(empty.error().message == "there are no readings in t.csv");
}

TEST_CASE("a filled-in table and units") {
  const auto list = read_list("t.csv",
                              "id,red,black,expected,reading\nlift.loop,\"plug of OUT3, +\",b,c,1.5 1.6 1.7\n"
                              "rails.short,a,b,c,2.2 kohm\nframe.plus,a,b,c,OL\nframe.minus,a,b,c,\n",
                              sheet());
  REQUIRE_MESSAGE(list, (list ? "" : list.error().message));
  CHECK(list->at("lift.loop").values == std::vector<double>{1.5, 1.6, 1.7});
  CHECK(list->at("rails.short").values.front() == doctest::Approx(2200.0));
  CHECK(std::isinf(list->at("frame.plus").values.front()));
  CHECK(list->count("frame.minus") == 0);
}

TEST_CASE("any bytes are a list or a message") {
  std::uint64_t state = 7;
  for (int n = 0; n < 2000; ++n) {
    std::string text;
    for (int i = 0; i < 60; ++i) {
      state = state * 6364136223846793005ULL + 1442695040888963407ULL;
      text += "lift.lop=0123 \n,;#\"openA\xff\x80"[state >> 33U & 0xFU];
    }
    const auto list = read_list("x", text, sheet());
    CHECK((list || !list.error().message.empty()));
  }
}

}  // namespace ringout::cold
