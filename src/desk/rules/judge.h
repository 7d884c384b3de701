// What a rule's check function works with, and the lists of rules, one for each subject; inner to desk/rules.
#pragma once

#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "desk/rules/rule.h"

namespace ringout::desk {

// Which cases a rule looks at: those that last, those in which a motor is held still, or all.
enum class While { lasting, held, any };

// Names are looked up and cases are sorted once for all rules, so that their work grows with the robot, not with its
// square.
class Judge {
 public:
  Judge(const robot::Robot& robot_in, const DeskReport& report_in, std::vector<RuleFinding>& found);

  void begin(const Rule& rule) { rule_ = &rule; }
  // `text`: what is found, with its figures.
  void find(Span place, std::string text);

  // By name; null where there is none.
  [[nodiscard]] const robot::Device* device(std::string_view name) const { return at(devices_, name); }
  [[nodiscard]] const robot::Output* output(std::string_view name) const { return at(outputs_, name); }
  [[nodiscard]] const robot::Protection* protection(std::string_view name) const { return at(protections_, name); }
  [[nodiscard]] const robot::BoardPort& port(std::string_view name) const { return *at(ports_, name); }
  template <class Spec>
  [[nodiscard]] const Spec* spec(std::string_view device_name) const {
    const robot::Device* d = device(device_name);
    return d == nullptr ? nullptr : d->as<Spec>();
  }
  [[nodiscard]] const robot::BatteryDevice& battery() const;
  [[nodiscard]] const robot::MotorDevice* motor_of(const robot::Output& output) const {
    return spec<robot::MotorDevice>(output.device);
  }
  // What a device's supply is at most: a charged battery, or the board's logic supply where the board feeds it.
  [[nodiscard]] Voltage most_supply(const robot::Output& output) const;
  // Whether another protection hangs on this one.
  [[nodiscard]] bool feeds_others(std::string_view protection) const { return fed_from_.count(protection) != 0; }
  // Whether an input senses the output's motion.
  [[nodiscard]] bool sensed(const robot::Output& output) const { return sensed_.count(output.name) != 0; }
  // Of the output, by its index, in a case of the report; null where it is off there.
  [[nodiscard]] const OutputFigures* figures(const CaseReport& c, std::size_t output) const;
  // The case in which `figure(case)` is largest, solved ones only; null where none counts.
  template <class Figure>
  [[nodiscard]] const CaseReport* worst_case(While which, const Figure& figure) const {
    const CaseReport* worst = nullptr;
    for (const CaseReport& c : report.cases) {
      if (c.unsolved || !counts(c, which)) continue;
      if (worst == nullptr || figure(c) > figure(*worst)) worst = &c;
    }
    return worst;
  }

  const robot::Robot& robot;
  const DeskReport& report;
  const Temperature hottest;  // ambient, of the robot and its load cases

 private:
  template <class Part>
  using ByName = std::unordered_map<std::string_view, const Part*>;
  template <class Part>
  [[nodiscard]] static ByName<Part> by_name(const std::vector<Part>& parts) {
    ByName<Part> out;
    for (const Part& p : parts) out.emplace(p.name, &p);
    return out;
  }
  template <class Part>
  [[nodiscard]] static const Part* at(const ByName<Part>& parts, std::string_view name) {
    const auto found = parts.find(name);
    return found == parts.end() ? nullptr : found->second;
  }
  // Whether it is of that kind: a case lasts where no output is held still.
  [[nodiscard]] bool counts(const CaseReport& c, While which) const;
  [[nodiscard]] std::size_t index_of(const CaseReport& c) const {
    return static_cast<std::size_t>(&c - report.cases.data());
  }

  std::vector<RuleFinding>& found_;
  const Rule* rule_ = nullptr;
  ByName<robot::Device> devices_;
  ByName<robot::Output> outputs_;
  ByName<robot::Protection> protections_;
  ByName<robot::BoardPort> ports_;
  std::unordered_set<std::string_view> fed_from_;           // protections on which others hang
  std::unordered_set<std::string_view> sensed_;             // outputs whose motion is sensed
  std::vector<bool> lasting_;                               // by the report's cases
  std::vector<std::vector<const OutputFigures*>> figures_;  // by the report's cases and the robot's outputs
};

void add_drawing_rules(std::vector<Rule>& rules);
void add_protection_rules(std::vector<Rule>& rules);
void add_short_rules(std::vector<Rule>& rules);
void add_wire_rules(std::vector<Rule>& rules);
void add_controller_rules(std::vector<Rule>& rules);
void add_motor_rules(std::vector<Rule>& rules);
void add_input_rules(std::vector<Rule>& rules);
void add_case_rules(std::vector<Rule>& rules);

}  // namespace ringout::desk
