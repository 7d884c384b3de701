// The one seam to every controller: bytes with their time. A serial port waits, the twin advances, the emulated
// controller's process is told to run. No deadline above this seam looks at a wall clock.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "base/instant.h"
#include "base/result.h"

namespace ringout::link {

struct Arrived {
  std::vector<std::uint8_t> bytes;  // never empty
  Instant at;                       // when the last of them arrived, on this stream's clock
};
struct DeadlinePassed {};
struct Closed {
  Error why;  // cable out, process gone, …
};

using StreamEvent = std::variant<Arrived, DeadlinePassed, Closed>;

// What stands behind a stream; motion on real hardware needs a hold-to-run control.
enum class StreamKind { hardware, simulated };

class TimedStream {
 public:
  TimedStream() = default;
  TimedStream(const TimedStream&) = delete;
  TimedStream& operator=(const TimedStream&) = delete;
  virtual ~TimedStream() = default;

  [[nodiscard]] virtual Instant now() const = 0;
  // Hands over all bytes or fails; never blocks for longer than the line needs.
  [[nodiscard]] virtual Result<void> write(std::span<const std::uint8_t> bytes) = 0;
  // Returns at the first bytes, at the deadline, or when the stream closes; a deadline in the past polls once.
  [[nodiscard]] virtual StreamEvent wait_until(Instant deadline) = 0;
  [[nodiscard]] virtual StreamKind kind() const = 0;
  [[nodiscard]] virtual std::string name() const = 0;  // as a person would write it after --on
};

}  // namespace ringout::link
