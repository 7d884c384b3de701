// The bench of a trial: a twin in this process, a session with it, and the simulated bystander as the person.
#pragma once

#include "trial/trial.h"

namespace ringout::cli {

// The robot must outlive what is made. Checks read on it are those of `ringout find`.
[[nodiscard]] trial::MakeBench twin_benches(const robot::Robot& robot);

}  // namespace ringout::cli
