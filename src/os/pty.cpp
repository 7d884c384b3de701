#include "os/pty.h"

#include <fcntl.h>
#include <stdlib.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "os/serial_line.h"

namespace ringout::os {

Pty::Pty(Descriptor serving, Descriptor kept, std::string path)
    : serving_(std::move(serving)), kept_(std::move(kept)), path_(std::move(path)) {}

Result<Pty> Pty::open() {
  const auto failed = [](const char* what) {
    return failure(ErrorKind::unreachable, "link.no-pseudo-terminal",
                   std::string("cannot make a pseudo-terminal: ") + what + ": " + std::strerror(errno));
  };
  Descriptor serving(posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  if (!serving.open()) return failed("open");
  if (grantpt(serving.get()) != 0 || unlockpt(serving.get()) != 0) return failed("unlock");
  std::array<char, 128> name{};
  if (ptsname_r(serving.get(), name.data(), name.size()) != 0) return failed("name");
  Descriptor kept(::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC));
  if (!kept.open()) return failed("open the other side");
  // Raw before anyone can write: a cooked line would echo the controller's bytes back at it.
  if (!set_raw_line(kept.get(), 1'000'000)) return failed("settings");
  return Pty(std::move(serving), std::move(kept), name.data());
}

std::vector<std::uint8_t> Pty::read() {
  std::vector<std::uint8_t> all;
  std::array<std::uint8_t, 4096> buffer;
  while (true) {
    const ssize_t got = ::read(serving_.get(), buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) return all;
    all.insert(all.end(), buffer.begin(), buffer.begin() + got);
  }
}

std::size_t Pty::write(std::span<const std::uint8_t> bytes) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t put = ::write(serving_.get(), bytes.data() + done, bytes.size() - done);
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) break;
    done += static_cast<std::size_t>(put);
  }
  return done;
}

}  // namespace ringout::os
