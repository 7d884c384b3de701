#include "os/pty_service.h"

#include <poll.h>
#include <unistd.h>

#include <array>
#include <cstdio>

#include "os/clock.h"
#include "os/interrupts.h"

namespace ringout::os {
namespace {

// Shorter than any time limit of the agent: the bytes of a gap come all at once at its end, and a controller that lived
// through the gap first would take a host that spoke all the while for silent.
constexpr Duration longest_gap = Duration::milliseconds(10);
constexpr Duration pace = Duration::microseconds(500);
constexpr std::size_t longest_line = 4096;

}  // namespace

PtyService::PtyService(link::TimedStream& controller, Pty& line, Instant wall_now)
    : controller_(controller), line_(line), wall_start_(wall_now), controller_start_(controller.now()) {}

Result<void> PtyService::step(Instant wall_now) {
  if (const auto bytes = line_.read(); !bytes.empty()) {
    if (const auto taken = controller_.write(bytes); !taken) return taken;
  }
  Instant target = controller_start_ + (wall_now - wall_start_);
  if (target - controller_.now() > longest_gap) {
    target = controller_.now() + longest_gap;
    wall_start_ = wall_now;
    controller_start_ = target;
  }
  while (controller_.now() < target) {
    const auto event = controller_.wait_until(target);
    if (const auto* arrived = std::get_if<link::Arrived>(&event)) line_.write(arrived->bytes);
    if (const auto* closed = std::get_if<link::Closed>(&event)) return tl::unexpected(closed->why);
  }
  return {};
}

std::string PtyService::commands(const std::string& typed, const LineCommand& on_line) {
  unfinished_ += typed;
  std::string answers;
  for (std::size_t end = unfinished_.find('\n'); end != std::string::npos; end = unfinished_.find('\n')) {
    const std::string answer = on_line(unfinished_.substr(0, end));
    unfinished_.erase(0, end + 1);
    if (!answer.empty()) answers += answer + "\n";
  }
  if (unfinished_.size() > longest_line) unfinished_.clear();
  return answers;
}

Result<void> serve_on_pty(link::TimedStream& controller, Pty& line, int input, const LineCommand& on_line) {
  PtyService service(controller, line, monotonic_now());
  bool input_open = true;
  while (!interrupted()) {
    std::array<pollfd, 2> watched{{{line.descriptor(), POLLIN, 0}, {input_open ? input : -1, POLLIN, 0}}};
    const timespec wait{0, static_cast<long>(pace.ns)};
    ppoll(watched.data(), watched.size(), &wait, nullptr);
    if (watched[1].revents != 0) {
      std::array<char, 1024> typed;
      const ssize_t got = ::read(input, typed.data(), typed.size());
      input_open = got > 0;
      if (got > 0) {
        std::fputs(service.commands(std::string(typed.data(), static_cast<std::size_t>(got)), on_line).c_str(), stdout);
        std::fflush(stdout);
      }
    }
    if (const auto stepped = service.step(monotonic_now()); !stepped) return stepped;
  }
  return {};
}

}  // namespace ringout::os
