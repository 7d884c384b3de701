// Switches: what one reading means, and what both of one switch mean together; inner to cold.
#pragma once

#include <string>
#include <vector>

#include "cold/judge.h"

namespace ringout::cold {

// Of switch_rest or switch_worked by itself.
[[nodiscard]] std::string meaning_of_switch(const Step& step, Verdict verdict);

// Rest and worked of each switch together: a switch that answers the other way round has its other contact wired, one
// whose reading stays the same does not answer, and two of these that fit each other's plug are exchanged.
void judge_switches(std::vector<Judgement>& all, const Readings& readings);

}  // namespace ringout::cold
