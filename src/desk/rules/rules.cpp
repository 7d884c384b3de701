#include <algorithm>
#include <tuple>

#include "desk/openings.h"
#include "desk/rules/judge.h"
#include "desk/wire_limit.h"
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

Judge::Judge(const robot::Robot& robot_in, const DeskReport& report_in, std::vector<RuleFinding>& found)
    : robot(robot_in),
      report(report_in),
      hottest(hottest_ambient(robot_in)),
      found_(found),
      devices_(by_name(robot.catalogue.devices)),
      outputs_(by_name(robot.outputs)),
      protections_(by_name(robot.protections)),
      ports_(by_name(robot.board.ports)) {
  for (const robot::Protection& p : robot.protections) fed_from_.insert(p.fed_from);
  for (const robot::Input& i : robot.inputs) {
    if (i.senses == robot::SensesWhat::output_motion) sensed_.insert(i.senses_output);
  }
  for (const CaseReport& c : report.cases) {
    lasting_.push_back(lasts(c));
    std::vector<const OutputFigures*>& own = figures_.emplace_back(robot.outputs.size());
    for (const OutputFigures& f : c.outputs) own[f.output] = &f;
  }
}

const OutputFigures* Judge::figures(const CaseReport& c, std::size_t output) const {
  return figures_[index_of(c)][output];
}

bool Judge::counts(const CaseReport& c, While which) const {
  return which == While::any || lasting_[index_of(c)] == (which == While::lasting);
}

void Judge::find(Span place, std::string text) {
  found_.push_back({.rule = std::string(rule_->id),
                    .severity = rule_->severity,
                    .place = place.line > 0 ? place : Span{1, 1, 1},
                    .text = std::move(text),
                    .remedy = std::string(rule_->remedy),
                    .discipline = rule_->discipline});
}

const robot::BatteryDevice& Judge::battery() const {
  return *spec<robot::BatteryDevice>(robot.battery.device);
}

Voltage Judge::most_supply(const robot::Output& output) const {
  return output.fed_by.empty() ? robot.board.logic : battery().open_circuit_full;
}

const std::vector<Rule>& all_rules() {
  static const std::vector<Rule> rules = [] {
    std::vector<Rule> all;
    add_drawing_rules(all);
    add_protection_rules(all);
    add_short_rules(all);
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
