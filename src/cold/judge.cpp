#include "cold/judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cold/switches.h"
#include "physics/resistance_readings.h"

namespace ringout::cold {
namespace {

constexpr double short_below = 0.35;
constexpr std::size_t fewest_of_scattered = 3;

bool fits(const Step& step, double value) {
  return value >= step.low && value <= step.high;
}

// Open now and then: a lead that breaks when it is moved, or a brush that does not touch.
bool open_at_times(const Reading& reading) {
  const auto is_open = [](double value) { return value >= open_from; };
  const auto open = std::count_if(reading.values.begin(), reading.values.end(), is_open);
  return open > 0 && static_cast<std::size_t>(open) < reading.values.size();
}

// Leads deducted. Of brushes the lower quartile of the readings that are not open (open_at_times tells those); else the
// first that does not fit, which no good one beside it makes good.
double value_of(const Step& step, const Reading& reading, double leads) {
  std::vector<double> values;
  std::vector<Resistance> finite;
  for (const double value : reading.values) {
    values.push_back(std::max(0.0, value - leads));
    if (std::isfinite(value)) finite.push_back(ohms(values.back()));
  }
  if (step.readings > 1) return finite.empty() ? open_circuit : physics::summary_of(finite).lower_quartile.si;
  const auto wrong = std::find_if(values.begin(), values.end(), [&](double value) { return !fits(step, value); });
  return wrong == values.end() ? values.front() : *wrong;
}

Verdict plain_verdict(const Step& step, double value) {
  if (fits(step, value)) return Verdict::good;
  if (value > step.high)
    return value >= open_from && step.kind != StepKind::first_power ? Verdict::open : Verdict::too_high;
  const bool must_separate = std::isinf(step.high);
  const bool is_short = value < short_below || (must_separate && value < 2.0);
  return is_short && step.kind != StepKind::first_power ? Verdict::shorted : Verdict::too_low;
}

std::string meaning_when_open(const Step& step) {
  switch (step.kind) {
    case StepKind::output_loop:
      return fmt::format(
          "a lead of {0} is broken, a plug is not home, or the device is open inside. Read {0}.plus and "
          "{0}.minus: the one that is open is the broken lead.",
          step.subject);
    case StepKind::output_conductor:
      return fmt::format("this lead of {} is broken, or its crimp does not touch: pull gently at both ends.",
                         step.subject);
    case StepKind::sensor_conductor:
      return fmt::format(
          "this lead of {} is broken, its crimp does not touch, or it sits in another's hole of the plug.",
          step.subject);
    case StepKind::feed:
      if (step.id.ends_with(".minus")) return "no way back to the battery from here: the return lead is off or broken.";
      return fmt::format("no current reaches this point: {} blown, open or not home, or the wire before it is off.",
                         step.subject);
    default:
      return "no continuity where there should be some.";
  }
}

std::string meaning(const Step& step, Verdict verdict) {
  if (step.kind == StepKind::switch_rest || step.kind == StepKind::switch_worked)
    return meaning_of_switch(step, verdict);
  if (verdict == Verdict::open) return meaning_when_open(step);
  if (step.kind == StepKind::first_power) {
    return verdict == Verdict::too_high ? "more than this branch takes at rest: open the disconnect, find what is warm."
                                        : "less than it takes at rest: the branch does not get its supply.";
  }
  if (step.kind == StepKind::rail_short && verdict != Verdict::good) {
    return "the rails are shorted together: do not connect the battery. Pull the branch protections one after the "
           "other; the branch with which the short goes away has it.";
  }
  if (step.kind == StepKind::frame_short) {
    return "a rail touches the frame: look for a pinched cable, a bare terminal, a motor with its brush on its case.";
  }
  if (step.kind == StepKind::feed_crossed) return "+ reaches the controller's return: its supply leads are exchanged.";
  if (verdict == Verdict::shorted && step.kind == StepKind::sensor_supply) {
    return fmt::format(
        "supply and return of {} are shorted: under power it would pull down the supply of the controller and of all "
        "sensors.",
        step.subject);
  }
  if (verdict == Verdict::shorted) return "shorted: pinched cable, strands across the plug, or a burnt winding.";
  if (verdict == Verdict::too_low)
    return "less than the device can have: another device on these leads, or part of it shorted.";
  return "too high: a bad crimp, a loose screw or a dirty contact; press and move it and see the reading change.";
}

Judgement* of(std::vector<Judgement>& all, const std::string& id) {
  for (Judgement& j : all) {
    if (j.step->id == id) return &j;
  }
  return nullptr;
}

// A lead of `name` that reads open from its own port.
Judgement* open_lead(std::vector<Judgement>& all, const std::string& name) {
  for (const char* lead : {".plus", ".minus"}) {
    Judgement* j = of(all, name + lead);
    if (j != nullptr && j->verdict == Verdict::open) return j;
  }
  return nullptr;
}

void tell_exchange(std::vector<Judgement>& all, Judgement& here, const Judgement& there) {
  here.verdict = Verdict::exchanged;
  here.other = there.step->subject;
  here.explanation = fmt::format(
      "reads like {1}, and {1}'s plug reads like {0}: their leads are exchanged. Exchange the plugs, or the two "
      "ports in the robot file.",
      here.step->subject, there.step->subject);
  for (const char* lead : {".plus", ".minus"}) {
    Judgement* j = of(all, here.step->subject + lead);
    if (j == nullptr || j->verdict != Verdict::open) continue;
    j->verdict = Verdict::exchanged;
    j->other = here.other;
    j->explanation = fmt::format("open from its own port: {}'s leads end at {}'s.", here.step->subject, here.other);
  }
}

// Two loops that fit each other's place. It is an exchange where neither fits its own, or where a lead reads open from
// its own port although its loop is closed; else one reading alone cannot tell it from a fault in the device.
void look_for_exchange(std::vector<Judgement>& all, const Readings& readings) {
  for (Judgement& a : all) {
    const bool loop = a.step->kind == StepKind::output_loop;
    if (!loop || (a.verdict != Verdict::too_low && a.verdict != Verdict::too_high)) continue;
    for (Judgement& b : all) {
      if (&a == &b || b.step->kind != StepKind::output_loop || readings.count(b.step->id) == 0) continue;
      if (!fits(*b.step, a.judged) || !fits(*a.step, b.judged)) continue;
      const bool wrong = b.verdict == Verdict::too_low || b.verdict == Verdict::too_high;
      if ((!wrong && b.verdict != Verdict::good) || !b.other.empty()) continue;
      const bool open = open_lead(all, a.step->subject) != nullptr || open_lead(all, b.step->subject) != nullptr;
      if (!wrong && !open) {
        a.explanation += fmt::format(" Or its leads are exchanged with {}'s: read {}.plus, which is then open.",
                                     b.step->subject, a.step->subject);
        continue;
      }
      tell_exchange(all, a, b);
      tell_exchange(all, b, a);
      break;
    }
  }
}

// Both leads read high by the device between them: each ends at the other's terminal.
void look_for_reversed(std::vector<Judgement>& all) {
  for (Judgement& loop : all) {
    if (loop.step->kind != StepKind::output_loop) continue;
    const std::string& name = loop.step->subject;
    Judgement* plus = of(all, name + ".plus");
    Judgement* minus = of(all, name + ".minus");
    if (plus == nullptr || minus == nullptr) continue;
    if (plus->verdict != Verdict::too_high || minus->verdict != Verdict::too_high) continue;
    if (!fits(*loop.step, plus->judged) || !fits(*loop.step, minus->judged)) continue;
    for (Judgement* j : {plus, minus}) {
      j->verdict = Verdict::reversed;
      j->explanation = fmt::format(
          "both leads of {} read through the device: + and - are exchanged at one end. Turn "
          "them, or write reversed in the robot file if it is meant.",
          name);
    }
  }
  Judgement* crossed = of(all, "board.crossed");
  Judgement* plus = of(all, "board.plus");
  if (crossed == nullptr || plus == nullptr) return;
  if (is_fault(crossed->verdict) && is_fault(plus->verdict)) {
    crossed->verdict = plus->verdict = Verdict::reversed;
    crossed->explanation = plus->explanation =
        "the controller's supply leads are exchanged: power would destroy it. Turn them before anything else.";
  }
}

// Two leads of one sensor that are both open: a plug whose terminals sit in each other's holes.
void look_for_exchanged_leads(std::vector<Judgement>& all) {
  std::map<std::string, std::vector<Judgement*>> open;
  for (Judgement& j : all) {
    if (j.step->kind == StepKind::sensor_conductor && j.verdict == Verdict::open) open[j.step->subject].push_back(&j);
  }
  for (auto& [name, leads] : open) {
    if (leads.size() != 2) continue;
    for (std::size_t i = 0; i < 2; ++i) {
      leads[i]->explanation += fmt::format(
          " So is {0}: read from here to {0}'s end; if that is closed, the two are exchanged.", leads[1 - i]->step->id);
    }
    if (leads[0]->step->id == name + ".plus" && leads[1]->step->id == name + ".minus") {
      leads[0]->explanation += fmt::format(" Exchanged so, power would destroy {}.", name);
    }
  }
}

Judgement judge_one(const Step& step, const Readings& readings, double leads) {
  Judgement out{&step, Verdict::not_read, 0.0, "", ""};
  const auto found = readings.find(step.id);
  if (found == readings.end() || found->second.values.empty()) return out;
  const bool bare = step.kind == StepKind::meter_leads || step.kind == StepKind::first_power;
  out.judged = value_of(step, found->second, bare ? 0.0 : leads);
  if (step.readings > 1 && found->second.values.size() < fewest_of_scattered && std::isfinite(out.judged)) {
    out.verdict = Verdict::more_readings;
    out.explanation = fmt::format("one reading of brushes tells little: at least {}, the shaft turned between them.",
                                  fewest_of_scattered);
    return out;
  }
  const bool must_close = std::isfinite(step.high) && step.kind != StepKind::first_power;
  if (must_close && open_at_times(found->second)) {
    out.verdict = Verdict::open;
    out.explanation =
        step.readings > 1
            ? fmt::format(
                  "open in some positions and not in others: a plug or lead of {} that opens when it is moved, or a "
                  "brush that does not touch. Read it again with the shaft still and the lead pulled gently.",
                  step.subject)
            : "open in one reading and not in another: a plug, crimp or lead on this way opens when it is moved. Read "
              "it again, each end pulled gently.";
    return out;
  }
  out.verdict = plain_verdict(step, out.judged);
  if (out.verdict != Verdict::good) out.explanation = meaning(step, out.verdict);
  return out;
}

}  // namespace

const char* name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::not_read:
      return "not read";
    case Verdict::good:
      return "good";
    case Verdict::open:
      return "open";
    case Verdict::shorted:
      return "short";
    case Verdict::too_low:
      return "too low";
    case Verdict::too_high:
      return "too high";
    case Verdict::exchanged:
      return "exchanged";
    case Verdict::reversed:
      return "reversed";
    case Verdict::inverted:
      return "inverted";
    case Verdict::more_readings:
      return "read again";
  }
  return "";
}

bool is_fault(Verdict verdict) {
  return verdict != Verdict::not_read && verdict != Verdict::good && verdict != Verdict::more_readings;
}

std::vector<Judgement> judged(const Sheet& sheet, const Readings& readings) {
  double leads = 0.0;
  const auto own = readings.find("meter.leads");
  const Step* leads_step = find(sheet, "meter.leads");
  if (own != readings.end() && leads_step != nullptr && !own->second.values.empty() &&
      fits(*leads_step, own->second.values.front())) {
    leads = own->second.values.front();
  }
  std::vector<Judgement> all;
  for (const auto* steps : {&sheet.steps, &sheet.power}) {
    for (const Step& step : *steps) all.push_back(judge_one(step, readings, leads));
  }
  look_for_exchange(all, readings);
  judge_switches(all, readings);
  look_for_exchanged_leads(all);
  look_for_reversed(all);
  return all;
}

}  // namespace ringout::cold
