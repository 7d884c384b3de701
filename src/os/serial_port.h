// A serial port of this machine as a TimedStream. Opened with termios2 so that any rate can be asked for; the rate is
// read back, because a port may accept a rate and run at another one.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "link/timed_stream.h"

namespace ringout::os {

struct SerialSettings {
  std::string path;
  std::uint32_t rate_baud = 1'000'000;
};

// Fails with one of: link.no-such-device, link.port-in-use, link.permission-denied, link.not-a-terminal-device,
// link.rate-not-taken, link.cannot-open. 8 data bits, no parity, one stop bit, no flow control.
[[nodiscard]] Result<std::unique_ptr<link::TimedStream>> open_serial_port(const SerialSettings& settings);

// The same errors for what the system said (errno) about opening this path.
[[nodiscard]] Error opening_error(const std::string& path, int error);

// The rule for "the port took the rate": within 2 %, which a UART still reads without framing errors.
[[nodiscard]] Result<void> check_rate(const std::string& path, std::uint32_t asked_baud, std::uint32_t taken_baud);

}  // namespace ringout::os
