// The questions about what opens and what gets hot: a protection, a motor's heat.
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <limits>

#include "cli/calc.h"
#include "physics/motor_heat.h"
#include "physics/protection_duty.h"
#include "physics/protection_limits.h"
#include "physics/short_circuit.h"
#include "physics/wire.h"

namespace ringout::cli {
namespace {

using namespace physics;

std::string verdict_text(OpeningInterval opening) {
  if (std::isinf(opening.earliest.si)) return "it holds";
  const bool at_once = opening.earliest.si <= 0.0;
  if (std::isinf(opening.latest.si)) {
    return fmt::format("it may open {}, and may hold for ever: the published limits do not decide",
                       at_once ? "at any moment" : "from " + shown(Measure::time, opening.earliest.si) + " on");
  }
  if (at_once) return fmt::format("it opens within {}", shown(Measure::time, opening.latest.si));
  return fmt::format("it opens, between {} and {}", shown(Measure::time, opening.earliest.si),
                     shown(Measure::time, opening.latest.si));
}

void add_opening(const char* id, const char* what, OpeningInterval opening, const std::string& formula,
                 Answer& answer) {
  answer.figures.push_back(
      {fmt::format("{}_earliest", id), fmt::format("{}: earliest", what), Measure::time, opening.earliest.si, formula});
  answer.figures.push_back(
      {fmt::format("{}_latest", id), fmt::format("{}: latest", what), Measure::time, opening.latest.si, formula});
}

// What the wire behind it bears of a short circuit of this current; nothing without --wire.
Result<void> add_short(const Given& given, std::span<const LimitPoint> limits, Current rating, Time mechanism,
                       Answer& answer) {
  if (given.text("wire").empty()) return {};
  std::optional<int> awg;
  const auto area = conductor_of("wire", given.text("wire"), awg);
  if (!area) return tl::unexpected(area.error());
  const Current current{given.of("current")};
  const Temperature rated{given.has("insulation") ? given.of("insulation") : celsius(70).si};
  const auto heating = short_heating(rated);
  if (!heating || current.si <= 0.0) {
    return failure(ErrorKind::bad_input, "calc.range",
                   heating ? "--wire needs a --current above zero" : "--insulation must be below 250 °C with --wire",
                   "the wire is judged in a short circuit of that current");
  }
  const auto bears = short_withstand(*area, *heating);
  const auto through = most_let_through(limits, rating, {current, current}, mechanism);
  const Time latest = time_to_open(limits, current / rating).latest;
  const double k = std::sqrt(bears.si) / (area->si * 1e6);
  answer.figures.push_back(
      {"lets_through", "lets through, at most", Measure::melting_integral, through.si, "least (mi·In)²·latest(mi)"});
  answer.figures.push_back({"wire_bears", "the wire bears", Measure::melting_integral, bears.si,
                            fmt::format("k²·S², k = {:.0f} ({:.0f} to {:.0f} °C)", k, heating->start.si - 273.15,
                                        heating->end.si - 273.15)});
  answer.figures.push_back(
      {"bears_for", "... this current for", Measure::time, bears.si / (current.si * current.si), "(k·S/I)²"});
  answer.findings.push_back(
      latest > longest_short ? "short circuit: it need not open within 5 s, up to which a wire is judged so"
      : through <= bears     ? "short circuit: the wire bears all that it lets through"
                             : "short circuit: the wire is too hot before it has opened: take a thicker wire, or a "
                               "protection that lets less through");
  answer.assumptions.push_back(
      fmt::format("copper, warm before the short circuit; {}; no heat leaves it",
                  rated > celsius(125) ? "insulation that bears 250 °C for 5 s" : "insulation that softens, as PVC"));
  answer.assumptions.emplace_back(
      "at more than a published point's current, and above the last one, a heated element lets no more I²t through "
      "than at that point (ours; arcing is left out): so the wire may bear more than the published latest time alone "
      "shows");
  answer.sources.emplace_back("t = (k·S/I)²: IEC 60364-4-43 and 60364-5-54 (from memory)");
  return {};
}

Result<Answer> resettable_answer(const Given& given) {
  std::string missing;
  for (const char* name : {"trip", "trip-at", "trip-within"}) {
    if (!given.has(name)) missing += fmt::format("\n  --{}", name);
  }
  if (!missing.empty()) {
    return failure(ErrorKind::bad_input, "calc.missing", "a resettable fuse also needs" + missing,
                   "its sheet has hold and trip current, and that it trips at some current within some time");
  }
  const Resettable part{
      {given.of("rating")}, {given.of("trip")}, {given.of("trip-at")}, {given.of("trip-within")}, {1.0}, {0.0}, {0.0}};
  if (!(part.trip > part.hold) || !(part.at >= part.trip) || !(part.within.si > 0.0)) {
    return failure(ErrorKind::bad_input, "calc.range",
                   "a resettable fuse has hold current < trip current <= the current of its trip time",
                   "--rating is the hold current, --trip the trip current, --trip-at and --trip-within its trip time");
  }
  Answer answer;
  const auto opening = time_to_open(part, {given.of("current")}, given.of("ambient-factor"));
  add_opening("opens", "opens", opening, "hold, trip and trip time of the sheet", answer);
  const bool will_open = given.of("current") >= effective_rating(part.trip, given.of("ambient-factor")).si;
  answer.findings.push_back(will_open && std::isinf(opening.latest.si)
                                ? "it opens, its trip current is passed; no sheet says after what time"
                                : verdict_text(opening));
  answer.assumptions = {
      "as new, at the sheet's mounting; no sheet says when it trips between hold current and the "
      "current of its trip time"};
  answer.sources = {"the part's own sheet"};
  const std::array<LimitPoint, 1> limits{{{part.at / part.hold, seconds(0), part.within}}};
  const Current hold = effective_rating(part.hold, given.of("ambient-factor"));
  if (auto wire = add_short(given, limits, hold, seconds(0), answer); !wire) return tl::unexpected(wire.error());
  return answer;
}

Result<Answer> protection_answer(const Given& given) {
  if (given.text("kind") == "resettable") return resettable_answer(given);
  const Current rating{given.of("rating")};
  const std::string kind = given.text("kind");
  const LimitTable table = kind == "blade"       ? blade_fuse_limits()
                           : kind == "cartridge" ? cartridge_fuse_limits(rating)
                                                 : breaker_limits();
  const Current effective = effective_rating(rating, given.of("ambient-factor"));
  const double multiple = given.of("current") / effective.si;
  Answer answer;
  answer.figures.push_back(
      {"effective_rating", "rating at this ambient", Measure::current, effective.si, "rating/factor"});
  answer.figures.push_back({"multiple", "current over rating", Measure::fraction, multiple, "I/rating"});
  auto steady = time_to_open(table.points, multiple);
  if (multiple <= 1.0) steady.earliest = for_ever();  // its rating it carries, whatever time the table states
  add_opening("steady", "steady current", steady, "published limits, stepwise", answer);
  answer.findings.push_back(multiple <= 1.0 ? "steady: within its rating, which it carries"
                                            : "steady: " + verdict_text(steady));
  if (given.has("on")) {
    const std::array<CurrentStep, 2> cycle{
        {{{given.of("current")}, {given.of("on")}}, {{given.of("rest-current")}, {given.of("rest")}}}};
    const std::size_t steps = given.of("rest") > 0.0 ? 2 : 1;
    const auto repeated = time_to_open(table.points, effective, std::span(cycle).first(steps));
    add_opening("cycle", "repeated for ever", repeated, "heat kept from pulse to pulse", answer);
    answer.findings.push_back("repeated: " + verdict_text(repeated));
  }
  answer.assumptions = {
      "from cold, still air, the sheet's mounting; times are those of the published points, none is interpolated"};
  answer.sources = {std::string(table.name) + ": " + std::string(table.source.text) + " (" +
                    std::string(name_of(table.source.mark)) + ")"};
  const Time mechanism = kind == "breaker" ? breaker_mechanism : seconds(0);
  if (auto wire = add_short(given, table.points, effective, mechanism, answer); !wire) {
    return tl::unexpected(wire.error());
  }
  return answer;
}

// Of a body, from its capacity or its time constant; from both where they say the same within what sheets round.
Result<HeatCapacity> capacity_of(const Given& given, const std::string& body, const char* resistance) {
  constexpr double rounding = 0.1;
  const std::string capacity = body + "-capacity";
  const std::string constant = body + "-time";
  const ThermalResistance outside{given.of(resistance)};
  if (!given.has(constant)) return HeatCapacity{given.of(capacity)};
  const HeatCapacity by_time = heat_capacity({given.of(constant)}, outside);
  if (!given.has(capacity)) return by_time;
  if (std::abs(given.of(capacity) / by_time.si - 1.0) > rounding) {
    return failure(
        ErrorKind::bad_input, "calc.contradiction",
        fmt::format("--{} contradicts --{}: {} with {} of --{} make a time constant of {}, not {}", constant, capacity,
                    shown(Measure::heat_capacity, given.of(capacity)), shown(Measure::thermal_resistance, outside.si),
                    resistance, shown(Measure::time, given.of(capacity) * outside.si),
                    shown(Measure::time, given.of(constant))),
        "one of the two is enough: leave out the one that you doubt");
  }
  return HeatCapacity{given.of(capacity)};
}

// A winding is as warm as its housing at least.
std::optional<BodyTemperatures> warm_start(const Given& given) {
  if (!given.has("winding-start") && !given.has("housing-start")) return std::nullopt;
  const double housing = given.of(given.has("housing-start") ? "housing-start" : "ambient");
  return BodyTemperatures{{given.has("winding-start") ? given.of("winding-start") : housing}, {housing}};
}

Result<Answer> heat_answer(const Given& given) {
  const auto winding = capacity_of(given, "winding", "winding-to-housing");
  if (!winding) return tl::unexpected(winding.error());
  const auto housing = capacity_of(given, "housing", "housing-to-ambient");
  if (!housing) return tl::unexpected(housing.error());
  const MotorBodies bodies{
      {given.of("winding-to-housing")}, {given.of("housing-to-ambient")}, *winding, *housing, {given.of("resistance")}};
  const Temperature ambient{given.of("ambient")};
  const Temperature limit{given.of("limit")};
  const HeatLoad load{{given.of("current")}, {given.of("iron-loss")}};
  Answer answer;
  answer.figures.push_back({"loss", "heat in the cold winding", Measure::power,
                            given.of("resistance") * given.of("current") * given.of("current"), "R·I² at 25 °C"});
  const auto end = settled(bodies, load, ambient);
  answer.figures.push_back({"settled_winding", "winding, for ever", Measure::temperature,
                            end ? end->winding.si : std::numeric_limits<double>::infinity(), "two bodies, R(T)"});
  answer.figures.push_back({"settled_housing", "housing, for ever", Measure::temperature,
                            end ? end->housing.si : std::numeric_limits<double>::infinity(), "two bodies, R(T)"});
  const Time cold = time_to(bodies, all_at(ambient), load, ambient, limit);
  answer.figures.push_back(
      {"limit_after", "winding limit after, cold", Measure::time, cold.si, "exact, matrix exponential"});
  const auto from = warm_start(given);
  if (from) {
    answer.figures.push_back({"limit_after_warm", "winding limit after, warm", Measure::time,
                              time_to(bodies, *from, load, ambient, limit).si,
                              fmt::format("from {} winding, {} housing", shown(Measure::temperature, from->winding.si),
                                          shown(Measure::temperature, from->housing.si))});
  }
  answer.figures.push_back({"continuous", "current it bears for ever", Measure::current,
                            continuous_current(bodies, {given.of("iron-loss")}, ambient, limit).si,
                            "winding settles at its limit"});
  if (given.has("period")) {
    const double duty = allowed_duty(bodies, load, {{0.0}, {0.0}}, {given.of("period")}, ambient, limit);
    answer.figures.push_back({"allowed_duty", "allowed share of each period", Measure::fraction, duty,
                              "settled cycle's hottest winding = limit"});
  }
  if (!end)
    answer.findings.emplace_back("the winding runs away: its resistance grows faster than it can give off heat");
  if (!std::isinf(cold.si)) {
    answer.findings.push_back(fmt::format("the winding is at its limit of {} after {} from cold",
                                          shown(Measure::temperature, limit.si), shown(Measure::time, cold.si)));
  }
  answer.assumptions = {
      "mounted in still air as the sheet states; current is the root of its mean square; a motor that "
      "was stalled may be hot: do not touch it"};
  answer.sources = {
      "two-body thermal network with copper feedback; steady form: Portescap catalogue V012024 p. 225 "
      "(read)"};
  return answer;
}

}  // namespace

std::vector<Subject> protection_subjects() {
  return {
      {"protection",
       "A fuse, breaker or resettable fuse: when does it open?",
       {{"kind",
         Measure::number,
         "blade, cartridge, breaker or resettable",
         Need::required,
         "",
         Range::any,
         {"blade", "cartridge", "breaker", "resettable"}},
        {"rating", Measure::current, "rated current; resettable: hold current", Need::required, "", Range::positive},
        {"current", Measure::current, "that flows", Need::required},
        {"ambient-factor", Measure::number, "of the sheet at this ambient; above 1 where it is hot", Need::optional,
         "1", Range::positive},
        {"on", Measure::time, "the current flows so long, again and again", Need::optional, "", Range::positive},
        {"rest", Measure::time, "... with a rest between", Need::optional, "0 s"},
        {"rest-current", Measure::current, "... of this current", Need::optional, "0 A"},
        {"wire",
         Measure::area,
         "behind it, as in 16 AWG or 1.5 mm2: does it bear a short circuit of this current?",
         Need::optional,
         "",
         Range::any,
         {},
         true},
        {"insulation", Measure::temperature, "of that wire, borne for ever; 70 °C where not given", Need::optional},
        {"trip", Measure::current, "resettable: trip current", Need::optional, "", Range::positive},
        {"trip-at", Measure::current, "resettable: current of its trip time", Need::optional, "", Range::positive},
        {"trip-within", Measure::time, "resettable: trip time", Need::optional, "", Range::positive}},
       {},
       protection_answer,
       "ringout calc protection --kind blade --rating \"15 A\" --current \"20 A\""},
      {"heat",
       "A motor's heat: how warm, how soon, how long in each period",
       {{"resistance", Measure::resistance, "of the winding at 25 °C", Need::required, "", Range::positive},
        {"current", Measure::current, "root of its mean square", Need::required},
        {"winding-to-housing", Measure::thermal_resistance, "of the sheet", Need::required, "", Range::positive},
        {"housing-to-ambient", Measure::thermal_resistance, "of the sheet", Need::required, "", Range::positive},
        {"winding-capacity", Measure::heat_capacity, "or --winding-time", Need::optional, "", Range::positive},
        {"housing-capacity", Measure::heat_capacity, "or --housing-time", Need::optional, "", Range::positive},
        {"winding-time", Measure::time, "thermal time constant of the winding", Need::optional, "", Range::positive},
        {"housing-time", Measure::time, "thermal time constant of the housing", Need::optional, "", Range::positive},
        {"iron-loss", Measure::power, "iron and friction loss, into the housing", Need::optional, "0 W"},
        {"ambient", Measure::temperature, "around it", Need::optional, "25 °C"},
        {"limit", Measure::temperature, "of the winding", Need::optional, "125 °C"},
        {"winding-start", Measure::temperature, "from which it is held, beside cold; as the housing where not given",
         Need::optional},
        {"housing-start", Measure::temperature, "the same of the housing; --ambient where not given", Need::optional},
        {"period", Measure::time, "of a cycle with rests, for the allowed share", Need::optional, "", Range::positive}},
       {{"a row with capacities or time constants",
         {{"winding-capacity", "winding-time"}, {"housing-capacity", "housing-time"}}}},
       heat_answer,
       "ringout calc heat --resistance \"1.33 ohm\" --current \"3 A\" --winding-to-housing \"4 K/W\" "
       "--housing-to-ambient \"12 K/W\" --winding-time \"20 s\" --housing-time \"600 s\""},
  };
}

}  // namespace ringout::cli
