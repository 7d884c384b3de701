// A simulated controller kept to the wall clock, for a person who watches it or holds a key: her hand knows no virtual
// time. A simulation slower than the clock is left as it is.
#pragma once

#include <functional>
#include <memory>

#include "link/timed_stream.h"

namespace ringout::cli {

class PacedStream : public link::TimedStream {
 public:
  struct Clock {
    std::function<Instant()> now;
    std::function<void(Instant)> sleep_until;
  };
  PacedStream(std::unique_ptr<link::TimedStream> inner, Clock clock);

  [[nodiscard]] Instant now() const override { return inner_->now(); }
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override { return inner_->write(bytes); }
  [[nodiscard]] link::StreamEvent wait_until(Instant deadline) override;
  [[nodiscard]] link::StreamKind kind() const override { return inner_->kind(); }
  [[nodiscard]] std::string name() const override { return inner_->name(); }

 private:
  void keep_pace();

  std::unique_ptr<link::TimedStream> inner_;
  Clock clock_;
  Instant inner_start_;
  Instant wall_start_;
};

// The machine's own clock.
[[nodiscard]] PacedStream::Clock wall_clock();

}  // namespace ringout::cli
