// The person beside the simulated robot: what she can do with her hands and what she can see. The twin and the emulated
// controller offer one; on hardware a real person takes this part. Never a shortcut for an estimator: it answers only
// what a person would be asked.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace ringout::plant {

// Something a person noticed: a device (by its name in the drawn robot) that acted since the last look.
struct Seen {
  std::string point;
  int direction = 0;    // +1: as `positive_means` says, -1: the other way, 0: on/off device was on
  double amount = 0.0;  // mechanism's own unit (SI) or seconds on
};

class Bystander {
 public:
  Bystander() = default;
  Bystander(const Bystander&) = delete;
  Bystander& operator=(const Bystander&) = delete;
  virtual ~Bystander() = default;

  // Works the named sensor by hand (presses the switch, holds a board before the range sensor) or lets go again.
  [[nodiscard]] virtual Result<void> work_by_hand(const std::string& input, bool on) = 0;
  [[nodiscard]] virtual Result<void> open_disconnect(bool open) = 0;
  // Pushes a tripped breaker in again. A fuse is replaced, not reset; a resettable one closes by itself when it is
  // cool.
  [[nodiscard]] virtual Result<void> reset_breaker(const std::string& name) {
    return failure(ErrorKind::refused, "plant.no-hand", "nobody can reset " + name + " on this link");
  }
  // What acted visibly since the last look.
  [[nodiscard]] virtual Result<std::vector<Seen>> look() = 0;
};

}  // namespace ringout::plant
