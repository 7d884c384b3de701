// Wires and connectors: thickness, length, insulation, terminals.
#include <algorithm>
#include <cmath>

#include "desk/rules/judge.h"
#include "desk/wire_limit.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;

constexpr double most_drop = 0.03;          // of the open-circuit voltage in one wire, both leads
constexpr double long_analogue_metres = 3;  // beyond, an unshielded analogue lead picks up the motors
constexpr double unstated_share = 0.5;      // of its limit: from here the insulation should be known

struct LastingCurrent {
  std::size_t wire = 0;
  Current current;
  double drop_share = 0.0;
  const CaseReport* in = nullptr;
};

// Each wire with its largest current in the cases that last.
std::vector<LastingCurrent> lasting_currents(const Judge& j) {
  const DeskReport& report = j.report;
  std::vector<LastingCurrent> out;
  for (std::size_t w = 0; w < report.wires.size(); ++w) {
    const auto size = [&](const CaseReport& c) { return c.wires.size() > w ? std::abs(c.wires[w].current.si) : 0.0; };
    const CaseReport* worst = j.worst_case(While::lasting, size);
    if (worst == nullptr || worst->wires.size() <= w) continue;
    out.push_back({w, amperes(size(*worst)), std::abs(worst->wires[w].drop_share), worst});
  }
  return out;
}

void too_thin(Judge& j) {
  for (const LastingCurrent& l : lasting_currents(j)) {
    const WireLabel& wire = j.report.wires[l.wire];
    if (!wire.limit || l.current <= *wire.limit) continue;
    j.find(wire.place, fmt::format("{} carries {:.1f} A in \"{}\", and {:.1f} A is what it carries for ever", wire.name,
                                   l.current.si, l.in->name, wire.limit->si));
  }
}

void too_long(Judge& j) {
  for (const LastingCurrent& l : lasting_currents(j)) {
    const WireLabel& wire = j.report.wires[l.wire];
    if (l.drop_share <= most_drop) continue;
    j.find(wire.place, fmt::format("{} loses {:.1f} % of the battery's voltage in \"{}\" ({:.1f} A)", wire.name,
                                   l.drop_share * 100.0, l.in->name, l.current.si));
  }
}

// The report's wires stand in one order: the battery's, the protections', the board's, the outputs'.
const robot::Wire& drawn_wire(const robot::Robot& r, std::size_t wire) {
  const std::size_t protections = r.protections.size();
  if (wire == 0) return r.battery.wire;
  if (wire <= protections) return r.protections[wire - 1].wire;
  return wire == protections + 1 ? r.board_wire : r.outputs[wire - protections - 2].wire;
}

void insulation_unknown(Judge& j) {
  for (const LastingCurrent& l : lasting_currents(j)) {
    const WireLabel& wire = j.report.wires[l.wire];
    if (drawn_wire(j.robot, l.wire).insulation || !wire.limit || l.current.si < unstated_share * wire.limit->si)
      continue;
    j.find(wire.place, fmt::format("{} carries {:.1f} A, and its insulation is not stated: taken for 70 °C", wire.name,
                                   l.current.si));
  }
}

struct Lead {
  const robot::Wire* wire;
  const robot::Places* at;
  std::string what;
  std::string connector;
};

std::vector<Lead> leads_of(const robot::Robot& r) {
  std::vector<Lead> out{{&r.battery.wire, &r.battery.at, "the battery's wire", ""},
                        {&r.board_wire, &r.board_at, "the board's wire", ""}};
  for (const auto& p : r.protections) out.push_back({&p.wire, &p.at, "the wire of " + p.name, ""});
  for (const auto& o : r.outputs) out.push_back({&o.wire, &o.at, "the wire of " + o.name, o.connector});
  for (const auto& i : r.inputs) out.push_back({&i.wire, &i.at, "the wire of " + i.name, i.connector});
  return out;
}

void too_hot(Judge& j) {
  for (const Lead& lead : leads_of(j.robot)) {
    if (!lead.wire->insulation || *lead.wire->insulation > j.robot.ambient) continue;
    j.find(lead.at->of("wire"), fmt::format("{} bears {:.0f} °C, and it is {:.0f} °C around it", lead.what,
                                            lead.wire->insulation->si - 273.15, j.robot.ambient.si - 273.15));
  }
}

void no_length(Judge& j) {
  for (const Lead& lead : leads_of(j.robot)) {
    const bool drawn = lead.wire->cross_section.si > 0;
    if (drawn && lead.wire->length.si <= 0) {
      j.find(lead.at->of("wire"), fmt::format("{} has no length, so it has no resistance either", lead.what));
    }
  }
}

void analogue_long(Judge& j) {
  for (const robot::Input& i : j.robot.inputs) {
    if (i.kind != robot::PointKind::analogue || i.wire.length.si <= long_analogue_metres) continue;
    j.find(i.at.of("wire"), fmt::format("the analogue lead of {} is {:.1f} m long", i.name, i.wire.length.si));
  }
}

void terminal(Judge& j) {
  for (const Lead& lead : leads_of(j.robot)) {
    const auto* connector = j.spec<robot::ConnectorDevice>(lead.connector);
    if (connector == nullptr || lead.wire->cross_section.si <= 0) continue;
    constexpr double slack = 1.001;
    const Area size = lead.wire->cross_section;
    const bool thick = connector->wire_largest && size > *connector->wire_largest * slack;
    const bool thin = connector->wire_smallest && size * slack < *connector->wire_smallest;
    if (!thick && !thin) continue;
    j.find(lead.at->of("connector"), fmt::format("{} ({:.2f} mm2) is too {} for the terminals of {}", lead.what,
                                                 size.si * 1e6, thick ? "thick" : "thin", lead.connector));
  }
}

void connector_over(Judge& j, While which) {
  const bool held = which == While::held;
  for (std::size_t o = 0; o < j.robot.outputs.size(); ++o) {
    const auto ratio = [&](const CaseReport& c) {
      const OutputFigures* f = j.figures(c, o);
      return f == nullptr ? 0.0 : f->connector.ratio();
    };
    const CaseReport* last = j.worst_case(While::lasting, ratio);
    const bool lasts = last != nullptr && ratio(*last) > 1.0;
    const CaseReport* worst = held ? j.worst_case(While::held, ratio) : last;
    if (worst == nullptr || ratio(*worst) <= 1.0 || (held && lasts)) continue;
    const robot::Output& output = j.robot.outputs[o];
    j.find(output.at.of("connector"), fmt::format("{} of {} carries {:.0f} % of its rating in \"{}\"", output.connector,
                                                  output.name, ratio(*worst) * 100.0, worst->name));
  }
}

constexpr Rule wire_rules[] = {
    {"wire.too-thin", error, wiring, "a wire that gets too hot in ordinary use",
     "It carries more for longer than its insulation bears.", "Take a thicker wire, or one with better insulation.",
     Home::desk, too_thin,
     "FAA AC 43.13-1B table 11-9, p. 11-23 (bundled), MIL-W-5088B as reprinted by a load maker (free air), both read"},
    {"wire.too-long", warning, wiring, "a wire that loses more than 3 % of the voltage in ordinary use",
     "What is lost in the wire is missing at the motor, and the wire is warm for nothing.",
     "Shorten it, or take a thicker one.", Home::desk, too_long,
     "3 %: common practice; aircraft practice is 0.5 V of 14 V (FAA AC 43.13-1B, from memory)"},
    {"wire.insulation-unknown", note, wiring, "a wire well loaded, with insulation that nobody stated",
     "What it bears is then taken from the poorest ordinary kind.",
     "Write insulation = \"105 degC\", as printed on it.", Home::desk, insulation_unknown,
     "half of what it carries: our choice; 70 °C: ordinary PVC, from memory"},
    {"wire.insulation-below-ambient", error, wiring, "insulation that does not bear its surroundings",
     "It softens without any current.", "Take a wire for this temperature.", Home::desk, too_hot},
    {"wire.no-length", warning, wiring, "a wire without length", "Drop and short-circuit current come out wrong.",
     "Measure it, one way.", Home::desk, no_length},
    {"wire.analogue-long", note, wiring, "an analogue lead over 3 m",
     "It picks up what the motors and their chopped current send out.",
     "Shield it, keep it from the motor leads, or put the sensor nearer.", Home::desk, analogue_long,
     "3 m: common practice, also that of interference standards (from memory)"},
    {"connector.wire-does-not-fit", warning, wiring, "a wire that the connector's terminals do not take",
     "A thin wire slips out of the crimp, a thick one does not go in.",
     "Take a wire or a connector of the other's size.", Home::desk, terminal},
    {"connector.over-rating", error, wiring, "a connector over its rating in ordinary use",
     "Its contacts get hot, and hot contacts get worse.", "Take a larger connector.", Home::desk,
     [](Judge& j) { connector_over(j, While::lasting); }},
    {"connector.over-rating-stalled", note, wiring, "a connector over its rating while a motor is held still",
     "It bears that for a short time only.", "Know it, or take a larger connector.", Home::desk,
     [](Judge& j) { connector_over(j, While::held); }},
};

}  // namespace

void add_wire_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(wire_rules), std::end(wire_rules));
}

}  // namespace ringout::desk
