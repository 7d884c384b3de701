// How long whoever asked is to wait for the engine: the edge's clock behind find::Effort, and the interrupt key.
#pragma once

#include <optional>

#include "base/instant.h"
#include "find/strategy.h"

namespace ringout::cli {

class Patience {
 public:
  // Nothing: as long as what is counted lasts (Effort); an interrupt ends it all the same.
  explicit Patience(std::optional<Duration> a_step) : a_step_(a_step) {}
  Patience(const Patience&) = delete;
  Patience& operator=(const Patience&) = delete;

  // From now on so long in all, whatever a step may take.
  void allow(Duration in_all);
  // The effort of a step; this must outlive it.
  [[nodiscard]] find::Effort effort();
  // Steps chosen since the last `allow` before all was compared.
  [[nodiscard]] int cut_short() const { return cut_short_; }

 private:
  void begin_step();
  [[nodiscard]] bool over();

  std::optional<Duration> a_step_;
  std::optional<Instant> step_ends_, all_ends_;
  bool step_is_over_ = false;
  int cut_short_ = 0;
};

}  // namespace ringout::cli
