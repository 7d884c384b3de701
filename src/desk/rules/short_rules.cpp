// Short circuits: what a battery drives through a wire, what the protection before it breaks, and what the wire bears
// meanwhile.
#include <algorithm>
#include <cmath>

#include "desk/device_models.h"
#include "desk/rules/judge.h"
#include "physics/short_circuit.h"
#include "physics/wire.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;

constexpr double short_lead_metres = 1.0;
constexpr Temperature insulation_unstated = celsius(70);

// A wire with the protection before it.
struct GuardedWire {
  const robot::Protection* guard;
  const robot::Wire* wire;
  Span place;
  std::string what;
  Resistance contacts;  // at its far end
};

std::vector<GuardedWire> guarded_wires(const Judge& j) {
  std::vector<GuardedWire> out;
  const auto add = [&](const std::string& guard, const robot::Wire& wire, Span place, const std::string& what,
                       Resistance contacts) {
    const robot::Protection* before = j.protection(guard);
    const bool drawn = wire.cross_section.si > 0.0 && wire.length.si > 0.0;
    if (before != nullptr && drawn) out.push_back({before, &wire, place, what, contacts});
  };
  for (const auto& p : j.robot.protections) {
    if (p.wire.length.si > short_lead_metres) add(p.fed_from, p.wire, p.at.of("wire"), "the wire of " + p.name, {});
  }
  add(j.robot.board_fed_by, j.robot.board_wire, j.robot.board_at.of("wire"), "the board's wire", {});
  for (const auto& o : j.robot.outputs) {
    const auto* connector = j.spec<robot::ConnectorDevice>(o.connector);
    add(o.fed_by, o.wire, o.at.of("wire"), "the wire of " + o.name,
        connector == nullptr ? Resistance{} : 2.0 * connector->contact);
  }
  return out;
}

// With the copper as warm as its insulation bears.
Resistance warm_loop(const robot::Wire& wire) {
  const Temperature warm = std::min(wire.insulation.value_or(insulation_unstated), celsius(200));
  return wire.loop() * physics::copper_resistance_factor(warm);
}

enum class Wires { cold, warm };

// From the battery's poles to behind the protection.
Resistance up_to(const Judge& j, const robot::Protection& p, Wires wires) {
  const bool warm = wires == Wires::warm;
  const auto loop = [&](const robot::Wire& wire) { return warm ? warm_loop(wire) : wire.loop(); };
  Resistance sum = loop(j.robot.battery.wire);
  std::size_t left = j.robot.protections.size();  // a circle of feeds ends too
  for (const robot::Protection* one = &p; one != nullptr && left > 0; one = j.protection(one->fed_from), --left) {
    const auto* device = j.spec<robot::ProtectionDevice>(one->device);
    sum = sum + loop(one->wire) + (warm ? device->r1_max : device->r_min).value_or(device->cold);
  }
  return sum;
}

// What a dead short right behind the protection draws from a charged battery.
Current short_behind(const Judge& j, const robot::Protection& p) {
  return j.battery().open_circuit_full / (j.battery().internal + up_to(j, p, Wires::cold));
}

// The battery as weak as in any load case, the tool's own included, and as cold.
struct WeakBattery {
  Voltage open;
  Resistance internal;
  Temperature coldest;
};
WeakBattery weak_battery(const Judge& j) {
  double charge = j.robot.battery.state_of_charge.value_or(1.0);
  Temperature coldest = j.robot.ambient;
  for (const CaseReport& c : j.report.cases) {
    charge = std::min(charge, c.state_of_charge);
    coldest = std::min(coldest, c.ambient);
  }
  const BatteryModel model = battery_model(j.battery());
  return {model.open_at(charge), model.internal_at(charge, coldest), coldest};
}

// For each guarded wire whose guard has limits: what a short circuit anywhere along it draws.
template <class Told>
void for_each_short(Judge& j, const Told& told) {
  const WeakBattery weak = weak_battery(j);
  for (const GuardedWire& g : guarded_wires(j)) {
    const auto* device = j.spec<robot::ProtectionDevice>(g.guard->device);
    if (device == nullptr || device->rating.si <= 0.0) continue;
    const Resistance far = weak.internal + up_to(j, *g.guard, Wires::warm) + warm_loop(*g.wire) + g.contacts;
    const Current most = short_behind(j, *g.guard);
    const physics::Prospective drawn{std::min(weak.open / far, most), most};
    if (!(drawn.least.si > 0.0) || std::isinf(most.si)) continue;
    told(g, *device, protection_model(*device, weak.coldest), drawn);
  }
}

void burns_wire(Judge& j) {
  for_each_short(j, [&](const GuardedWire& g, const robot::ProtectionDevice& device, const ProtectionModel& model,
                        const physics::Prospective& drawn) {
    const auto heating = physics::short_heating(g.wire->insulation.value_or(insulation_unstated));
    if (!heating || model.time_to_open(drawn.least).latest > physics::longest_short) return;
    const bool breaker = device.kind == robot::ProtectionKind::breaker;
    const auto through =
        physics::most_let_through(model.limits, model.rating, drawn, breaker ? physics::breaker_mechanism : seconds(0));
    const auto bears = physics::short_withstand(g.wire->cross_section, *heating);
    if (through <= bears) return;
    j.find(g.place, fmt::format("a short circuit in {} draws {:.0f} A to {:.0f} A: {} lets up to {:.0f} A²s through "
                                "before it has opened, and the wire bears {:.0f} A²s",
                                g.what, drawn.least.si, drawn.most.si, g.guard->name, through.si, bears.si));
  });
}

void not_cleared(Judge& j) {
  for_each_short(j, [&](const GuardedWire& g, const robot::ProtectionDevice&, const ProtectionModel& model,
                        const physics::Prospective& drawn) {
    const Time latest = model.time_to_open(drawn.least).latest;
    if (latest <= physics::longest_short) return;
    j.find(g.place, fmt::format("a short circuit at the far end of {} draws {:.0f} A: {} {}", g.what, drawn.least.si,
                                g.guard->name,
                                std::isinf(latest.si) ? std::string("need not open at all")
                                                      : fmt::format("may take {:.0f} s to open", latest.si)));
  });
}

void interrupting(Judge& j) {
  for (const auto& p : j.robot.protections) {
    const auto* device = j.spec<robot::ProtectionDevice>(p.device);
    if (device == nullptr || !device->interrupting) continue;
    const Current most = short_behind(j, p);
    if (most <= *device->interrupting) continue;
    j.find(p.at.of("device"), fmt::format("a short behind {} draws {:.0f} A, and it breaks {:.0f} A", p.name, most.si,
                                          device->interrupting->si));
  }
}

constexpr Rule short_rules[] = {
    {"protection.cannot-break-short", error, wiring, "a short-circuit current that the protection cannot break",
     "It arcs, bursts or welds instead of opening.", "Take one that breaks more, or put one that does before it.",
     Home::desk, interrupting},
    {"wire.burns-in-short", error, wiring, "a wire that a short circuit overheats before its protection has opened",
     "Its insulation melts, and what lies beside it is shorted or lit.",
     "Take a thicker wire, or a protection that lets less through.", Home::desk, burns_wire,
     "I²t of the protection's latest limit against k²·S² of IEC 60364-4-43 and 60364-5-54 (k from memory), the wire "
     "warm before; insulation of unstated kind counts as thermoplastic, unstated at all as PVC at 70 °C; leads up to "
     "1 m to the next protection are left out: common practice; at more than a published point's current, and above "
     "the last one, a heated element lets no more I²t through than at that point (ours; arcing is left out)"},
    {"wire.short-not-cleared", warning, wiring, "a short circuit that the protection need not clear within 5 s",
     "So little current looks like a load, and the fault goes on heating.",
     "Take a thicker or shorter wire, or a smaller protection.", Home::desk, not_cleared,
     "5 s: IEC 60364-4-43 (from memory); at the far end of the wire, the battery as weak and cold as in any load case, "
     "the copper warm"},
};

}  // namespace

void add_short_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(short_rules), std::end(short_rules));
}

}  // namespace ringout::desk
