// The real agent on a bench board behind a TimedStream, one tick a millisecond, with a line that can also send whole
// frames again, long after they were sent.
#pragma once

#include <deque>
#include <functional>
#include <random>
#include <vector>

#include "agent/bench_board.h"
#include "link/timed_stream.h"

namespace ringout::device_tests {

class AgentLine : public link::TimedStream {
 public:
  explicit AgentLine(std::uint64_t seed) : random_(seed) {}

  agent::Bench bench;
  std::function<void(Instant)> each_tick;
  double replay_chance = 0.0;  // per write: one of the last frames goes out once more

  [[nodiscard]] Instant now() const override { return now_; }
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override {
    written_.emplace_back(bytes.begin(), bytes.end());
    bench.receive(written_.back());
    if (std::uniform_real_distribution<double>(0.0, 1.0)(random_) < replay_chance) {
      bench.receive(written_[random_() % written_.size()]);
    }
    if (written_.size() > 500) written_.pop_front();
    return {};
  }
  [[nodiscard]] link::StreamEvent wait_until(Instant deadline) override {
    while (true) {
      if (!bench.board.sent.empty()) return link::Arrived{.bytes = std::exchange(bench.board.sent, {}), .at = now_};
      if (now_ >= deadline) return link::DeadlinePassed{};
      bench.run(1);
      now_ = now_ + Duration::milliseconds(1);
      if (each_tick) each_tick(now_);
    }
  }
  [[nodiscard]] link::StreamKind kind() const override { return link::StreamKind::simulated; }
  [[nodiscard]] std::string name() const override { return "bench agent"; }

 private:
  std::mt19937_64 random_;
  std::deque<std::vector<std::uint8_t>> written_;
  Instant now_;
};

}  // namespace ringout::device_tests
