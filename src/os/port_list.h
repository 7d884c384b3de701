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
};

// Sorted by path. Ports that the kernel reserves without hardware behind them are left out.
[[nodiscard]] std::vector<PortSeen> list_serial_ports(const std::string& system_folder = "/sys/class/tty");

}  // namespace ringout::os
