#include "cli/desk_text.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "cli/cold_text.h"
#include "cli/desk_plots.h"
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
  CHECK(says("protection_fuse_lift", "lift alone, stalled: "));
  CHECK(says("protection_resettable_controller", "holds 0.75 A"));
  CHECK(says("motor_lift", "limit 10 A"));
  for (const auto& duty : report().duties) CHECK(has("run_time_" + tray_carrier().duty_cycles[duty.cycle].name));
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
