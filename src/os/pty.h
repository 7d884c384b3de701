// A pseudo-terminal whose serving side is ours: the twin and the emulated controller stand behind it, and any program
// opens its other side like a serial port.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "os/descriptor.h"

namespace ringout::os {

class Pty {
 public:
  [[nodiscard]] static Result<Pty> open();

  [[nodiscard]] const std::string& path() const { return path_; }  // what the other side opens
  [[nodiscard]] int descriptor() const { return serving_.get(); }  // to wait on
  // Whatever has come; empty when nothing has. Never waits.
  [[nodiscard]] std::vector<std::uint8_t> read();
  // How many bytes the line took; a line that nobody reads fills up, and what does not fit is lost, as on a real wire.
  std::size_t write(std::span<const std::uint8_t> bytes);

 private:
  Pty(Descriptor serving, Descriptor kept, std::string path);

  Descriptor serving_;
  Descriptor kept_;  // one opening of the other side, so that its last user leaving is no hang-up
  std::string path_;
};

}  // namespace ringout::os
