#include "cli/desk_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/measure.h"

namespace ringout::cli {
namespace {

using desk::CaseReport;
using desk::DeskReport;
using robot::Robot;

constexpr std::size_t columns = 78;

std::string volts_text(Voltage u) {
  return fmt::format("{:.2f} V", u.si);
}
std::string amperes_text(Current i) {
  return fmt::format("{:.1f} A", i.si);
}

struct Said {
  Tone tone;
  const char* word;
};
constexpr Said good{Tone::good, "ok"};
constexpr Said look{Tone::attention, "look"};
constexpr Said wrong{Tone::bad, "WRONG"};

std::string answer(const Said& said, const char* question, const std::string& text, Colour colour) {
  const std::string head = "  " + padded(paint(said.word, said.tone, colour), 6) + padded(question, 12);
  return head + wrapped(text, columns - 20, 20) + "\n";
}

Said of_voltage(const CaseReport& c) {
  return c.above_brown_out.si < 0.0 ? wrong : c.above_supply_low.si < 0.0 ? look : good;
}

std::string voltage_answer(const Robot& robot, const CaseReport& c) {
  std::string text = fmt::format("{} at {:.0f} % charge: the controller gets {} of the battery's {}; ", c.name,
                                 100.0 * c.state_of_charge, volts_text(c.controller), volts_text(c.open_circuit));
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
      text += answer(of_voltage(*c), "brown-out", voltage_answer(robot, *c), colour);
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
      told = fmt::format("; nearest to it {} with {:.0f} % of its rating in {}", robot.protections[i].name,
                         100.0 * most, c.name);
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
      motors += fmt::format("{}{} {}", motors.empty() ? "" : ", ", robot.outputs[motor.output].name,
                            shown(Measure::temperature, motor.after_cycles.si));
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
    text += answer(enough ? good : look, "battery",
                   fmt::format("{}: lasts {}, {:.0f} cycles; {}, then {} under load; a day of {:.0f} takes {:.1f} "
                               "batteries",
                               cycle.name, shown(Measure::time, duty.run_time.si), duty.cycles, duty.end_reason,
                               volts_text(duty.end_voltage), cycle.repeats_per_day, duty.batteries_per_day),
                   colour);
  }
}

std::string heading(const std::string& text, Colour colour) {
  return "\n" + paint(text, Tone::strong, colour) + "\n";
}

std::string cases_text(const Robot& robot, const DeskReport& report, Colour colour) {
  std::string text = heading("load cases, worst first: the bar is full where the controller browns out", colour);
  text += fmt::format("  {:<23}{:>10}  {:<12}{:>8}  {}\n", "", "controller", "", "battery", "opens first");
  for (const std::size_t i : report.by_severity) {
    const CaseReport& c = report.cases[i];
    if (c.unsolved) {
      text += fmt::format("  {:<23}{}\n", c.name, wrapped(c.unsolved->message, columns - 25, 25));
      continue;
    }
    const double used = (c.open_circuit - c.controller) / (c.open_circuit - robot.board.brown_out);
    const std::string first = c.first_to_open ? robot.protections[*c.first_to_open].name : "none";
    text += fmt::format("  {:<23}{:>10}  {:<12}{:>8}  {}\n", c.name, volts_text(c.controller), bar_of(used),
                        amperes_text(c.battery_current), first);
    if (c.first_to_open) {
      text += fmt::format("  {:<23}{:>32}  {}\n", "", "", trip_text(c.protections[*c.first_to_open].trip));
    }
  }
  return text;
}

struct Loaded {
  std::string what;
  std::string in_case;
  Current current;
  Current limit;
  [[nodiscard]] double ratio() const { return current / limit; }
};

void keep_worst(std::vector<Loaded>& all, Loaded one) {
  for (Loaded& known : all) {
    if (known.what != one.what) continue;
    if (one.ratio() > known.ratio()) known = std::move(one);
    return;
  }
  all.push_back(std::move(one));
}

// Each wire, bank, port and connector once, in the case that loads it most; protections have their own table.
std::vector<Loaded> loaded_parts(const Robot& robot, const DeskReport& report) {
  std::vector<Loaded> all;
  const auto add = [&](const std::string& what, const CaseReport& c, Current current, std::optional<Current> limit) {
    const Current size{std::abs(current.si)};
    if (limit && limit->si > 0.0) keep_worst(all, {what, c.name, size, *limit});
  };
  for (const CaseReport& c : report.cases) {
    if (c.unsolved) continue;
    for (std::size_t i = 0; i < c.wires.size(); ++i)
      add(report.wires[i].name, c, c.wires[i].current, report.wires[i].limit);
    for (const auto& bank : c.banks) add("bank " + bank.bank, c, bank.share.current, bank.share.limit);
    for (const auto& o : c.outputs) {
      const auto& output = robot.outputs[o.output];
      add("port " + output.port, c, o.port.current, o.port.limit);
      add(output.name + " connector", c, o.connector.current, o.connector.limit);
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const Loaded& a, const Loaded& b) { return a.ratio() > b.ratio(); });
  return all;
}

std::string parts_text(const Robot& robot, const DeskReport& report, Colour colour) {
  constexpr std::size_t most = 10;
  const auto all = loaded_parts(robot, report);
  std::string text = heading("wires, ports, banks, connectors: share of what each may carry for ever", colour);
  for (std::size_t i = 0; i < std::min(most, all.size()); ++i) {
    const Loaded& part = all[i];
    std::string line = fmt::format("  {:<30}{} {:>3.0f} % of {}", part.what, bar_of(part.ratio(), 6),
                                   100.0 * part.ratio(), amperes_text(part.limit));
    line = padded(line, 57);
    if (line.size() + part.in_case.size() > 80) line += "\n" + std::string(57, ' ');
    text += line + part.in_case + "\n";
  }
  if (all.size() > most) text += fmt::format("  and {} more, all below\n", all.size() - most);
  return text;
}

std::string stalls_text(const Robot& robot, const DeskReport& report, Colour colour) {
  if (report.branch_stalls.empty()) return "";
  std::string text = heading("one motor held still at full level, the others off", colour);
  for (const auto& stall : report.branch_stalls) {
    const std::string& name = robot.outputs[stall.output].name;
    std::string told =
        fmt::format("motor {}{}, supply {}; ", amperes_text(stall.current),
                    stall.limited ? " (held by the driver's limit)" : "", amperes_text(stall.supply_current));
    told += stall.first_to_open ? robot.protections[*stall.first_to_open].name + " opens " + trip_text(stall.trip)
                                : std::string("no protection opens");
    if (stall.winding_limit_after) {
      told += std::isinf(stall.winding_limit_after->si)
                  ? std::string("; the winding stays below its limit")
                  : fmt::format("; winding at its limit after {}", shown(Measure::time, stall.winding_limit_after->si));
    }
    text += fmt::format("  {:<18}{}\n", name, wrapped(told, columns - 20, 20));
  }
  return text;
}

std::string motors_text(const Robot& robot, const DeskReport& report, Colour colour) {
  if (report.motors.empty()) return "";
  std::string text = heading("motors at their own load and highest level, alone on a battery as stated", colour);
  for (const auto& motor : report.motors) {
    const auto& output = robot.outputs[motor.output];
    const double gear = output.mechanism ? output.mechanism->gear_ratio : 1.0;
    std::string told = fmt::format("{} at the output, {} of {} stalled; greatest power {} at the motor",
                                   shown(Measure::angular_speed, motor.operating_speed.si / gear),
                                   amperes_text(motor.operating_current), amperes_text(motor.stall_current),
                                   shown(Measure::power, motor.most_power.si));
    if (motor.constant_disagreement > 0.1) {
      told += fmt::format("; its row contradicts itself by {}", shown(Measure::fraction, motor.constant_disagreement));
    }
    text += fmt::format("  {:<18}{}\n", output.name, wrapped(told, columns - 20, 20));
  }
  return text;
}

std::string duty_heat_text(const Robot& robot, const desk::DutyFigures& duty) {
  std::string text;
  for (const auto& motor : duty.motors) {
    if (!motor.stated) continue;
    const double share = (motor.after_cycles.si - robot.ambient.si) / (motor.limit.si - robot.ambient.si);
    text += fmt::format("  {:<18}{} {} after {} cycles, {} settled, limit {}\n", robot.outputs[motor.output].name,
                        bar_of(share, 6), shown(Measure::temperature, motor.after_cycles.si), duty.cycles_shown,
                        shown(Measure::temperature, motor.settled.si), shown(Measure::temperature, motor.limit.si));
    if (motor.allowed_share < 1.0) {
      text += fmt::format("  {:<31}{} of the time may be this cycle, the rest standstill\n", "",
                          shown(Measure::fraction, motor.allowed_share));
    }
  }
  for (const auto& p : duty.protections) {
    if (p.early_peak < 0.5) continue;
    text += fmt::format("  {:<18}{:<12} {}\n", robot.protections[p.protection].name, bar_of(p.early_peak),
                        p.early_peak >= 1.0 ? "repeated so, opens " + trip_text(p.opens)
                                            : std::string("of its heat at opening, earliest specimen"));
  }
  return text;
}

std::string duties_text(const Robot& robot, const DeskReport& report, Colour colour) {
  std::string text;
  for (const auto& duty : report.duties) {
    if (duty.unsolved) continue;
    const auto& cycle = robot.duty_cycles[duty.cycle];
    text += heading(fmt::format("duty cycle {}: {} long", cycle.name, shown(Measure::time, duty.length.si)), colour);
    text += fmt::format("  {:<18}mean {}, effective {}, controller at least {}\n", "current",
                        amperes_text(duty.mean_current), amperes_text(duty.effective_current),
                        volts_text(duty.lowest_controller));
    text += fmt::format("  {:<18}{} a cycle; a day {} and {}\n", "energy", shown(Measure::energy, duty.energy.si),
                        shown(Measure::energy, duty.energy_per_day.si), shown(Measure::charge, duty.charge_per_day.si));
    text += duty_heat_text(robot, duty);
  }
  return text;
}

std::string value_text(desk::SpreadUnit unit, double low, double high) {
  switch (unit) {
    case desk::SpreadUnit::volt:
      return shown_between(Measure::voltage, low, high);
    case desk::SpreadUnit::ampere:
      return shown_between(Measure::current, low, high);
    case desk::SpreadUnit::second:
      return shown_between(Measure::time, low, high);
    case desk::SpreadUnit::radian_per_second:
      return shown_between(Measure::angular_speed, low, high);
  }
  return "";
}

std::string spread_text(const Robot& robot, const DeskReport& report, Colour colour) {
  if (!report.spread) return "";
  const desk::Spread& spread = *report.spread;
  std::string text = heading(fmt::format("within the tolerances: {} ({} draws, 95 % of them)",
                                         report.cases[spread.of_case].name, spread.draws),
                             colour);
  for (const auto& figure : spread.figures) {
    std::string because;
    for (const auto& driver : figure.drivers) {
      if (driver.share < 0.05) continue;
      because += fmt::format("{}{} {:.0f} %", because.empty() ? "driven by " : ", ",
                             robot.tolerances[driver.tolerance].path, 100.0 * driver.share);
    }
    text +=
        fmt::format("  {:<28}{}\n", figure.name, value_text(figure.unit, figure.interval.low, figure.interval.high));
    if (!because.empty()) text += "      " + wrapped(because, columns - 8, 8) + "\n";
  }
  text += fmt::format("  {:.1f} % of the draws brown out, {:.1f} % fall below the level where outputs go off\n",
                      100.0 * spread.brown_outs, 100.0 * spread.lows);
  return text;
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

std::string margins_text(const Robot& robot, const DeskReport& report, Colour colour) {
  return cases_text(robot, report, colour) + parts_text(robot, report, colour) + stalls_text(robot, report, colour) +
         motors_text(robot, report, colour) + duties_text(robot, report, colour) + spread_text(robot, report, colour);
}

std::string desk_text(const Robot& robot, const DeskReport& report, Colour colour) {
  return glance_text(robot, report, colour) + margins_text(robot, report, colour);
}

}  // namespace ringout::cli
