#include "cli/desk_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/desk_words.h"
#include "cli/measure.h"
#include "desk/openings.h"

namespace ringout::cli {
namespace {

using desk::CaseReport;
using desk::DeskReport;
using desk::RangeOf;
using robot::Robot;

struct Said {
  Tone tone;
  const char* word;
};
constexpr Said good{Tone::good, "ok"};
constexpr Said look{Tone::attention, "look"};
constexpr Said wrong{Tone::bad, "WRONG"};

std::string answer(const Said& said, const char* question, const std::string& text, Colour colour) {
  const std::string head = "  " + padded(paint(said.word, said.tone, colour), 6) + padded(question, 12);
  return head + wrapped(text, text_columns - 20, 20) + "\n";
}

Said of_voltage(const CaseReport& c) {
  return c.above_brown_out.si < 0.0 ? wrong : c.above_supply_low.si < 0.0 ? look : good;
}

std::string voltage_answer(const Robot& robot, const DeskReport& report, const CaseReport& c) {
  const auto index = static_cast<std::size_t>(&c - report.cases.data());
  std::string text = fmt::format("{} at {:.0f} % charge: the controller gets {}{} of the battery's {}; ", c.name,
                                 100.0 * c.state_of_charge, volts_text(c.controller),
                                 range_text(report.range(RangeOf::case_controller, index)), volts_text(c.open_circuit));
  if (c.above_brown_out.si < 0.0) {
    text += fmt::format("it BROWNS OUT, {} below its {}", volts_text(-c.above_brown_out),
                        volts_text(robot.board.brown_out));
  } else if (c.above_supply_low.si < 0.0) {
    text += fmt::format("it turns its outputs off, {} below {}, but does not brown out ({})",
                        volts_text(-c.above_supply_low), volts_text(robot.board.supply_low),
                        volts_text(robot.board.brown_out));
  } else {
    text += fmt::format("no brown-out: {} above the level where outputs go off ({})", volts_text(c.above_supply_low),
                        volts_text(robot.board.supply_low));
  }
  return text;
}

void add_voltage(const Robot& robot, const DeskReport& report, Colour colour, std::string& text) {
  const CaseReport* drives = report.find_case("drives_stalled");
  const CaseReport* worst = report.by_severity.empty() ? nullptr : &report.cases[report.by_severity.front()];
  for (const CaseReport* c : {drives, worst == drives ? nullptr : worst}) {
    if (c == nullptr) continue;
    if (c->unsolved) {
      text += answer(wrong, "brown-out", c->name + ": " + c->unsolved->message, colour);
    } else {
      text += answer(of_voltage(*c), "brown-out", voltage_answer(robot, report, *c), colour);
    }
  }
}

// The protection that is loaded most, for its rating.
std::string nearest_to_open(const Robot& robot, const DeskReport& report) {
  std::string told;
  double most = 0.0;
  for (const CaseReport& c : report.cases) {
    for (std::size_t i = 0; !c.unsolved && i < c.protections.size(); ++i) {
      if (c.protections[i].multiple <= most) continue;
      most = c.protections[i].multiple;
      told = fmt::format(
          "; nearest to it {} with {:.0f} % of its rating in {}: it takes {:.1f} times that current "
          "before it may open",
          robot.protections[i].name, 100.0 * most, c.name, 1.0 / most);
    }
  }
  return told;
}

std::string opening_answer(const Robot& robot, const desk::Opening& o) {
  const std::string& name = robot.protections[o.protection].name;
  const std::string where =
      o.load_case != nullptr ? o.load_case->name : robot.outputs[o.stall->output].name + " held still alone";
  const bool nominal = std::isfinite(o.trip.earliest.si);
  const bool sure = std::isfinite(o.within.latest.si);
  return fmt::format("{}: {}{} first, {}, at {:.0f} % of its rating", where,
                     nominal ? name : "within the tolerances " + name, sure ? " goes" : " may go", trip_text(o.within),
                     100.0 * o.multiple);
}

// What opens soonest of all; beside it what opens soonest in a case that lasts, where a fuse does no service by
// opening, and with the drives held still, which is what a person asks for.
void add_protection(const Robot& robot, const DeskReport& report, Colour colour, std::string& text) {
  const std::vector<desk::Opening> all = desk::openings(report);
  if (all.empty()) {
    text += answer(good, "protection", "none opens in any load case" + nearest_to_open(robot, report), colour);
    return;
  }
  std::vector<const CaseReport*> told;
  const auto tell = [&](const auto& counts) {
    const auto at = std::find_if(all.begin(), all.end(), counts);
    if (at == all.end() || std::find(told.begin(), told.end(), at->load_case) != told.end()) return;
    told.push_back(at->load_case);
    const bool in_use = at->load_case != nullptr && desk::lasts(*at->load_case);
    const bool sure = std::isfinite(at->within.latest.si);
    text += answer(in_use && sure ? wrong : look, "protection", opening_answer(robot, *at), colour);
  };
  tell([](const desk::Opening&) { return true; });
  tell([](const desk::Opening& o) { return o.load_case != nullptr && desk::lasts(*o.load_case); });
  tell([](const desk::Opening& o) { return o.load_case != nullptr && o.load_case->name == "drives_stalled"; });
}

// Where the cycle, repeated for ever, passes the winding's limit, or may do so within the tolerances; else nothing.
std::string passes_limit_text(const DeskReport& report, const desk::DutyFigures& duty,
                              const desk::MotorHeatFigures& motor) {
  const std::string limit = shown(Measure::temperature, motor.limit.si);
  if (!std::isinf(motor.limit_after.si)) {
    return fmt::format(" (its limit of {} after {})", limit, shown(Measure::time, motor.limit_after.si));
  }
  const desk::FigureRange* settled = report.range(RangeOf::heat_settled, duty.cycle, motor.output);
  if (settled == nullptr || settled->interval.high <= motor.limit.si) return "";
  return fmt::format(" (settles at {}{}: it may pass its limit of {})", shown(Measure::temperature, motor.settled.si),
                     range_text(settled), limit);
}

void add_heat(const Robot& robot, const DeskReport& report, Colour colour, std::string& text) {
  for (const auto& duty : report.duties) {
    std::string motors;
    Said said = good;
    for (const auto& motor : duty.motors) {
      if (!motor.stated) continue;
      motors += fmt::format("{}{} {}{}", motors.empty() ? "" : ", ", robot.outputs[motor.output].name,
                            shown(Measure::temperature, motor.after_cycles.si),
                            range_text(report.range(RangeOf::heat_after_cycles, duty.cycle, motor.output)));
      if (motor.after_cycles > motor.limit) {
        said = wrong;
        motors += fmt::format(" (OVER its {})", shown(Measure::temperature, motor.limit.si));
        continue;
      }
      const std::string passes = passes_limit_text(report, duty, motor);
      if (!passes.empty() && said.word == good.word) said = look;
      motors += passes;
    }
    if (duty.unsolved || motors.empty()) continue;
    text +=
        answer(said, "heat",
               fmt::format("after {} cycles of {}: {}", duty.cycles_shown, robot.duty_cycles[duty.cycle].name, motors),
               colour);
  }
}

void add_battery(const Robot& robot, const DeskReport& report, Colour colour, std::string& text) {
  for (const auto& duty : report.duties) {
    const auto& cycle = robot.duty_cycles[duty.cycle];
    if (duty.unsolved) {
      text += answer(wrong, "battery", cycle.name + ": " + duty.unsolved->message, colour);
      continue;
    }
    if (duty.cycles < 1.0) {
      text += answer(wrong, "battery",
                     fmt::format("{}: the battery as drawn does not last one cycle; {}", cycle.name, duty.end_reason),
                     colour);
      continue;
    }
    const bool enough = duty.batteries_per_day <= 1.0;
    const auto of = [&](RangeOf what) { return range_text(report.range(what, duty.cycle)); };
    const std::string lasts = ranged_text(Measure::time, duty.run_time.si, report.range(RangeOf::run_time, duty.cycle));
    text += answer(enough ? good : look, "battery",
                   fmt::format("{}: lasts {}, {:.{}f} cycles{}; {}, then {}{} under load; a day of {:.0f} takes "
                               "{:.1f} batteries{}",
                               cycle.name, lasts, duty.cycles, duty.cycles < 10.0 ? 2 : 0, of(RangeOf::cycles),
                               duty.end_reason, volts_text(duty.end_voltage), of(RangeOf::end_voltage),
                               cycle.repeats_per_day, duty.batteries_per_day, of(RangeOf::batteries_per_day)),
                   colour);
  }
}

}  // namespace

std::string bar_of(double share, int width) {
  const double held = std::isnan(share) ? 0.0 : std::clamp(share, 0.0, 1.0);
  const auto full = static_cast<std::size_t>(std::lround(held * width));
  const bool over = share > 1.0;
  return "[" + std::string(full, '#') + std::string(static_cast<std::size_t>(width) - full, '.') + (over ? "!" : "]");
}

std::string trip_text(const desk::TripInterval& trip) {
  if (std::isinf(trip.earliest.si)) return "never";
  if (std::isinf(trip.latest.si))
    return fmt::format("after {} at the earliest, or never", shown(Measure::time, trip.earliest.si));
  if (trip.earliest.si <= 0.0) return fmt::format("within {}", shown(Measure::time, trip.latest.si));
  return fmt::format("after {}", shown_between(Measure::time, trip.earliest.si, trip.latest.si));
}

std::string glance_text(const Robot& robot, const DeskReport& report, Colour colour) {
  std::string text = paint("at a glance", Tone::strong, colour) + "\n";
  add_voltage(robot, report, colour, text);
  add_protection(robot, report, colour, text);
  add_heat(robot, report, colour, text);
  add_battery(robot, report, colour, text);
  return text;
}

std::string findings_answer(std::size_t errors, std::size_t warnings, Colour colour) {
  const auto counted = [](std::size_t n, const char* one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); };
  const std::string text = errors + warnings == 0
                               ? "no error, no warning"
                               : counted(errors, "error") + ", " + counted(warnings, "warning") + ": told below";
  return answer(errors > 0 ? wrong : warnings > 0 ? look : good, "findings", text, colour);
}

std::string desk_text(const Robot& robot, const DeskReport& report, Colour colour) {
  return glance_text(robot, report, colour) + margins_text(robot, report, colour);
}

}  // namespace ringout::cli
