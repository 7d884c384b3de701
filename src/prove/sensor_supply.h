// The supply that encoders and analogue sensors share: where it is gone, all of them say nothing at once, and one cause
// is likelier than as many of their own.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "capture/sample.h"
#include "prove/finding.h"
#include "robot/robot.h"

namespace ringout::prove {

// At rest, outputs off: names of the analogue inputs whose sensors never give as little as they read, where there are
// two or more of them and no analogue input reads anything else. Empty otherwise. An encoder's pins say nothing of its
// supply while it stands.
[[nodiscard]] std::vector<std::string> without_supply(const robot::Robot& robot,
                                                      std::span<const capture::Sample> at_rest);

// By what was found: every encoder and analogue sensor that was tested is silent, and there are two or more of them.
[[nodiscard]] std::vector<std::string> without_supply(const robot::Robot& robot, std::span<const Finding> findings);

// "measure the supply …", naming them.
[[nodiscard]] std::string measure_supply_words(const robot::Robot& robot, const std::vector<std::string>& silent);

}  // namespace ringout::prove
