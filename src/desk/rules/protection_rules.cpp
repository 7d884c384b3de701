// The supply: protections against wires, loads and each other; the battery.
#include <algorithm>
#include <cmath>
#include <map>

#include "desk/rules/judge.h"
#include "desk/wire_limit.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;

constexpr double unprotected_metres = 1.0;

void larger_than(Judge& j, const std::string& guard, const robot::Wire& wire, Span place, const std::string& what) {
  const robot::Protection* protection = j.protection(guard);
  if (protection == nullptr) return;
  const auto* device = j.spec<robot::ProtectionDevice>(protection->device);
  const auto limit = wire_limit(wire, j.hottest).current;
  if (device == nullptr || wire.cross_section.si <= 0.0 || wire.length.si <= 0.0) return;
  if (!limit) {
    j.find(place, fmt::format("{} is thinner than any wire whose current a table tells, and {} lets {:g} A pass", what,
                              guard, device->rating.si));
    return;
  }
  if (device->rating <= *limit) return;
  j.find(place, fmt::format("{} carries {:.1f} A for ever, and {} lets {:g} A pass", what, limit->si, guard,
                            device->rating.si));
}

// A lead to a protection is guarded against overload by that one at its far end; against a short circuit of its own
// only by what lies before it. Short leads are told by guarded_at_far_end.
void larger_than_wire(Judge& j) {
  for (const auto& p : j.robot.protections) {
    const bool first = p.fed_from == "battery";
    const bool short_lead = p.wire.length.si <= unprotected_metres;
    if (first) larger_than(j, p.name, j.robot.battery.wire, j.robot.battery.at.of("wire"), "the battery's wire");
    if (!first && !short_lead) larger_than(j, p.fed_from, p.wire, p.at.of("wire"), "the wire of " + p.name);
    if (first || short_lead) larger_than(j, p.name, p.wire, p.at.of("wire"), "the wire of " + p.name);
  }
  larger_than(j, j.robot.board_fed_by, j.robot.board_wire, j.robot.board_at.of("wire"), "the board's wire");
  for (const auto& o : j.robot.outputs) {
    if (!o.fed_by.empty()) larger_than(j, o.fed_by, o.wire, o.at.of("wire"), "the wire of " + o.name);
  }
}

void guarded_at_far_end(Judge& j) {
  for (const auto& p : j.robot.protections) {
    if (p.fed_from == "battery" || p.wire.length.si > unprotected_metres) continue;
    larger_than(j, p.fed_from, p.wire, p.at.of("wire"),
                fmt::format("the {:.2f} m of wire to {}", p.wire.length.si, p.name));
  }
}

void unprotected_long(Judge& j) {
  for (const auto& p : j.robot.protections) {
    if (p.fed_from != "battery") continue;
    const Length bare = j.robot.battery.wire.length + p.wire.length;
    if (bare.si <= unprotected_metres) continue;
    j.find(p.at.of("wire"), fmt::format("{:.2f} m of wire lie between the battery and {}", bare.si, p.name));
  }
}

void branch_missing(Judge& j) {
  for (const auto& o : j.robot.outputs) {
    if (o.fed_by.empty() || !j.feeds_others(o.fed_by)) continue;
    j.find(o.at.of("fed_by"), fmt::format("{} hangs on {}, which feeds other branches, without a protection of its own",
                                          o.name, o.fed_by));
  }
}

void shared(Judge& j) {
  std::map<std::string_view, std::vector<std::string_view>> fed;
  for (const auto& o : j.robot.outputs) fed[o.fed_by].push_back(o.name);
  for (const auto& p : j.robot.protections) {
    const auto& names = fed[p.name];
    if (j.feeds_others(p.name) || names.size() < 2) continue;
    j.find(p.at.of("name"), fmt::format("{} feeds {}", p.name, fmt::join(names, ", ")));
  }
}

void board_shares(Judge& j) {
  for (const auto& o : j.robot.outputs) {
    if (o.fed_by.empty() || o.fed_by != j.robot.board_fed_by) continue;
    j.find(o.at.of("fed_by"), fmt::format("{} and the controller hang on {}", o.name, o.fed_by));
    return;
  }
}

void upstream_smaller(Judge& j) {
  for (const auto& p : j.robot.protections) {
    const robot::Protection* up = j.protection(p.fed_from);
    if (up == nullptr) continue;
    const auto* lower = j.spec<robot::ProtectionDevice>(p.device);
    const auto* upper = j.spec<robot::ProtectionDevice>(up->device);
    if (lower == nullptr || upper == nullptr || upper->rating > lower->rating) continue;
    j.find(p.at.of("device"), fmt::format("{} ({:g} A) is not larger than {} behind it ({:g} A)", up->name,
                                          upper->rating.si, p.name, lower->rating.si));
  }
}

void voltage(Judge& j) {
  for (const auto& p : j.robot.protections) {
    const robot::Device& device = *j.device(p.device);
    const Voltage full = j.battery().open_circuit_full;
    if (!device.voltage_max || full <= *device.voltage_max) continue;
    j.find(p.at.of("device"), fmt::format("{} is for {:g} V at most, and the charged battery has {:g} V", p.device,
                                          device.voltage_max->si, full.si));
  }
}

enum class Opening { certain, possible };

void opens(Judge& j, Opening which) {
  const bool must = which == Opening::certain;
  for (std::size_t p = 0; p < j.robot.protections.size(); ++p) {
    const auto multiple = [&](const CaseReport& c) {
      return c.protections.size() > p ? c.protections[p].multiple : 0.0;
    };
    const CaseReport* worst = j.worst_case(While::lasting, multiple);
    if (worst == nullptr || worst->protections.size() <= p) continue;
    const TripInterval& trip = worst->protections[p].trip;
    const bool certain = std::isfinite(trip.latest.si);
    const bool possible = std::isfinite(trip.earliest.si) && !certain && multiple(*worst) > 1.0;
    if (must ? !certain : !possible) continue;
    const robot::Protection& protection = j.robot.protections[p];
    const std::string when = must ? fmt::format("opens after {:.3g} s at the latest", trip.latest.si)
                             : trip.earliest.si > 0.0 ? fmt::format("may open after {:.3g} s", trip.earliest.si)
                                                      : std::string("may open at any moment");
    j.find(protection.at.of("device"), fmt::format("{} carries {:.0f} % of its rating in \"{}\": it {}",
                                                   protection.name, multiple(*worst) * 100.0, worst->name, when));
  }
}

void opens_in_cycle(Judge& j, Opening which) {
  const bool must = which == Opening::certain;
  for (const DutyFigures& duty : j.report.duties) {
    if (duty.unsolved) continue;
    for (const ProfileFigures& p : duty.protections) {
      const bool certain = p.late_peak >= 1.0;
      if (must ? !certain : certain || p.early_peak < 1.0) continue;
      const robot::Protection& protection = j.robot.protections[p.protection];
      j.find(protection.at.of("device"),
             fmt::format("repeating \"{}\" heats {} to {:.0f} % of where {} specimen of it opens",
                         j.robot.duty_cycles[duty.cycle].name, protection.name,
                         (must ? p.late_peak : p.early_peak) * 100.0, must ? "even a late" : "an early"));
    }
  }
}

void no_limits(Judge& j) {
  for (const auto& p : j.robot.protections) {
    const auto* device = j.spec<robot::ProtectionDevice>(p.device);
    const bool told = device == nullptr || !device->limits.empty() ||
                      (device->kind == robot::ProtectionKind::resettable && device->max_trip_at);
    if (!told) j.find(p.at.of("device"), fmt::format("the catalogue has no time limits for {}", p.device));
  }
}

void resets_by_itself(Judge& j) {
  for (const auto& o : j.robot.outputs) {
    const robot::Protection* p = j.protection(o.fed_by);
    const auto* device = p == nullptr ? nullptr : j.spec<robot::ProtectionDevice>(p->device);
    if (device == nullptr || device->kind != robot::ProtectionKind::resettable || !o.mechanism) continue;
    j.find(o.at.of("fed_by"),
           fmt::format("{} hangs on {}, which closes again as soon as it has cooled", o.name, p->name));
  }
}

void over_discharge(Judge& j) {
  const auto most = j.battery().max_discharge;
  const CaseReport* worst = j.worst_case(While::any, [](const CaseReport& c) { return c.battery_current.si; });
  if (!most || worst == nullptr || worst->battery_current <= *most) return;
  j.find(j.robot.battery.at.of("device"), fmt::format("\"{}\" takes {:.0f} A from the battery, which gives {:.0f} A",
                                                      worst->name, worst->battery_current.si, most->si));
}

void under_cutoff(Judge& j) {
  const auto cutoff = j.battery().cutoff;
  const CaseReport* worst = j.worst_case(While::any, [](const CaseReport& c) { return -c.battery_terminals.si; });
  if (!cutoff || worst == nullptr || worst->battery_terminals >= *cutoff) return;
  j.find(j.robot.battery.at.of("device"),
         fmt::format("in \"{}\" the battery falls to {:.1f} V, below its cutoff of {:.1f} V", worst->name,
                     worst->battery_terminals.si, cutoff->si));
}

void low_charge(Judge& j) {
  if (!j.robot.battery.state_of_charge || *j.robot.battery.state_of_charge >= 0.5) return;
  j.find(j.robot.battery.at.of("state_of_charge"),
         fmt::format("the battery is drawn at {:.0f} % of its charge", *j.robot.battery.state_of_charge * 100.0));
}

void day_too_long(Judge& j) {
  for (const DutyFigures& duty : j.report.duties) {
    if (duty.unsolved || duty.batteries_per_day <= 1.0) continue;
    const robot::DutyCycle& cycle = j.robot.duty_cycles[duty.cycle];
    j.find(
        cycle.at.of("repeats_per_day"),
        std::isinf(duty.batteries_per_day)
            ? fmt::format("the battery as drawn has nothing to give to \"{}\"", cycle.name)
            : fmt::format("a day of \"{}\" takes {:.1f} charges of the battery", cycle.name, duty.batteries_per_day));
  }
}

constexpr Rule protection_rules[] = {
    {"protection.larger-than-wire", error, wiring, "a protection larger than the wire it guards",
     "The wire burns before the protection opens.", "Take a thicker wire or a smaller protection.", Home::desk,
     larger_than_wire,
     "wires: FAA AC 43.13-1B table 11-9, p. 11-23 (bundled), MIL-W-5088B as reprinted by a load maker (free air), both "
     "read; leads up to 1 m to the next protection by the one at their far end: common practice"},
    {"protection.guards-far-end-only", note, wiring, "a short lead that only the protection at its far end suits",
     "A short circuit in the lead itself must not happen: nothing that suits it would open.",
     "Keep it short, apart and well covered, or make it thicker.", Home::desk, guarded_at_far_end,
     "1 m: common practice"},
    {"protection.far-from-battery", warning, wiring, "more than 1 m of wire before the first protection",
     "Nothing opens when that piece is chafed through.", "Put the first protection beside the battery.", Home::desk,
     unprotected_long, "1 m: common practice"},
    {"protection.branch-missing", warning, wiring, "an output without a protection of its branch",
     "A fault in it takes the supply from everything.", "Give the branch a fuse of its own.", Home::desk,
     branch_missing},
    {"protection.shared", note, wiring, "several outputs on one protection",
     "A fault in one stops the others, and its size must suit the sum of them.",
     "Know it, or give each a protection of its own.", Home::desk, shared},
    {"protection.shared-with-controller", warning, wiring, "an output on the controller's protection",
     "A fault of the output leaves the robot without a controller.", "Feed the controller by itself.", Home::desk,
     board_shares},
    {"protection.upstream-not-larger", warning, wiring, "a protection that is not larger than one behind it",
     "A fault in one branch then opens the other one first, and takes all branches.",
     "The nearer to the battery, the larger.", Home::desk, upstream_smaller},
    {"protection.voltage-too-high", error, wiring, "a protection for less voltage than the battery has",
     "It may not put the arc out when it opens.", "Take one for this voltage.", Home::desk, voltage},
    {"protection.opens-in-use", error, wiring, "a protection that opens in ordinary use",
     "The robot stops in the middle of its work.",
     "Lighten the load, divide the branch, or size wire and protection anew.", Home::desk,
     [](Judge& j) { opens(j, Opening::certain); },
     "the part's own limits; without them those of its kind: blade fuses read second hand, breakers from memory"},
    {"protection.may-open-in-use", warning, wiring, "a protection that may open in ordinary use",
     "Some specimens carry it and some do not.",
     "Lighten the load, divide the branch, or size wire and protection anew.", Home::desk,
     [](Judge& j) { opens(j, Opening::possible); },
     "the part's own limits; without them those of its kind: blade fuses read second hand, breakers from memory"},
    {"protection.opens-in-cycle", error, wiring, "a protection that a repeated duty cycle opens",
     "Pulses that it bears one by one heat it up together.", "Give it pauses, or size wire and protection anew.",
     Home::desk, [](Judge& j) { opens_in_cycle(j, Opening::certain); },
     "the part's own limits; without them those of its kind: blade fuses read second hand, breakers from memory"},
    {"protection.may-open-in-cycle", warning, wiring, "a protection that a repeated duty cycle may open",
     "An early specimen does not cool down between the pulses.", "Give it pauses, or size wire and protection anew.",
     Home::desk, [](Judge& j) { opens_in_cycle(j, Opening::possible); },
     "the part's own limits; without them those of its kind: blade fuses read second hand, breakers from memory"},
    {"protection.no-limits", note, wiring, "a protection whose times nobody stated",
     "Its times are then of its kind in general, not its maker's.", "Copy the limits from the data sheet.", Home::desk,
     no_limits},
    {"protection.resets-by-itself", warning, wiring, "a motor on a protection that closes by itself",
     "The mechanism starts again while somebody looks for the fault.", "Use a fuse or a breaker for what moves.",
     Home::desk, resets_by_itself},
    {"battery.over-discharge", error, wiring, "more current than the battery gives",
     "It is damaged, or its voltage breaks down.", "Limit the current, or take a larger battery.", Home::desk,
     over_discharge},
    {"battery.under-cutoff", warning, wiring, "a battery below its cutoff in a load case",
     "So low it loses life each time.", "Charge earlier, limit the current, or take a larger battery.", Home::desk,
     under_cutoff},
    {"battery.half-empty", note, wiring, "a battery drawn less than half charged",
     "All figures are then those of a tired robot.", "Charge it as its maker says, or correct state_of_charge.",
     Home::desk, low_charge, "half: common practice"},
    {"battery.day-too-long", note, wiring, "a day's work that one charge does not do",
     "Somebody must change or charge the battery in between.", "Plan the change, or take a larger battery.", Home::desk,
     day_too_long},
};

}  // namespace

void add_protection_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(protection_rules), std::end(protection_rules));
}

}  // namespace ringout::desk
