#include "cli/find/patience.h"

#include "os/clock.h"
#include "os/interrupts.h"

namespace ringout::cli {

void Patience::allow(Duration in_all) {
  all_ends_ = os::monotonic_now() + in_all;
  step_ends_.reset();
  step_is_over_ = false;
  cut_short_ = 0;
}

find::Effort Patience::effort() {
  find::Effort out;
  out.begins = [this] { begin_step(); };
  out.out_of_time = [this] { return over(); };
  return out;
}

void Patience::begin_step() {
  const Instant now = os::monotonic_now();
  step_is_over_ = all_ends_ && now >= *all_ends_;  // chosen all the same, if it is: not cut short
  if (a_step_) step_ends_ = now + *a_step_;
}

bool Patience::over() {
  if (step_is_over_) return true;
  const auto past = [](const std::optional<Instant>& end) { return end && os::monotonic_now() >= *end; };
  step_is_over_ = os::interrupted() || past(step_ends_) || past(all_ends_);
  if (step_is_over_) ++cut_short_;
  return step_is_over_;
}

}  // namespace ringout::cli
