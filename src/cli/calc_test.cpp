#include "cli/calc.h"

#include <doctest/doctest.h>

#include <cmath>

#include "cli/golden.h"
#include "cli/terminal.h"
#include "units/quantity.h"

namespace ringout::cli {
namespace {

using Written = std::map<std::string, std::string>;

double figure(const Calculation& calculation, const std::string& id) {
  for (const Figure& f : calculation.answer.figures) {
    if (f.id == id) return in_json_unit(f.measure, f.value);
  }
  FAIL("no figure " << id);
  return NAN;
}

Calculation done(const std::string& subject, const Written& written) {
  const auto result = calculate(subject, written);
  REQUIRE_MESSAGE(result, (result ? "" : result.error().message));
  return *result;
}

std::string refused(const std::string& subject, const Written& written) {
  const auto result = calculate(subject, written);
  REQUIRE_FALSE(result);
  CHECK(result.error().kind == ErrorKind::bad_input);
  CHECK_FALSE(result.error().hint.empty());
  return error_text(result.error(), Colour::off);
}

const Written motor = {
    {"free-speed", "5200 rpm"}, {"free-current", "0.35 A"}, {"stall-torque", "0.433 N*m"}, {"stall-current", "20 A"}};

Written with(Written written, const Written& more) {
  for (const auto& [name, text] : more) written[name] = text;
  return written;
}

}  // namespace

TEST_CASE("a quantity is read with its unit and what it may be off") {
  CHECK(read_measure("2.1 ohm +-10%", Measure::resistance)->half_width == doctest::Approx(0.21));
  CHECK(read_measure("2.1 ohm ± 10 %", Measure::resistance)->half_width == doctest::Approx(0.21));
  CHECK(read_measure("2.1 ohm +-200 mohm", Measure::resistance)->half_width == doctest::Approx(0.2));
  CHECK(read_measure("40 degC +- 5 K", Measure::temperature)->half_width == doctest::Approx(5.0));
  CHECK(read_measure("80 % +- 5 %", Measure::fraction)->half_width == doctest::Approx(0.05));
  CHECK(read_measure("440 rpm/V", Measure::speed_constant)->si == doctest::Approx(440.0 * 2.0 * pi / 60.0));
  CHECK(read_measure("-20 degC", Measure::temperature)->si == doctest::Approx(253.15));
  for (const char* text : {"", "2.1", "2.1 V", "ohm", "2.1 ohm +-", "2.1 ohm +- 1 V", "2.1 ohm +- -1 %", "nan ohm"}) {
    const auto reading = read_measure(text, Measure::resistance);
    REQUIRE_FALSE(reading);
    CHECK(reading.error().hint == "write a resistance, as in 25 mohm");
  }
}

TEST_CASE("what is shown has a unit and three digits that count") {
  CHECK(shown(Measure::resistance, 0.0251) == "25.1 mohm");
  CHECK(shown(Measure::time, 0.04) == "40 ms");
  CHECK(shown(Measure::time, 7200.0) == "2 h");
  CHECK(shown(Measure::time, INFINITY) == "for ever");
  CHECK(shown(Measure::angular_speed, 5200.0 * 2.0 * pi / 60.0) == "5200 rpm");
  CHECK(shown(Measure::temperature, 398.15) == "125 °C");
  CHECK(shown(Measure::voltage, 0.0) == "0 V");
  CHECK(shown(Measure::voltage, 12.345) == "12.35 V");
  CHECK(shown_between(Measure::current, 5.512, 6.83) == "5.51 to 6.83 A");
  CHECK(shown_between(Measure::time, 0.25, INFINITY) == "250 ms to for ever");
}

TEST_CASE("a motor's supply current is the duty times its own, and the row's free speed comes back") {
  const auto free = done("motor", motor);
  CHECK(figure(free, "output_speed") == doctest::Approx(5200.0).epsilon(0.001));
  const auto half = done("motor", with(motor, {{"duty", "50 %"}, {"load", "0.1 N*m"}}));
  CHECK(figure(half, "supply_current") == doctest::Approx(0.5 * figure(half, "motor_current")));
  CHECK(figure(half, "stall_supply_current") == doctest::Approx(0.25 * 20.0));
  // The same motor by its other kind of row.
  const auto other =
      done("motor", {{"resistance", "0.6 ohm"}, {"torque-constant", "21.65 mN*m/A"}, {"free-current", "0.35 A"}});
  CHECK(figure(other, "output_speed") == doctest::Approx(5200.0).epsilon(0.001));
}

TEST_CASE("with a tolerance figures become ranges that hold the nominal value") {
  const auto loose = done("wire", {{"size", "16 AWG"}, {"length", "0.7 m +-10%"}, {"current", "12 A +- 2 A"}});
  for (const Figure& f : loose.answer.figures) {
    if (f.id != "drop") continue;
    REQUIRE(f.low);
    CHECK(*f.low == doctest::Approx(f.value * 0.9 * 10.0 / 12.0));  // a product: the corners bound it
    CHECK(*f.high == doctest::Approx(f.value * 1.1 * 14.0 / 12.0));
  }
}

TEST_CASE("the wire's drop and a warmer wire's resistance") {
  // ASTM B258: 16 AWG has 1.309 mm²; IACS copper at 58 MS/m gives 13.17 mohm/m.
  const auto wire = done("wire", {{"size", "16 AWG"}, {"length", "1 m"}, {"current", "10 A"}});
  CHECK(figure(wire, "loop_20") == doctest::Approx(0.02634).epsilon(0.002));
  const auto warm =
      done("wire", {{"size", "16 AWG"}, {"length", "1 m"}, {"current", "10 A"}, {"conductor", "80 degC"}});
  CHECK(figure(warm, "loop") / figure(wire, "loop") == doctest::Approx((234.5 + 80.0) / 254.5));
}

// By hand: 18 AWG has 0.823 mm², k from 105 to 160 °C is 226·√ln(394.5/339.5) = 87.6; (87.6·0.823)² = 5198 A²s.
// A 10 A blade fuse lets (60 A)²·0.15 s = 540 A²s through, whatever more flows; 190 A are borne for 5198/190² = 0.144
// s.
TEST_CASE("a wire in a short circuit") {
  const Written fuse{
      {"kind", "blade"}, {"rating", "10 A"}, {"current", "190 A"}, {"wire", "18 AWG"}, {"insulation", "105 degC"}};
  const auto borne = done("protection", fuse);
  CHECK(figure(borne, "lets_through") == doctest::Approx(540.0));
  CHECK(figure(borne, "wire_bears") == doctest::Approx(5198.0).epsilon(0.005));
  CHECK(figure(borne, "bears_for") == doctest::Approx(0.144).epsilon(0.005));
  CHECK(borne.answer.findings.back() == "short circuit: the wire bears all that it lets through");
  const auto thin = done("protection", with(fuse, {{"wire", "26 AWG"}}));
  CHECK(thin.answer.findings.back().find("too hot") != std::string::npos);
  const auto weak = done("protection", with(fuse, {{"current", "15 A"}}));
  CHECK(weak.answer.findings.back().find("need not open within 5 s") != std::string::npos);
  CHECK(figure(done("protection", with(fuse, {{"kind", "breaker"}, {"current", "20 A"}})), "lets_through") ==
        doctest::Approx(20.0 * 20 * 60 + 20.0 * 20 * 0.1));
  check_golden("calc_short.txt", calculation_text(borne));
}

// 12.2 V at rest: motorhome.com's table has 12.15 V at 25 % and 12.30 V at 50 %, the mailing list's 12.2 V at 50 %.
TEST_CASE("a battery's charge lies between what the tables of its chemistry say") {
  const Written battery{{"voltage", "12.2 V"}, {"chemistry", "lead-acid"}, {"cells", "6"}};
  const auto charge = done("charge", battery);
  CHECK(figure(charge, "least") == doctest::Approx(0.25 + 0.25 * 5.0 / 15.0));
  CHECK(figure(charge, "greatest") >= 0.5);
  // Half as many cells at half the voltage are as full.
  const auto half = done("charge", with(battery, {{"voltage", "6.1 V"}, {"cells", "3"}}));
  CHECK(figure(half, "greatest") == doctest::Approx(figure(charge, "greatest")));
  // Beyond the tables.
  CHECK(figure(done("charge", with(battery, {{"voltage", "10 V"}})), "least") == 0.0);
  CHECK(figure(done("charge", with(battery, {{"voltage", "14 V"}})), "least") == 1.0);
}

TEST_CASE("the texts of every calculation") {
  check_golden("calc_motor.txt", calculation_text(done("motor", with(motor, {{"gear", "60"},
                                                                             {"efficiency", "80 %"},
                                                                             {"load", "2 N*m +-20%"},
                                                                             {"duty", "60 %"},
                                                                             {"leads", "35 mohm"},
                                                                             {"driver", "150 mohm"},
                                                                             {"source", "40 mohm"}}))));
  check_golden("calc_lift.txt", calculation_text(done("lift", with(motor, {{"mass", "8 kg"},
                                                                           {"radius", "8 mm/rev"},
                                                                           {"gear", "15"},
                                                                           {"efficiency", "80 %"},
                                                                           {"friction", "0.02 N*m"}}))));
  check_golden("calc_move.txt", calculation_text(done("move", with(motor, {{"gear", "60"},
                                                                           {"efficiency", "80 %"},
                                                                           {"inertia", "0.084 kg*m2"},
                                                                           {"radius", "80 mm"},
                                                                           {"friction", "0.45 N*m"}}))));
  check_golden("calc_wire.txt",
               calculation_text(done("wire", {{"size", "20 AWG"}, {"length", "3 m"}, {"current", "12 A"}})));
  check_golden("calc_protection.txt",
               calculation_text(done(
                   "protection",
                   {{"kind", "blade"}, {"rating", "15 A"}, {"current", "20 A"}, {"on", "5 s"}, {"rest", "20 s"}})));
  check_golden(
      "calc_battery.txt",
      calculation_text(done(
          "battery", {{"capacity", "7 Ah"}, {"current", "8 A +-25%"}, {"exponent", "1.2"}, {"internal", "25 mohm"}})));
  check_golden(
      "calc_charge.txt",
      calculation_text(done("charge", {{"voltage", "12.4 V +-0.05 V"}, {"chemistry", "lead-acid"}, {"cells", "6"}})));
  check_golden("calc_heat.txt", calculation_text(done("heat", {{"resistance", "1.33 ohm"},
                                                               {"current", "3 A"},
                                                               {"winding-to-housing", "4 K/W"},
                                                               {"housing-to-ambient", "12 K/W"},
                                                               {"winding-time", "20 s"},
                                                               {"housing-time", "600 s"},
                                                               {"period", "60 s"}})));
}

TEST_CASE("a motor's heat from warm: sooner at its limit, and the housing's start counts for the winding too") {
  const auto warm = [](std::map<std::string, std::string> start) {
    std::map<std::string, std::string> written{{"resistance", "1.33 ohm"},      {"current", "6 A"},
                                               {"winding-to-housing", "4 K/W"}, {"housing-to-ambient", "12 K/W"},
                                               {"winding-capacity", "5 J/K"},   {"housing-capacity", "50 J/K"}};
    written.merge(start);
    const Calculation c = done("heat", written);
    double cold = 0.0, from_warm = 0.0;
    for (const Figure& f : c.answer.figures) {
      if (f.id == "limit_after") cold = f.value;
      if (f.id == "limit_after_warm") from_warm = f.value;
    }
    return std::pair(cold, from_warm);
  };
  CHECK(warm({}).second == 0.0);
  // 48 W, at 60 °C with 14 % more copper loss 54 W, into 5 J/K: 65 K in about 6 s; from cold 100 K in more than 10 s.
  const auto [cold, sixty] = warm({{"housing-start", "60 °C"}});
  CHECK(sixty == doctest::Approx(6.3).epsilon(0.1));
  CHECK(cold > 1.5 * sixty);
  CHECK(warm({{"housing-start", "60 °C"}, {"winding-start", "60 °C"}}).second == doctest::Approx(sixty));
  CHECK(warm({{"winding-start", "60 °C"}}).second > sixty);  // a cold housing takes some of it
  CHECK(warm({{"winding-start", "25 °C"}}).second == doctest::Approx(cold));
  CHECK(warm({{"winding-start", "130 °C"}}).second == 0.0);
}

TEST_CASE("what is written wrongly is told with what was expected") {
  std::string text;
  text += refused("wing", {});
  text += refused("motor", {});
  text += refused("motor", {{"free-current", "0.35 A"}});
  text += refused("motor", with(motor, {{"stall-torque", "0.433 N"}}));
  text += refused("motor", with(motor, {{"duty", "120 %"}}));
  text += refused("motor", with(motor, {{"gear", "0"}}));
  text += refused("motor", with(motor, {{"stall-current", "0.2 A"}}));
  text += refused("wire", {{"size", "16"}, {"length", "1 m"}, {"current", "1 A"}});
  text += refused("wire", {{"size", "0 mm2"}, {"length", "1 m"}, {"current", "1 A"}});
  text += refused("protection", {{"kind", "blad"}, {"rating", "15 A"}, {"current", "20 A"}});
  text += refused("protection", {{"kind", "resettable"}, {"rating", "0.75 A"}, {"current", "2 A"}});
  text += refused("protection", {{"kind", "blade"}, {"rating", "15 A"}, {"current", "90 A"}, {"wire", "16"}});
  text += refused("protection", {{"kind", "blade"}, {"rating", "15 A"}, {"current", "0 A"}, {"wire", "16 AWG"}});
  text += refused("battery", {{"capacity", "7 Ah"}, {"current", "2 A"}, {"exponent", "0.9"}});
  text += refused("charge", {{"voltage", "12 V"}, {"chemistry", "lead"}, {"cells", "6"}});
  text += refused("charge", {{"voltage", "12 V"}, {"chemistry", "lead-acid"}, {"cells", "5.5"}});
  text += refused("heat", {{"resistance", "1 ohm +-100%"},
                           {"current", "2 A"},
                           {"winding-to-housing", "4 K/W"},
                           {"housing-to-ambient", "12 K/W"},
                           {"winding-time", "20 s"},
                           {"housing-time", "600 s"}});
  text += refused("heat", {});
  const std::map<std::string, std::string> sheet{{"resistance", "1.33 ohm"},
                                                 {"current", "3 A"},
                                                 {"winding-to-housing", "4 K/W"},
                                                 {"housing-to-ambient", "12 K/W"},
                                                 {"winding-time", "20 s"}};
  text += refused("heat", with(sheet, {{"housing-capacity", "50 J/K"}, {"winding-capacity", "15 J/K"}}));
  text += refused("heat", with(sheet, {{"housing-capacity", "50 J/K"}, {"ambient", "25 degC +-10 %"}}));
  CHECK(calculate("heat", with(sheet, {{"housing-capacity", "50 J/K"}, {"winding-capacity", "5.2 J/K"}})));
  text += refused("motor", with(motor, {{"resistance", "0.6 ohm"}}));
  text += refused("motor", {{"free-current", "0.35 A"}, {"resistance", "0.6 ohm"}});
  text += refused("lift", {});
  check_golden("calc_refused.txt", text);
}

}  // namespace ringout::cli
