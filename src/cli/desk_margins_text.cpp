#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/desk_text.h"
#include "cli/desk_words.h"

namespace ringout::cli {
namespace {

using desk::CaseReport;
using desk::DeskReport;
using desk::RangeOf;
using robot::Robot;

// What opens first; where nothing does, the protection that is loaded most, for its rating.
std::string first_or_nearest(const Robot& robot, const CaseReport& c) {
  if (c.first_to_open) return robot.protections[*c.first_to_open].name + " opens";
  const auto most = std::max_element(c.protections.begin(), c.protections.end(),
                                     [](const auto& a, const auto& b) { return a.multiple < b.multiple; });
  if (most == c.protections.end()) return "no protection";
  const auto index = static_cast<std::size_t>(most - c.protections.begin());
  return fmt::format("{} {:.0f} %", robot.protections[index].name, 100.0 * most->multiple);
}

// Under a case's line: where its figures may lie, and when its first protection opens.
std::string case_ranges_text(const DeskReport& report, std::size_t index) {
  const CaseReport& c = report.cases[index];
  const auto between = [&](RangeOf what) {
    const desk::FigureRange* range = report.range(what, index);
    return range == nullptr ? std::string() : between_text(range->unit, range->interval.low, range->interval.high);
  };
  std::string line = fmt::format("  {:>33}{:>17}", between(RangeOf::case_controller), between(RangeOf::case_battery));
  if (c.first_to_open) {
    const desk::FigureRange* multiple = report.range(RangeOf::case_multiple, index, *c.first_to_open);
    const desk::TripInterval& trip = c.protections[*c.first_to_open].trip;
    line += "  " + trip_text(multiple != nullptr && multiple->opens ? *multiple->opens : trip);
  }
  const std::size_t end = line.find_last_not_of(' ');
  return end == std::string::npos ? "" : line.substr(0, end + 1) + "\n";
}

std::string cases_text(const Robot& robot, const DeskReport& report, Colour colour) {
  std::string text = heading("load cases, worst first: the bar is full where the controller browns out", colour);
  text += fmt::format("  {:<23}{:>10} {:<8}{:>8}  {}\n", "", "controller", "", "battery", "opens, or share of rating");
  for (const std::size_t i : report.by_severity) {
    const CaseReport& c = report.cases[i];
    if (c.unsolved) {
      text += fmt::format("  {:<22} {}\n", c.name, wrapped(c.unsolved->message, text_columns - 25, 25));
      continue;
    }
    const double used = (c.open_circuit - c.controller) / (c.open_circuit - robot.board.brown_out);
    text += fmt::format("  {:<23}{:>10} {:<8}{:>8}  {}\n", c.name, volts_text(c.controller), bar_of(used, 6),
                        amperes_text(c.battery_current), first_or_nearest(robot, c));
    text += case_ranges_text(report, i);
  }
  return text;
}

struct Loaded {
  std::string what;
  std::string in_case;
  Current current;
  Current limit;
  const desk::FigureRange* range;
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
  for (std::size_t n = 0; n < report.cases.size(); ++n) {
    const CaseReport& c = report.cases[n];
    if (c.unsolved) continue;
    const auto add = [&](const std::string& what, Current current, std::optional<Current> limit, RangeOf kind,
                         std::size_t part) {
      const Current size{std::abs(current.si)};
      if (limit && limit->si > 0.0) keep_worst(all, {what, c.name, size, *limit, report.range(kind, n, part)});
    };
    for (std::size_t i = 0; i < c.wires.size(); ++i)
      add(report.wires[i].name, c.wires[i].current, report.wires[i].limit, RangeOf::wire_share, i);
    for (std::size_t i = 0; i < c.banks.size(); ++i) {
      const desk::Share& share = c.banks[i].share;
      if (share.current.si > 0.0) add("bank " + c.banks[i].bank, share.current, share.limit, RangeOf::bank_share, i);
    }
    for (const auto& o : c.outputs) {
      const auto& output = robot.outputs[o.output];
      add("port " + output.port, o.port.current, o.port.limit, RangeOf::port_share, o.output);
      add(output.name + " connector", o.connector.current, o.connector.limit, RangeOf::connector_share, o.output);
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const Loaded& a, const Loaded& b) { return a.ratio() > b.ratio(); });
  return all;
}

std::string parts_text(const Robot& robot, const DeskReport& report, Colour colour) {
  constexpr std::size_t most = 10;
  const auto all = loaded_parts(robot, report);
  std::string text =
      heading("wires, ports, banks, connectors: share of what each may carry for ever (at most)", colour);
  for (std::size_t i = 0; i < std::min(most, all.size()); ++i) {
    const Loaded& part = all[i];
    std::string line = fmt::format("  {:<24} {} {:>3.0f}{} % of {}", part.what, bar_of(part.ratio(), 4),
                                   100.0 * part.ratio(), most_percent(part.range), amperes_text(part.limit));
    line = padded(line, 58);
    if (line.size() + part.in_case.size() > 80) line += "\n" + std::string(58, ' ');
    text += line + part.in_case + "\n";
  }
  if (all.size() > most) text += fmt::format("  and {} more, all below\n", all.size() - most);
  return text;
}

// What opens, over the whole of its current's interval; what need not open by the figures as they stand may still do so
// within the tolerances.
std::string stall_trip_text(const Robot& robot, const DeskReport& report, const desk::BranchStall& stall) {
  const auto opens = [&](std::size_t p) {
    const desk::FigureRange* multiple = report.range(RangeOf::stall_multiple, stall.output, p);
    return multiple != nullptr ? multiple->opens : std::nullopt;
  };
  if (stall.first_to_open) {
    return robot.protections[*stall.first_to_open].name + " opens " +
           trip_text(opens(*stall.first_to_open).value_or(stall.trip));
  }
  for (std::size_t p = 0; p < robot.protections.size(); ++p) {
    const auto within = opens(p);
    if (!within || std::isinf(within->earliest.si)) continue;
    return "within the tolerances " + robot.protections[p].name + " may open " + trip_text(*within);
  }
  return "no protection opens";
}

// Until the winding is at its limit: from cold, and from where the hottest duty cycle leaves it.
std::string stall_heat_text(const DeskReport& report, const desk::BranchStall& stall) {
  if (!stall.winding_limit_after) return "";
  const auto finite = [](const std::optional<Time>& t) { return t && std::isfinite(t->si); };
  const std::string warm =
      finite(stall.warm_limit_after) ? shown(Measure::time, stall.warm_limit_after->si) + " from warm" : "";
  if (!finite(stall.winding_limit_after)) {
    return warm.empty() ? "; the winding stays below its limit" : "; winding at its limit after " + warm;
  }
  return fmt::format(
      "; winding at its limit after {}{}",
      ranged_text(Measure::time, stall.winding_limit_after->si, report.range(RangeOf::stall_limit_after, stall.output)),
      warm.empty() ? "" : ", and " + warm);
}

std::string stalls_text(const Robot& robot, const DeskReport& report, Colour colour) {
  if (report.branch_stalls.empty()) return "";
  std::string text = heading("one motor held still at full level, cold: its most current; the others off", colour);
  for (const auto& stall : report.branch_stalls) {
    const std::string& name = robot.outputs[stall.output].name;
    const auto range = [&](RangeOf what) { return range_text(report.range(what, stall.output)); };
    std::string told = fmt::format("motor {}{}{}; ", amperes_text(stall.current), range(RangeOf::stall_current),
                                   stall.limited ? " (held by the driver's limit)" : "");
    if (amperes_text(stall.supply_current) != amperes_text(stall.current)) {
      told += fmt::format("supply {}{}; ", amperes_text(stall.supply_current), range(RangeOf::stall_supply));
    }
    told += stall_trip_text(robot, report, stall) + stall_heat_text(report, stall);
    text += fmt::format("  {:<17} {}\n", name, wrapped(told, text_columns - 20, 20));
  }
  return text + (report.duties.empty() ? "" : "  from warm: as the duty cycle that settles hottest leaves it\n");
}

// Beside the table's line only what decides: the other figures' ranges are in --json.
std::string motor_ranges_text(const DeskReport& report, const desk::MotorCurve& motor) {
  std::string text;
  const auto add = [&](const char* what, RangeOf kind) {
    const desk::FigureRange* range = report.range(kind, motor.output);
    if (range_text(range).empty()) return;
    text += (text.empty() ? "" : ", ") + std::string(what) +
            between_text(range->unit, range->interval.low, range->interval.high);
  };
  add("", RangeOf::motor_speed);
  add("", RangeOf::motor_current);
  add("hot ", RangeOf::motor_stall_hot);
  return text;
}

std::string motors_text(const Robot& robot, const DeskReport& report, Colour colour) {
  if (report.motors.empty()) return "";
  std::string text = heading("motors at their own load and highest level, alone on a battery as stated", colour);
  const auto row = [](const auto&... cells) {
    return fmt::format("  {:<13} {:>9} {:>7} {:>7} {:>9} {:>9} {:>7} {:>8}\n", cells...);
  };
  text += row("", "speed", "current", "stalled", "torque", "hot", "power", "63 % in");
  for (const auto& motor : report.motors) {
    const bool starts = motor.starting.si > 0.0;
    const auto hot = motor.stall_torque_hot;
    text += row(robot.outputs[motor.output].name, shown(Measure::angular_speed, motor.output_speed.si),
                amperes_text(motor.operating_current), amperes_text(motor.stall_current),
                shown(Measure::torque, motor.stall_torque.si), hot ? shown(Measure::torque, hot->si) : "",
                shown(Measure::power, motor.most_power.si),
                starts ? shown(Measure::time, motor.to_63_percent.si) : "never");
    const auto under = [&](const std::string& told) {
      if (!told.empty()) text += "  " + std::string(14, ' ') + wrapped(told, text_columns - 16, 16) + "\n";
    };
    under(motor_ranges_text(report, motor));
    if (!starts) under("it does NOT start against its load");
    if (motor.constant_disagreement > 0.1) {
      under(fmt::format("its row contradicts itself by {}", shown(Measure::fraction, motor.constant_disagreement)));
    }
  }
  return text +
         "  torque: at the motor, held still, cold; hot: with its winding at its limit\n"
         "  63 % in: of its speed, from rest; all within the driver's limit\n";
}

// From the earliest that the tolerances allow to the latest.
desk::TripInterval profile_opens(const DeskReport& report, const desk::DutyFigures& duty,
                                 const desk::ProfileFigures& p) {
  desk::TripInterval opens = p.opens;
  const auto* earliest = report.range(RangeOf::profile_earliest, duty.cycle, p.protection);
  const auto* latest = report.range(RangeOf::profile_latest, duty.cycle, p.protection);
  if (earliest != nullptr) opens.earliest = {earliest->interval.low};
  if (latest != nullptr) opens.latest = {latest->interval.high};
  return opens;
}

std::string duty_heat_text(const Robot& robot, const DeskReport& report, const desk::DutyFigures& duty) {
  std::string text;
  const auto range = [&](RangeOf what, std::size_t part) { return range_text(report.range(what, duty.cycle, part)); };
  for (const auto& motor : duty.motors) {
    if (!motor.stated) continue;
    const double share = (motor.after_cycles.si - robot.ambient.si) / (motor.limit.si - robot.ambient.si);
    const std::string told =
        fmt::format("{} {}{} after {} cycles, {}{} settled, limit {}", bar_of(share, 6),
                    shown(Measure::temperature, motor.after_cycles.si), range(RangeOf::heat_after_cycles, motor.output),
                    duty.cycles_shown, shown(Measure::temperature, motor.settled.si),
                    range(RangeOf::heat_settled, motor.output), shown(Measure::temperature, motor.limit.si));
    text += fmt::format("  {:<17} {}\n", robot.outputs[motor.output].name, wrapped(told, text_columns - 20, 29));
    const desk::FigureRange* allowed = report.range(RangeOf::heat_allowed, duty.cycle, motor.output);
    const double least =
        allowed != nullptr ? std::min(allowed->interval.low, motor.allowed_share) : motor.allowed_share;
    if (least < 1.0) {
      const std::string worst =
          least < motor.allowed_share ? " (at worst " + shown(Measure::fraction, least) + ")" : "";
      text += std::string(29, ' ') +
              wrapped(fmt::format("{}{} of the time may be this cycle, the rest standstill",
                                  shown(Measure::fraction, motor.allowed_share), worst),
                      text_columns - 29, 29) +
              "\n";
    }
  }
  for (const auto& p : duty.protections) {
    if (p.early_peak < 0.5) continue;
    const desk::FigureRange* peak = report.range(RangeOf::profile_peak, duty.cycle, p.protection);
    const double most = peak != nullptr ? peak->interval.high : p.early_peak;
    text += fmt::format("  {:<17} {:<12} {}\n", robot.protections[p.protection].name, bar_of(p.early_peak),
                        p.early_peak >= 1.0
                            ? "repeated so, opens " + trip_text(profile_opens(report, duty, p))
                            : fmt::format("{:.0f} %{} of its heat at opening, earliest specimen", 100.0 * p.early_peak,
                                          most > p.early_peak ? fmt::format(" (to {:.0f} %)", 100.0 * most) : ""));
  }
  return text;
}

std::string duties_text(const Robot& robot, const DeskReport& report, Colour colour) {
  std::string text;
  for (const auto& duty : report.duties) {
    if (duty.unsolved) continue;
    const auto& cycle = robot.duty_cycles[duty.cycle];
    text += heading(fmt::format("duty cycle {}: {} long", cycle.name, shown(Measure::time, duty.length.si)), colour);
    const auto range = [&](RangeOf what) { return range_text(report.range(what, duty.cycle)); };
    const auto ranged = [&](Measure measure, double si, RangeOf what) {
      return ranged_text(measure, si, report.range(what, duty.cycle));
    };
    const auto line = [&](const char* what, const std::string& told) {
      text += fmt::format("  {:<18}{}\n", what, wrapped(told, text_columns - 20, 20));
    };
    line("current", fmt::format("mean {}{}, effective {}{}, controller at least {}{}", amperes_text(duty.mean_current),
                                range(RangeOf::mean_current), amperes_text(duty.effective_current),
                                range(RangeOf::effective_current), volts_text(duty.lowest_controller),
                                range(RangeOf::lowest_controller)));
    line("energy",
         fmt::format("{} a cycle; a day {} and {}", ranged(Measure::energy, duty.energy.si, RangeOf::cycle_energy),
                     ranged(Measure::energy, duty.energy_per_day.si, RangeOf::day_energy),
                     ranged(Measure::charge, duty.charge_per_day.si, RangeOf::day_charge)));
    text += duty_heat_text(robot, report, duty);
  }
  return text;
}

}  // namespace

std::string margins_text(const Robot& robot, const DeskReport& report, Colour colour) {
  return cases_text(robot, report, colour) + parts_text(robot, report, colour) + stalls_text(robot, report, colour) +
         motors_text(robot, report, colour) + duties_text(robot, report, colour) + drivers_text(robot, report, colour);
}

}  // namespace ringout::cli
