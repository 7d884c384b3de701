#include <algorithm>
#include <tuple>

#include "desk/rules/judge.h"
#include "robot/robot_file.h"

namespace ringout::desk {

namespace {

robot::Discipline discipline_named(const std::string& owner, robot::Discipline otherwise) {
  for (const auto d : {robot::Discipline::mechanics, robot::Discipline::wiring, robot::Discipline::programming}) {
    if (owner == robot::name_of(d)) return d;
  }
  return otherwise;
}

void take_over_references(const robot::Robot& robot, std::vector<RuleFinding>& found) {
  Diagnostics diagnostics;
  robot::check_references(robot, diagnostics);
  for (const Diagnostic& d : diagnostics.all()) {
    const Rule* rule = rule_named(d.id);
    const auto otherwise = rule != nullptr ? rule->discipline : robot::Discipline::wiring;
    found.push_back({.rule = d.id,
                     .severity = d.severity,
                     .place = d.span,
                     .text = d.message,
                     .remedy = d.hint.empty() && rule != nullptr ? std::string(rule->remedy) : d.hint,
                     .discipline = discipline_named(d.owner, otherwise)});
  }
}

}  // namespace

void Judge::find(Span place, std::string text) {
  found_.push_back({.rule = std::string(rule_->id),
                    .severity = rule_->severity,
                    .place = place.line > 0 ? place : Span{1, 1, 1},
                    .text = std::move(text),
                    .remedy = std::string(rule_->remedy),
                    .discipline = rule_->discipline});
}

const robot::BatteryDevice& Judge::battery() const {
  return *robot.device_of(robot.battery.device).as<robot::BatteryDevice>();
}

Voltage Judge::most_supply(const robot::Output& output) const {
  return output.fed_by.empty() ? robot.board.logic : battery().open_circuit_full;
}

bool lasting(const CaseReport& report) {
  return std::none_of(report.outputs.begin(), report.outputs.end(),
                      [](const OutputFigures& o) { return o.loading == robot::Loading::stalled; });
}

const std::vector<Rule>& all_rules() {
  static const std::vector<Rule> rules = [] {
    std::vector<Rule> all;
    add_drawing_rules(all);
    add_protection_rules(all);
    add_wire_rules(all);
    add_controller_rules(all);
    add_motor_rules(all);
    add_input_rules(all);
    add_case_rules(all);
    return all;
  }();
  return rules;
}

const Rule* rule_named(std::string_view id) {
  const auto& rules = all_rules();
  const auto at = std::find_if(rules.begin(), rules.end(), [&](const Rule& r) { return r.id == id; });
  return at == rules.end() ? nullptr : &*at;
}

std::vector<RuleFinding> findings_of(const robot::Robot& robot, const DeskReport& report) {
  std::vector<RuleFinding> found;
  take_over_references(robot, found);
  Judge judge(robot, report, found);
  for (const Rule& rule : all_rules()) {
    if (rule.check == nullptr) continue;
    judge.begin(rule);
    rule.check(judge);
  }
  std::stable_sort(found.begin(), found.end(), [](const RuleFinding& a, const RuleFinding& b) {
    return std::tuple(-static_cast<int>(a.severity), a.place.line, a.place.column) <
           std::tuple(-static_cast<int>(b.severity), b.place.line, b.place.column);
  });
  return found;
}

}  // namespace ringout::desk
