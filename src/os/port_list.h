// The serial ports of this machine with their USB identity, as the kernel lists them.
#pragma once

#include <string>
#include <vector>

namespace ringout::os {

struct PortSeen {
  std::string path;           // "/dev/ttyACM0"
  std::string description;    // "maker, product", or the driver's name
  std::string usb_identity;   // "2341:0042", empty where it is no USB port
  std::string serial_number;  // empty where there is none
  std::string problem;        // why it cannot be opened, as far as can be told without opening it; empty: nothing known
};

// Sorted by path. Ports that the kernel reserves without hardware behind them, and those without a device file, are
// left out. None is opened for it: opening resets many boards.
[[nodiscard]] std::vector<PortSeen> list_serial_ports(const std::string& system_folder = "/sys/class/tty",
                                                      const std::string& device_folder = "/dev");

}  // namespace ringout::os
