// A file descriptor with one owner.
#pragma once

#include <unistd.h>

#include <utility>

namespace ringout::os {

class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(Descriptor&& other) noexcept : fd_(std::exchange(other.fd_, none)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    if (this != &other) {
      close();
      fd_ = std::exchange(other.fd_, none);
    }
    return *this;
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close(); }

  [[nodiscard]] int get() const { return fd_; }
  [[nodiscard]] bool open() const { return fd_ != none; }
  void close() {
    if (fd_ != none) ::close(std::exchange(fd_, none));
  }

 private:
  static constexpr int none = -1;
  int fd_ = none;
};

}  // namespace ringout::os
