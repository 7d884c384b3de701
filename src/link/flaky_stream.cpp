#include "link/flaky_stream.h"

#include <algorithm>
#include <utility>

namespace ringout::link {
namespace {

Error cable_out(const std::string& name) {
  return Error{ErrorKind::unreachable, "link.cable-out", "the link to " + name + " is gone",
               "look at the cable and at the controller's power, then start again; outputs turn off by themselves"};
}

}  // namespace

FlakyStream::FlakyStream(TimedStream& line, LineDamage damage, std::uint64_t seed)
    : line_(line), damage_(damage), random_(seed) {}

bool FlakyStream::happens(double chance) {
  if (chance <= 0.0) return false;
  const bool yes = std::uniform_real_distribution<double>(0.0, 1.0)(random_) < chance;
  if (yes) ++damaged_;
  return yes;
}

void FlakyStream::travel(Queue& queue, std::uint8_t byte, Instant at) {
  if (happens(damage_.drop)) return;
  if (happens(damage_.flip)) byte = static_cast<std::uint8_t>(byte ^ (1U << (random_() % 8)));
  Instant due = at;
  if (happens(damage_.delay)) {
    due = at + Duration::nanoseconds(static_cast<std::int64_t>(
                   random_() % static_cast<std::uint64_t>(std::max<std::int64_t>(damage_.longest_delay.ns, 1))));
  }
  if (!queue.empty()) due = std::max(due, queue.back().due);
  queue.push_back({byte, due});
  if (happens(damage_.duplicate)) queue.push_back({byte, due});
  if (queue.size() >= 2 && happens(damage_.reorder)) {
    std::swap(queue[queue.size() - 1].byte, queue[queue.size() - 2].byte);
  }
}

std::vector<std::uint8_t> FlakyStream::take_due(Queue& queue) const {
  std::vector<std::uint8_t> bytes;
  while (!queue.empty() && queue.front().due <= line_.now()) {
    bytes.push_back(queue.front().byte);
    queue.pop_front();
  }
  return bytes;
}

Result<void> FlakyStream::hand_over_due() {
  const std::vector<std::uint8_t> bytes = take_due(outward_);
  if (bytes.empty()) return {};
  return line_.write(bytes);
}

Result<void> FlakyStream::write(std::span<const std::uint8_t> bytes) {
  if (writes_left_ && *writes_left_ == 0) pulled_ = true;
  if (pulled_) return tl::unexpected<Error>(cable_out(name()));
  if (writes_left_) --*writes_left_;
  ++writes_;
  for (const std::uint8_t byte : bytes) travel(outward_, byte, line_.now());
  return hand_over_due();
}

StreamEvent FlakyStream::wait_until(Instant deadline) {
  while (true) {
    if (pulled_) return Closed{cable_out(name())};
    if (Result<void> sent = hand_over_due(); !sent) return Closed{sent.error()};
    if (std::vector<std::uint8_t> bytes = take_due(inward_); !bytes.empty()) return Arrived{std::move(bytes), now()};
    Instant until = deadline;
    if (!outward_.empty()) until = std::min(until, outward_.front().due);
    if (!inward_.empty()) until = std::min(until, inward_.front().due);
    StreamEvent event = line_.wait_until(until);
    if (auto* arrived = std::get_if<Arrived>(&event)) {
      for (const std::uint8_t byte : arrived->bytes) travel(inward_, byte, arrived->at);
    } else if (std::holds_alternative<Closed>(event) || until == deadline) {
      return event;
    }
  }
}

}  // namespace ringout::link
