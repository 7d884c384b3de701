// How many bytes may be on their way to the agent, so that its receive ring never overruns. A reply proves that
// everything written up to its request has been taken out of the ring; a line that was quiet for 20 ms has emptied it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>

#include "base/instant.h"

namespace ringout::link {

class SendWindow {
 public:
  static constexpr Duration quiet = Duration::milliseconds(20);

  explicit SendWindow(std::size_t bytes) : bytes_(bytes) {}

  void resize(std::size_t bytes) { bytes_ = bytes; }
  // Whether a frame of this size may be sent at this moment. A frame larger than the window may go when it is empty.
  [[nodiscard]] bool has_room(std::size_t frame, Instant now);
  // The moment at which the window is empty even if no reply ever comes.
  [[nodiscard]] Instant surely_empty() const { return last_sent_ + quiet; }
  void sent(std::uint8_t tag, std::size_t frame, Instant now);
  void answered(std::uint8_t tag);
  [[nodiscard]] std::size_t on_their_way() const { return on_their_way_; }

 private:
  struct Frame {
    std::uint8_t tag;
    std::size_t size;
  };

  std::size_t bytes_;
  std::deque<Frame> frames_;
  std::size_t on_their_way_ = 0;
  Instant last_sent_{-1'000'000'000'000};
};

}  // namespace ringout::link
