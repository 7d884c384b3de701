// A line in memory with a clock of its own, for tests: what is written is kept, or handed to a peer that answers.
#pragma once

#include <algorithm>
#include <deque>
#include <functional>
#include <optional>

#include "link/timed_stream.h"

namespace ringout::link {

class MemoryStream : public TimedStream {
 public:
  // Called for every write; may call arrive().
  std::function<void(std::span<const std::uint8_t>)> peer;
  // Called as time goes on, at each multiple of `beat`; may call arrive().
  std::function<void(Instant)> on_beat;
  static constexpr Duration beat = Duration::milliseconds(1);

  // These bytes reach the host so much later than now; in the order of their times.
  void arrive(std::vector<std::uint8_t> bytes, Duration later) {
    const Instant at = now_ + later;
    auto place = coming_.end();
    while (place != coming_.begin() && (place - 1)->at > at) --place;
    coming_.insert(place, Arrived{std::move(bytes), at});
  }
  void close(Error why) { closed_ = Closed{std::move(why)}; }
  [[nodiscard]] const std::vector<std::uint8_t>& written() const { return written_; }
  void set_kind(StreamKind kind) { kind_ = kind; }

  [[nodiscard]] Instant now() const override { return now_; }
  [[nodiscard]] Result<void> write(std::span<const std::uint8_t> bytes) override {
    if (closed_) return tl::unexpected<Error>(closed_->why);
    written_.insert(written_.end(), bytes.begin(), bytes.end());
    if (peer) peer(bytes);
    return {};
  }
  [[nodiscard]] StreamEvent wait_until(Instant deadline) override {
    while (true) {
      if (closed_) return *closed_;
      if (!coming_.empty() && coming_.front().at <= now_) {
        Arrived arrived = std::move(coming_.front());
        coming_.pop_front();
        return arrived;
      }
      if (now_ >= deadline) return DeadlinePassed{};
      Instant next = std::min(deadline, next_beat_);
      if (!coming_.empty()) next = std::min(next, coming_.front().at);
      now_ = std::max(now_, next);
      if (now_ < next_beat_) continue;
      next_beat_ = next_beat_ + beat;
      if (on_beat) on_beat(now_);
    }
  }
  [[nodiscard]] StreamKind kind() const override { return kind_; }
  [[nodiscard]] std::string name() const override { return "memory"; }

 private:
  Instant now_{};
  Instant next_beat_{beat.ns};
  std::deque<Arrived> coming_;
  std::vector<std::uint8_t> written_;
  std::optional<Closed> closed_;
  StreamKind kind_ = StreamKind::simulated;
};

}  // namespace ringout::link
