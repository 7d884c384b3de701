// The wiring rules: one table with what each says, why, and what to do; docs/rules.md is written from it.
//
// Some rules are kept where they must be: those without which a file cannot be read at all (Home::reading) are judged
// by robot::read_robot, those that need the robot file alone (Home::references) by robot::check_references. They are in
// this table under the ids by which they are reported there, and findings_of takes over what check_references says, so
// that a finding is told once. All others (Home::desk) have their check function here.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "desk/desk.h"

namespace ringout::desk {

enum class Home { reading, references, desk };

class Judge;

struct Rule {
  std::string_view id;
  Severity severity = Severity::warning;
  robot::Discipline discipline = robot::Discipline::wiring;  // that can settle it
  std::string_view title;
  std::string_view reason;  // one sentence
  std::string_view remedy;
  Home home = Home::desk;
  void (*check)(Judge&) = nullptr;  // Home::desk
  std::string_view limit = {};      // where its limit comes from; empty: it has none but the files' own figures
};

// All rules, by subject: names and drawing, supply and protection, wires, controller, outputs, inputs, load cases.
[[nodiscard]] const std::vector<Rule>& all_rules();
[[nodiscard]] const Rule* rule_named(std::string_view id);

// What the rules find on a robot that reads without error, with the figures of its desk check (its `findings` are not
// looked at). Worst first, then by place.
[[nodiscard]] std::vector<RuleFinding> findings_of(const robot::Robot& robot, const DeskReport& report);

// docs/rules.md.
[[nodiscard]] std::string rules_page();

}  // namespace ringout::desk
