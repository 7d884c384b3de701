#include "cold/sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cold/steps.h"

namespace ringout::cold {
namespace {

using robot::Robot;

void add_words(const Robot& robot, Sheet& sheet) {
  sheet.cautions = {
      "Battery out and put away; disconnect open until the sheet closes it. Never an ohmmeter on a live circuit: it "
      "lies, and it breaks.",
      "Wait a minute for capacitors to discharge; measure volts across the rails first and go on below 0.1 V.",
      "Block or lower what can fall; springs and pressure released before hands go in.",
      "Meter in ohms, its leads in the ohms sockets, tips pressed on bare metal; hands off both tips.",
      "Local rules, the venue's rules and licensed practice come first; no figure here replaces them."};
  sheet.assumptions = {
      "readings by a two-lead handheld meter of 1 % and 0.2 ohm (from memory; your meter's sheet rules); its leads "
      "are deducted where meter.leads was read",
      "windings 10 % off where neither their stall current nor their resistance states a tolerance (common practice, "
      "from memory); else as far as it says",
      "copper from 0 to 45 °C, stranded wire up to 5 % over solid, contacts up to three times their figure",
      "a still motor reads what its brushes happen to touch: the lower quartile of several readings counts",
      "no wire joins the supply to the frame on purpose; where one does, take it off first"};
  sheet.power_cautions = {
      "Only when every step with power off is good. Wheels off the floor, hands and sleeves away, outputs inhibited.",
      fmt::format("A bench supply at the battery's voltage, limited to {:.1f} A; without one, the battery with one "
                  "branch at a time.",
                  std::max(0.5, 2.0 * most_at_rest(robot))),
      "Disconnect within reach. Open it at once on smoke, smell, warmth, a sound, or a current above the limit."};
}

}  // namespace

Sheet cold_sheet(const robot::Robot& robot) {
  Sheet sheet;
  add_words(robot, sheet);
  sheet.steps = ordered(robot, dead_steps(robot));
  sheet.power = power_steps(robot);
  return sheet;
}

const Step* find(const Sheet& sheet, const std::string& id) {
  for (const auto* steps : {&sheet.steps, &sheet.power}) {
    for (const Step& s : *steps) {
      if (s.id == id) return &s;
    }
  }
  return nullptr;
}

std::string ohms_text(double ohms) {
  if (std::isinf(ohms)) return "open";
  if (ohms >= 1e6) return fmt::format("{:.3g} Mohm", ohms / 1e6);
  if (ohms >= 1e3) return fmt::format("{:.3g} kohm", ohms / 1e3);
  return fmt::format("{:.{}f} ohm", ohms, ohms < 10.0 ? 2 : ohms < 100.0 ? 1 : 0);
}

std::string amperes_text(double amperes) {
  return amperes < 0.995 ? fmt::format("{:.0f} mA", amperes * 1e3) : fmt::format("{:.2f} A", amperes);
}

std::string expected_text(const Step& step) {
  if (step.kind == StepKind::first_power) return amperes_text(step.low) + " to " + amperes_text(step.high);
  if (std::isinf(step.high)) return "over " + ohms_text(step.low) + ", or open";
  if (step.low <= 0.0) return "up to " + ohms_text(step.high);
  return fmt::format("{:.2f} to {}", step.low, ohms_text(step.high));
}

}  // namespace ringout::cold
