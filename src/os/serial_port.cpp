#include "os/serial_port.h"

#include <fcntl.h>
#include <grp.h>
#include <poll.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "os/clock.h"
#include "os/descriptor.h"
#include "os/serial_line.h"

namespace ringout::os {
namespace {

constexpr Duration write_patience = Duration::milliseconds(500);  // beyond the time the line itself needs

std::string group_of(const std::string& path) {
  struct stat about {};
  if (stat(path.c_str(), &about) != 0) return {};
  const group* owner = getgrgid(about.st_gid);
  return owner != nullptr ? owner->gr_name : std::to_string(about.st_gid);
}

tl::unexpected<Error> cannot_open(const std::string& path, int error) {
  return tl::unexpected(opening_error(path, error));
}

bool is_pseudo_terminal(int fd) {
  struct stat about {};
  if (fstat(fd, &about) != 0) return false;
  const unsigned number = major(about.st_rdev);
  return number >= 136 && number <= 143;  // Unix98 pseudo-terminals, Linux admin-guide/devices.txt
}

// Another program may keep neither the exclusive flag nor the lock, so both are taken. On a pseudo-terminal the flag
// would outlive a killed program, because the serving side keeps the line open: there the lock alone must do.
bool claim(int fd) {
  if (flock(fd, LOCK_EX | LOCK_NB) != 0) return false;
  return is_pseudo_terminal(fd) || ioctl(fd, TIOCEXCL) == 0;
}

tl::unexpected<Error> rate_not_taken(std::string message) {
  return failure(ErrorKind::unreachable, "link.rate-not-taken", std::move(message),
                 "this port cannot do the board's rate: use another port or adapter");
}

class SerialPort final : public link::TimedStream {
 public:
  SerialPort(Descriptor line, std::string path) : line_(std::move(line)), path_(std::move(path)) {}
  ~SerialPort() override {
    if (!is_pseudo_terminal(line_.get())) ioctl(line_.get(), TIOCNXCL);
  }

  Instant now() const override { return monotonic_now(); }
  link::StreamKind kind() const override { return link::StreamKind::hardware; }
  std::string name() const override { return path_; }

  Result<void> write(std::span<const std::uint8_t> bytes) override {
    const Instant give_up = now() + write_patience;
    while (!bytes.empty()) {
      const ssize_t put = ::write(line_.get(), bytes.data(), bytes.size());
      if (put > 0) {
        bytes = bytes.subspan(static_cast<std::size_t>(put));
        continue;
      }
      if (put < 0 && errno == EINTR) continue;
      if (put == 0 || errno != EAGAIN) return tl::unexpected(gone());
      const Duration left = give_up - now();
      if (left.ns <= 0) {
        return failure(ErrorKind::unreachable, "link.line-stuck", path_ + " takes no more bytes",
                       "unplug the cable and plug it in again");
      }
      pollfd watched{line_.get(), POLLOUT, 0};
      poll(&watched, 1, static_cast<int>(left.in_milliseconds()) + 1);
      if ((watched.revents & (POLLHUP | POLLERR)) != 0) return tl::unexpected(gone());
    }
    return {};
  }

  link::StreamEvent wait_until(Instant deadline) override {
    while (true) {
      std::array<std::uint8_t, 4096> buffer;
      const ssize_t got = ::read(line_.get(), buffer.data(), buffer.size());
      if (got > 0) return link::Arrived{{buffer.begin(), buffer.begin() + got}, now()};
      if (got == 0) return link::Closed{gone()};
      if (errno != EAGAIN && errno != EINTR) return link::Closed{gone()};
      switch (wait_readable(line_.get(), deadline)) {
        case Readiness::deadline:
          return link::DeadlinePassed{};
        case Readiness::closed:
          return link::Closed{gone()};
        case Readiness::readable:
          break;
      }
    }
  }

 private:
  Error gone() const {
    return {ErrorKind::unreachable, "link.unplugged", path_ + " is gone: the cable is out or the board lost its supply",
            "plug the cable in again and start the command again; outputs are off meanwhile"};
  }

  Descriptor line_;
  std::string path_;
};

}  // namespace

Error opening_error(const std::string& path, int error) {
  const auto unreachable = [](std::string id, std::string message, std::string hint) {
    return Error{ErrorKind::unreachable, std::move(id), std::move(message), std::move(hint)};
  };
  switch (error) {
    case ENOENT:
    case ENXIO:
    case ENODEV:
    case EIO:
      return unreachable("link.no-such-device", "no serial device answers at " + path,
                         "check the cable; `ringout links` lists what is there");
    case EACCES:
    case EPERM:
      return unreachable(
          "link.permission-denied", "no permission to open " + path + ": it belongs to the group " + group_of(path),
          "have yourself added to that group (sudo usermod -aG " + group_of(path) + " <your name>), then log in again");
    case EBUSY:
    case EWOULDBLOCK:
      return unreachable("link.port-in-use", path + " is in use by another program",
                         "close the program that has it open, then try again");
    case ENOTTY:
    case EISDIR:
      return unreachable("link.not-a-terminal-device", path + " is not a serial device",
                         "`ringout links` lists what can be reached");
    default:
      return unreachable("link.cannot-open", "cannot open " + path + ": " + std::strerror(error), {});
  }
}

Result<void> check_rate(const std::string& path, std::uint32_t asked_baud, std::uint32_t taken_baud) {
  const std::uint32_t away = asked_baud > taken_baud ? asked_baud - taken_baud : taken_baud - asked_baud;
  if (away <= asked_baud / 50) return {};
  return rate_not_taken(path + " was asked for " + std::to_string(asked_baud) + " baud and runs at " +
                        std::to_string(taken_baud));
}

Result<std::unique_ptr<link::TimedStream>> open_serial_port(const SerialSettings& settings) {
  Descriptor line(::open(settings.path.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  if (!line.open()) return cannot_open(settings.path, errno);
  if (isatty(line.get()) == 0) return cannot_open(settings.path, ENOTTY);
  if (!claim(line.get())) return cannot_open(settings.path, errno);
  if (!set_raw_line(line.get(), settings.rate_baud)) {
    if (errno == EINVAL) {
      return rate_not_taken(settings.path + " does not take " + std::to_string(settings.rate_baud) + " baud");
    }
    return cannot_open(settings.path, errno);
  }
  const auto rate = check_rate(settings.path, settings.rate_baud, line_rate(line.get()).value_or(0));
  if (!rate) return tl::unexpected(rate.error());
  drop_waiting_bytes(line.get());
  return std::make_unique<SerialPort>(std::move(line), settings.path);
}

}  // namespace ringout::os
