#include "link/send_window.h"

#include <algorithm>

namespace ringout::link {

bool SendWindow::has_room(std::size_t frame, Instant now) {
  if (now >= surely_empty()) {
    frames_.clear();
    on_their_way_ = 0;
  }
  return frames_.empty() || on_their_way_ + frame <= bytes_;
}

void SendWindow::sent(std::uint8_t tag, std::size_t frame, Instant now) {
  frames_.push_back({tag, frame});
  on_their_way_ += frame;
  last_sent_ = now;
}

void SendWindow::answered(std::uint8_t tag) {
  const auto found = std::find_if(frames_.begin(), frames_.end(), [&](const Frame& frame) { return frame.tag == tag; });
  if (found == frames_.end()) return;
  for (auto frame = frames_.begin(); frame != found + 1; ++frame) on_their_way_ -= frame->size;
  frames_.erase(frames_.begin(), found + 1);
}

}  // namespace ringout::link
