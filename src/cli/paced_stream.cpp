#include "cli/paced_stream.h"

#include <algorithm>
#include <chrono>
#include <thread>

#include "os/clock.h"

namespace ringout::cli {
namespace {

// How far the simulation may run ahead before it waits, and how late it may be before the lost time is forgotten (the
// person was thinking about an answer).
constexpr Duration ahead = Duration::milliseconds(5);
constexpr Duration forgotten = Duration::milliseconds(200);

}  // namespace

PacedStream::PacedStream(std::unique_ptr<link::TimedStream> inner, Clock clock)
    : inner_(std::move(inner)), clock_(std::move(clock)), inner_start_(inner_->now()), wall_start_(clock_.now()) {}

link::StreamEvent PacedStream::wait_until(Instant deadline) {
  while (true) {
    const Instant next = std::min(deadline, inner_->now() + ahead);
    link::StreamEvent event = inner_->wait_until(next);
    keep_pace();
    if (!std::holds_alternative<link::DeadlinePassed>(event) || inner_->now() >= deadline) return event;
  }
}

void PacedStream::keep_pace() {
  const Instant due = wall_start_ + (inner_->now() - inner_start_);
  const Instant wall = clock_.now();
  if (wall < due) {
    clock_.sleep_until(due);
  } else if (wall - due > forgotten) {
    inner_start_ = inner_->now();
    wall_start_ = wall;
  }
}

PacedStream::Clock wall_clock() {
  return {os::monotonic_now, [](Instant due) {
            const Duration left = due - os::monotonic_now();
            if (left.ns > 0) std::this_thread::sleep_for(std::chrono::nanoseconds(left.ns));
          }};
}

}  // namespace ringout::cli
