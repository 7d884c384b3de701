#include "os/serial_line.h"

#include <asm/termbits.h>
#include <sys/ioctl.h>

namespace ringout::os {

bool set_raw_line(int fd, std::uint32_t rate_baud) {
  termios2 line{};
  if (ioctl(fd, TCGETS2, &line) != 0) return false;
  line.c_iflag &= ~static_cast<tcflag_t>(IGNBRK | BRKINT | PARMRK | ISTRIP | INLCR | IGNCR | ICRNL | IXON | IXOFF);
  line.c_oflag &= ~static_cast<tcflag_t>(OPOST);
  line.c_lflag &= ~static_cast<tcflag_t>(ECHO | ECHONL | ICANON | ISIG | IEXTEN);
  line.c_cflag &= ~static_cast<tcflag_t>(CSIZE | PARENB | CSTOPB | CRTSCTS | CBAUD | (CBAUD << IBSHIFT));
  line.c_cflag |= CS8 | CREAD | CLOCAL | BOTHER | (BOTHER << IBSHIFT);
  line.c_ispeed = rate_baud;
  line.c_ospeed = rate_baud;
  line.c_cc[VMIN] = 1;  // with 0, "no byte yet" would look like an unplugged cable
  line.c_cc[VTIME] = 0;
  return ioctl(fd, TCSETS2, &line) == 0;
}

std::optional<std::uint32_t> line_rate(int fd) {
  termios2 line{};
  if (ioctl(fd, TCGETS2, &line) != 0) return std::nullopt;
  return line.c_ospeed;
}

void drop_waiting_bytes(int fd) {
  ioctl(fd, TCFLSH, TCIOFLUSH);
}

}  // namespace ringout::os
