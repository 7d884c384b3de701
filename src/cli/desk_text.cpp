#include "cli/desk_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/desk_words.h"
#include "cli/measure.h"

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

void add_protection(const Robot& robot, const DeskReport& report, Colour colour, std::string& text) {
  const CaseReport* drives = report.find_case("drives_stalled");
  const CaseReport* c = drives != nullptr && drives->first_to_open ? drives : nullptr;
  for (const CaseReport& other : report.cases) {
    if (c != nullptr || !other.first_to_open || other.unsolved) continue;
    c = &other;
  }
  const auto held = std::find_if(report.branch_stalls.begin(), report.branch_stalls.end(),
                                 [](const auto& stall) { return stall.first_to_open.has_value(); });
  if (c == nullptr && held != report.branch_stalls.end()) {
    text += answer(
        look, "protection",
        fmt::format("none opens in any load case; with {} held still, {} opens {}", robot.outputs[held->output].name,
                    robot.protections[*held->first_to_open].name, trip_text(held->trip)),
        colour);
    return;
  }
  if (c == nullptr) {
    text += answer(good, "protection", "none opens in any load case" + nearest_to_open(robot, report), colour);
    return;
  }
  const std::size_t first = *c->first_to_open;
  const auto& figures = c->protections[first];
  text += answer(
      look, "protection",
      fmt::format("{}: {} goes first, {}, at {} ({:.0f} % of its rating)", c->name, robot.protections[first].name,
                  trip_text(figures.trip), amperes_text(figures.current), 100.0 * figures.multiple),
      colour);
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
      } else if (!std::isinf(motor.limit_after.si)) {
        if (said.word == good.word) said = look;
        motors += fmt::format(" (its limit of {} after {})", shown(Measure::temperature, motor.limit.si),
                              shown(Measure::time, motor.limit_after.si));
      }
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
    text +=
        answer(enough ? good : look, "battery",
               fmt::format("{}: lasts {}{}, {:.0f} cycles{}; {}, then {}{} under load; a day of {:.0f} takes "
                           "{:.1f} batteries{}",
                           cycle.name, shown(Measure::time, duty.run_time.si), of(RangeOf::run_time), duty.cycles,
                           of(RangeOf::cycles), duty.end_reason, volts_text(duty.end_voltage), of(RangeOf::end_voltage),
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

std::string desk_text(const Robot& robot, const DeskReport& report, Colour colour) {
  return glance_text(robot, report, colour) + margins_text(robot, report, colour);
}

}  // namespace ringout::cli
