// The questions about the supply: a wire, a battery.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <optional>

#include "cli/calc.h"
#include "physics/ampacity.h"
#include "physics/battery.h"
#include "physics/wire.h"
#include "physics/wire_heat.h"
#include "robot/unit_text.h"

namespace ringout::cli {
namespace {

using namespace physics;

constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

// The thinnest gauge whose drop stays below the asked one, at the same temperature.
std::optional<int> gauge_for(const Given& given, double warm) {
  for (int awg = 40; awg >= 1; --awg) {
    const double drop = loop_resistance(awg_area(awg), {given.of("length")}).si * warm * given.of("current");
    if (drop <= given.of("most-drop") * given.of("supply")) return awg;
  }
  return std::nullopt;
}

struct Shelf {
  const char* id;
  const char* name;
  AmpacityTable table;
};
constexpr Shelf shelves[] = {{"bundled_105", "guide: 105 °C, bundled", AmpacityTable::bundled_105},
                             {"free_air", "guide: single, free air", AmpacityTable::free_air},
                             {"chassis", "guide: chassis wiring", AmpacityTable::chassis},
                             {"transmission", "guide: 700 circ. mil/A", AmpacityTable::transmission}};

// Of the gauge itself, or of the next thinner one that the table has.
struct Guidance {
  std::optional<Current> current;
  const char* of = "";
};
Guidance guided(AmpacityTable table, std::optional<int> awg, Area area) {
  if (const auto own = awg ? ampacity(table, *awg) : std::nullopt) return {own};
  const auto thinner = ampacity(table, area);
  return {thinner, thinner ? ", a thinner size" : ""};
}

void add_guidance(std::optional<int> awg, Area area, double current, double ambient, Answer& answer) {
  for (const Shelf& shelf : shelves) {
    const auto [limit, of] = guided(shelf.table, awg, area);
    const auto conditions = conditions_of(shelf.table);
    answer.figures.push_back(
        {shelf.id, shelf.name, Measure::current, limit ? limit->si : nothing, std::string(conditions.name) + of});
    answer.sources.push_back(std::string(conditions.source.text) + " (" + std::string(name_of(conditions.source.mark)) +
                             ")");
  }
  const auto bundled = guided(AmpacityTable::bundled_105, awg, area).current;
  const auto none = [&](const Shelf& shelf) { return !guided(shelf.table, awg, area).current; };
  if (std::all_of(std::begin(shelves), std::end(shelves), none)) {
    answer.findings.emplace_back("no table has so thin a wire: what it may carry is not known");
  }
  if (bundled && current > bundled->si) {
    answer.findings.push_back(
        fmt::format("{} is more than the {} of a bundled wire of 105 °C insulation: take a "
                    "thicker wire, or lay it free",
                    shown(Measure::current, current), shown(Measure::current, bundled->si)));
  }
  const auto free = guided(AmpacityTable::free_air, awg, area).current;
  const auto conditions = conditions_of(AmpacityTable::free_air);
  if (!free || !conditions.conductor || !conditions.ambient) return;
  const auto warm = conductor_temperature({*free, *conditions.conductor, *conditions.ambient}, {current}, {ambient});
  answer.figures.push_back({"conductor", "conductor, single, free air", Measure::temperature,
                            warm ? warm->si : std::numeric_limits<double>::infinity(), "rise ∝ I²·R(T), settled"});
  if (!warm) answer.findings.emplace_back("there is no settled temperature: the wire burns");
}

Result<Answer> wire_answer(const Given& given) {
  std::optional<int> awg;
  const auto area = conductor_of("size", given.text("size"), awg);
  if (!area) return tl::unexpected(area.error());
  const double warm = copper_resistance_factor({given.of("conductor")});
  const double cold_loop = loop_resistance(*area, {given.of("length")}).si;
  const double loop = cold_loop * warm;
  const double current = given.of("current");
  Answer answer;
  answer.figures.push_back({"area", "cross-section", Measure::area, area->si, "0.127 mm·92^((36 − n)/39), ASTM B258"});
  answer.figures.push_back({"loop_20", "both leads at 20 °C", Measure::resistance, cold_loop, "2·ρ20·l/A"});
  answer.figures.push_back({"loop", "... at the stated temperature", Measure::resistance, loop, "(234.5 + t)/254.5"});
  answer.figures.push_back({"drop", "voltage drop", Measure::voltage, loop * current, "R·I"});
  answer.figures.push_back(
      {"drop_share", "... of the supply", Measure::fraction, loop * current / given.of("supply"), "R·I/U"});
  answer.figures.push_back({"loss", "heat", Measure::power, loop * current * current, "R·I²"});
  if (loop * current > given.of("most-drop") * given.of("supply")) {
    const auto better = gauge_for(given, warm);
    answer.findings.push_back(fmt::format(
        "the drop is more than {}: {}", shown(Measure::fraction, given.of("most-drop")),
        better ? fmt::format("{} AWG would do", *better) : std::string("no gauge up to 1 AWG would do; shorten it")));
  }
  add_guidance(awg, *area, current, given.of("ambient"), answer);
  answer.assumptions = {"solid annealed copper; stranded wire is a few per cent higher",
                        "tables are guidance for their own insulation, bundle and ambient; local codes and the wire's "
                        "maker rule"};
  return answer;
}

Result<Answer> battery_answer(const Given& given) {
  const double exponent = given.of("exponent");
  if (exponent < 1.0 || exponent > 2.0) {
    return failure(ErrorKind::bad_input, "calc.range", "--exponent must be between 1 and 2",
                   "lead-acid: 1.1 to 1.3, take it from two rates of the sheet; lithium: near 1");
  }
  const double current = given.of("current");
  const double share = given.of("share");
  const PeukertRating rating{{given.of("capacity")}, {given.of("rated-time")}, exponent};
  const double charge = given.of("charge");
  const double mean = current * share;
  const double counted = counted_current(rating, {current}).si * share;
  const double terminals = given.of("open") - given.of("internal") * current;
  if (terminals < 0.0) {
    return failure(ErrorKind::bad_input, "calc.range",
                   fmt::format("--current is more than the {} that the battery gives into a short",
                               shown(Measure::current, given.of("open") / given.of("internal"))),
                   "give a smaller current, or the battery's own --internal resistance");
  }
  Answer answer;
  answer.figures.push_back({"terminals", "voltage under load", Measure::voltage, terminals, "U = E − r·I"});
  answer.figures.push_back({"sag", "sag", Measure::voltage, given.of("internal") * current, "r·I"});
  const bool known = given.of("internal") > 0.0;
  answer.figures.push_back({"most_current", "current into a short", Measure::current,
                            known ? given.of("open") / given.of("internal") : nothing,
                            "E/r: what the main protection must break"});
  answer.figures.push_back({"mean_current", "mean current", Measure::current, mean, "share·I"});
  answer.figures.push_back({"counted", "counts as", Measure::current, counted, "share·I·(I·H/C)^(n − 1), I ≥ C/H"});
  answer.figures.push_back(
      {"run_time", "run time", Measure::time, charge * given.of("capacity") / counted, "charge·C/counted current"});
  answer.figures.push_back({"delivered", "charge it gives", Measure::charge,
                            charge * given.of("capacity") * mean / counted, "run time·mean current"});
  answer.figures.push_back(
      {"heat", "heat in the battery", Measure::power, given.of("internal") * current * current * share, "r·I²·share"});
  if (terminals < given.of("cutoff")) {
    answer.findings.push_back(fmt::format("under load it is below the cutoff of {}: it counts as empty at once",
                                          shown(Measure::voltage, given.of("cutoff"))));
  }
  answer.assumptions = {
      "voltage and resistance as given for the whole discharge: towards the end both are worse, so the cutoff comes "
      "sooner; 'ringout check' follows them",
      "one exponent for all rates; 25 °C; below the rated current the capacity is the rated one"};
  if (!known) {
    answer.assumptions.emplace_back(
        "no --internal resistance: so no sag, and nothing is said of a short circuit, which may be hundreds of "
        "amperes");
  }
  answer.sources = {"Peukert's law t = H·(C/(I·H))^n, as in battery monitor manuals (Xantrex Link 20 p. 26, read)"};
  return answer;
}

}  // namespace

Result<Area> conductor_of(const std::string& option, const std::string& text, std::optional<int>& awg) {
  awg = robot::read_awg(text);
  if (awg) return physics::awg_area(*awg);
  const auto area = robot::read_quantity(text, robot::Dimension::area);
  if (!area.si || !(*area.si > 0.0)) {
    return failure(ErrorKind::bad_input, "calc.quantity",
                   fmt::format("--{}: \"{}\" is neither a gauge nor a cross-section", option, text),
                   "write a gauge from 1 AWG to 40 AWG, as in 16 AWG, or a cross-section, as in 1.5 mm2");
  }
  return Area{*area.si};
}

std::vector<Subject> supply_subjects() {
  return {
      {"wire",
       "A wire there and back: drop, heat, and what tables let it carry",
       {{"size",
         Measure::area,
         "gauge or cross-section, as in 16 AWG or 1.5 mm2",
         Need::required,
         "",
         Range::any,
         {},
         true},
        {"length", Measure::length, "one way", Need::required, "", Range::positive},
        {"current", Measure::current, "that it carries", Need::required},
        {"supply", Measure::voltage, "of the circuit", Need::optional, "12 V", Range::positive},
        {"conductor", Measure::temperature, "of the copper, for its resistance", Need::optional, "20 °C"},
        {"ambient", Measure::temperature, "around it", Need::optional, "25 °C"},
        {"most-drop", Measure::fraction, "of the supply, to be told of", Need::optional, "3 %", Range::positive}},
       {},
       wire_answer,
       "ringout calc wire --size \"16 AWG\" --length \"0.7 m\" --current \"12 A\""},
      {"battery",
       "A battery under a load: sag and run time",
       {{"capacity", Measure::charge, "as printed", Need::required, "", Range::positive},
        {"current", Measure::current, "that it gives", Need::required, "", Range::positive},
        {"rated-time", Measure::time, "discharge time at which the capacity is stated", Need::optional, "20 h",
         Range::positive},
        {"exponent", Measure::number, "Peukert's; 1: the capacity does not depend on the current", Need::optional, "1"},
        {"share", Measure::fraction, "of the time in which the current flows", Need::optional, "100 %",
         Range::positive},
        {"charge", Measure::fraction, "state of charge at the start", Need::optional, "100 %", Range::positive},
        {"open", Measure::voltage, "open-circuit voltage", Need::optional, "12.6 V", Range::positive},
        {"internal", Measure::resistance, "internal resistance", Need::optional, "0 ohm"},
        {"cutoff", Measure::voltage, "at which it counts as empty", Need::optional, "10.5 V"}},
       {},
       battery_answer,
       "ringout calc battery --capacity \"7 Ah\" --current \"8 A\" --exponent 1.2 --internal \"25 mohm\""},
      charge_subject(),
  };
}

}  // namespace ringout::cli
