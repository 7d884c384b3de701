#include "cold/switches.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace ringout::cold {
namespace {

// Ohms; far above any dirty contact that still conducts, far below any that is open (our choice).
constexpr double closed_below = 100.0;

enum class Contact { open, closed };

struct Switch {
  Judgement* rest = nullptr;
  Judgement* worked = nullptr;
  Contact drawn_rest = Contact::open;
  Contact at_rest = Contact::open;
  Contact when_worked = Contact::open;
};

// Nothing where it was not read, or where its readings do not agree.
std::optional<Contact> contact_of(const Judgement& judgement, const Readings& readings) {
  const auto found = readings.find(judgement.step->id);
  if (found == readings.end() || found->second.values.empty()) return std::nullopt;
  const std::vector<double>& values = found->second.values;
  if (std::all_of(values.begin(), values.end(), [](double ohms) { return ohms >= open_from; })) return Contact::open;
  if (std::all_of(values.begin(), values.end(), [](double ohms) { return ohms < closed_below; }))
    return Contact::closed;
  return std::nullopt;
}

// Those of which both readings tell something.
std::vector<Switch> switches_of(std::vector<Judgement>& all, const Readings& readings) {
  std::vector<Switch> out;
  for (Judgement& rest : all) {
    if (rest.step->kind != StepKind::switch_rest) continue;
    const auto worked = std::find_if(all.begin(), all.end(), [&](const Judgement& j) {
      return j.step->kind == StepKind::switch_worked && j.step->subject == rest.step->subject;
    });
    if (worked == all.end()) continue;
    const auto at_rest = contact_of(rest, readings);
    const auto when_worked = contact_of(*worked, readings);
    const Contact drawn = std::isfinite(rest.step->high) ? Contact::closed : Contact::open;
    if (at_rest && when_worked) out.push_back({&rest, &*worked, drawn, *at_rest, *when_worked});
  }
  return out;
}

bool stays(const Switch& s) {
  return s.at_rest == s.when_worked;
}

void tell_inverted(Switch& s) {
  const bool closes = s.drawn_rest == Contact::open;
  for (Judgement* j : {s.rest, s.worked}) {
    j->verdict = Verdict::inverted;
    j->explanation = fmt::format(
        "{0} at rest and {1} when worked: its other contact is wired. Move its lead to the normally {1} contact, or "
        "draw a switch that is normally {0}.",
        closes ? "closed" : "open", closes ? "open" : "closed");
  }
}

void tell_stays(Switch& s) {
  for (Judgement* j : {s.rest, s.worked}) {
    if (!is_fault(j->verdict)) continue;
    j->explanation =
        s.at_rest == Contact::closed
            ? "closed at rest and when worked: pinched cable, strands across the plug, a contact that sticks or is not "
              "reached, or this plug belongs to another switch."
            : "open at rest and when worked: a wire is off, the plug is not home, the contact is not reached, or this "
              "plug belongs to another switch.";
  }
}

void tell_exchanged(Switch& s, const Switch& with) {
  const std::string& other = with.worked->step->subject;
  for (Judgement* j : {s.rest, s.worked}) {
    if (!is_fault(j->verdict)) continue;
    j->other = other;
    j->explanation = fmt::format(
        "does not answer to its own hand, nor does {0}: most likely their plugs are exchanged. Work {0} and read this "
        "plug again.",
        other);
  }
}

}  // namespace

std::string meaning_of_switch(const Step& step, Verdict verdict) {
  const bool rest = step.kind == StepKind::switch_rest;
  switch (verdict) {
    case Verdict::open:
      return rest ? "a normally closed switch reads open at rest: wire off, or the other contact is wired."
                  : "the switch does not close: wire off, the other contact is wired, or this plug belongs to another "
                    "switch.";
    case Verdict::shorted:
      return rest ? "closed although nobody touches it: pinched cable, or the other contact."
                  : "the switch does not open: pinched cable, strands across the plug, the other contact is wired, or "
                    "this plug belongs to another switch.";
    case Verdict::too_low:
      return "less than an open contact: moisture or dirt in the switch, or a strand that nearly touches.";
    default:
      return "too high: a bad crimp, a loose screw or a dirty contact; press and move it and see the reading change.";
  }
}

void judge_switches(std::vector<Judgement>& all, const Readings& readings) {
  std::vector<Switch> silent;
  for (Switch& s : switches_of(all, readings)) {
    if (stays(s)) {
      tell_stays(s);
      silent.push_back(s);
    } else if (s.at_rest != s.drawn_rest) {
      tell_inverted(s);
    }
  }
  if (silent.size() != 2) return;
  Switch& a = silent[0];
  Switch& b = silent[1];
  // Nobody works the other switch, so each plug must show how that one rests.
  if (a.at_rest != b.drawn_rest || b.at_rest != a.drawn_rest) return;
  tell_exchanged(a, b);
  tell_exchanged(b, a);
}

}  // namespace ringout::cold
