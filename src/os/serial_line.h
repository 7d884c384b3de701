// The terminal settings of a serial line, apart from everything else because the kernel's termios2 and the C library's
// termios cannot be included together.
#pragma once

#include <cstdint>
#include <optional>

namespace ringout::os {

// Raw, 8N1, no flow control, a read of nothing is "not yet" and not "end". False: errno says why.
[[nodiscard]] bool set_raw_line(int fd, std::uint32_t rate_baud);
// The output rate that the driver says it runs at.
[[nodiscard]] std::optional<std::uint32_t> line_rate(int fd);
void drop_waiting_bytes(int fd);

}  // namespace ringout::os
