// Desk check and cold check as JSON (docs/schema/check.json, cold.json).
#pragma once

#include <string>
#include <vector>

#include "cold/judge.h"
#include "desk/desk.h"

namespace ringout::cli {

[[nodiscard]] std::string json_desk(const robot::Robot& robot, const desk::DeskReport& report);
[[nodiscard]] std::string json_cold(const cold::Sheet& sheet, const std::vector<cold::Judgement>& judgements,
                                    const cold::Readings& readings);

}  // namespace ringout::cli
