// Load cases and duty cycles as they are written.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "desk/rules/judge.h"

namespace ringout::desk {

namespace {

using enum Severity;
using enum robot::Discipline;
using std::numbers::pi;

template <class Each>
void each_load(const robot::Robot& r, const Each& each) {
  for (const robot::LoadCase& c : r.load_cases) {
    for (const robot::OutputLoad& l : c.loads) each(c.name, l);
  }
  for (const robot::DutyCycle& c : r.duty_cycles) {
    for (const robot::DutyStep& s : c.steps) {
      for (const robot::OutputLoad& l : s.loads) each(c.name, l);
    }
  }
}

void unsolved(Judge& j) {
  for (const CaseReport& c : j.report.cases) {
    if (c.unsolved) j.find(c.place, fmt::format("\"{}\" has no solution: {}", c.name, c.unsolved->message));
  }
  for (const DutyFigures& d : j.report.duties) {
    const robot::DutyCycle& cycle = j.robot.duty_cycles[d.cycle];
    if (d.unsolved)
      j.find(cycle.at.of("name"), fmt::format("\"{}\" has no solution: {}", cycle.name, d.unsolved->message));
  }
}

void over_level(Judge& j) {
  each_load(j.robot, [&](const std::string& name, const robot::OutputLoad& l) {
    const robot::Output* o = j.output(l.output);
    const bool counts = l.loading == robot::Loading::running || l.loading == robot::Loading::stalled;
    const bool stated = std::abs(l.level) < 1.0;  // full level, where left out, is cut to the output's own
    if (o == nullptr || !counts || !stated || std::abs(l.level) <= o->max_level + 1e-9) return;
    j.find(l.at, fmt::format("\"{}\" drives {} at {:.0f} %, and {:.0f} % is its largest level", name, l.output,
                             std::abs(l.level) * 100.0, o->max_level * 100.0));
  });
}

void stalled_in_cycle(Judge& j) {
  for (const robot::DutyCycle& c : j.robot.duty_cycles) {
    for (const robot::DutyStep& s : c.steps) {
      for (const robot::OutputLoad& l : s.loads) {
        if (l.loading != robot::Loading::stalled || s.duration <= seconds(5)) continue;
        j.find(l.at, fmt::format("\"{}\" holds {} still for {:.0f} s in each cycle", c.name, l.output, s.duration.si));
      }
    }
  }
}

void longer_than_day(Judge& j) {
  for (const robot::DutyCycle& c : j.robot.duty_cycles) {
    double length = 0.0;
    for (const robot::DutyStep& s : c.steps) length += s.duration.si;
    const double hours = length * c.repeats_per_day / 3600.0;
    if (hours <= 24.0) continue;
    j.find(c.at.of("repeats_per_day"),
           fmt::format("{:g} repeats of \"{}\" take {:.1f} hours", c.repeats_per_day, c.name, hours));
  }
}

// One output's way through a cycle, its travel known.
struct CycleWay {
  const robot::DutyCycle& cycle;
  const robot::Output& output;
  std::vector<double> of_step;  // signed
  double travel;

  [[nodiscard]] std::string told(double way) const {
    return output.mechanism->travel_is_length ? fmt::format("{:.0f} mm", std::abs(way) * 1e3)
                                              : fmt::format("{:.0f} degrees", std::abs(way) * 180.0 / pi);
  }
  // Of the output in that step.
  [[nodiscard]] Span place(std::size_t step) const {
    for (const robot::OutputLoad& l : cycle.steps[step].loads) {
      if (l.output == output.name) return l.at;
    }
    return cycle.at.of("name");
  }
};

template <class Each>
void each_way(Judge& j, const Each& each) {
  for (const DutyFigures& d : j.report.duties) {
    for (std::size_t o = 0; !d.unsolved && o < j.robot.outputs.size(); ++o) {
      const robot::Output& output = j.robot.outputs[o];
      if (!output.mechanism || !output.mechanism->travel) continue;
      const robot::Travel& travel = *output.mechanism->travel;
      CycleWay way{j.robot.duty_cycles[d.cycle], output, {}, travel.high - travel.low};
      for (const std::vector<double>& step : d.ways) way.of_step.push_back(step[o]);
      each(way);
    }
  }
}

constexpr double rounding = 0.01;

// Where it begins is not written: it must fit between its stops from somewhere.
void past_the_end(Judge& j) {
  each_way(j, [&](const CycleWay& way) {
    double at = 0.0, low = 0.0, high = 0.0;
    for (std::size_t n = 0; n < way.of_step.size(); ++n) {
      const double one = way.of_step[n];
      at += one;
      low = std::min(low, at);
      high = std::max(high, at);
      const bool alone = std::abs(one) > way.travel * (1.0 + rounding);
      if (!alone && high - low <= way.travel * (1.0 + rounding)) continue;
      j.find(way.place(n),
             fmt::format("{} {} would go {}, and its whole travel is {}",
                         alone ? fmt::format("in {:g} s", way.cycle.steps[n].duration.si) : "with the steps before,",
                         way.output.name, way.told(alone ? one : high - low), way.told(way.travel)));
      return;
    }
  });
}

constexpr double evened_out = 0.1;

void ends_elsewhere(Judge& j) {
  each_way(j, [&](const CycleWay& way) {
    double sum = 0.0;
    std::optional<std::size_t> last;
    for (std::size_t n = 0; n < way.of_step.size(); ++n) {
      sum += way.of_step[n];
      if (way.of_step[n] != 0.0) last = n;
    }
    if (!last || std::abs(sum) <= way.travel * evened_out) return;
    j.find(way.place(*last), fmt::format("\"{}\" leaves {} {} from where it began, and its whole travel is {}",
                                         way.cycle.name, way.output.name, way.told(sum), way.told(way.travel)));
  });
}

constexpr Rule case_rules[] = {
    {"case.no-solution", error, wiring, "a load case or cycle that the network cannot carry",
     "No voltage satisfies all that is asked of the battery.", "Look at its loads; ask for less.", Home::desk,
     unsolved},
    {"case.level-over-largest", warning, programming, "a load at a level that the controller never gives",
     "The figures are then of something that cannot be.", "Lower the level, or raise the output's max_level.",
     Home::desk, over_level},
    {"cycle.stalled-for-long", warning, programming, "a duty cycle that holds a motor still for more than 5 s",
     "All of its power becomes heat in the winding.", "Hold by a brake or a self-locking gear instead.", Home::desk,
     stalled_in_cycle, "5 s: our choice"},
    {"cycle.longer-than-a-day", warning, programming, "a duty cycle repeated more often than a day is long",
     "Energy and heat for a day come out too large.", "Correct repeats_per_day or the durations.", Home::desk,
     longer_than_day},
    {"cycle.past-the-end", warning, programming, "a step that would drive a mechanism past its hard stop",
     "In the machine it would stand stalled for the rest of the step.",
     "Shorten the step, lower the speed, or let it go back in between.", Home::desk, past_the_end,
     "1 % over: rounding"},
    {"cycle.ends-elsewhere", warning, programming, "a duty cycle that does not bring a mechanism back",
     "It cannot be repeated: the way back takes charge and heat that nobody counted.", "Write the way back as a step.",
     Home::desk, ends_elsewhere, "10 % of the travel: our choice; a program that ends at its switches evens out that"},
};

}  // namespace

void add_case_rules(std::vector<Rule>& rules) {
  rules.insert(rules.end(), std::begin(case_rules), std::end(case_rules));
}

}  // namespace ringout::desk
