#include "os/clock.h"

#include <poll.h>

#include <algorithm>
#include <cerrno>
#include <ctime>

namespace ringout::os {

Instant monotonic_now() {
  timespec t{};
  clock_gettime(CLOCK_MONOTONIC, &t);
  return {static_cast<std::int64_t>(t.tv_sec) * 1'000'000'000 + t.tv_nsec};
}

Readiness wait_readable(int fd, Instant deadline) {
  while (true) {
    const std::int64_t left = std::max<std::int64_t>(0, (deadline - monotonic_now()).ns);
    const timespec wait{static_cast<time_t>(left / 1'000'000'000), static_cast<long>(left % 1'000'000'000)};
    pollfd watched{fd, POLLIN, 0};
    const int ready = ppoll(&watched, 1, &wait, nullptr);
    if (ready > 0) return (watched.revents & POLLIN) != 0 ? Readiness::readable : Readiness::closed;
    if (ready == 0) return Readiness::deadline;
    if (errno != EINTR) return Readiness::closed;
  }
}

}  // namespace ringout::os
