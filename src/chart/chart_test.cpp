#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>

#include "chart/labels.h"
#include "chart/svg.h"
#include "chart/ticks.h"

namespace ringout::chart {
namespace {

// Pictures to look at are written where RINGOUT_CHART_DIR says.
void keep(const Picture& picture, const std::string& name) {
  if (const char* folder = std::getenv("RINGOUT_CHART_DIR")) {
    std::ofstream(std::string(folder) + "/" + name + ".svg") << picture.svg;
  }
}

// All text within the sheet, and no text over another.
void check_geometry(const Picture& picture) {
  const Box sheet{0.0, 0.0, picture.width, picture.height};
  for (std::size_t i = 0; i < picture.texts.size(); ++i) {
    CHECK_MESSAGE(sheet.contains(picture.texts[i].box), picture.texts[i].text);
    for (std::size_t j = 0; j < i; ++j) {
      CHECK_MESSAGE(!picture.texts[i].box.overlaps(picture.texts[j].box),
                    picture.texts[i].text << " | " << picture.texts[j].text);
    }
  }
}

bool has(const Picture& picture, const std::string& text) {
  return picture.svg.find(">" + text + "<") != std::string::npos;
}

Curve line(const std::string& label, double y_begin, double y_end, double x_end) {
  Curve curve{label, {}};
  for (int i = 0; i <= 50; ++i) curve.points.push_back({x_end * i / 50.0, y_begin + (y_end - y_begin) * i / 50.0});
  return curve;
}

Figure motor_figure() {
  Curve power{"output power", {}};
  for (int i = 0; i <= 50; ++i) {
    const double m = 0.433 * i / 50.0;
    power.points.push_back({m, m * 544.5 * (1.0 - m / 0.433)});
  }
  return {
      "drive_left: drive_motor_12v at 11.4 V",
      "Assumed: winding at 25 °C, magnets unsaturated. Source: the catalogue's row (invented), linear motor "
      "U = R·I + k·ω, M = k·(I − I0).",
      {"torque at the motor", "N·m"},
      {{{"speed", "rpm"}, {line("speed", 5200, 0, 0.433)}, {}, {{"operating point: 4 480 rpm", {0.06, 4480}}}, {}, 40},
       {{"current", "A"},
        {line("motor current", 0.35, 20, 0.433), line("supply current at 60 % duty", 0.2, 12, 0.433)},
        {},
        {{"3.1 A", {0.06, 3.1}}},
        {{"bridge limit 5 A", 5.0}},
        40},
       {{"power", "W"}, {power}, {}, {{"greatest power 59 W", {0.2165, 59}}}, {}, 40}}};
}

Figure protection_figure() {
  Band band{"blade_fuse_15a, 25 °C: opens between these", {}};
  for (double i = 15.0; i < 200.0; i *= 1.05) {
    const double ratio = i / 15.0;
    const double high = ratio < 1.35 ? INFINITY : 600.0 / std::pow(ratio, 3.0);
    band.points.push_back({i, ratio < 1.1 ? INFINITY : 20.0 / std::pow(ratio, 3.0), high});
  }
  return {"fuse_drive_left: when does it open?",
          "Published limits, stepwise; the load drawn is constant and starts cold.",
          {"current", "A", Scale::logarithmic},
          {{{"time to open", "s", Scale::logarithmic, 0.01, 3600.0},
            {},
            {band},
            {{"both drives stalled: 18.6 A", {18.6, 6.0}}},
            {{"rating 15 A", 15.0, Direction::vertical}, {"load: drive stalled 18.6 A", 18.6, Direction::vertical}},
            95}}};
}

}  // namespace

TEST_CASE("linear ticks are round, cover what is drawn and carry no needless decimals") {
  struct Case {
    double low, high;
    std::string first, second, last;
  };
  for (const Case& c : {Case{0.0, 0.433, "0.0", "0.1", "0.5"}, Case{0.0, 5200.0, "0", "1000", "6000"},
                        Case{-3.0, 4.0, "\u22123", "\u22122", "4"}, Case{0.0, 20.0, "0", "5", "20"}}) {
    const Ticks ticks = ticks_for({"a", "b"}, {c.low, c.high, false}, c.high == 20.0 ? 4 : 8);
    CHECK(ticks.ticks.front().label == c.first);
    CHECK(ticks.ticks[1].label == c.second);
    CHECK(ticks.ticks.back().label == c.last);
    CHECK(ticks.low <= c.low);
    CHECK(ticks.high >= c.high);
  }
}

TEST_CASE("a logarithmic axis labels decades, and 1, 2, 5 where it is short") {
  const Axis axis{"t", "s", Scale::logarithmic};
  const Ticks longer = ticks_for(axis, {0.01, 900.0, false}, 8);
  CHECK(longer.ticks.front().label == "0.01");
  CHECK(longer.high == 1000.0);
  std::size_t labelled = 0;
  for (const Tick& tick : longer.ticks) labelled += tick.label.empty() ? 0 : 1;
  CHECK(labelled == 6);
  const Ticks shorter = ticks_for(axis, {12.0, 180.0, false}, 8);
  CHECK(shorter.low == 10.0);
  CHECK(shorter.high == 200.0);
  CHECK(shorter.ticks[1].label == "20");
}

TEST_CASE("labels of a column are spread without meeting, in the order of their lines") {
  const auto tops = spread({50.0, 50.5, 49.0, 98.0}, {4.0, 4.0, 4.0, 4.0}, 0.0, 100.0, 1.0);
  CHECK(tops[2] + 5.0 <= tops[0] + 1e-9);
  CHECK(tops[0] + 5.0 <= tops[1] + 1e-9);
  CHECK(tops[3] == 96.0);
}

TEST_CASE("a chart of a motor: panels share an axis, labels keep clear, text stays on the sheet") {
  const Picture picture = draw(motor_figure());
  keep(picture, "motor");
  check_geometry(picture);
  CHECK(has(picture, "torque at the motor in N·m"));
  CHECK(has(picture, "operating point: 4 480 rpm"));
  CHECK(has(picture, "bridge limit 5 A"));
}

TEST_CASE("a protection curve: band open above, logarithmic both ways") {
  const Picture picture = draw(protection_figure());
  keep(picture, "protection");
  check_geometry(picture);
  CHECK(has(picture, "rating 15 A"));
  CHECK(picture.svg.find("inf") == std::string::npos);
  CHECK(picture.svg.find("nan") == std::string::npos);
}

TEST_CASE("many curves that end together keep labels of their own") {
  Figure figure{"Voltage at the controller", "", {"time", "s"}, {{{"voltage", "V"}}}};
  for (int i = 0; i < 9; ++i) {
    figure.panels[0].curves.push_back(line("case " + std::to_string(i) + " with a rather long name to tell it by", 12.0,
                                           11.0 + 0.01 * i, 10.0 - (i % 3)));
  }
  for (int i = 0; i < 6; ++i) figure.panels[0].marks.push_back({"mark " + std::to_string(i), {5.0 + 0.02 * i, 11.5}});
  const Picture picture = draw(figure);
  keep(picture, "many");
  check_geometry(picture);
  for (int i = 0; i < 6; ++i) CHECK(has(picture, "mark " + std::to_string(i)));
}

TEST_CASE("a mark that finds no room within a crowded plot is named beside it") {
  Figure figure{"Crowded", " a note that begins with a blank", {"time", "s"}, {{{"voltage", "V"}}}};
  Panel& panel = figure.panels[0];
  panel.curves.push_back(line("the voltage", 12.0, 11.0, 10.0));
  panel.height = 34.0;
  for (int i = 0; i < 20; ++i) {
    panel.marks.push_back({"mark " + std::to_string(i) + " and what is to be said of it", {6.0, 11.5 - 0.001 * i}});
  }
  const Picture picture = draw(figure);
  keep(picture, "crowded");
  check_geometry(picture);
  for (int i = 0; i < 20; ++i) CHECK(picture.svg.find(">mark " + std::to_string(i) + " ") != std::string::npos);
}

TEST_CASE("rows: one name a row, shapes explained once") {
  RowFigure figure{"Voltage in each load case", "Battery at 90 % and 25 °C.", {"voltage", "V"}, {}, {}};
  for (int i = 0; i < 6; ++i) {
    const double v = 12.4 - 0.6 * i;
    figure.rows.push_back({"load case number " + std::to_string(i),
                           {{"at the controller", v - 0.3, v - 0.7, v + 0.1}, {"at the battery", v, {}, {}}}});
  }
  figure.levels = {{"controller resets below 6.5 V", 6.5, Direction::vertical},
                   {"outputs off below 8.5 V", 8.5, Direction::vertical}};
  figure.x.from = 6.0;
  const Picture picture = draw(figure);
  keep(picture, "rows");
  check_geometry(picture);
  CHECK(has(picture, "at the controller"));
}

TEST_CASE("nothing is drawn outside the plot, and a line comes back after a gap") {
  const Box box{0, 0, 10, 10};
  const auto pieces = clipped_line({{-5, 5}, {5, 5}, {5, 15}, {15, 5}, {15, 2}, {8, 2}}, box);
  REQUIRE(pieces.size() == 2);
  CHECK(pieces[0].size() == 3);
  CHECK(pieces[1].front().x == 10.0);
  CHECK(clipped_area({{-5, -5}, {15, -5}, {15, 15}, {-5, 15}}, box).size() == 4);
  CHECK(clipped_area({{20, 20}, {30, 20}, {30, 30}}, box).empty());
}

}  // namespace ringout::chart
