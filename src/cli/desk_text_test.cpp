#include "cli/desk_text.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "cli/cold_text.h"
#include "cli/desk_plots.h"
#include "cli/desk_words.h"
#include "cli/golden.h"
#include "cli/measured_file.h"
#include "robot/testing.h"

namespace ringout::cli {
namespace {

const robot::Robot& tray_carrier() {
  static const robot::Robot robot = robot::testing::demonstration_robot(RINGOUT_SOURCE_DIR);
  return robot;
}
const desk::DeskReport& report() {
  static const desk::DeskReport report =
      desk::desk_check(tray_carrier(), {.seed = 1, .draws = 300, .curves = desk::Curves::include, .heat_cycles = 10});
  return report;
}

void check_width(const std::string& text) {
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) CHECK_MESSAGE(columns_of(line) <= 80, line);
}

}  // namespace

TEST_CASE("bars: full at the limit, marked beyond it") {
  CHECK(bar_of(0.0) == "[..........]");
  CHECK(bar_of(0.62) == "[######....]");
  CHECK(bar_of(1.0) == "[##########]");
  CHECK(bar_of(3.0) == "[##########!");
  CHECK(bar_of(NAN) == "[..........]");
}

TEST_CASE("times to open are intervals, and never a bare number") {
  CHECK(trip_text({{0.75}, {600.0}}) == "after 750 ms to 10 min");
  CHECK(trip_text({{0.0}, {5.0}}) == "within 5 s");
  CHECK(trip_text({{0.75}, {INFINITY}}) == "after 750 ms at the earliest, or never");
  CHECK(trip_text({{INFINITY}, {INFINITY}}) == "never");
}

TEST_CASE("the tray carrier's desk check: the four questions are answered first, within 80 columns") {
  const std::string glance = glance_text(tray_carrier(), report(), Colour::off);
  for (const char* word : {"drives_stalled at 90 % charge: the", "protection  ", "lift ", "lasts "}) {
    CHECK_MESSAGE(glance.find(word) != std::string::npos, word);
  }
  check_golden("desk_glance.txt", glance);
  const std::string whole = desk_text(tray_carrier(), report(), Colour::off);
  check_width(whole);
  check_golden("desk_check.txt", whole);
}

TEST_CASE("at a glance: the fuse that opens first of all cases, and one in ordinary use, whatever the drives do") {
  constexpr Time never{INFINITY};
  desk::DeskReport r;
  const auto add = [&](const char* name, robot::Loading loading, std::size_t protection, desk::TripInterval trip) {
    desk::CaseReport c{.name = name};
    c.outputs = {{.output = 0, .loading = loading}};
    c.protections.assign(tray_carrier().protections.size(), {.trip = {never, never}});
    c.protections[protection] = {.current = amperes(15), .multiple = 1.5, .trip = trip};
    c.first_to_open = protection;
    r.cases.push_back(std::move(c));
  };
  add("drives_stalled", robot::Loading::stalled, 1, {{0.75}, never});
  add("jammed", robot::Loading::stalled, 3, {{0.02}, {0.5}});
  add("in_use", robot::Loading::running, 5, {{1.0}, {600.0}});
  const std::string glance = glance_text(tray_carrier(), r, Colour::off);
  const std::size_t jammed = glance.find("look  protection  jammed: fuse_lift goes first, after 20 to 500 ms");
  const std::size_t in_use = glance.find("WRONG protection  in_use: fuse_mist goes first");
  const std::size_t drives = glance.find("look  protection  drives_stalled: fuse_drive_left may go first");
  CHECK(jammed != std::string::npos);
  CHECK(in_use != std::string::npos);
  CHECK(drives != std::string::npos);
  CHECK(jammed < in_use);
  CHECK(in_use < drives);
}

TEST_CASE("at a glance: heat that may pass the limit in the end is not in order") {
  desk::DeskReport r;
  r.duties = {{.cycle = 0, .motors = {{.output = 2, .stated = true, .limit = celsius(125)}}}};
  desk::MotorHeatFigures& lift = r.duties[0].motors[0];
  lift.after_cycles = celsius(53);
  lift.settled = celsius(108);
  lift.limit_after = {INFINITY};
  CHECK(glance_text(tray_carrier(), r, Colour::off).find("ok    heat ") != std::string::npos);
  r.ranges = {{.what = desk::RangeOf::heat_settled,
               .of = 0,
               .part = 2,
               .unit = desk::SpreadUnit::kelvin,
               .interval = {.nominal = lift.settled.si, .low = celsius(79).si, .high = celsius(151).si}}};
  const std::string glance = glance_text(tray_carrier(), r, Colour::off);
  CHECK(glance.find("look  heat ") != std::string::npos);
  CHECK(glance.find("(settles at 108 °C (79 to 151 °C)") != std::string::npos);
}

TEST_CASE("at a glance: how much is found") {
  CHECK(findings_answer(0, 0, Colour::off) == "  ok    findings    no error, no warning\n");
  CHECK(findings_answer(0, 1, Colour::off) == "  look  findings    0 errors, 1 warning: told below\n");
  CHECK(findings_answer(2, 1, Colour::off) == "  WRONG findings    2 errors, 1 warning: told below\n");
}

TEST_CASE("names that fill their column stay apart from what follows, and no line is too wide") {
  robot::Robot robot = tray_carrier();
  for (robot::Output& o : robot.outputs) o.name += "_of_a_long_name";
  robot.outputs[3].name = "eighteen_character";
  desk::DeskReport r = report();
  for (auto& motor : r.duties[0].motors) motor.allowed_share = 0.9;
  const std::string text = margins_text(robot, r, Colour::off);
  CHECK(text.find("eighteen_character [") != std::string::npos);
  CHECK(text.find("eighteen_character motor") != std::string::npos);
  CHECK(text.find("settled1") == std::string::npos);
  CHECK(text.find("90 % of the time may be this cycle") != std::string::npos);
}

TEST_CASE("a figure stands in the unit of its range") {
  const desk::FigureRange range{.unit = desk::SpreadUnit::second,
                                .interval = {.nominal = 5724.0, .low = 5328.0, .high = 6156.0}};
  CHECK(ranged_text(Measure::time, 5724.0, &range) == "1.59 h (1.48 to 1.71 h)");
  CHECK(ranged_text(Measure::time, 5724.0, nullptr) == "95.4 min");
  CHECK(amperes_text(amperes(0.0235)) == "23.5 mA");
  CHECK(amperes_text(amperes(0.85)) == "0.85 A");
}

TEST_CASE("pictures of the desk check are whole") {
  const auto plots = desk_plots(tray_carrier(), report());
  std::vector<std::string> names;
  for (const Plot& plot : plots) {
    names.push_back(plot.name);
    CHECK_MESSAGE(plot.svg.find("</svg>") != std::string::npos, plot.name);
    CHECK_MESSAGE(plot.svg.find("nan") == std::string::npos, plot.name);
    CHECK_MESSAGE(plot.svg.find("inf,") == std::string::npos, plot.name);
    if (const char* folder = std::getenv("RINGOUT_CHART_DIR")) {
      std::ofstream(std::string(folder) + "/" + plot.name + ".svg") << plot.svg;
    }
  }
  const auto has = [&](const std::string& name) { return std::find(names.begin(), names.end(), name) != names.end(); };
  CHECK(has("voltage"));
  for (const auto& motor : report().motors) CHECK(has("motor_" + tray_carrier().outputs[motor.output].name));
  for (const auto& p : tray_carrier().protections) CHECK_MESSAGE(has("protection_" + p.name), p.name);
  const auto says = [&](const std::string& name, const std::string& words) {
    return std::any_of(plots.begin(), plots.end(),
                       [&](const Plot& p) { return p.name == name && p.svg.find(words) != std::string::npos; });
  };
  CHECK(says("protection_fuse_lift", "lift alone, stalled at 25 °C: "));
  CHECK(says("protection_resettable_controller", "holds 0.75 A, at 38 °C 0.647 A"));
  CHECK(says("motor_lift", "limit 10 A"));
  for (const auto& duty : report().duties) CHECK(has("run_time_" + tray_carrier().duty_cycles[duty.cycle].name));
}

TEST_CASE("a motor at its driver's limit is drawn to that limit, and said so") {
  const auto plots = desk_plots(tray_carrier(), report());
  const auto drawn = [&](const std::string& name) {
    for (const Plot& p : plots) {
      if (p.name == name) return p.svg;
    }
    FAIL("no picture ", name);
    return std::string();
  };
  CHECK(drawn("motor_drive_left").find("The driver holds 10 A") != std::string::npos);
  CHECK(drawn("motor_belt").find("The driver holds") == std::string::npos);
}

TEST_CASE("a protection is drawn as it is where the hottest of its cases is") {
  robot::Robot robot = tray_carrier();
  for (robot::Device& d : robot.catalogue.devices) {
    if (d.name != "blade_fuse_10a") continue;
    std::get<robot::ProtectionDevice>(d.spec).derating = {{celsius(25), 1.0}, {celsius(38), 1.6}};
  }
  const auto picture = [&] {
    const auto plots = desk_plots(robot, desk::desk_check(robot, {.draws = 0}));
    const auto at =
        std::find_if(plots.begin(), plots.end(), [](const Plot& p) { return p.name == "protection_fuse_lift"; });
    REQUIRE(at != plots.end());
    return at->svg;
  };
  const auto has = [](const std::string& svg, const char* words) { return svg.find(words) != std::string::npos; };
  const std::string one_hot = picture();  // lift_while_driving_off
  CHECK(has(one_hot, "rating 10 A, at 38 °C 6.25 A"));
  CHECK(has(one_hot, "lift alone, stalled at 25 °C"));
  robot.ambient = celsius(38);
  const std::string all_hot = picture();
  if (const char* f = std::getenv("RINGOUT_CHART_DIR")) std::ofstream(std::string(f) + "/hot.svg") << all_hot;
  CHECK(has(all_hot, "lift alone, stalled: "));
  // Its 8.2 A are 131 % of what the fuse counts there: below 135 % it may hold.
  CHECK(has(all_hot, "stalled, it opens after 750 ms"));
}

TEST_CASE("the cold check's sheet and its verdicts, within 80 columns") {
  const auto sheet = cold::cold_sheet(tray_carrier());
  const std::string text = cold_sheet_text("tray_carrier", sheet, Colour::off);
  check_width(text);
  check_golden("cold_sheet.txt", text);
  check_golden("cold_page.html", cold_page("tray_carrier", sheet));
  const auto list = cold::read_list(
      "cold_readings.txt",
      robot::testing::load_text(RINGOUT_SOURCE_DIR, "examples/tray_carrier/cold_readings.txt").text(), sheet);
  REQUIRE(list);
  const std::string result = cold_result_text(cold::judged(sheet, *list), Colour::off);
  check_width(result);
  check_golden("cold_result.txt", result);
  // The table to fill in comes back without a fault; as it is, it holds no reading.
  const auto empty = cold::read_list("t.csv", cold_table(sheet), sheet);
  REQUIRE_FALSE(empty);
  CHECK(empty.error().message == "there are no readings in t.csv");
}

TEST_CASE("readings are kept and come back; other tables of the file stay") {
  cold::Readings readings;
  readings["lift.loop"] = {{1.5, cold::open_circuit, 1.7}, "2026-03-01", "Wim"};
  const std::string text = measured_text("[motor.lift]\nwinding = 1.31\n", readings);
  CHECK(text.find("winding = 1.31") != std::string::npos);
  CHECK(text.find("readings = [1.5, inf, 1.7]") != std::string::npos);
  const auto back = read_measured("measured.toml", text);
  REQUIRE(back);
  CHECK(back->at("lift.loop").values == readings["lift.loop"].values);
  CHECK(back->at("lift.loop").by == "Wim");
  CHECK(measured_text(text, *back).find("winding = 1.31") != std::string::npos);
}

TEST_CASE("a spoilt file of measured values is told with its place") {
  for (const auto& [text, id] :
       {std::pair{"cold = 3\n", "measured.step"}, std::pair{"[[cold]]\nstep = \"a\"\n", "measured.step"},
        std::pair{"[[cold]]\nstep = \"a\"\nreadings = [-1]\n", "measured.step"},
        std::pair{"[[cold]]\nreadings = [1]\n", "measured.step"}, std::pair{"[[cold\n", "measured.syntax"}}) {
    const auto read = read_measured("measured.toml", text);
    REQUIRE_FALSE(read);
    CHECK(read.error().id == id);
    CHECK(read.error().message.starts_with("measured.toml:"));
  }
}

}  // namespace ringout::cli
