// A file of answers, held against all that a case may ask before the case begins.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "find/model.h"
#include "robot/robot.h"
#include "session/answers.h"

namespace ringout::cli {

// Every question that a case of this model may come to, with the ids of its choices.
[[nodiscard]] std::vector<session::Asked> asked_of(const find::Model& model);

// `robot`: what its bench asks may be answered, too; null for a model by itself. No path: nothing is wrong. Errors: of
// reading, cli.answers-have-errors with all of them.
[[nodiscard]] Result<void> check_case_answers(const std::optional<std::string>& path, const find::Model& model,
                                              const robot::Robot* robot);

}  // namespace ringout::cli
