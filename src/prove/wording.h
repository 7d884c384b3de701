// Findings, questions and the supply's account, read off the posterior and put into words.
#pragma once

#include <vector>

#include "prove/identify.h"
#include "prove/posterior.h"

namespace ringout::prove {

[[nodiscard]] std::vector<Finding> findings_of(Explanations& x, const Posterior& posterior, const Evidence& evidence);
[[nodiscard]] std::vector<Question> questions_of(Explanations& x, const Posterior& posterior, const Evidence& evidence,
                                                 const IdentifyOptions& options);
[[nodiscard]] SupplyFinding supply_of(const Explanations& x);

// Whether a sensor is drawn for this output's motion. One without is proved by nothing but a person's look.
[[nodiscard]] bool watched(const robot::Robot& robot, const std::string& output);

// Names of board ports by kind and index.
[[nodiscard]] std::string port_name(const robot::Board& board, robot::PortKind kind, std::size_t index);

}  // namespace ringout::prove
