// The machine's monotonic clock, for the edges only: nothing below them asks what time it is.
#pragma once

#include "base/instant.h"

namespace ringout::os {

[[nodiscard]] Instant monotonic_now();

enum class Readiness { readable, closed, deadline };

// Waits until the descriptor has something to read, its other end is gone, or the deadline has passed. A signal does
// not cut the wait short; a deadline in the past looks once.
[[nodiscard]] Readiness wait_readable(int fd, Instant deadline);

}  // namespace ringout::os
