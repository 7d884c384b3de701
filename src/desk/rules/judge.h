// What a rule's check function works with, and the lists of rules, one for each subject; inner to desk/rules.
#pragma once

#include <fmt/format.h>

#include <optional>
#include <string>
#include <vector>

#include "desk/rules/rule.h"

namespace ringout::desk {

class Judge {
 public:
  Judge(const robot::Robot& robot_in, const DeskReport& report_in, std::vector<RuleFinding>& found)
      : robot(robot_in), report(report_in), found_(found) {}

  void begin(const Rule& rule) { rule_ = &rule; }
  // `text`: what is found, with its figures.
  void find(Span place, std::string text);

  template <class Spec>
  [[nodiscard]] const Spec* spec(const std::string& device) const {
    const robot::Device* d = robot.catalogue.device(device);
    return d == nullptr ? nullptr : d->as<Spec>();
  }
  [[nodiscard]] const robot::BatteryDevice& battery() const;
  [[nodiscard]] const robot::MotorDevice* motor_of(const robot::Output& output) const {
    return spec<robot::MotorDevice>(output.device);
  }
  // What a device's supply is at most: a charged battery, or the board's logic supply where the board feeds it.
  [[nodiscard]] Voltage most_supply(const robot::Output& output) const;

  const robot::Robot& robot;
  const DeskReport& report;

 private:
  std::vector<RuleFinding>& found_;
  const Rule* rule_ = nullptr;
};

// Which cases a rule looks at: those that last, or those in which a motor is held still.
enum class While { lasting, held };

// Whether no output is held still in this case: what it says lasts.
[[nodiscard]] bool lasting(const CaseReport& report);

// The case in which `figure(case)` is largest among those that `counts(case)`, solved ones only; null where none.
template <class Counts, class Figure>
[[nodiscard]] const CaseReport* worst_case(const DeskReport& report, const Counts& counts, const Figure& figure) {
  const CaseReport* worst = nullptr;
  for (const CaseReport& c : report.cases) {
    if (c.unsolved || !counts(c)) continue;
    if (worst == nullptr || figure(c) > figure(*worst)) worst = &c;
  }
  return worst;
}

void add_drawing_rules(std::vector<Rule>& rules);
void add_protection_rules(std::vector<Rule>& rules);
void add_wire_rules(std::vector<Rule>& rules);
void add_controller_rules(std::vector<Rule>& rules);
void add_motor_rules(std::vector<Rule>& rules);
void add_input_rules(std::vector<Rule>& rules);
void add_case_rules(std::vector<Rule>& rules);

}  // namespace ringout::desk
